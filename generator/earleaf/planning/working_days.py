"""Which days count: when a lab works and takes parcels in, when mail goes, and how one parcel fares between the two.

The rule, which is our own arithmetic from trade practice (no publication is known that prints one):

- Mail travels in calendar days. A parcel mailed on Wednesday with three days on the road comes in on Saturday.
- A lab takes a parcel in on a receiving day that is neither a closure nor a holiday. A parcel that comes in on another
  day waits for the next such day. Waiting is called resting here, and is allowed or not by whoever asks.
- The day a parcel is taken in is day 0 and does not count. Working days are Monday to Friday without closures and
  holidays. A result after N working days is there on the Nth of them, and that day counts.
- A result after N calendar days is there N days after the day it is taken in, or on the next working day of the lab.
- No mail is handed in on a holiday. A lab closure stops the lab, not the mail.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from functools import cached_property

from ..model.lab import Day

WEEK: tuple[Day, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
MON_TO_WED: tuple[Day, ...] = WEEK[:3]
MON_TO_FRI: tuple[Day, ...] = WEEK[:5]
SUNDAY = 6
LONGEST_WAIT_DAYS = 120
"""A day that does not come in so many days does not come."""


class Why(StrEnum):
    """Why a day works or does not, as an id. Views make the words."""

    # the day itself
    PAST = "past"
    WEEKEND = "weekend"
    NOT_A_VISIT_DAY = "not-a-visit-day"
    HOLIDAY = "holiday"
    MAY_BE_TOO_EARLY = "window-may-not-be-open"
    MAY_BE_TOO_LATE = "window-may-be-over"
    # on the way
    WAITS_FOR_MAIL = "waits-for-a-mailing-day"
    NO_MAILING_DAY = "no-mailing-day-in-time"
    ARRIVES_CLOSED = "arrives-on-a-closed-day"
    LAB_CLOSED = "lab-closed"
    RESTS_WEEKEND = "mail-rests-over-the-weekend"
    RESTS_HOLIDAY = "mail-rests-over-a-holiday"
    NOT_FRESH = "not-fresh-enough"
    CUT_OFF = "deliver-before-the-cut-off"
    AFTER_CUT_OFF = "comes-after-the-cut-off"
    # the result
    IN_TIME = "result-in-time"
    TOO_LATE = "too-late-to-act"
    ONLY_IF_FAST = "in-time-only-if-all-goes-fast"
    RESULT_DAY_UNKNOWN = "result-day-unknown"
    NO_DAY_IN_TIME = "no-day-in-time"
    # facts that are missing
    NO_OPENING = "window-opening-not-known"
    NO_CLOSING = "window-closing-not-known"
    NO_WINDOW = "window-closes-before-it-opens"
    NO_TRANSIT = "days-on-the-road-not-stated"
    NO_RECEIVING_DAYS = "receiving-days-not-stated"
    NO_TURNAROUND = "days-to-a-result-not-stated"
    NO_DRYING_TIME = "drying-time-not-stated"
    NO_FRESH_LIMIT = "fresh-limit-not-stated"
    NO_DECISION_DATE = "no-decision-date"


@dataclass(frozen=True)
class Reason:
    """One reason with the days, the number of days and the clock time it speaks of, if any.

    What `days` holds for each id; an id that is not named has none:

    - HOLIDAY the day. PAST, of a latest day only: that day.
    - MAY_BE_TOO_EARLY the day until which the stage may not be there; MAY_BE_TOO_LATE the day after which it may be
      over. None: not known.
    - WAITS_FOR_MAIL ready, mailed (`number`: the days between). NO_MAILING_DAY ready.
    - ARRIVES_CLOSED, LAB_CLOSED the arrival, then the day it is taken in, if there is one.
    - RESTS_WEEKEND the Sunday. RESTS_HOLIDAY the holiday.
    - NOT_FRESH the last day it would be fresh, the day it would be taken in (`number`: the days allowed).
    - IN_TIME, TOO_LATE, ONLY_IF_FAST the result, the day it must be back. NO_DAY_IN_TIME the day it must be back.
    - NO_OPENING, NO_CLOSING the bounds that are known. NO_WINDOW its two ends.

    CUT_OFF and AFTER_CUT_OFF have the hour as `clock`.
    """

    why: Why
    days: tuple[date, ...] = ()
    number: int | None = None
    clock: str | None = None


def weekday(day: date) -> Day:
    """The short name of a day of the week."""
    return WEEK[day.weekday()]


def later(day: date, days: int) -> date:
    """So many calendar days later."""
    return day + timedelta(days=days)


def no_negative_days(**days: int | None) -> None:
    """Raises ValueError, with its name, for a number of days below 0; None is a number that is not known."""
    for name, number in days.items():
        if number is not None and number < 0:
            raise ValueError(f"{name} is {number}, a number of days from 0 up is needed")


def first_from(day: date, works: Callable[[date], bool]) -> date | None:
    """The first day from this one on that works; None where none comes within 120 days."""
    return next((d for n in range(LONGEST_WAIT_DAYS) if works(d := later(day, n))), None)


@dataclass(frozen=True)
class LabDays:
    """The days of one lab. `closed` are first and last days, both closed; `holidays` are days off for all."""

    receives: frozenset[Day]
    closed: tuple[tuple[date, date], ...] = ()
    holidays: frozenset[date] = frozenset()

    @cached_property
    def _closed_days(self) -> frozenset[date]:
        return frozenset(later(a, n) for a, b in self.closed for n in range((b - a).days + 1))

    def is_closed(self, day: date) -> bool:
        """Whether the lab itself says that it is closed."""
        return day in self._closed_days

    def works(self, day: date) -> bool:
        """Whether the day is a working day of the lab: Monday to Friday, no closure, no holiday."""
        return weekday(day) in MON_TO_FRI and not self.is_closed(day) and day not in self.holidays

    def takes(self, day: date) -> bool:
        """Whether the lab takes parcels in on this day."""
        return weekday(day) in self.receives and not self.is_closed(day) and day not in self.holidays

    def taken(self, arrival: date) -> date | None:
        """The day on which a parcel that comes in on `arrival` is taken in."""
        return first_from(arrival, self.takes)

    def result(self, taken: date, turnaround_days: int, *, working_days: bool) -> date | None:
        """The day of the result of a parcel taken in on `taken`.

        Taken in on Tuesday, two working days: work on Wednesday and Thursday, result on Thursday. A turn-around of 0 is
        the same day, or the next working day.
        """
        if not working_days or turnaround_days == 0:
            return first_from(later(taken, turnaround_days), self.works)
        day: date | None = taken
        for _ in range(turnaround_days):
            day = first_from(later(day, 1), self.works) if day else None
        return day


@dataclass(frozen=True)
class Parcel:
    """One parcel. `taken` are the days it is taken in at its fastest and slowest; None: the lab takes none for long.

    `rests` says where it would lie about; it is empty for a parcel that goes straight into the lab.
    """

    mailed: date
    taken_first: date | None
    taken_last: date | None
    rests: tuple[Reason, ...]


def send(days: LabDays, mailed: date, transit_days: Iterable[int]) -> Parcel:
    """A parcel mailed on a day. `transit_days` are all the times it may take, shortest first; each is looked at.

    It rests if it may come in on a day on which the lab takes none, or if a Sunday or a holiday lies between the day it
    is mailed and the day it is taken in at the slowest.
    """
    arrivals = [later(mailed, n) for n in transit_days]
    rests: dict[Why, Reason] = {}
    for arrival in arrivals:
        if not days.takes(arrival):
            why = Why.LAB_CLOSED if days.is_closed(arrival) else Why.ARRIVES_CLOSED
            taken = days.taken(arrival)
            rests.setdefault(why, Reason(why, (arrival, taken) if taken else (arrival,)))
    first, last = days.taken(arrivals[0]), days.taken(arrivals[-1])
    for n in range(1, (last - mailed).days if last else 0):
        between = later(mailed, n)
        if between.weekday() == SUNDAY:
            rests.setdefault(Why.RESTS_WEEKEND, Reason(Why.RESTS_WEEKEND, (between,)))
        if between in days.holidays:
            rests.setdefault(Why.RESTS_HOLIDAY, Reason(Why.RESTS_HOLIDAY, (between,)))
    return Parcel(mailed, first, last, tuple(rests.values()))
