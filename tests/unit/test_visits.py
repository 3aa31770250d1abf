"""Visit days: inside the window, on the way to the lab and back, with the three labs of the demo and with any lab."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earleaf.database.load import Database
from earleaf.model.lab import Lab, LabHandling
from earleaf.planning.lab_days import drying_days, visit_rules
from earleaf.planning.season import Spread, WindowDates
from earleaf.planning.visits import (
    Rules,
    Visit,
    VisitPlan,
    latest_for_lab,
    visit_days,
    wants_fresh,
)
from earleaf.planning.working_days import MON_TO_FRI, WEEK, LabDays, Reason, Why, send, weekday
from earleaf.site.build import Prepared

ONE = timedelta(days=1)


def june(day: int) -> date:
    return date(2027, 6, day)


def july(day: int) -> date:
    return date(2027, 7, day)


def sure(day: date | None) -> Spread:
    return Spread(day, day, day, 0, 20)


def window(first: date | None, last: date | None) -> WindowDates:
    return WindowDates("tassel-to-silk", "Tassel to silk", "ear-leaf", sure(first), sure(last), "yes")


def lab(**facts: Any) -> Lab:
    """A lab that takes parcels from Monday to Friday, one or two days away, with results in two working days."""
    base = {
        "lab": "any",
        "name": "Any",
        "receives": {"days": list(MON_TO_FRI)},
        "transit": {"days_min": 1, "days_max": 2},
        "turnaround": {"days_min": 2, "days_max": 2},
    }
    return Lab.model_validate({k: v for k, v in {**base, **facts}.items() if v is not None})


def plan(first: date, last: date, at: Lab, **rules: Any) -> VisitPlan:
    return visit_days(window(first, last), at, Rules(**{"drying_days": 0, **rules}))


def visit(of: VisitPlan, day: date) -> Visit:
    return next(v for v in of.visits if v.day == day)


def why_not(of: VisitPlan, day: date) -> list[Why]:
    return [r.why for r in next(d for d in of.days_off if d.day == day).reasons]


def whys(reasons: tuple[Reason, ...]) -> list[Why]:
    return [r.why for r in reasons]


# Which days count


def test_the_day_a_parcel_is_taken_in_does_not_count_and_the_day_of_the_result_does() -> None:
    days = LabDays(frozenset(MON_TO_FRI))
    assert days.result(june(29), 2, working_days=True) == july(1)
    assert days.result(june(24), 2, working_days=True) == june(28), "Thursday: Friday and Monday"
    assert days.result(june(29), 0, working_days=True) == june(29)


def test_calendar_days_run_through_the_weekend_but_end_on_a_working_day() -> None:
    days = LabDays(frozenset(MON_TO_FRI), holidays=frozenset({june(28)}))
    assert days.result(june(23), 2, working_days=False) == june(25)
    assert days.result(june(23), 3, working_days=False) == june(29), "Saturday, Sunday, holiday: Tuesday"


def test_a_lab_that_takes_parcels_in_on_saturday_starts_on_monday() -> None:
    days = LabDays(frozenset((*MON_TO_FRI, "sat")))
    assert days.taken(june(26)) == june(26)
    assert days.result(june(26), 1, working_days=True) == june(28)


def test_a_lab_that_never_opens_takes_nothing_in() -> None:
    days = LabDays(frozenset(MON_TO_FRI), ((june(1), date(2029, 6, 1)),))
    assert days.taken(june(1)) is None
    parcel = send(days, june(1), (1, 2))
    assert parcel.taken_last is None and whys(parcel.rests) == [Why.LAB_CLOSED]


def test_every_time_on_the_road_is_looked_at() -> None:
    """Fast and slow arrive on open days, the day between them is closed."""
    days = LabDays(frozenset(MON_TO_FRI), ((june(16), june(16)),))
    parcel = send(days, june(14), (1, 2, 3))
    assert (parcel.taken_first, parcel.taken_last) == (june(15), june(17))
    assert parcel.rests == (Reason(Why.LAB_CLOSED, (june(16), june(17))),)


def test_a_parcel_on_the_road_over_sunday_rests() -> None:
    parcel = send(LabDays(frozenset(MON_TO_FRI)), june(23), (1, 2, 5))
    assert Reason(Why.RESTS_WEEKEND, (june(27),)) in parcel.rests


def test_saturday_on_the_road_is_no_rest_for_a_lab_that_takes_parcels_in_then() -> None:
    assert send(LabDays(frozenset(WEEK[:6])), june(23), (3,)).rests == ()


# The window


def test_the_example_of_the_docstring() -> None:
    found = plan(june(22), july(2), lab(), decide_by=july(2))
    best = found.visits[0]
    assert (best.day, best.mailed, best.arrives_first, best.arrives_last) == (june(23), june(23), june(24), june(25))
    assert (best.result_last, best.verdict) == (june(29), "can act")
    assert Reason(Why.IN_TIME, (june(29), july(1))) in best.reasons
    monday = visit(found, june(28))
    assert monday.verdict == "record only"
    assert Reason(Why.TOO_LATE, (july(2), july(1))) in monday.reasons
    assert Reason(Why.ONLY_IF_FAST, (july(1), july(1))) in monday.reasons


def test_the_middle_of_the_window_is_best() -> None:
    """14 to 22 June: the middle is Friday the 18th. Equally far and equally long: early first."""
    found = plan(june(14), june(22), lab())
    assert [v.day.day for v in found.visits] == [18, 17, 16, 15, 21, 14, 22]
    assert {v.verdict for v in found.visits} == {"no decision date"}
    waits = next(r for r in visit(found, june(18)).reasons if r.why == Why.WAITS_FOR_MAIL)
    assert waits == Reason(Why.WAITS_FOR_MAIL, (june(18), june(21)), 3)


def test_each_day_of_the_window_is_told_once() -> None:
    found = plan(june(14), june(27), lab())
    days = sorted([v.day for v in found.visits] + [d.day for d in found.days_off])
    assert days == [june(d) for d in range(14, 28)]
    assert why_not(found, june(19)) == why_not(found, june(27)) == [Why.WEEKEND]


def test_holidays_days_past_and_days_that_are_not_for_visits() -> None:
    found = plan(june(14), june(17), lab(), holidays=frozenset({june(16)}), today=june(15), visit_days=WEEK[:3])
    assert [d.day for d in found.days_off] == [june(14), june(16), june(17)]
    assert [why_not(found, june(d))[0] for d in (14, 16, 17)] == [Why.PAST, Why.HOLIDAY, Why.NOT_A_VISIT_DAY]


def test_the_spread_of_the_window_is_told() -> None:
    spread = WindowDates(
        "a", "A", "b", Spread(june(10), june(14), june(15), 0, 20), Spread(june(16), june(17), june(22), 0, 20), "yes"
    )
    found = visit_days(spread, lab(), Rules(drying_days=0))
    assert min(v.day for v in found.visits) == june(14) and max(v.day for v in found.visits) == june(17)
    assert Reason(Why.MAY_BE_TOO_EARLY, (june(15),)) in visit(found, june(14)).reasons
    assert Reason(Why.MAY_BE_TOO_LATE, (june(16),)) in visit(found, june(17)).reasons
    for day in (june(15), june(16)):
        assert not {Why.MAY_BE_TOO_EARLY, Why.MAY_BE_TOO_LATE} & set(whys(visit(found, day).reasons))


@pytest.mark.parametrize(
    ("opens", "closes", "missing"),
    [
        (None, sure(june(20)), Reason(Why.NO_OPENING)),
        (sure(june(1)), None, Reason(Why.NO_CLOSING)),
        (Spread(june(1), None, june(9), 0, 0), sure(june(20)), Reason(Why.NO_OPENING, (june(1), june(9)))),
        (sure(june(1)), Spread(june(9), None, None, 12, 20), Reason(Why.NO_CLOSING, (june(9),))),
        (sure(june(20)), sure(june(10)), Reason(Why.NO_WINDOW, (june(20), june(10)))),
    ],
)
def test_a_window_that_is_not_known_gets_no_days(opens: Spread | None, closes: Spread | None, missing: Reason) -> None:
    found = visit_days(WindowDates("a", "A", "b", opens, closes, "partly"), lab(), Rules(drying_days=0))
    assert found == VisitPlan((), (), (missing,))


def test_a_window_whose_end_no_source_dates_goes_to_the_start_of_its_last_stage() -> None:
    last_stage = Spread(june(15), june(17), june(22), 0, 20)
    found = visit_days(
        replace(window(june(14), june(17)), closes=last_stage, open_end=True), lab(), Rules(drying_days=0)
    )
    assert max(v.day for v in found.visits) == june(17)
    assert not any(Why.MAY_BE_TOO_LATE in whys(v.reasons) for v in found.visits)
    assert found.missing == (Reason(Why.NO_CLOSING, (june(15), june(22))),)


def test_a_window_of_one_day() -> None:
    assert [v.day for v in plan(june(15), june(15), lab()).visits] == [june(15)]


# Missing facts


@pytest.mark.parametrize(("fact", "why"), [("transit", Why.NO_TRANSIT), ("receives", Why.NO_RECEIVING_DAYS)])
def test_no_parcel_is_planned_without_the_facts_of_its_way(fact: str, why: Why) -> None:
    found = plan(june(14), june(22), lab(**{fact: None}), decide_by=july(20))
    assert found == VisitPlan((), (), (Reason(why),))
    latest = latest_for_lab(lab(**{fact: None}), Rules(decide_by=july(20), drying_days=0))
    assert latest.day is None and latest.reasons == (Reason(why),)


def test_all_missing_facts_are_named_at_once() -> None:
    found = visit_days(window(june(14), june(22)), Lab(lab="any", name="Any"), Rules())
    assert whys(found.missing) == [Why.NO_TRANSIT, Why.NO_RECEIVING_DAYS, Why.NO_DRYING_TIME, Why.NO_TURNAROUND]


def test_without_a_drying_time_nobody_knows_when_it_is_mailed() -> None:
    assert plan(june(14), june(22), lab(), drying_days=None) == VisitPlan((), (), (Reason(Why.NO_DRYING_TIME),))


def test_without_a_turn_around_a_visit_is_for_the_record() -> None:
    found = plan(june(14), june(16), lab(turnaround=None), decide_by=july(20))
    assert whys(found.missing) == [Why.NO_TURNAROUND]
    assert {(v.verdict, v.result_first, v.result_last) for v in found.visits} == {("record only", None, None)}
    assert all(v.reasons[0] == Reason(Why.RESULT_DAY_UNKNOWN) for v in found.visits)
    assert {v.verdict for v in plan(june(14), june(16), lab(turnaround=None)).visits} == {"no decision date"}
    assert latest_for_lab(lab(turnaround=None), Rules(decide_by=july(20), drying_days=0)).day is None


def test_the_latest_day_needs_a_decision() -> None:
    assert whys(latest_for_lab(lab(), Rules(drying_days=0)).reasons) == [Why.NO_DECISION_DATE]
    late = latest_for_lab(lab(), Rules(decide_by=july(2), drying_days=0, today=july(1)))
    assert late.day is None and late.reasons == (Reason(Why.PAST, (june(23),)),)
    shut = lab(closed=[{"from": "2025-01-01", "to": "2028-01-01", "why": "moved"}])
    assert latest_for_lab(shut, Rules(decide_by=july(2), drying_days=0)).reasons == (
        Reason(Why.NO_DAY_IN_TIME, (july(1),)),
    )


@pytest.mark.parametrize("name", ["reading_days", "drying_days", "fresh_days"])
def test_days_are_never_negative(name: str) -> None:
    with pytest.raises(ValueError, match=name):
        Rules(**{name: -1})  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="hour"):
        Rules(delivered_by="2 pm")


# The labs of the demo


def test_air_dried_for_larkmoor(demo: Prepared) -> None:
    """Monday to Thursday until 15:00, one or two days, two to three working days, closed from 2 to 5 July."""
    larkmoor = demo.db.labs["larkmoor"]
    assert not wants_fresh(larkmoor)
    found = plan(june(21), july(2), larkmoor, drying_days=2, decide_by=july(9))
    monday = visit(found, june(21))
    assert (monday.mailed, monday.arrives_first, monday.arrives_last) == (june(28), june(29), june(30))
    assert Reason(Why.CUT_OFF, clock="15:00") in monday.reasons
    friday = visit(found, june(25))
    assert friday.mailed == june(28), "dry on Sunday, and Wednesday's parcel would rest over the weekend"
    assert (friday.result_first, friday.result_last) == (july(1), july(7)), "closed from the 2nd to the 5th"
    assert {v.mailed for v in found.visits} == {june(28), july(5)}, "the lab is closed on the 5th, the mail is not"
    assert {v.day for v in found.visits if v.verdict == "can act"} == {june(d) for d in range(21, 26)}
    assert latest_for_lab(larkmoor, Rules(decide_by=july(9), drying_days=2)).day == june(25)


def test_a_wednesday_parcel_may_rest_at_a_lab_that_takes_none_on_friday() -> None:
    parcel = send(LabDays(frozenset(WEEK[:4])), june(23), (1, 2))
    assert whys(parcel.rests) == [Why.ARRIVES_CLOSED, Why.RESTS_WEEKEND]


def test_fresh_for_quillwater(demo: Prepared) -> None:
    """Tuesday to Thursday, one day on the road, closed from 18 to 20 June, within two days."""
    quillwater = demo.db.labs["quillwater"]
    assert wants_fresh(quillwater)
    found = plan(june(14), june(20), quillwater, drying_days=2, fresh_days=2)
    assert sorted(v.day for v in found.visits) == [june(14), june(15), june(16)]
    assert all(v.mailed == v.day and v.arrives_last == v.day + ONE for v in found.visits)
    assert why_not(found, june(17)) == [Why.NO_MAILING_DAY]
    assert found.missing == ()


def test_a_fresh_sample_may_wait_only_as_long_as_it_is_fresh(demo: Prepared) -> None:
    """A Sunday sample, mailed on Monday, is taken in on Tuesday: the second day."""
    quillwater = demo.db.labs["quillwater"]
    found = plan(june(12), june(14), quillwater, fresh_days=2, visit_days=WEEK)
    assert sorted(v.day for v in found.visits) == [june(13), june(14)]
    assert why_not(found, june(12)) == [Why.NOT_FRESH]
    unknown = plan(june(12), june(14), quillwater, visit_days=WEEK)
    assert [v.day for v in unknown.visits] == [june(14)] and whys(unknown.missing) == [Why.NO_FRESH_LIMIT]


def test_a_fresh_parcel_never_rests(demo: Prepared) -> None:
    quillwater = demo.db.labs["quillwater"]
    rules = {"fresh_days": 9, "mailing_days": WEEK[:5], "may_rest": True}
    found = plan(june(16), june(18), quillwater, **rules)
    assert visit(found, june(17)).mailed == june(21), "the next one that does not rest; Monday's"
    strict = plan(june(17), june(17), quillwater, **{**rules, "fresh_days": 2})
    assert why_not(strict, june(17)) == [Why.LAB_CLOSED, Why.RESTS_WEEKEND]


def test_slow_and_cheap_pebblecross(demo: Prepared) -> None:
    """Monday to Friday, two to four days on the road: only Monday's parcel never rests. Ten to fifteen working days."""
    pebblecross = demo.db.labs["pebblecross"]
    found = plan(june(7), june(18), pebblecross, drying_days=2, decide_by=july(9))
    assert {v.mailed for v in found.visits} == {june(14), june(21)}
    assert {v.verdict for v in found.visits} == {"record only"}
    first = visit(found, june(9))
    assert (first.arrives_first, first.arrives_last) == (june(16), june(18))
    assert (first.result_first, first.result_last) == (june(30), july(12)), "5 July is closed"
    assert Reason(Why.ONLY_IF_FAST, (june(30), july(8))) in first.reasons
    latest = latest_for_lab(pebblecross, Rules(decide_by=july(9), drying_days=2)).day
    assert latest == june(4), "taken in by the 16th, mailed on Monday the 7th, dry on Sunday, sampled on Friday"


