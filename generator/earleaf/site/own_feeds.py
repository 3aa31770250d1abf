"""Calendars of a team's own season: one for all plantings, one for each lab, one for each scout."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from ..database.load import Database
from ..model.feed_state import Event
from ..model.manual import Manual
from ..model.planting import slug
from ..planning.own_season import OwnSeason, OwnWindow, first_day
from ..views.own_season import own_handout
from ..views.visit_lines import note_text
from ..views.visit_words import week_day
from ..views.words import Words
from .feeds import no_longer, what_of

ALL = "all"


def own_events(
    words: Words, manual: Manual, sites: Mapping[str, str], seasons: Iterable[OwnSeason]
) -> tuple[Event, ...]:
    """One event for each dated window, and one for its best visit day, whether or not that day is past.

    `sites` is where the pages of each crop are.
    """
    events = []
    for season in seasons:
        for window in season.windows:
            if (first := first_day(window.dates)) is not None:
                events.append(_window(words, manual, sites, season, window, first))
            if window.whole.best is not None:
                events.append(_visit(words, manual, sites, season, window))
    return tuple(events)


def _window(
    words: Words, manual: Manual, sites: Mapping[str, str], season: OwnSeason, window: OwnWindow, first: date
) -> Event:
    closes = window.dates.closes
    last = (closes.p50 or closes.p90) if closes else None
    return _event(
        manual,
        sites,
        season,
        window,
        "window",
        first,
        max(first, last or first),
        _window_text(words, _name(season), words.say(season.own.crop.name), words.say(window.dates.title)),
        (words.say("Middle dates of a forecast: look at the crop."), *_who(words, season)),
    )


def _visit(words: Words, manual: Manual, sites: Mapping[str, str], season: OwnSeason, window: OwnWindow) -> Event:
    visit = window.whole.best
    assert visit is not None
    lines = [
        words.say("Mail the sample on {day}.", day=week_day(words, visit.mailed)),
        words.say("Result by {day}.", day=week_day(words, visit.result_last))
        if visit.result_last
        else words.say("Ask the lab how long a result takes."),
    ]
    if note := note_text(words, visit, window.whole.plan.missing):
        lines.append(words.say("Note: {note}.", note=note))
    lines.append(words.say("A forecast: look at the crop first."))
    summary = _visit_text(words, _name(season), words.say(season.own.crop.name), words.say(window.dates.title))
    return _event(manual, sites, season, window, "visit", visit.day, visit.day, summary, (*lines, *_who(words, season)))


def _window_text(words: Words, field: str, crop: str, stage: str) -> str:
    return words.say("{field}: {crop}, {stage} may be sampled", field=field, crop=crop, stage=stage)


def _visit_text(words: Words, field: str, crop: str, stage: str) -> str:
    return words.say("Visit {field}: {crop}, {stage}", field=field, crop=crop, stage=stage)


def _name(season: OwnSeason) -> str:
    """What the team calls the field."""
    return season.own.planting.field or season.own.planting.id


def own_dropped(db: Database, words: Words, event: Event) -> Event:
    """An event that is cancelled, said again in these words: the folder may have been made in others before."""
    crop_id, stage = what_of(db, words, event)
    crop = db.crops.get(crop_id) or db.left_out.get(crop_id)
    name = words.say(crop.name) if crop else crop_id
    say_it = _visit_text if event.uid_parts[3] == "visit" else _window_text
    summary = say_it(words, event.place or event.uid_parts[1], name, stage)
    return event.model_copy(update={"summary": summary, "description": no_longer(words)})


def _who(words: Words, season: OwnSeason) -> list[str]:
    """Lab and scout."""
    lines = [words.say("Lab: {name}", name=season.lab.name)]
    if season.own.planting.scout:
        lines.append(words.say("Scout: {name}", name=season.own.planting.scout))
    return lines


def _event(
    manual: Manual,
    sites: Mapping[str, str],
    season: OwnSeason,
    window: OwnWindow,
    kind: str,
    first: date,
    last: date,
    summary: str,
    lines: Iterable[str],
) -> Event:
    planting, crop = season.own.planting, season.own.crop
    known = season.weather.observed_until if season.weather else None
    seen = [sighting.day for sighting in season.own.sightings]
    return Event(
        uid_parts=(str(season.own.region.season), planting.id, f"{crop.crop}/{window.dates.protocol}", kind),
        first=first,
        last=last,
        summary=summary,
        description="\n".join(lines),
        url=own_handout(sites, season, window.dates.protocol),
        status="tentative",
        changed=max([manual.edition, *seen, *([known] if known else [])]),
        place=_name(season),
        feeds=tuple(dict.fromkeys((ALL, f"lab-{season.lab.lab}", *_scout_feed(season)))),
    )


def _scout_feed(season: OwnSeason) -> tuple[str, ...]:
    scout = season.own.planting.scout
    return (f"scout-{slug(scout)}",) if scout else ()


def own_feed_names(words: Words, db: Database, seasons: Iterable[OwnSeason], sent: Iterable[Event]) -> dict[str, str]:
    """The feeds by name with their titles: all, then labs, then scouts; also of those who have only dropped events."""
    feeds = {ALL: words.say("All our plantings")}
    names: dict[str, str] = {}
    for season in seasons:
        names[f"lab-{season.lab.lab}"] = season.lab.name
        for feed in _scout_feed(season):
            names[feed] = season.own.planting.scout or ""
    for feed in (feed for event in sent for feed in event.feeds if feed != ALL):
        kind, _, which = feed.partition("-")
        lab = db.labs.get(which) if kind == "lab" else None
        names.setdefault(feed, lab.name if lab else which)
    for feed in sorted(names):
        feeds[feed] = words.say("{name}: our plantings", name=names[feed])
    return feeds
