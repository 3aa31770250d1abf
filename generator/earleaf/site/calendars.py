"""Calendar pages, their charts, events and data, crop by crop."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from markupsafe import Markup

from ..database.manual import ManualDatabase
from ..drawing.season_chart import ChartRow, ChartWords, season_chart, span_of
from ..model.crop import Crop
from ..model.feed_state import Event
from ..model.manual import Manual
from ..planning.calendars import CropSeason, crop_seasons
from ..planning.lab_days import LabPlan, Plans, lab_plans
from ..planning.season import PlantingDates, Spread
from ..rendering.data import to_bytes
from ..rendering.pages import Pages, safe_svg
from ..rendering.paper.typeset import Picture
from ..views.calendar import SeasonView, calendar_page, season_file
from ..views.cards import paper_name
from ..views.common import Link
from ..views.embed import calendar_embed_address, oembed_file, snippets_address
from ..views.season_sheet import season_sheet
from ..views.words import Words
from .cards import Press
from .embeds import Embed, Embedder
from .feeds import crop_events
from .page import Page

MARGIN = timedelta(days=7)
"""Room on both sides of a chart."""


@dataclass(frozen=True)
class CropCalendar:
    """What one crop brings: a page and files, the sources they use, events for the feeds, and its embed."""

    page: Page
    files: dict[str, bytes]
    used: frozenset[str]
    link: Link
    events: tuple[Event, ...]
    embed: Embed


def crop_calendar(
    db: ManualDatabase, manual: Manual, pages: Pages, crop: Crop, press: Press | None
) -> CropCalendar | None:
    """The calendar of one crop, None where no region plants it or no timing is published; on paper if there is a press.

    Faults of the paper are left with the press.
    """
    seasons = crop_seasons(db, crop)
    if not seasons:
        return None
    words = pages.words
    plans = tuple(lab_plans(db, crop, season) for season in seasons)
    view = calendar_page(db, words, manual, crop, seasons, plans)
    charts = [(_chart(words, season, wide=True), _chart(words, season, wide=False)) for season in view.seasons]
    trail = [Link(words.say("Calendars"), "calendars/")]
    files = {view.data: to_bytes(calendar_data(crop, seasons, plans))}
    sheets: list[Link] = []
    if press is not None:
        drawn = [Picture(str(wide), _description(words, s)) for s, (wide, _) in zip(view.seasons, charts, strict=True)]
        made = [season_sheet(db, words, manual, crop, s, p) for s, p in zip(seasons, plans, strict=True)]
        files |= press.seasons(crop, list(zip(made, drawn, strict=True)))
        sheets = [Link(paper_name(words, y.paper), season_file(crop, y.paper)) for y in press.yields]
    body = pages.body(
        "calendar.html",
        view.address,
        c=view,
        charts=charts,
        trail=trail,
        here=view.crop.text,
        sheets=sheets,
        embeds=snippets_address(crop),
    )
    page = Page(
        view.address,
        view.title,
        body,
        words.say("When each sampling window of {crop} comes, and which days suit a visit.", crop=view.crop.text),
        f"{view.title} {crop.name}",
        (view.footer.source_file, view.footer.source_line),
        oembed=oembed_file(calendar_embed_address(crop)),
    )
    used = {e.id for e in view.sources} | {s for season in view.seasons for s in season.sources.split()}
    used |= {s for season in view.seasons for line in season.lines for s in line.sources}
    events = crop_events(words, manual, crop, seasons, plans)
    embed = Embedder(db, manual, pages).calendar(crop, view, [narrow for _, narrow in charts])
    return CropCalendar(page, files | embed.files, frozenset(used), Link(view.crop.text, view.address), events, embed)


def _chart(words: Words, season: SeasonView, *, wide: bool) -> Markup:
    """The chart of one season, for a wide screen or for a phone.

    Nothing here knows what day it is. The line across the chart is the last day whose weather is known: what lies left
    of it has come about, what lies right of it is a forecast.
    """
    rows = [ChartRow(p.start, p.dates, p.visits) for p in season.plantings]
    known = season.known_until
    said = ChartWords(
        months=tuple(map(words.short_month, range(1, 13))),
        today=words.say("weather known to {day}", day=words.month_day(f"{known:%m-%d}")) if known else "",
        watch=words.say("{{name}}: watch the crop").replace("{{", "{").replace("}}", "}"),
        empty=words.say("No dates."),
        key={
            "start": words.say("planting"),
            "stage": words.say("growth stage, middle day marked"),
            "sample": words.say("take the sample"),
            "perhaps": words.say("in some years"),
            "bracket": words.say("between these days"),
            "open": words.say("end not known: watch the crop"),
            "visit": words.say("good day for a visit"),
            "weekend": words.say("weekend"),
            "closed": words.say("holiday, or a lab is closed"),
        },
    )
    first, last = span_of(rows) or (season.first, season.last)
    chart = season_chart(
        rows,
        first=first - MARGIN,
        last=last + MARGIN,
        words=said,
        today=known,
        closed=season.closed,
        title=season.title,
        description=_description(words, season),
        ident=f"{season.id}{'w' if wide else 'n'}",
        wide=wide,
    )
    return safe_svg(chart)


def _description(words: Words, season: SeasonView) -> str:
    """What a chart shows, for those who cannot see it: when each window opens."""
    return (
        season.title
        if not season.plantings
        else " ".join(
            words.say(
                "{start}: {windows}.",
                start=p.start,
                windows="; ".join(f"{r.handout.text} {r.opens}" for r in p.rows),
            )
            for p in season.plantings
        )
    )


def calendar_data(
    crop: Crop, seasons: tuple[CropSeason, ...], plans: tuple[tuple[Plans, ...], ...]
) -> dict[str, object]:
    """The dates of a crop as data of version 1."""
    return {
        "data_version": 1,
        "crop": crop.crop,
        "seasons": [
            {
                "region": s.region.region,
                "season": s.region.season,
                "model": s.model.model,
                "past_years": list(s.past_years),
                "observed_until": _iso(s.observed_until),
                "plantings": [_planting(p, labs) for p, labs in zip(s.plantings, of_season, strict=True)],
            }
            for s, of_season in zip(seasons, plans, strict=True)
        ],
    }


def _planting(planting: PlantingDates, plans: Plans) -> dict[str, object]:
    return {
        "event": planting.start_event,
        "day": planting.start.isoformat(),
        "stages": [{"code": s.code, **_dates(s.spread)} for s in planting.stages],
        "windows": [
            {
                "protocol": w.protocol,
                "opens": _dates(w.opens) if w.opens else None,
                "closes": _dates(w.closes) if w.closes else None,
                "open_end": w.open_end,
                "reach": w.reach,
                "visits": [_visit(plan) for plan in plans[w.protocol]],
            }
            for w in planting.windows
        ],
    }


def _visit(plan: LabPlan) -> dict[str, object]:
    """The best day for one lab, empty where there is none; and what the plan was made for."""
    best, latest = plan.best, plan.latest
    return {
        "lab": plan.lab.lab,
        "day": _iso(best.day if best else None),
        "mailed": _iso(best.mailed if best else None),
        "result_last": _iso(best.result_last if best else None),
        "verdict": best.verdict if best else None,
        "missing": [str(reason.why) for reason in plan.plan.missing],
        "decide_by": _iso(plan.rules.decide_by),
        "last_day_to_sample": _iso(latest.day if latest else None),
    }


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _dates(spread: Spread) -> dict[str, object]:
    bounds = {"p10": spread.p10, "p50": spread.p50, "p90": spread.p90}
    out: dict[str, object] = {key: _iso(day) for key, day in bounds.items()}
    return {**out, "years": spread.years, "years_not_reached": spread.not_reached}