def test_resting_is_told_where_it_is_allowed(demo: Prepared) -> None:
    found = plan(june(16), june(16), demo.db.labs["pebblecross"], may_rest=True)
    only = found.visits[0]
    assert (only.mailed, only.arrives_last) == (june(16), june(21))
    assert {Why.ARRIVES_CLOSED, Why.RESTS_WEEKEND} <= set(whys(only.reasons))


def test_a_carrier_that_comes_after_the_cut_off_costs_a_day(demo: Prepared) -> None:
    pebblecross = demo.db.labs["pebblecross"]
    early, late = (plan(june(14), june(14), pebblecross, delivered_by=hour) for hour in ("12:00", "12:01"))
    assert early.visits[0].arrives_last == june(18) and Why.CUT_OFF not in whys(early.visits[0].reasons)
    assert late.visits == () and Why.RESTS_WEEKEND in why_not(late, june(14))
    rests = plan(june(14), june(14), pebblecross, delivered_by="12:01", may_rest=True).visits[0]
    assert rests.arrives_first == june(17) and Reason(Why.AFTER_CUT_OFF, clock="12:00") in rests.reasons


# Any lab

DAYS = st.dates(date(2027, 1, 1), date(2028, 12, 31))
SOME_DAYS = st.lists(st.sampled_from(WEEK), min_size=1, max_size=7, unique=True).map(tuple)
CLOSURES = st.lists(st.tuples(DAYS, st.integers(0, 12)), max_size=4).map(
    lambda all_: tuple((d, d + n * ONE) for d, n in all_)
)


