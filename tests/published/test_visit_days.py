"""The latest sampling day against days counted by hand on a calendar.

No publication prints a rule for this. The rule is our own, put together from trade practice: results go out on working
days of the lab, the day a parcel comes in does not count, mail travels in calendar days, parcels leave from Monday to
Wednesday. The three dates were worked out by hand before the code was written:

    decide by Fri 2 July 2027, one day to read     -> result by Thu 1 July
    2 working days in the lab: Wed 30, Thu 1       -> taken in by Tue 29 June
    3 calendar days on the road                    -> mailed by Sat 26 June, no mailing day; before it: Wed 23 June

    15 working days: Fri 11 June to Thu 1 July     -> taken in by Thu 10 June -> mailed by Mon 7 June, a mailing day

    Fri 18 June closed: Thu 10 June to Thu 1 July  -> taken in by Wed 9 June -> mailed by Sun 6 June -> Wed 2 June

The first and the third parcel come in on a Saturday and wait for Monday. So the rule lets a dry parcel rest.
"""

from __future__ import annotations

from datetime import date

import pytest

from earleaf.model.lab import Lab
from earleaf.planning.visits import Rules, latest_for_lab
from earleaf.planning.working_days import MON_TO_FRI, MON_TO_WED

DECIDE_BY = date(2027, 7, 2)
FRIDAY_18 = (date(2027, 6, 18), date(2027, 6, 18))


def latest(
    turnaround: int,
    *,
    closed: tuple[tuple[date, date], ...] = (),
    holidays: frozenset[date] = frozenset(),
    may_rest: bool = True,
    drying_days: int = 0,
) -> str:
    """The last day for a lab three days away, or one to three days where a parcel may not rest."""
    at = Lab.model_validate(
        {
            "lab": "any",
            "name": "Any",
            "receives": {"days": MON_TO_FRI},
            "transit": {"days_min": 3 if may_rest else 1, "days_max": 3},
            "turnaround": {"days_min": turnaround, "days_max": turnaround},
            "closed": [{"from": first, "to": last, "why": "closed"} for first, last in closed],
        }
    )
    rules = Rules(
        decide_by=DECIDE_BY,
        reading_days=1,
        mailing_days=MON_TO_WED,
        drying_days=drying_days,
        holidays=holidays,
        may_rest=may_rest,
    )
    return str(latest_for_lab(at, rules).day)


def test_the_days_of_the_example_are_those_of_the_calendar() -> None:
    assert DECIDE_BY.strftime("%a") == "Fri" and FRIDAY_18[0].strftime("%a") == "Fri"


def test_two_working_days() -> None:
    assert latest(2) == "2027-06-23"


def test_fifteen_working_days() -> None:
    assert latest(15) == "2027-06-07"


def test_one_closed_day_costs_five() -> None:
    assert latest(15, closed=(FRIDAY_18,)) == "2027-06-02"


def test_a_holiday_counts_like_a_closure() -> None:
    assert latest(15, holidays=frozenset({FRIDAY_18[0]})) == "2027-06-02"


@pytest.mark.parametrize(
    ("turnaround", "closed", "day"),
    [(2, (), "2027-06-22"), (15, (), "2027-06-07"), (15, (FRIDAY_18,), "2027-06-01")],
)
def test_a_parcel_that_may_not_rest_leaves_on_tuesday(
    turnaround: int, closed: tuple[tuple[date, date], ...], day: str
) -> None:
    """By hand: Wednesday's parcel comes in on Saturday; Tuesday's at the latest on Friday."""
    assert latest(turnaround, closed=closed, may_rest=False) == day


@pytest.mark.parametrize(("drying_days", "day"), [(1, "2027-06-22"), (2, "2027-06-21"), (3, "2027-06-18")])
def test_drying_comes_before_mailing(drying_days: int, day: str) -> None:
    """By hand: mailed on Wed 23 June. Three days before is a Sunday: nobody is out, so Friday."""
    assert latest(2, drying_days=drying_days) == day
