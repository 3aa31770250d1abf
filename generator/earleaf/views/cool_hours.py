"""What the page of cool hours says: sunrise, sunset and cool mornings of each region; what sources and labs want."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from ..database.load import Database
from ..database.manual import ManualDatabase
from ..model.lab import Lab
from ..model.manual import Manual
from ..model.source import COMMON_PRACTICE
from ..planning.cool_hours import HalfMonth, RegionHours
from .beside import rule_figure
from .common import Footer, Link
from .lines import Line, Refs, SourceEntry
from .words import MONTHS, Words

ADDRESS = "calendars/cool-hours/"
CURVES = ("parton-logan1981", "campbell-norman1998", "cesaraccio2001")
"""The sources of the curves of `agronomy.diurnal`."""
SUN = "usno-sun"
"""The source of `agronomy.sun`."""
SUN_STEP_MIN, COOL_STEP_MIN = 5, 15
MISSING = {
    "weather": "its weather",
    "latitude": "its latitude",
    "longitude": "its longitude",
    "time_zone": "its time zone",
}


@dataclass(frozen=True)
class HoursRow:
    """One half month: a row of the table. `sun` stands in place of all hours where the sun does not rise or set."""

    days: str
    air: str
    sunrise: str
    cool: str
    sunset: str
    sun: str


@dataclass(frozen=True)
class RegionView:
    """One region. `left_out` says why there is nothing to show; `hours` are what the picture is drawn from."""

    id: str
    title: str
    left_out: str
    weather: str
    description: str
    rows: tuple[HoursRow, ...]
    hours: tuple[HalfMonth, ...]


@dataclass(frozen=True)
class LabHour:
    """Whether one lab names an hour."""

    lab: Link
    text: str


@dataclass(frozen=True)
class CoolHoursPage:
    """The whole page. `published` are (rule, source, who says so)."""

    title: str
    regions: tuple[RegionView, ...]
    meaning: tuple[Line, ...]
    advice: tuple[Line, ...]
    labs: tuple[LabHour, ...]
    published: tuple[tuple[str, str, str], ...]
    figures: str
    guide: Link | None
    sources: tuple[SourceEntry, ...]
    footer: Footer


def cool_hours_view(
    db: ManualDatabase, words: Words, manual: Manual, hours: Iterable[RegionHours], guide: Link | None
) -> CoolHoursPage:
    """The view of all regions of a manual. `guide` is the chapter on the time of day, if the manual has one."""
    refs = Refs(db, words)
    say = words.say
    heat = db.cautions.get("heat")
    advice = (
        refs.line(say("Leaves wet with dew? Shake them. Keep the paper bag open, so that they can dry.")),
        *([refs.line(say(heat.do), heat.source)] if heat else []),
    )
    meaning = (
        refs.line(
            say(
                "Cool means here: the air is not yet half-way from the low of the day to its high. "
                "That line is our own. No source we read says how cool is cool enough."
            )
        ),
        refs.line(
            say(
                "Three published curves say how a day warms up. They differ, so you see two times. "
                "Up to the first, all three call the air cool. After the second, none does."
            ),
            CURVES,
        ),
        refs.line(say("In all three, late afternoon is warmer than early morning."), CURVES),
        refs.line(say("Sunrise and sunset hold for level land. Hills move them."), (SUN,)),
        refs.line(
            say("In a cold month the whole day may be cool enough. Then the hour of your lab is all that counts.")
        ),
    )
    file, line = db.places.at("region", next(iter(db.regions), ""))
    return CoolHoursPage(
        title=say("Cool hours of the day"),
        regions=tuple(_region(words, region) for region in hours),
        meaning=meaning,
        advice=advice,
        labs=tuple(_lab(words, lab) for lab in db.labs.values()),
        published=_published(db, words),
        figures=" ".join((*CURVES, SUN)),
        guide=guide,
        sources=refs.entries(),
        footer=Footer(file, line, None, "", "", words.day(manual.edition)),
    )


def _region(words: Words, found: RegionHours) -> RegionView:
    say, region = words.say, found.region
    last = region.last_day.year
    year = str(region.season) if last == region.season else say("{first} to {last}", first=region.season, last=last)
    view = RegionView(
        id=f"region-{region.region}",
        title=say("{region}, {year}", region=say(region.name), year=year),
        left_out="",
        weather="",
        description="",
        rows=(),
        hours=found.halves,
    )
    if found.missing:
        what = words.listing(say(MISSING[name]) for name in found.missing)
        text = say("There are no hours for this region. The manual does not say {what}.", what=what)
        return RegionView(view.id, view.title, text, "", "", (), ())
    seasons = say(
        "Lows and highs are means of {n} seasons, {first} to {last}.",
        n=len(found.years),
        first=found.years[0],
        last=found.years[-1],
    )
    invented = say("The weather is invented.") if found.invented else ""
    rows = tuple(_row(words, half) for half in found.halves)
    return RegionView(
        view.id,
        view.title,
        "",
        " ".join(filter(None, (seasons, invented))),
        _described(words, rows),
        rows,
        found.halves,
    )


def _row(words: Words, half: HalfMonth) -> HoursRow:
    air = _air(words, half.low_c, half.high_c)
    days = _days(words, half.first, half.last)
    if half.sunrise_h is None or half.sunset_h is None:
        return HoursRow(days, air, "", "", "", words.say("the sun stays up" if half.day_length_h else "no sun"))
    ends = list(dict.fromkeys(clock(hour, COOL_STEP_MIN) for hour in half.warm_h))
    cool = words.say("{first} to {last}", first=ends[0], last=ends[-1]) if len(ends) > 1 else "".join(ends)
    return HoursRow(days, air, clock(half.sunrise_h, SUN_STEP_MIN), cool, clock(half.sunset_h, SUN_STEP_MIN), "")


def _days(words: Words, first: date, last: date) -> str:
    """'1 to 15 June'; one day alone as '15 March'."""
    month = words.say(MONTHS[first.month - 1])
    if first == last:
        return words.say("{day} {month}", day=first.day, month=month)
    return words.say("{first} to {last} {month}", first=first.day, last=last.day, month=month)


def _air(words: Words, low_c: float, high_c: float) -> str:
    """'57 to 81 °F (14 to 27 °C)', or one of the two where the manual wants one; breaks before the bracket only."""
    us, metric = ([_whole(c * 9 / 5 + 32) for c in (low_c, high_c)], [_whole(c) for c in (low_c, high_c)])
    if words.system == "us":
        text = words.say("{low} to {high} °F", low=us[0], high=us[1])
    elif words.system == "metric":
        text = words.say("{low} to {high} °C", low=metric[0], high=metric[1])
    else:
        text = words.say(
            "{low_f} to {high_f} °F ({low_c} to {high_c} °C)",
            low_f=us[0],
            high_f=us[1],
            low_c=metric[0],
            high_c=metric[1],
        )
    return text.replace(" ", "\u00a0").replace("\u00a0(", " (")


def _whole(value: float) -> str:
    """A whole number with a true minus sign, never "-0"."""
    return f"{round(value):d}".replace("-", "−")


def clock(hours: float, step_min: int) -> str:
    """The time on a clock of 24 hours, to the nearest `step_min` minutes: 8.72 hours are '8:45' by 5 and by 15."""
    minutes = round(hours * 60 / step_min) * step_min % (24 * 60)
    return f"{minutes // 60}:{minutes % 60:02}"


def _described(words: Words, rows: tuple[HoursRow, ...]) -> str:
    """The picture in words: its earliest and its latest sunrise, and their cool hours."""
    told = [row for row in rows if row.sunrise]
    if not told:
        return words.say("The sun neither rises nor sets in this season.")
    minutes = {row: int(row.sunrise.split(":")[0]) * 60 + int(row.sunrise.split(":")[1]) for row in told}
    early, late = (pick(told, key=lambda row: minutes[row]) for pick in (min, max))
    both = [
        words.say(
            "{days}: sunrise {sunrise}, cool until {cool}, sunset {sunset}.",
            days=row.days,
            sunrise=row.sunrise,
            cool=row.cool,
            sunset=row.sunset,
        )
        for row in (early, late)
    ]
    return " ".join([words.say("Hours of the day over the season. Night is hatched, cool morning is dark."), *both])


def _lab(words: Words, lab: Lab) -> LabHour:
    """Whether a lab names an hour. The hour itself stands on the page of the lab, beside the day it was asked."""
    names = "hour" in lab.handling
    text = words.say("It has an hour of its own. Go then.") if names else words.say("It names no hour. Ask it.")
    return LabHour(Link(lab.name, f"labs/{lab.lab}/"), text)


def _published(db: Database, words: Words) -> tuple[tuple[str, str, str], ...]:
    """What each source says of the hour."""
    who = {name: source.publisher for name, source in db.sources.items()}
    who[COMMON_PRACTICE] = words.say("Trade practice")
    out = []
    for row in db.handling_rows.values():
        if row.topic == "hour":
            out.append((words.say(row.rule) + rule_figure(words, row), row.source, who.get(row.source, row.source)))
    return tuple(out)
