"""What a calendar page says: when each sampling window comes, how sure that is, and which days suit a visit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from ..database.load import Database
from ..database.manual import ManualDatabase
from ..model.crop import Crop
from ..model.development import EVENTS, Development
from ..model.manual import Manual
from ..model.region import PLANTING
from ..planning.calendars import CropSeason
from ..planning.forecast import SEASON
from ..planning.lab_days import Plans, closed_days
from ..planning.season import PlantingDates, Spread, WindowDates
from .common import Footer, Link, crop_address, protocol_address, stage_code
from .lines import Line, Refs, SourceEntry
from .other_timing import late_lines, other_timing, row_sources
from .visit_lines import OtherDays, VisitLine, latest_text, look_first, other_days, undated, visit_line
from .words import Words, capital


@dataclass(frozen=True)
class WindowRow:
    """One sampling window of one planting, and the visits that the labs give.

    `visits` is empty where the window has no middle dates. Where the dates do not say so already, `undated` does.
    """

    handout: Link
    part: str
    opens: str
    closes: str
    visits: tuple[VisitLine, ...]
    undated: str
    look_first: str
    latest: str
    others: tuple[OtherDays, ...]


@dataclass(frozen=True)
class PlantingRows:
    """One planting and its windows. `dates` are for the chart, `visits` the best days of all labs, by protocol."""

    start: str
    rows: tuple[WindowRow, ...]
    dates: PlantingDates
    visits: tuple[tuple[str, date], ...]


@dataclass(frozen=True)
class SeasonView:
    """One model in one region. `closed` are first and last days on which a lab is closed or all have a holiday."""

    id: str
    title: str
    weather: str
    lines: tuple[Line, ...]
    sources: str
    plantings: tuple[PlantingRows, ...]
    closed: tuple[tuple[date, date], ...]
    known_until: date | None
    first: date
    last: date


@dataclass(frozen=True)
class OtherTiming:
    """What else is published of the timing of one kind of the crop; `kind` is "" where there is one only."""

    kind: str
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class CalendarPage:
    """The calendar of one crop."""

    address: str
    title: str
    crop: Link
    seasons: tuple[SeasonView, ...]
    others: tuple[OtherTiming, ...]
    feed: str
    data: str
    sources: tuple[SourceEntry, ...]
    footer: Footer


def calendar_address(crop: Crop) -> str:
    return f"calendars/{crop.crop}/"


def crop_feed(crop: str) -> str:
    """The file of a crop's feed."""
    return f"calendars/{crop}.ics"


def lab_feed(lab: str) -> str:
    """The file of a lab's feed."""
    return f"calendars/labs/{lab}.ics"


def season_file(crop: Crop, paper: str) -> str:
    """The sheets of a crop on one paper."""
    return f"calendars/sheets/{crop.crop}-{paper}.pdf"


def calendar_page(
    db: ManualDatabase,
    words: Words,
    manual: Manual,
    crop: Crop,
    seasons: tuple[CropSeason, ...],
    plans: tuple[tuple[Plans, ...], ...],
) -> CalendarPage:
    """The view of all seasons of one crop. `plans` are those of the plantings of each season."""
    refs = Refs(db, words)
    file, line = db.places.at("crop", crop.crop, "development")
    views = tuple(
        _season(db, words, refs, crop, s, p, n) for n, (s, p) in enumerate(zip(seasons, plans, strict=True), 1)
    )
    return CalendarPage(
        address=calendar_address(crop),
        title=words.say("{crop}: when to sample", crop=words.say(crop.name)),
        crop=Link(words.say(crop.name), crop_address(crop)),
        seasons=views,
        others=tuple(
            OtherTiming(words.say(model.kind) if model.kind else "", lines)
            for model in {season.model.model: season.model for season in seasons}.values()
            if (lines := other_timing(db, words, refs, crop, model))
        ),
        feed=crop_feed(crop.crop),
        data=f"data/v1/calendars/{crop.crop}.json",
        sources=refs.entries(),
        footer=Footer(file, line, None, "", "", words.day(manual.edition)),
    )


def season_title(words: Words, season: CropSeason) -> str:
    """'Valley floor, 2027, winter wheat'."""
    name, kind = words.say(season.region.name), season.model.kind
    if not kind:
        return words.say("{region}, {year}", region=name, year=season.region.season)
    return words.say("{region}, {year}, {kind}", region=name, year=season.region.season, kind=words.say(kind))


