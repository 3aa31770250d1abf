"""Regions can be used: crops with a timing, days inside the season, and enough weather to look back on."""

from __future__ import annotations

from collections.abc import Iterator

from ...model.finding import Finding
from ...model.region import PLANTING, Region
from ..ask import Path
from ..load import Database
from ..manual import ManualDatabase
from ..plantings import events, planted, runs_by_itself
from ..timing import codes_of, crop_points, start_kind
from ..weather import Weather, past_seasons
from ..zones import utc_offset_hours, zone_names
from .base import Context, Faults, Rule, near

ENOUGH_SEASONS = 10
FURTHEST_NOON_H = 3.5
"""No inhabited place has clocks that are further from the sun."""


def check(db: Database, context: Context) -> Iterator[Finding]:
    if not isinstance(db, ManualDatabase):
        return
    f = Faults(db, RULE.name)
    for region in db.regions.values():
        for key in region.plantings:
            yield from _crop(db, f, region, key)
        yield from _decisions(db, f, region)
        for i, day in enumerate(region.holidays):
            if not region.holds(day):
                said = f"the holiday {day} is outside the season {_season(region)}"
                yield f.at(
                    "region", region.region, ("holidays", i), said, "give the holidays of this season", "warning"
                )
        yield from _place_and_clock(f, region, db.weather.get(region.region))
        if region.region in db.weather:
            yield from _weather(f, region, db.weather[region.region], context)


def _season(region: Region) -> str:
    return f"{region.first_day} to {region.last_day}"


def _crop(db: ManualDatabase, f: Faults, region: Region, key: str) -> Iterator[Finding]:
    """One entry of `plantings`: a crop of this manual with a model, and days that its clocks wait for."""
    where: Path = ("plantings", key)
    name, _, wanted = key.partition("/")
    crop, model = planted(db, key)
    if crop is None:
        if name in db.left_out:
            said = f"{name} is not in this manual"
            yield f.at("region", region.region, where, said, "add it to `crops:`, or remove it here")
        elif db.is_missing("crop", name, db.every_crop()):
            yield f.at("region", region.region, where, f"unknown crop {name!r}", near(name, db.crops))
    elif not crop.development:
        said = f"no published timing of {name} was found: watch the crop"
        yield f.at("region", region.region, where, said, "it gets no dates; remove it here", "warning")
    elif model is None:
        models = [f"{name}/{model.model}" for model in crop.development]
        said = f"{name} has no model {wanted!r}" if wanted else f"{name} has {len(models)} timing models"
        yield f.at(
            "region", region.region, where, said, near(key, models) if wanted else f"name one: {', '.join(models)}"
        )
    else:
        by_itself = any(runs_by_itself(db, crop, leg) for leg in model.legs)
        yield from _starts(f, region, key, events(db, crop, model), by_itself)
        weather = db.weather.get(region.region)
        codes = codes_of(db, crop)
        legs = [leg for leg in model.legs if any(point.stage for point in crop_points(db, crop, leg))]
        clocks = tuple(leg.start for leg in legs if start_kind(leg, codes) == "day")
        if weather is not None:
            yield from _clocks(f, region, key, clocks, weather.southern)


def _clocks(f: Faults, region: Region, key: str, clocks: tuple[str, ...], southern: bool) -> Iterator[Finding]:
    """Clocks that start on a day of the year: that day is of the north, and comes after the planting."""
    days = {clock: day for clock in clocks if (day := region.day(clock))}
    if southern and days:
        said = f"{key} counts from {', '.join(days)}, a day of the northern spring; this station lies in the south"
        hint = "what hangs on that day gets no date here; give days of the other events, or remove it"
        yield f.at("region", region.region, ("plantings", key), said, hint, "warning")
        return
    for text in region.plantings[key].get(PLANTING, ()):
        planted_on = region.day(text)
        late = [clock for clock, day in days.items() if planted_on and day <= planted_on]
        if late:
            said = f"{key} planted on {text} waits for {late[0]}, which comes in the season after {_season(region)}"
            hint = "start the season earlier, such as season_start: 07-01, or write `calendar` for the crop sown before"
            yield f.at("region", region.region, _place(f, region, key, PLANTING), said, hint, "warning")


