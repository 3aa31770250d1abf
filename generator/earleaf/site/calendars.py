"""Calendar pages, their charts, feeds and data, crop by crop."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from urllib.parse import urlsplit

from markupsafe import Markup

from ..database.manual import ManualDatabase
from ..drawing.season_chart import ChartRow, ChartWords, season_chart
from ..model.crop import Crop
from ..model.feed_state import Event
from ..model.manual import Manual
from ..planning.calendars import CropSeason, crop_seasons
from ..planning.forecast import SEASON
from ..planning.season import PlantingDates, Spread, WindowDates
from ..rendering.data import to_bytes
from ..rendering.feed import write_feed
from ..rendering.pages import Pages, safe_svg
from ..views.calendar import CalendarPage, SeasonView, calendar_page
from ..views.common import Link, protocol_address
from ..views.words import MONTHS, Words
from .page import Page

MARGIN = timedelta(days=7)
"""Room on both sides of a chart."""


@dataclass(frozen=True)
class CropCalendar:
    """What one crop brings: a page and files, and the sources they use."""

    page: Page
    files: dict[str, bytes]
    used: frozenset[str]
    link: Link


def crop_calendar(db: ManualDatabase, manual: Manual, pages: Pages, crop: Crop) -> CropCalendar | None:
    """The calendar of one crop, None where no region plants it or no timing is published."""
    seasons = crop_seasons(db, crop)
    if not seasons:
        return None
    words = pages.words
    view = calendar_page(db, words, manual, crop, seasons)
    charts = [_charts(words, season) for season in view.seasons]
    trail = [Link(words.say("Calendars"), "calendars/")]
    body = pages.body("calendar.html", view.address, c=view, charts=charts, trail=trail, here=view.crop.text)
    page = Page(
        view.address,
        view.title,
        body,
        words.say("When each sampling window of {crop} comes, and which days suit a visit.", crop=view.crop.text),
        f"{view.title} {crop.name}",
        (view.footer.source_file, view.footer.source_line),
    )
    files = {
        view.feed: _feed(words, manual, crop, view, seasons),
        view.data: to_bytes(calendar_data(crop, seasons)),
    }
    used = {e.id for e in view.sources} | {s for season in view.seasons for s in season.sources.split()}
    used |= {s for season in view.seasons for line in season.lines for s in line.sources}
    return CropCalendar(page, files, frozenset(used), Link(view.crop.text, view.address))


def _charts(words: Words, season: SeasonView) -> tuple[Markup, Markup]:
    """The chart for a wide screen and for a phone."""
    rows = [ChartRow(p.start, p.dates, p.visits) for p in season.plantings]
    said = ChartWords(
        months=tuple(words.say(month)[:3] for month in MONTHS),
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
            "closed": words.say("lab closed"),
        },
    )
    description = " ".join(
        words.say(
            "{start}: {windows}.",
            start=p.start,
            windows="; ".join(f"{r.handout.text} {r.opens}" for r in p.rows),
        )
        for p in season.plantings
    )
    both = [
        season_chart(
            rows,
            first=season.first - MARGIN,
            last=season.last + MARGIN,
            words=said,
            title=season.title,
            description=description,
            ident=f"{season.id}{'w' if wide else 'n'}",
            wide=wide,
        )
        for wide in (True, False)
    ]
    return safe_svg(both[0]), safe_svg(both[1])


def _feed(words: Words, manual: Manual, crop: Crop, view: CalendarPage, seasons: tuple[CropSeason, ...]) -> bytes:
    """One event for each window that has dates, in every region and planting."""
    site = str(manual.site_url).rstrip("/")
    protocols = {p.protocol: p for p in crop.protocols}
    events = []
    for season, shown in zip(seasons, view.seasons, strict=True):
        changed = max(manual.edition, season.observed_until or manual.edition)
        for planting in season.plantings:
            for window in planting.windows:
                span = _span(window)
                if span is None:
                    continue
                protocol = protocols[window.protocol]
                which = "-".join(filter(None, ((season.model.kind or "").replace(" ", "-"), "window", _rung(planting))))
                events.append(
                    Event(
                        uid_parts=(
                            str(season.region.season),
                            season.region.region,
                            f"{crop.crop}/{window.protocol}",
                            which,
                        ),
                        first=span[0],
                        last=span[1],
                        summary=words.say(
                            "{crop}: {stage}", crop=words.say(crop.name), stage=words.say(protocol.title)
                        ),
                        description=words.say(
                            "{season}. Middle dates of a forecast: look at the crop.", season=shown.title
                        ),
                        url=f"{site}/{protocol_address(crop, protocol)}",
                        status="tentative",
                        changed=changed,
                    )
                )
    return write_feed(events, name=view.title, host=urlsplit(site).hostname or "localhost")


def _rung(planting: PlantingDates) -> str:
    """Which planting of the ladder: its day without the year, so that a rung added later renames none."""
    if planting.start_event == SEASON:
        return ""
    return f"{planting.start_event.lower()}-{planting.start.month:02}-{planting.start.day:02}"


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


def calendar_data(crop: Crop, seasons: tuple[CropSeason, ...]) -> dict[str, object]:
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
                "observed_until": s.observed_until.isoformat() if s.observed_until else None,
                "plantings": [_planting(p) for p in s.plantings],
            }
            for s in seasons
        ],
    }


def _planting(planting: PlantingDates) -> dict[str, object]:
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
            }
            for w in planting.windows
        ],
    }


def _dates(spread: Spread) -> dict[str, object]:
    bounds = {"p10": spread.p10, "p50": spread.p50, "p90": spread.p90}
    out: dict[str, object] = {key: day.isoformat() if day else None for key, day in bounds.items()}
    return {**out, "years": spread.years, "years_not_reached": spread.not_reached}