def _season(
    db: Database, words: Words, refs: Refs, crop: Crop, season: CropSeason, plans: tuple[Plans, ...], n: int
) -> SeasonView:
    region, model = season.region, season.model
    rests_on = model_sources(db, model)
    return SeasonView(
        id=f"season{n}",
        title=season_title(words, season),
        weather=weather_text(words, season),
        lines=(
            refs.cited(model.confidence, rests_on),
            refs.cited(model.depends_on, rests_on),
            refs.cited(model.restart, rests_on),
            *(refs.cited(limit, rests_on) for limit in model.limits),
            *late_lines(db, refs, model),
        ),
        sources=" ".join(rests_on),
        plantings=tuple(_planting(db, words, crop, p, of) for p, of in zip(season.plantings, plans, strict=True)),
        closed=closed_days(db.labs.values(), region.holidays),
        known_until=season.observed_until,
        first=region.first_day,
        last=region.last_day,
    )


def model_sources(db: Database, model: Development) -> tuple[str, ...]:
    """The sources of every figure that a model works with."""
    return row_sources(db, (row for leg in model.legs for need in leg.needs for row in need.rows))


def weather_text(words: Words, season: CropSeason) -> str:
    """Which seasons a forecast rests on, and what is known of this one."""
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


def _planting(db: Database, words: Words, crop: Crop, planting: PlantingDates, plans: Plans) -> PlantingRows:
    protocols = {p.protocol: p for p in crop.protocols}
    rows: list[WindowRow] = []
    best: list[tuple[str, date]] = []
    for window in planting.windows:
        if window.opens is None and window.closes is None:
            continue
        protocol, labs = protocols[window.protocol], plans[window.protocol]
        no_dates = undated(words, labs)
        rows.append(
            WindowRow(
                Link(words.say(protocol.title), protocol_address(crop, protocol)),
                words.say(db.parts[window.part].name) if window.part in db.parts else "",
                spread_text(words, window.opens),
                open_end(words, window),
                () if no_dates else tuple(visit_line(words, plan) for plan in labs),
                no_dates if window.opens and window.closes else "",
                look_first(words, (plan.best for plan in labs if plan.best)),
                latest_text(words, labs),
                tuple(others for plan in labs if (others := other_days(words, plan)).lines),
            )
        )
        best += [(window.protocol, plan.best.day) for plan in labs if plan.best]
    dates = _in_words(db, words, crop, planting)
    return PlantingRows(start_text(words, planting), tuple(rows), dates, tuple(dict.fromkeys(best)))


def _in_words(db: Database, words: Words, crop: Crop, planting: PlantingDates) -> PlantingDates:
    """The planting with its windows and stages named in the language of the page, for the chart."""
    return replace(
        planting,
        stages=tuple(replace(s, code=stage_code(db, words, crop.stage_system, s.code)) for s in planting.stages),
        windows=tuple(replace(w, title=words.say(w.title)) for w in planting.windows),
    )


def start_text(words: Words, planting: PlantingDates) -> str:
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
    if spread.p50 is None:
        if not spread.p10:
            return words.say("not before the season ends")
        if not spread.p90:
            return words.say("from {first} on, not in every year", first=early)
        return words.say("between {first} and {last}", first=early, last=short_day(words, spread.p90))
    middle = short_day(words, spread.p50)
    if spread.p10 == spread.p90:
        return middle
    if spread.p10 is None or spread.p90 is None:
        return words.say("{day} (from {first} on, not in every year)", day=middle, first=early or middle)
    same = (spread.p10.year, spread.p10.month) == (spread.p90.year, spread.p90.month)
    return words.say(
        "{day} ({first} to {last})",
        day=middle,
        first=spread.p10.day if same else early,
        last=short_day(words, spread.p90),
    )


def open_end(words: Words, window: WindowDates) -> str:
    """When a window closes; where no source dates that, when its last stage begins."""
    text = spread_text(words, window.closes)
    if window.open_end and window.closes is not None:
        return words.say("last stage begins {day}", day=text)
    return text


def short_day(words: Words, day: date) -> str:
    return words.month_day(f"{day.month:02}-{day.day:02}")