@st.composite
def labs(draw: st.DrawFn) -> Lab:
    fast, slow = sorted((draw(st.integers(0, 6)), draw(st.integers(0, 6))))
    quick, long = sorted((draw(st.integers(0, 20)), draw(st.integers(0, 20))))
    return lab(
        receives={"days": list(draw(SOME_DAYS))},
        transit={"days_min": fast, "days_max": slow},
        turnaround={"days_min": quick, "days_max": long, "working_days": draw(st.booleans())},
        closed=[{"from": a, "to": b, "why": "x"} for a, b in draw(CLOSURES)],
        handling={"dry": {"value": "do not dry", "say": ["Fresh."]}} if draw(st.booleans()) else {},
    )


RULES = st.builds(
    Rules,
    decide_by=st.none() | DAYS,
    reading_days=st.integers(0, 3),
    mailing_days=SOME_DAYS,
    visit_days=SOME_DAYS,
    drying_days=st.integers(0, 4),
    fresh_days=st.none() | st.integers(0, 4),
    holidays=st.frozensets(DAYS, max_size=6),
    may_rest=st.booleans(),
)
SPANS = st.tuples(DAYS, st.integers(0, 40)).map(lambda span: (span[0], span[0] + span[1] * ONE))


def shut(at: Lab, rules: Rules, day: date) -> bool:
    """Written a second time, apart from the program."""
    return day in rules.holidays or any(c.first <= day <= c.last for c in at.closed)


