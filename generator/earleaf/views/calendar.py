"""What a calendar page says: when each sampling window comes, how sure that is, and which days suit a visit."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ..database.load import Database
from ..database.manual import ManualDatabase
from ..model.crop import Crop, Protocol
from ..model.development import EVENTS, Development
from ..model.lab import Lab
from ..model.manual import Manual
from ..model.region import PLANTING
from ..planning.calendars import CropSeason
from ..planning.forecast import SEASON
from ..planning.localise import localise
from ..planning.season import PlantingDates, Spread, WindowDates
from ..planning.visits import Rules, Visit, visit_days, wants_fresh
from .common import Footer, Link, crop_address, protocol_address
from .lines import Line, Refs, SourceEntry
from .words import DAYS, Words, capital

Drying = dict[tuple[str, str], int | None]
"""Days by protocol and lab."""


@dataclass(frozen=True)
class VisitLine:
    """The best day for one lab."""

    lab: str
    text: str


@dataclass(frozen=True)
class WindowRow:
    """One sampling window of one planting."""

    handout: Link
    part: str
    opens: str
    closes: str
    visits: tuple[VisitLine, ...]


@dataclass(frozen=True)
class PlantingRows:
    """One planting and its windows."""

    start: str
    rows: tuple[WindowRow, ...]
    dates: PlantingDates
    visits: tuple[tuple[str, date], ...]


@dataclass(frozen=True)
class SeasonView:
    """One model in one region."""

    id: str
    title: str
    weather: str
    lines: tuple[Line, ...]
    sources: str
    plantings: tuple[PlantingRows, ...]
    first: date
    last: date


@dataclass(frozen=True)
class CalendarPage:
    """The calendar of one crop."""

    address: str
    title: str
    crop: Link
    seasons: tuple[SeasonView, ...]
    feed: str
    data: str
    sources: tuple[SourceEntry, ...]
    footer: Footer


def calendar_address(crop: Crop) -> str:
    return f"calendars/{crop.crop}/"


def calendar_page(
    db: ManualDatabase, words: Words, manual: Manual, crop: Crop, seasons: tuple[CropSeason, ...]
) -> CalendarPage:
    """The view of all seasons of one crop."""
    refs = Refs(db, words)
    file, line = db.places.at("crop", crop.crop, "development")
    views = tuple(_season(db, words, refs, crop, s, n) for n, s in enumerate(seasons, 1))
    return CalendarPage(
        address=calendar_address(crop),
        title=words.say("{crop}: when to sample", crop=words.say(crop.name)),
        crop=Link(words.say(crop.name), crop_address(crop)),
        seasons=views,
        feed=f"calendars/{crop.crop}.ics",
        data=f"data/v1/calendars/{crop.crop}.json",
        sources=refs.entries(),
        footer=Footer(file, line, None, "", "", words.day(manual.edition)),
    )


def _season(db: Database, words: Words, refs: Refs, crop: Crop, season: CropSeason, n: int) -> SeasonView:
    region, model = season.region, season.model
    name = words.say(region.name)
    kind = f", {words.say(model.kind)}" if model.kind else ""
    rests_on = model_sources(db, model)
    drying = {(p.protocol, lab.lab): _drying_days(db, crop, p, lab) for p in crop.protocols for lab in db.labs.values()}
    plantings = tuple(_planting(db, words, crop, season, p, drying) for p in season.plantings)
    dates = [d for p in season.plantings for d in _all_dates(p)]
    return SeasonView(
        id=f"season{n}",
        title=words.say("{region}, {year}{kind}", region=name, year=region.season, kind=kind),
        weather=_weather(words, season),
        lines=(
            refs.cited(model.confidence, rests_on),
            refs.cited(model.depends_on, rests_on),
            refs.cited(model.restart, rests_on),
            *(refs.cited(limit, rests_on) for limit in model.limits),
        ),
        sources=" ".join(rests_on),
        plantings=plantings,
        first=min(dates, default=region.first_day),
        last=max(dates, default=region.last_day),
    )


def model_sources(db: Database, model: Development) -> tuple[str, ...]:
    """The sources of every figure that a model works with."""
    rows = [row for leg in model.legs for need in leg.needs for row in need.rows]
    return tuple(dict.fromkeys(db.timing[row].source for row in rows if row in db.timing))


def _weather(words: Words, season: CropSeason) -> str:
    years = words.say(
        "From the weather of {n} seasons, {first} to {last}.",
        n=len(season.past_years),
        first=season.past_years[0],
        last=season.past_years[-1],
    )
    so_far = (
        words.say("This season is known up to {day}.", day=words.day(season.observed_until))
        if season.observed_until
        else words.say("Nothing of this season is known yet.")
    )
    invented = words.say("The weather is invented.") if season.invented else ""
    return " ".join(filter(None, (years, so_far, invented)))


def _all_dates(planting: PlantingDates) -> list[date]:
    """Every date that a chart has to hold."""
    spreads = [s.spread for s in planting.stages]
    spreads += [s for w in planting.windows for s in (w.opens, w.closes) if s]
    found = [d for s in spreads for d in (s.p10, s.p50, s.p90) if d]
    return found if planting.start_event == SEASON else [*found, planting.start]


def _planting(
    db: Database, words: Words, crop: Crop, season: CropSeason, planting: PlantingDates, drying: Drying
) -> PlantingRows:
    rows: list[WindowRow] = []
    best: list[tuple[str, date]] = []
    for window in planting.windows:
        if window.opens is None and window.closes is None:
            continue
        visits = [(lab, _best(lab, season, crop, window, drying[window.protocol, lab.lab])) for lab in db.labs.values()]
        protocol = next(p for p in crop.protocols if p.protocol == window.protocol)
        rows.append(
            WindowRow(
                Link(words.say(protocol.title), protocol_address(crop, protocol)),
                words.say(db.parts[window.part].name) if window.part in db.parts else "",
                spread_text(words, window.opens),
                open_end(words, window),
                tuple(VisitLine(lab.name, _visit_text(words, visit)) for lab, visit in visits if visit),
            )
        )
        best += [(window.protocol, visit.day) for _, visit in visits if visit]
    return PlantingRows(
        _start_text(words, planting),
        tuple(rows),
        planting,
        tuple(dict.fromkeys(best)),
    )


def _start_text(words: Words, planting: PlantingDates) -> str:
    """'Planted 5 May', 'First cut 1 June', 'VE seen 10 June', 'This season'."""
    day = words.day(planting.start)
    if planting.start_event == SEASON:
        return words.say("This season")
    if planting.start_event == PLANTING:
        return words.say("Planted {day}", day=day)
    if planting.start_event in EVENTS:
        return words.say("{event} on {day}", event=capital(words.say(planting.start_event.replace("-", " "))), day=day)
    return words.say("{stage} seen on {day}", stage=planting.start_event, day=day)


def spread_text(words: Words, spread: Spread | None) -> str:
    """'21 June (16 to 26 June)'; a bracket as 'between 24 July and 11 August'; honest words for nothing."""
    if spread is None:
        return words.say("watch the crop: no published timing found")
    early = short_day(words, spread.p10) if spread.p10 else ""
    late = short_day(words, spread.p90) if spread.p90 else words.say("not in every year")
    if spread.p50 is None:
        if not spread.p10:
            return words.say("not before the season ends")
        return words.say("between {first} and {last}", first=early, last=late)
    if spread.p10 == spread.p90:
        return short_day(words, spread.p50)
    return words.say("{day} ({first} to {last})", day=short_day(words, spread.p50), first=early, last=late)


def open_end(words: Words, window: WindowDates) -> str:
    """When a window closes; where no source dates that, when its last stage begins."""
    text = spread_text(words, window.closes)
    if window.open_end and window.closes is not None:
        return words.say("last stage begins {day}", day=text)
    return text


def short_day(words: Words, day: date) -> str:
    return words.month_day(f"{day.month:02}-{day.day:02}")


def _drying_days(db: Database, crop: Crop, protocol: Protocol, lab: Lab) -> int | None:
    """Days a sample dries for a lab, or days in which a fresh one must get there; None where nobody says."""
    dry = localise(db, crop, protocol, lab).handling.get("dry")
    if dry is not None and (dry.rule.days is not None or wants_fresh(lab) or "dry" in lab.handling):
        return dry.rule.days
    usual = db.handling.get("dry")
    return usual.days if usual else None


def _best(lab: Lab, season: CropSeason, crop: Crop, window: WindowDates, days: int | None) -> Visit | None:
    """The best visit for a lab. A bracket has no middle, so no day is proposed for it."""
    region, fresh = season.region, wants_fresh(lab)
    rules = Rules(
        decide_by=region.decide_by.get(f"{crop.crop}/{window.protocol}"),
        mailing_days=region.mailing_days,
        drying_days=None if fresh else days,
        fresh_days=days if fresh else None,
        holidays=frozenset(region.holidays),
    )
    plan = visit_days(window, lab, rules)
    return plan.visits[0] if plan.visits else None


def _visit_text(words: Words, visit: Visit) -> str:
    day = words.say(
        "{weekday} {day}",
        weekday=words.say(list(DAYS.values())[visit.day.weekday()]),
        day=short_day(words, visit.day),
    )
    if visit.result_last is None:
        return day
    result = words.say("{day}, result by {back}", day=day, back=short_day(words, visit.result_last))
    if visit.verdict == "can act":
        return words.say("{visit}: in time to act", visit=result)
    if visit.verdict == "record only":
        return words.say("{visit}: too late to act, for the record", visit=result)
    return result
