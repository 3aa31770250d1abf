"""Calendar feeds of a manual: the events of each crop and lab, their numbers from build to build, and the files."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlsplit

from ..database.load import Database
from ..database.manual import ManualDatabase
from ..model.crop import Crop, Protocol
from ..model.feed_state import Event, FeedState, uid_part
from ..model.manual import Manual
from ..planning.calendars import CropSeason
from ..planning.forecast import SEASON
from ..planning.lab_days import LabPlan, Plans
from ..planning.season import PlantingDates, WindowDates
from ..rendering.feed import next_state, write_feed
from ..views.calendar import crop_feed, lab_feed, season_title, start_text
from ..views.common import protocol_address
from ..views.visit_lines import look_first, note_text
from ..views.visit_words import week_day
from ..views.words import Words


@dataclass(frozen=True)
class Feeds:
    """The feeds of one build: files by name, and what to remember for the next build."""

    files: dict[str, bytes]
    state: FeedState


def crop_events(
    words: Words, manual: Manual, crop: Crop, seasons: Iterable[CropSeason], plans: Iterable[tuple[Plans, ...]]
) -> tuple[Event, ...]:
    """One event for each window that has dates, and one for the best visit day of each lab."""
    events: list[Event] = []
    protocols = {p.protocol: p for p in crop.protocols}
    for season, of_season in zip(seasons, plans, strict=True):
        for planting, labs in zip(season.plantings, of_season, strict=True):
            for window in planting.windows:
                maker = _Maker(words, manual, crop, season, planting, protocols[window.protocol])
                if span := _span(window):
                    events.append(maker.window(*span))
                events += [maker.visit(plan) for plan in labs[window.protocol] if plan.best]
    return tuple(events)


@dataclass(frozen=True)
class _Maker:
    """Makes the events of one window of one planting."""

    words: Words
    manual: Manual
    crop: Crop
    season: CropSeason
    planting: PlantingDates
    protocol: Protocol

    def window(self, first: date, last: date) -> Event:
        say = self.words.say
        return Event(
            uid_parts=self._uid("window"),
            first=first,
            last=last,
            summary=_window_text(self.words, say(self.crop.name), say(self.protocol.title)),
            description=say(
                "{season}. {planting}. Middle dates of a forecast: look at the crop.",
                season=season_title(self.words, self.season),
                planting=start_text(self.words, self.planting),
            ),
            url=self._url(protocol_address(self.crop, self.protocol)),
            status="tentative",
            changed=self._changed,
            feeds=(f"crop-{self.crop.crop}",),
        )

    def visit(self, plan: LabPlan) -> Event:
        """The best day for one lab."""
        say, visit, lab = self.words.say, plan.best, plan.lab
        assert visit is not None
        lines = [
            say("{season}. {planting}.", season=season_title(self.words, self.season), planting=self._start),
            say("Mail the sample on {day}.", day=week_day(self.words, visit.mailed)),
            say("Result by {day}.", day=week_day(self.words, visit.result_last))
            if visit.result_last
            else say("Ask the lab how long a result takes."),
        ]
        if note := note_text(self.words, visit, plan.plan.missing):
            lines.append(say("Note: {note}.", note=note))
        lines.append(look_first(self.words, [visit]) or say("A forecast: look at the crop first."))
        return Event(
            uid_parts=self._uid("visit", lab.lab),
            first=visit.day,
            last=visit.day,
            summary=_visit_text(self.words, lab.name, say(self.crop.name), say(self.protocol.title)),
            description="\n".join(lines),
            url=self._url(protocol_address(self.crop, self.protocol, lab.lab)),
            status="tentative",
            changed=self._changed,
            feeds=(f"lab-{lab.lab}",),
        )

    @property
    def _start(self) -> str:
        return start_text(self.words, self.planting)

    @property
    def _changed(self) -> date:
        return max(self.manual.edition, self.season.observed_until or self.manual.edition)

    def _url(self, address: str) -> str:
        return f"{str(self.manual.site_url).rstrip('/')}/{address}"

    def _uid(self, *what: str) -> tuple[str, str, str, str]:
        """Season, place, protocol and kind. The rung is its day without the year: one added later renames none."""
        region, start = self.season.region, self.planting.start
        rung = "" if self.planting.start_event == SEASON else f"{self.planting.start_event} {start:%m-%d}"
        kind = self.season.model.kind or ""
        if kind and not re.search("[A-Za-z0-9]", kind):
            kind = self.season.model.model
        which = " ".join([kind, *what, rung])
        return (
            str(region.season),
            uid_part(region.region),
            uid_part(f"{self.crop.crop}/{self.protocol.protocol}"),
            uid_part("-".join(re.findall("[a-z0-9]+", which.lower()))),
        )


def _window_text(words: Words, crop: str, stage: str) -> str:
    return words.say("{crop}: {stage}", crop=crop, stage=stage)


def _visit_text(words: Words, lab: str, crop: str, stage: str) -> str:
    return words.say("Visit for {lab}: {crop}, {stage}", lab=lab, crop=crop, stage=stage)


def _span(window: WindowDates) -> tuple[date, date] | None:
    """The likely days of a window: from its middle opening to its middle closing; a bracket as a whole."""
    if window.opens is None:
        return None
    first = window.opens.p50 or window.opens.p10
    closes = window.closes
    last = (closes.p50 or closes.p90) if closes else None
    if first is None:
        return None
    return first, max(first, last or first)


def all_feeds(
    db: ManualDatabase, words: Words, manual: Manual, events: Iterable[Event], crops: Iterable[str], before: FeedState
) -> Feeds:
    """A feed for each crop that has a calendar and for each lab, with what was dropped lately as cancelled.

    `before` is what the last build sent. The day of a change is the newest of the edition and of all days whose weather
    is known: no clock, so that the same inputs give the same bytes.
    """
    seasons = {name: str(region.season) for name, region in db.regions.items()}
    given = tuple(events)
    keys = {event.key for event in given}
    on = max([manual.edition, *(event.changed for event in given)])
    state, kept = next_state(this_season(before, seasons), given, on=on)
    sent = [event if event.key in keys else _dropped(db, words, manual, event) for event in kept]
    names = {f"crop-{crop}" for crop in crops} | {f"lab-{lab}" for lab in db.labs}
    in_it: dict[str, list[Event]] = {name: [] for name in names}
    for event in sent:
        for name in dict.fromkeys(event.feeds):
            in_it.setdefault(name, []).append(event)
    files, host = {}, urlsplit(str(manual.site_url)).hostname or "localhost"
    for name in sorted(in_it):
        kind, _, which = name.partition("-")
        if kind == "lab":
            title = words.say("{lab}: days for a visit", lab=db.labs[which].name if which in db.labs else which)
            address = lab_feed(which)
        else:
            title = words.say("{crop}: when to sample", crop=_crop_name(db, words, which))
            address = crop_feed(which)
        files[address] = write_feed(in_it[name], name=title, host=host)
    return Feeds(files, state)


def _dropped(db: ManualDatabase, words: Words, manual: Manual, event: Event) -> Event:
    """An event of an earlier build that is cancelled, said again in these words: it may have been kept in others."""
    crop_id, stage = what_of(db, words, event)
    crop = _crop_name(db, words, crop_id)
    lab = next((feed.removeprefix("lab-") for feed in event.feeds if feed.startswith("lab-")), None)
    if lab is None:
        summary = _window_text(words, crop, stage)
    else:
        summary = _visit_text(words, db.labs[lab].name if lab in db.labs else lab, crop, stage)
    folder = f"labs/{lab}" if lab else "crops"
    url = f"{str(manual.site_url).rstrip('/')}/{folder}/{event.uid_parts[2]}/"
    here = crop_id in db.crops and (lab is None or lab in db.labs)
    told = {"summary": summary, "description": no_longer(words), "url": url if here else event.url}
    return event.model_copy(update=told)


def what_of(db: Database, words: Words, event: Event) -> tuple[str, str]:
    """The crop's id and the words for the stage out of an event's identity, also of a protocol that is no more."""
    crop_id, _, protocol_id = event.uid_parts[2].partition("/")
    crop = db.crops.get(crop_id) or db.left_out.get(crop_id)
    if crop is None:
        return crop_id, protocol_id
    titles = {name: p.title for p in crop.protocols for name in (*p.aliases, p.protocol)}
    titles |= {old.protocol: old.title for old in crop.retired}
    return crop_id, words.say(titles[protocol_id]) if protocol_id in titles else protocol_id


def no_longer(words: Words) -> str:
    """What a cancelled event says, for programs that show it like any other."""
    return words.say("This day no longer holds.")


def _crop_name(db: ManualDatabase, words: Words, crop: str) -> str:
    found = db.crops.get(crop) or db.left_out.get(crop)
    return words.say(found.name) if found else crop


def this_season(state: FeedState, seasons: Mapping[str, str]) -> FeedState:
    """The state without the past seasons of regions: what was in them stays in people's calendars as it was.

    A region that is not there any more stays, so that its events are cancelled.
    """

    def stays(key: str) -> bool:
        season, region, *_ = key.split(".")
        return seasons.get(region, season) == season

    return _only(state, stays)


def feeds_without(state: FeedState, crops: Collection[str]) -> FeedState:
    """The state without some crops, for an edition that does not speak of them: nothing of theirs is cancelled."""
    return _only(state, lambda key: key.split(".")[2].partition("/")[0] not in crops)


def _only(state: FeedState, stays: Callable[[str], bool]) -> FeedState:
    return FeedState(
        events=tuple(event for event in state.events if stays(event.key)),
        gone=tuple(left for left in state.gone if stays(left.key)),
    )