@settings(max_examples=300, deadline=None)
@given(at=labs(), rules=RULES, span=SPANS)
def test_a_visit_never_breaks_its_own_rules(at: Lab, rules: Rules, span: tuple[date, date]) -> None:
    assert at.receives and at.transit and at.turnaround
    found = visit_days(window(*span), at, rules)
    told = sorted([v.day for v in found.visits] + [d.day for d in found.days_off])
    assert told == [span[0] + n * ONE for n in range((span[1] - span[0]).days + 1)]
    assert all(d.reasons for d in found.days_off)
    fresh = wants_fresh(at)
    for v in found.visits:
        assert weekday(v.day) in rules.visit_days and v.day not in rules.holidays
        assert weekday(v.mailed) in rules.mailing_days and v.mailed not in rules.holidays
        ready = v.day if fresh else v.day + (rules.drying_days or 0) * ONE
        assert ready <= v.mailed <= ready + 6 * ONE
        for taken in (v.arrives_first, v.arrives_last):
            assert weekday(taken) in at.receives.days and not shut(at, rules, taken)
        assert v.mailed + at.transit.days_max * ONE <= v.arrives_last
        between = [v.mailed + n * ONE for n in range(1, (v.arrives_last - v.mailed).days)]
        if fresh or not rules.may_rest:
            assert v.arrives_last == v.mailed + at.transit.days_max * ONE
            assert not any(d.weekday() == 6 or d in rules.holidays for d in between)
        if fresh and rules.fresh_days is not None:
            assert (v.arrives_last - v.day).days <= rules.fresh_days
        assert v.result_first and v.result_last and v.arrives_first <= v.result_first <= v.result_last
        assert v.result_last.weekday() < 5 and not shut(at, rules, v.result_last)
        check_result(at, rules, v)


