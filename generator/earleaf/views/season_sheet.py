"""The season of one crop in one region on a sheet of paper: a chart, and under it the good days for each lab."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..database.load import Database
from ..model.crop import Crop
from ..model.manual import Manual
from ..planning.calendars import CropSeason
from ..planning.lab_days import LabPlan, Plans
from ..planning.season import Spread, WindowDates
from .calendar import calendar_address, model_sources, season_title, start_text, weather_text
from .visit_words import brief_date, brief_day
from .words import Words

LABS_ABREAST = 3
"""So many labs stand beside each other in a table; more get a table of their own."""


@dataclass(frozen=True)
class SheetRow:
    """One window: its name, the middle dates, and for each lab the day to go and the day to mail."""

    sample: str
    opens: str
    closes: str
    days: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class SheetGroup:
    """One planting and its windows."""

    start: str
    rows: tuple[SheetRow, ...]


@dataclass(frozen=True)
class SheetTable:
    """Some labs, and the windows for which one of them has a good day."""

    labs: tuple[str, ...]
    groups: tuple[SheetGroup, ...]


@dataclass(frozen=True)
class SeasonSheet:
    """Everything on one sheet but the chart. `heads` are those of sample, opens, closes, go and mail."""

    title: str
    season: str
    weather: str
    heads: tuple[str, ...]
    tables: tuple[SheetTable, ...]
    notes: tuple[str, ...]
    footer: tuple[str, ...]


def season_sheet(
    db: Database, words: Words, manual: Manual, crop: Crop, season: CropSeason, plans: Sequence[Plans]
) -> SeasonSheet:
    """The sheet of one model in one region."""
    say = words.say
    count = len(db.labs)
    parts = [range(n, min(n + LABS_ABREAST, count)) for n in range(0, max(count, 1), LABS_ABREAST)]
    tables = [_table(words, crop, season, plans, part) for part in parts]
    publishers = dict.fromkeys(db.sources[s].publisher for s in model_sources(db, season.model) if s in db.sources)
    return SeasonSheet(
        title=say("{crop}: when to sample", crop=say(crop.name)),
        season=season_title(words, season),
        weather=weather_text(words, season),
        heads=(say("Sample"), say("Opens"), say("Closes"), say("Go on"), say("Mail on")),
        tables=tuple(table for table in tables if table.groups),
        notes=(
            say("The crop decides: look before you cut."),
            say("These are middle dates of a forecast. What is not in the table has no good day: watch the crop."),
            say("A day in brackets: the result may come too late to act."),
        ),
        footer=(
            say("Timing from: {sources}. Visit days are trade practice.", sources=words.listing(publishers)),
            say("Edition {day}", day=words.day(manual.edition)),
            f"{str(manual.site_url).rstrip('/')}/{calendar_address(crop)}",
        ),
    )


def _table(words: Words, crop: Crop, season: CropSeason, plans: Sequence[Plans], labs: range) -> SheetTable:
    titles = {p.protocol: words.say(p.title) for p in crop.protocols}
    names: tuple[str, ...] = ()
    groups = []
    for planting, of_planting in zip(season.plantings, plans, strict=True):
        rows = []
        for window in planting.windows:
            some = [of_planting[window.protocol][n] for n in labs]
            names = tuple(plan.lab.name for plan in some)
            if any(plan.best for plan in some) or (not labs and window.opens and window.opens.p50):
                rows.append(_row(words, titles[window.protocol], window, some))
        if rows:
            groups.append(SheetGroup(start_text(words, planting), tuple(rows)))
    return SheetTable(names, tuple(groups))


def _row(words: Words, title: str, window: WindowDates, plans: Sequence[LabPlan]) -> SheetRow:
    return SheetRow(
        title,
        _middle(words, window.opens),
        words.say("not known") if window.open_end else _middle(words, window.closes),
        tuple(_days(words, plan) for plan in plans),
    )


def _middle(words: Words, spread: Spread | None) -> str:
    return brief_date(words, spread.p50) if spread and spread.p50 else ""


def _days(words: Words, plan: LabPlan) -> tuple[str, str]:
    """The day to go and the day to mail; a day that is only for the record stands in brackets."""
    visit = plan.best
    if visit is None:
        return words.say("none"), ""
    day = brief_day(words, visit.day)
    if visit.verdict == "record only":
        day = words.say("({day})", day=day)
    return day, brief_day(words, visit.mailed)