def _starts(f: Faults, region: Region, key: str, known: tuple[str, ...], by_itself: bool) -> Iterator[Finding]:
    """The days of one crop: of events that its clocks wait for, each in the season, each once."""
    given = region.plantings[key]
    form = f"write `{key}: calendar`"
    if known:
        form = f'write `{key}: ["05-05"]`' if known[0] == PLANTING else f'write `{key}: {{{known[0]}: ["06-02"]}}`'
    if not any(given.values()) and not by_itself:
        yield f.at("region", region.region, ("plantings", key), f"{key} needs a day of {known[0]}", form)
        return
    for event, texts in given.items():
        where = _place(f, region, key, event)
        if event not in known:
            said = f"the timing of {key} does not start at {event}"
            also = f", or give one of: {', '.join(known)}" if len(known) > 1 else ""
            yield f.at("region", region.region, where, said, form + also)
            continue
        seen = set()
        for i, text in enumerate(texts):
            day = region.day(text)
            if day is None:
                said = f"{text} is no day of the season {_season(region)}"
                yield f.at("region", region.region, (*where, i), said, "give another day, or change `season`")
            elif day in seen:
                yield f.at("region", region.region, (*where, i), f"{text} is here twice", "keep one of them")
            seen.add(day)


def _place(f: Faults, region: Region, key: str, event: str) -> Path:
    """Where the days of an event stand: planting dates may be written without the word."""
    _, parsed, base = f.db.places.parsed["region", region.region]
    named: Path = ("plantings", key, event)
    return named if (*base, *named) in parsed.lines else ("plantings", key)


def _decisions(db: ManualDatabase, f: Faults, region: Region) -> Iterator[Finding]:
    """Days of decision name a protocol and lie in the season."""
    names = [f"{crop.crop}/{protocol.protocol}" for crop in db.crops.values() for protocol in crop.protocols]
    for key, day in region.decide_by.items():
        crop = key.partition("/")[0]
        if key not in names:
            if not db.unread & {("crop", crop), ("crop", "")}:
                mine = [name for name in names if name.startswith(f"{crop}/")] or names
                said = f"unknown protocol {key!r}"
                yield f.at("region", region.region, ("decide_by", key), said, near(key, mine))
        elif not region.holds(day):
            said = f"{day} is outside the season {_season(region)}"
            yield f.at("region", region.region, ("decide_by", key), said, "give a day of this season")


def _place_and_clock(f: Faults, region: Region, weather: Weather | None) -> Iterator[Finding]:
    """Where the station stands, so that no field can be found from it, and a clock that fits the sun."""
    name = region.region
    for key, degrees in (("latitude", region.latitude), ("longitude", region.longitude)):
        if degrees is not None and abs(degrees - round(degrees, 1)) > 1e-9:
            said = f"{key} {degrees:g} is too close"
            hint = f"round it to a tenth of a degree, {degrees:.1f}: so it shows no one's field"
            yield f.at("region", name, (key,), said, hint)
    filed = weather.latitude if weather is not None else None
    if region.latitude is not None and filed is not None and abs(region.latitude - filed) > 0.05:
        said = f"latitude is {region.latitude:g}, but {region.weather} says {filed:g}"
        yield f.at("region", name, ("latitude",), said, "correct one of them, or leave it out here")
    zone = region.time_zone
    if zone is not None and zone not in zone_names():
        yield f.at("region", name, ("time_zone",), f"unknown time zone {zone!r}", near(zone, zone_names(), 3))
    elif zone is not None and region.longitude is not None:
        noon = 12 + utc_offset_hours(zone, region.first_day) - region.longitude / 15
        if abs(noon - 12) > FURTHEST_NOON_H:
            said = (
                f"at longitude {region.longitude:g} the sun stands highest at {round(noon) % 24} h on clocks of {zone}"
            )
            yield f.at("region", name, ("longitude",), said, "west is negative, east positive; or change `time_zone`")


def _weather(f: Faults, region: Region, weather: Weather, context: Context) -> Iterator[Finding]:
    """Enough past seasons, and readings of the season so far."""
    name, file = region.region, region.weather
    whole = len(past_seasons(weather, region.season, region.start).years)
    count = "no whole season" if not whole else f"only {whole} whole season{'s' * (whole > 1)}"
    if whole < ENOUGH_SEASONS:
        said = f"{file} has {count} before {region.first_day}"
        hint = f"give {ENOUGH_SEASONS} or more, each from {region.season_start} without a long gap"
        yield f.at("region", name, ("weather",), said, hint, "warning" if whole else "error")
    if region.as_of is not None and region.as_of > min(weather.last, region.last_day):
        said = f"as_of is {region.as_of}, but the readings end on {weather.last}"
        if region.as_of > region.last_day:
            said = f"as_of is {region.as_of}, after the season {_season(region)}"
        yield f.at(
            "region", name, ("as_of",), said, "give an earlier day, or leave it out: then the last reading counts"
        )
    elif weather.last < region.first_day <= context.today:
        said = f"the season began on {region.first_day}, and {file} ends on {weather.last}"
        yield f.at("region", name, ("weather",), said, "add the readings of this season", "warning")
    if weather.invented and not context.demo:
        said = f"{file} is invented, but the manual is not a demonstration"
        yield f.at("region", name, ("weather",), said, "take the weather of a real station")


RULE = Rule(
    "regions", "Regions name crops with a timing, days of their season, and weather of ten past seasons.", check
)
