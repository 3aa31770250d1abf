"""Time zones by name: the same as the standard library's, and no way out of the package that holds them."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from earleaf.database.zones import utc_offset_hours, zone_names

CLOCKS = ("America/Chicago", "Pacific/Auckland", "Australia/Sydney", "Asia/Kolkata", "Europe/Madrid", "Etc/GMT+6")


@pytest.mark.parametrize("name", CLOCKS)
def test_every_day_of_two_years_as_the_standard_library_has_it(name: str) -> None:
    """Outside authority: the tables of the machine, which zoneinfo asks first; these zones are steady."""
    theirs = ZoneInfo(name)
    for day in (date(2025, 1, 1) + timedelta(days=n) for n in range(730)):
        noon = datetime.combine(day, time(12), theirs)
        assert utc_offset_hours(name, day) * 3600 == noon.utcoffset().total_seconds()  # type: ignore[union-attr]


def test_clocks_change_on_the_day_the_law_says() -> None:
    """United States, Energy Policy Act of 2005: second Sunday of March, first Sunday of November."""
    changes = [
        day
        for day in (date(2027, 1, 1) + timedelta(days=n) for n in range(364))
        if utc_offset_hours("America/Chicago", day) != utc_offset_hours("America/Chicago", day + timedelta(days=1))
    ]
    assert [day + timedelta(days=1) for day in changes] == [date(2027, 3, 14), date(2027, 11, 7)]


@pytest.mark.parametrize("name", ["", "America", "america/chicago", "../../etc/passwd", "America/Chigaco", "zones"])
def test_an_unknown_name_is_refused(name: str) -> None:
    assert name not in zone_names()
    with pytest.raises(ValueError, match="there is no time zone"):
        utc_offset_hours(name, date(2027, 1, 1))