def check_result(at: Lab, rules: Rules, v: Visit) -> None:
    """The working days between are counted one by one; the verdict follows from the slower result."""
    assert at.turnaround and v.result_last
    after = [v.arrives_last + n * ONE for n in range(1, (v.result_last - v.arrives_last).days + 1)]
    worked = [d for d in after if d.weekday() < 5 and not shut(at, rules, d)]
    if at.turnaround.working_days and at.turnaround.days_max:
        assert len(worked) == at.turnaround.days_max
    assert (v.result_last - v.arrives_last).days >= at.turnaround.days_max
    if rules.decide_by is None:
        assert v.verdict == "no decision date"
    else:
        in_time = v.result_last + rules.reading_days * ONE <= rules.decide_by
        assert v.verdict == ("can act" if in_time else "record only")


@settings(max_examples=200, deadline=None)
@given(at=labs(), rules=RULES, span=SPANS)
def test_no_visit_that_can_act_is_later_than_the_latest_day(at: Lab, rules: Rules, span: tuple[date, date]) -> None:
    latest = latest_for_lab(at, rules)
    acting = [v.day for v in visit_days(window(*span), at, rules).visits if v.verdict == "can act"]
    assert not acting or (latest.day is not None and max(acting) <= latest.day)
    if latest.day is not None:
        again = visit_days(window(latest.day, latest.day), at, rules)
        assert [v.verdict for v in again.visits] == ["can act"]


