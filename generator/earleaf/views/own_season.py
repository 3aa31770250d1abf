"""What a team's own season says: one row for each planting, with its next sample, its visit, mail and result."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from ..database.load import Database
from ..database.timing import codes_of
from ..model.manual import Manual
from ..planning.own_season import OwnSeason, OwnWindow, first_day, stages_now
from ..planning.visits import Visit
from ..planning.working_days import Reason, Why
from .calendar import model_sources, short_day, spread_text, weather_text
from .common import Link, part_name, protocol_address, stage_code
from .lines import Refs, SourceEntry
from .visit_lines import visit_line
from .visit_words import reason_text, say, week_day
from .words import Words, capital

VERDICTS = {
    "can act": say("In time to act."),
    "record only": say("For the record only."),
    "no decision date": say("No decision day is set."),
}
SAID_ELSEWHERE = (Why.CUT_OFF, Why.WAITS_FOR_MAIL)
"""What has a place of its own, or holds for every parcel to that lab."""
LATER_SHOWN = 2
"""So many samples after the next one are named; the calendars hold them all."""


@dataclass(frozen=True)
class OwnRow:
    """One planting. `stage` is empty before it comes up; `why` tells why there is no visit, or what to know of it."""

    id: str
    field: str
    crop: str
    about: tuple[str, ...]
    lab: str
    stage: str
    sample: Link | None
    part: str
    opens: str
    closes: str
    visit: str
    mail: str
    result: str
    verdict: str
    why: tuple[str, ...]
    later: tuple[str, ...]
    notes: tuple[str, ...]
    sources: str


@dataclass(frozen=True)
class OwnPage:
    """The page of a team's own season. The rows stand in order of the next visit."""

    title: str
    today: str
    weather: tuple[str, ...]
    rows: tuple[OwnRow, ...]
    feeds: tuple[Link, ...]
    sources: tuple[SourceEntry, ...]


def own_page(
    db: Database,
    words: Words,
    manual: Manual,
    sites: Mapping[str, str],
    seasons: Iterable[OwnSeason],
    feeds: Iterable[Link],
    today: date,
) -> OwnPage:
    """The view of all plantings on one day. `sites` is where the pages of each crop are."""
    refs = Refs(db, words)
    ordered = sorted(seasons, key=lambda season: (_due(season, today), season.own.planting.id))
    rows = tuple(_row(db, words, sites, season, today) for season in ordered)
    for row in rows:
        for source in row.sources.split():
            refs.mark(source)
    return OwnPage(
        title=words.say("{team}: our season", team=manual.team),
        today=week_day(words, today),
        weather=tuple(
            dict.fromkeys(
                words.say(
                    "{region}: {weather}", region=words.say(s.own.region.name), weather=weather_text(words, s.weather)
                )
                for s in ordered
                if s.weather
            )
        ),
        rows=rows,
        feeds=tuple(feeds),
        sources=refs.entries(),
    )


def _due(season: OwnSeason, today: date) -> date:
    """The day by which somebody looks at a planting: the next visit, else the opening of the next window."""
    window = season.next
    if window is None:
        planted = season.own.planting.planted
        return today if season.waits_for and planted and planted <= today else date.max
    if window.now.best:
        return window.now.best.day
    return max(first_day(window.dates) or today, today)


def _row(db: Database, words: Words, sites: Mapping[str, str], season: OwnSeason, today: date) -> OwnRow:
    own, window = season.own, season.next
    sources = " ".join(model_sources(db, own.model)) if own.model else ""
    visit, why = _visit(words, window, today) if window else (None, (_nothing(db, words, season),))
    line = visit_line(words, window.now) if window and visit else None
    kind = own.model.kind if own.model and own.model.kind else ""
    name = words.say("{crop}, {kind}", crop=words.say(own.crop.name), kind=words.say(kind)) if kind else own.crop.name
    return OwnRow(
        id=own.planting.id,
        field=own.planting.field or own.planting.id,
        crop=name if kind else words.say(name),
        about=_about(db, words, season),
        lab=season.lab.name,
        stage=_stage(db, words, season, today),
        sample=_handout(words, sites, season, window) if window else None,
        part=capital(part_name(db, words, window.dates.part or None)) if window else "",
        opens=_opens(words, window, today) if window else "",
        closes=_closes(words, window) if window else "",
        visit=week_day(words, visit.day) if visit else "",
        mail=line.mail if line else "",
        result=line.result if line else "",
        verdict=words.say(VERDICTS[visit.verdict]) if visit else "",
        why=why,
        later=tuple(_later(words, w) for w in season.windows if _comes_later(w, window))[:LATER_SHOWN],
        notes=_notes(db, words, season),
        sources=sources,
    )


def _opens(words: Words, window: OwnWindow, today: date) -> str:
    opens = window.dates.opens
    if opens is not None and opens.p90 is not None and opens.p90 <= today:
        return words.say("Open since {day}", day=spread_text(words, opens))
    return words.say("Opens {day}", day=spread_text(words, opens))


def _closes(words: Words, window: OwnWindow) -> str:
    if window.dates.closes is None:
        return words.say("No source gives its end.")
    day = spread_text(words, window.dates.closes)
    return (
        words.say("Last stage begins {day}", day=day) if window.dates.open_end else words.say("Closes {day}", day=day)
    )


