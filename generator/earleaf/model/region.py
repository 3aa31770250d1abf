"""A region of a manual: its weather, its season, and when its crops are planted."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, StringConstraints

from .base import Id, IsoDay, Record, Text
from .lab import Day

SeasonStart = Annotated[
    str,
    StringConstraints(
        pattern=r"^(0[1-9]|1[0-2])-(0[1-9]|1[0-9]|2[0-8])$|^(0[13-9]|1[0-2])-(29|30)$|^(0[13578]|1[02])-31$"
    ),
]
"""A month and day that every year has: the start of a season must be one."""
When = Annotated[
    str,
    StringConstraints(
        pattern=r"^(0[1-9]|1[0-2])-(0[1-9]|1[0-9]|2[0-9])$|^(0[13-9]|1[0-2])-30$|^(0[13578]|1[02])-31$"
        r"|^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"
    ),
]
"""A month and day of the season, 29 February among them; or a whole date."""
PLANTING = "planting"
CALENDAR = "calendar"


def _as_starts(value: Any) -> Any:
    if value == CALENDAR or value is None or value == []:
        return {}
    if isinstance(value, str):
        return {PLANTING: [value]}
    return {PLANTING: value} if isinstance(value, list | tuple) else value


Starts = Annotated[
    dict[Text, tuple[When, ...]],
    BeforeValidator(_as_starts, json_schema_input_type=dict[Text, tuple[When, ...]] | tuple[When, ...] | When | str),
]
"""Days of each event that starts a clock: `[04-20, 05-05]` for planting, `{first-cut: [06-02]}` for another event,
`calendar` or an empty list where every clock starts on a day of the year or after the last frost."""


class Region(Record):
    """One region, and one season in it. The season may cross the year: it ends the day before it would start again."""

    region: Id = Field(description="The id of the region.")
    name: Text = Field(description="The name of the region.")
    weather: Text = Field(description="The station's CSV file, from the manual's own folder.")
    season: int = Field(ge=1900, le=2200, description="The year in which the season starts.")
    season_start: SeasonStart = Field(default="01-01", description="07-01 in the south, or for autumn sowings.")
    plantings: dict[Text, Starts] = Field(
        description="By crop, or crop/model where it has several: planting dates, days of other events, or calendar."
    )
    as_of: IsoDay | None = Field(
        default=None, description="Last day of this season's weather to be used; left out: the last day in the file."
    )
    decide_by: dict[Text, IsoDay] = Field(
        default={}, description="By crop/protocol: the last day on which a result can still change something."
    )
    latitude: float | None = Field(
        default=None, ge=-90, le=90, description="Of the station, to a tenth of a degree; left out: as in its file."
    )
    longitude: float | None = Field(
        default=None, ge=-180, le=180, description="Of the station, to a tenth of a degree; west is negative."
    )
    time_zone: Text | None = Field(default=None, description="What clocks show there, such as America/Chicago.")
    mailing_days: tuple[Day, ...] = Field(
        default=("mon", "tue", "wed"), min_length=1, description="Days of the week on which you mail."
    )
    holidays: tuple[IsoDay, ...] = Field(default=(), description="Days without mail and without work at any lab.")

    @property
    def start(self) -> tuple[int, int]:
        """Month and day on which each season starts.

        >>> Region(region="a", name="A", weather="a.csv", season=2027, season_start="07-01", plantings={}).start
        (7, 1)
        """
        month, _, day = self.season_start.partition("-")
        return int(month), int(day)

    @property
    def first_day(self) -> date:
        """The first day of the season."""
        return date(self.season, *self.start)

    @property
    def last_day(self) -> date:
        """The last day of the season, which may lie in the next year."""
        return date(self.season + 1, *self.start) - timedelta(days=1)

    def holds(self, day: date) -> bool:
        """Whether a day lies in the season."""
        return self.first_day <= day <= self.last_day

    def day(self, when: str) -> date | None:
        """The date of this season that `when` means, None where the season has no such day.

        >>> south = Region(region="a", name="A", weather="a.csv", season=2027, season_start="07-01", plantings={})
        >>> str(south.day("10-15")), str(south.day("02-29")), south.day("2027-04-20")
        ('2027-10-15', '2028-02-29', None)
        """
        texts = [when] if len(when) > len("04-20") else [f"{self.season}-{when}", f"{self.season + 1}-{when}"]
        return next((day for text in texts if (day := _date(text)) and self.holds(day)), None)


def _date(text: str) -> date | None:
    """The date, or None where the calendar has no such day."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