FACTS = st.fixed_dictionaries(
    {
        "reading_days": st.integers(0, 3),
        "turnaround": st.integers(0, 20),
        "working_days": st.booleans(),
        "transit_days": st.integers(1, 7),
        "mailing_days": SOME_DAYS,
        "drying_days": st.integers(0, 4),
        "receives": SOME_DAYS,
        "closed": CLOSURES,
        "holidays": st.frozensets(DAYS, max_size=6),
        "may_rest": st.booleans(),
    }
)


def latest_day(decide_by: date, facts: dict[str, Any]) -> date | None:
    """The last day for a lab and a team of those facts; a parcel that may not rest may also come in sooner."""
    slowest = facts["transit_days"]
    at = lab(
        receives={"days": facts["receives"]},
        transit={"days_min": slowest if facts["may_rest"] else 1, "days_max": slowest},
        turnaround={
            "days_min": facts["turnaround"],
            "days_max": facts["turnaround"],
            "working_days": facts["working_days"],
        },
        closed=[{"from": first, "to": last, "why": "closed"} for first, last in facts["closed"]],
    )
    names = ("reading_days", "mailing_days", "drying_days", "holidays", "may_rest")
    return latest_for_lab(at, Rules(decide_by=decide_by, **{name: facts[name] for name in names})).day


def not_later(day: date | None, than: date | None) -> bool:
    return day is None or (than is not None and day <= than)


@settings(max_examples=300, deadline=None)
@given(facts=FACTS, decide_by=DAYS, before=st.integers(0, 50), length=st.integers(0, 9))
def test_a_closure_or_a_holiday_more_never_gives_a_later_day(
    facts: dict[str, Any], decide_by: date, before: int, length: int
) -> None:
    latest = latest_day(decide_by, facts)
    first = decide_by - before * ONE
    more = (*facts["closed"], (first, first + length * ONE))
    assert not_later(latest_day(decide_by, {**facts, "closed": more}), latest)
    assert not_later(latest_day(decide_by, {**facts, "holidays": facts["holidays"] | {first}}), latest)


