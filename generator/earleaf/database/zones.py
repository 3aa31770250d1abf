"""Time zones by name, from the package `tzdata`: the same rules on every machine, whatever its own clock tables say."""

from __future__ import annotations

from datetime import date, datetime, time
from functools import lru_cache
from importlib import resources
from zoneinfo import ZoneInfo


@lru_cache
def zone_names() -> frozenset[str]:
    """Every name that may be given, such as America/Chicago."""
    return frozenset((resources.files("tzdata") / "zones").read_text("ascii").split())


def utc_offset_hours(name: str, day: date) -> float:
    """Hours by which clocks are ahead of UTC at noon of a day, summer time included; west is negative.

    ValueError for an unknown name. Example: ``utc_offset_hours("America/Chicago", date(2027, 7, 1))`` is -5.0.
    """
    noon = datetime.combine(day, time(12), _zone(name))
    offset = noon.utcoffset()
    assert offset is not None
    return offset.total_seconds() / 3600


@lru_cache
def _zone(name: str) -> ZoneInfo:
    if name not in zone_names():
        raise ValueError(f"there is no time zone {name!r}")
    with resources.files("tzdata.zoneinfo").joinpath(*name.split("/")).open("rb") as file:
        return ZoneInfo.from_file(file, key=name)