def _visit(words: Words, window: OwnWindow, today: date) -> tuple[Visit | None, tuple[str, ...]]:
    """The next good day and what to know of it; without one, what is in the way."""
    best, plan = window.now.best, window.now.plan
    if best is not None:
        reasons = [r for r in (*best.reasons, *plan.missing) if r.why not in SAID_ELSEWHERE]
        return best, tuple(dict.fromkeys(reason_text(words, r) for r in reasons))
    if window.whole.best is not None and all(off.day < today or _is_past(off.reasons) for off in plan.days_off):
        return None, (words.say("The middle days are past. Look at the crop now: it may still be time."),)
    return None, (visit_line(words, window.now).why_not,)


def _is_past(reasons: tuple[Reason, ...]) -> bool:
    return any(reason.why is Why.PAST for reason in reasons)


def _nothing(db: Database, words: Words, season: OwnSeason) -> str:
    """Why there is no next sample."""
    if season.own.model is None:
        return words.say("Watch the crop: no published timing found.")
    if season.dates is None:
        return words.say("There is no whole season of weather for this station.")
    if season.waits_for:
        event = _seen(db, words, season, season.waits_for[0])
        return words.say(
            "The next dates count from this day: {event}. Write it in your list when you see it.", event=event
        )
    if any(first_day(window.dates) for window in season.windows):
        return words.say("All dated samples of this season are past.")
    return words.say("Watch the crop: no published date for what comes next.")


def _about(db: Database, words: Words, season: OwnSeason) -> tuple[str, ...]:
    """'otter-1', 'Planted 5 May', 'V6 seen on 12 June', 'Scout: Ada': as far as they are known."""
    own, seen = season.own, season.counts_from
    lines = [own.planting.id] if own.planting.field else []
    if own.planting.planted is not None:
        day = own.planting.planted
        same_season = own.region.holds(day)
        lines.append(words.say("Planted {day}", day=short_day(words, day) if same_season else words.day(day)))
    if seen is not None:
        what = capital(_seen(db, words, season, seen.stage))
        lines.append(words.say("{stage} seen on {day}", stage=what, day=short_day(words, seen.day)))
    if own.planting.scout:
        lines.append(words.say("Scout: {name}", name=own.planting.scout))
    return tuple(lines)


def _seen(db: Database, words: Words, season: OwnSeason, what: str) -> str:
    """A stage by its code, or an event such as "first cut"."""
    return _code(db, words, season, what) if what in codes_of(db, season.own.crop) else _event(words, what)


def _event(words: Words, event: str) -> str:
    return words.say(event.replace("-", " "))


def _code(db: Database, words: Words, season: OwnSeason, code: str) -> str:
    """'V6'; 'Feekes 10' where the codes are bare numbers."""
    prefix = db.systems[season.own.crop.stage_system].prefix
    code = stage_code(db, words, season.own.crop.stage_system, code)
    return words.say("{prefix} {code}", prefix=words.say(prefix), code=code) if prefix else code


def _stage(db: Database, words: Words, season: OwnSeason, today: date) -> str:
    """The stage expected today: 'V6', 'V5 to V7', 'up to V2'; words for a crop that is not up or not planted yet."""
    if season.own.planting.planted is not None and season.own.planting.planted > today:
        return words.say("not planted yet")
    if season.dates is None or not season.dates.stages:
        return words.say("look at the crop")
    low, high = stages_now(season.dates, today)
    if high is None:
        return words.say("before {stage}", stage=_code(db, words, season, season.dates.stages[0].code))
    if low is None:
        return words.say("up to {stage}", stage=_code(db, words, season, high.code))
    if low == high:
        return _code(db, words, season, low.code)
    last = stage_code(db, words, season.own.crop.stage_system, high.code)
    return words.say("{first} to {last}", first=_code(db, words, season, low.code), last=last)


def _handout(words: Words, sites: Mapping[str, str], season: OwnSeason, window: OwnWindow) -> Link:
    return Link(words.say(window.dates.title), own_handout(sites, season, window.dates.protocol))


def own_handout(sites: Mapping[str, str], season: OwnSeason, protocol_id: str) -> str:
    """The whole address of a handout for the lab of a planting."""
    crop = season.own.crop
    protocol = next(p for p in crop.protocols if p.protocol == protocol_id)
    return f"{sites[crop.crop].rstrip('/')}/{protocol_address(crop, protocol, season.lab.lab)}"


def _comes_later(window: OwnWindow, shown: OwnWindow | None) -> bool:
    return window is not shown and not window.over and first_day(window.dates) is not None


def _later(words: Words, window: OwnWindow) -> str:
    title = words.say(window.dates.title)
    return words.say("Then {sample}: {day}", sample=title, day=spread_text(words, window.dates.opens))


def _notes(db: Database, words: Words, season: OwnSeason) -> tuple[str, ...]:
    """What moves the dates, and what does not."""
    own, notes = season.own, []
    if season.dates is None or not season.dates.stages:
        return ()
    if season.idle is not None:
        notes.append(
            words.say(
                "{stage} seen on {day}: no published count goes on from it.",
                stage=capital(_seen(db, words, season, season.idle.stage)),
                day=short_day(words, season.idle.day),
            )
        )
    if season.unmoved:
        notes.append(words.say("Some later dates do not move with what you saw. No published count joins them."))
    if own.maturity is not None and own.maturity.rating is not None:
        notes.append(words.say("Moved by the rating of the hybrid. The dates in brackets hold the weather only."))
    if own.maturity is not None and own.maturity.group is not None:
        notes.append(
            words.say("For the {group} group. The dates in brackets hold the weather only.", group=own.maturity.group)
        )
    if own.maturity is not None and own.maturity.rating is None and own.maturity.group is None:
        notes.append(words.say("Maturity is left aside: no published figure moves this crop by it."))
    return tuple(notes)