@settings(max_examples=100, deadline=None)
@given(facts=FACTS, decide_by=DAYS, more=st.integers(1, 4))
def test_more_time_on_the_way_never_gives_a_later_day(facts: dict[str, Any], decide_by: date, more: int) -> None:
    latest = latest_day(decide_by, facts)
    for name in ("transit_days", "turnaround", "reading_days"):
        assert not_later(latest_day(decide_by, {**facts, name: facts[name] + more}), latest), name


@settings(max_examples=100, deadline=None)
@given(at=labs(), rules=RULES, span=SPANS)
def test_allowing_rest_takes_no_day_away(at: Lab, rules: Rules, span: tuple[date, date]) -> None:
    strict, lenient = (visit_days(window(*span), at, replace(rules, may_rest=rest)) for rest in (False, True))
    assert {v.day for v in strict.visits} <= {v.day for v in lenient.visits}


# How long a sample dries


def with_rule(db: Database, lab_id: str, dry: dict[str, Any] | None) -> tuple[Database, Lab]:
    """The demo with another rule of drying at one lab; None takes the rule away."""
    at = db.labs[lab_id]
    rules = {topic: rule for topic, rule in at.handling.items() if topic != "dry"}
    if dry is not None:
        rules["dry"] = LabHandling.model_validate({"value": "x", "say": ["Dry it."], **dry})
    return db, at.model_copy(update={"handling": rules})


@pytest.mark.parametrize(
    ("dry", "days"),
    [
        (None, 2),
        ({"days": 4}, 4),
        ({}, None),
        ({"value": "do not dry"}, None),
        ({"value": "do not dry", "days": 3}, 3),
    ],
    ids=["as everywhere", "its own days", "its own rule, no days", "fresh, no limit", "fresh within three days"],
)
def test_the_days_of_drying_are_those_of_the_lab_where_it_has_a_rule(
    demo: Prepared, dry: dict[str, Any] | None, days: int | None
) -> None:
    """The base says two days. A lab with a rule of its own that gives no days leaves them open."""
    db, at = with_rule(demo.db, "larkmoor", dry)
    corn = db.crops["corn"]
    assert drying_days(db, corn, corn.protocols[2], at) == days


def test_a_crop_that_dries_otherwise_without_days_keeps_the_usual_ones(demo: Prepared) -> None:
    """A rule of a crop that tells how, and not how long, leaves the usual days; without any rule nobody knows."""
    corn, at = demo.db.crops["corn"], with_rule(demo.db, "larkmoor", None)[1]
    slow = demo.db.handling["dry"].model_copy(update={"days": None})
    other = corn.model_copy(update={"handling": {"dry": slow}})
    assert drying_days(demo.db, other, other.protocols[2], at) == 2
    nobody = replace(demo.db, handling={k: v for k, v in demo.db.handling.items() if k != "dry"})
    assert drying_days(nobody, other, other.protocols[2], at) is None


def test_a_fresh_lab_has_a_limit_and_another_a_drying_time(demo: Prepared) -> None:
    corn, region = demo.db.crops["corn"], demo.db.regions["valley-floor"]  # type: ignore[attr-defined]
    silk = corn.protocols[2]
    fresh, dried = (visit_rules(demo.db, corn, silk, demo.db.labs[name], region) for name in ("quillwater", "larkmoor"))
    assert (fresh.drying_days, fresh.fresh_days) == (None, 2)
    assert (dried.drying_days, dried.fresh_days) == (2, None)
    assert dried.decide_by == date(2027, 7, 30) and date(2027, 7, 5) in dried.holidays


def test_a_result_of_the_same_day_waits_for_a_day_of_work() -> None:
    """Taken in on Saturday, ready at once: read on Monday. Taken in on Tuesday: read on Tuesday."""
    days = LabDays(frozenset((*MON_TO_FRI, "sat")))
    assert days.result(june(26), 0, working_days=True) == june(28)
    assert days.result(june(29), 0, working_days=True) == june(29)
