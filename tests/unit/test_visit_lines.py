"""What a page says of visit days: the day with its mail and result, or why there is none, and nothing twice."""

from __future__ import annotations

from datetime import date

import pytest

from earleaf.model.lab import Closed, Lab, Receives, Transit, Turnaround
from earleaf.planning.lab_days import LabPlan, closed_days
from earleaf.planning.season import Spread, WindowDates
from earleaf.planning.visits import Rules, latest_for_lab, visit_days
from earleaf.planning.working_days import MON_TO_FRI
from earleaf.views.visit_lines import days_text, latest_text, look_first, other_days, undated, visit_line
from earleaf.views.words import Words

WORDS = Words()


def june(day: int) -> date:
    return date(2027, 6, day)


def lab(**changes: object) -> Lab:
    facts: dict[str, object] = {
        "lab": "stonewell",
        "name": "Stonewell",
        "receives": Receives(days=MON_TO_FRI),
        "transit": Transit(days_min=1, days_max=2),
        "turnaround": Turnaround(days_min=2, days_max=2),
    }
    return Lab.model_validate({**facts, **changes})


def at(day: date, early: date | None = None, late: date | None = None) -> Spread:
    return Spread(early or day, day, late or day, 0, 10)


def window(opens: Spread | None, closes: Spread | None, *, open_end: bool = False) -> WindowDates:
    return WindowDates("silk", "silk", "ear-leaf", opens, closes, "yes", open_end)


def plan(shape: WindowDates, to: Lab, rules: Rules) -> LabPlan:
    return LabPlan(to, rules, visit_days(shape, to, rules), latest_for_lab(to, rules) if rules.decide_by else None)


def test_a_good_day_with_its_mail_and_result() -> None:
    """By hand: Monday 21 June, no drying, in by Wednesday, work on Thursday and Friday."""
    line = visit_line(WORDS, plan(window(at(june(21)), at(june(21))), lab(), Rules(drying_days=0)))
    assert (line.day, line.mail, line.result, line.note) == ("Mon 21 Jun", "Mon 21 Jun", "25 Jun", "")


@pytest.mark.parametrize(
    ("decide_by", "turnaround", "note"),
    [
        (date(2027, 7, 9), (2, 2), "in time to act"),
        (june(23), (2, 2), "too late to act"),
        (june(26), (2, 9), "in time only if all goes fast"),
    ],
)
def test_whether_it_can_still_act(decide_by: date, turnaround: tuple[int, int], note: str) -> None:
    """By hand, from Monday 21 June: result on Friday 25th at the latest with two days, on 6 July with nine."""
    fast, slow = turnaround
    to = lab(turnaround=Turnaround(days_min=fast, days_max=slow))
    rules = Rules(drying_days=0, decide_by=decide_by)
    assert visit_line(WORDS, plan(window(at(june(21)), at(june(21))), to, rules)).note == note


def test_a_lab_that_does_not_say_how_long_it_takes_is_to_be_asked() -> None:
    shape = window(at(june(21)), at(june(21)))
    line = visit_line(WORDS, plan(shape, lab(turnaround=None), Rules(drying_days=0)))
    assert line.result == "ask the lab"
    line = visit_line(WORDS, plan(shape, lab(turnaround=None), Rules(drying_days=0, decide_by=june(30))))
    assert line.note == "ask how long a result takes"


@pytest.mark.parametrize(
    ("changes", "drying", "asks"),
    [
        ({"transit": None}, 0, "how long the mail takes"),
        ({"receives": None}, 0, "on which days it takes parcels in"),
        ({}, None, "how long the leaves dry"),
    ],
)
def test_what_to_ask_where_no_day_can_be_given(changes: dict[str, object], drying: int | None, asks: str) -> None:
    shape = window(at(june(21)), at(june(25)))
    line = visit_line(WORDS, plan(shape, lab(**changes), Rules(drying_days=drying)))
    assert not line.day and asks in line.why_not and "Ask the lab." in line.why_not


def test_no_day_names_what_is_in_the_way_and_not_the_weekend() -> None:
    """Saturday 19 to Tuesday 22 June 2027, and the lab is closed all that week."""
    to = lab(closed=(Closed.model_validate({"from": june(21), "to": june(30), "why": "stocktaking"}),))
    found = plan(window(at(june(19)), at(june(22))), to, Rules(drying_days=0))
    assert "while the lab is closed" in visit_line(WORDS, found).why_not
    (line,) = other_days(WORDS, found).lines
    assert line.startswith("Not 21, 22 June: ") and "closed" in line


def test_only_a_weekend_says_so() -> None:
    found = plan(window(at(june(19)), at(june(20))), lab(), Rules(drying_days=0))
    assert visit_line(WORDS, found).why_not == "It is a weekend."
    assert other_days(WORDS, found).lines == ()


def test_other_days_that_are_good_too() -> None:
    """The window from Monday to Wednesday: all three are good, the middle one is proposed."""
    found = plan(window(at(june(21)), at(june(23))), lab(), Rules(drying_days=0))
    assert visit_line(WORDS, found).day == "Tue 22 Jun"
    assert "Good too: 21" in " ".join(other_days(WORDS, found).lines)


def test_a_bracket_has_no_day_and_says_it_once() -> None:
    bracket = Spread(june(1), None, june(20), 0, 10)
    plans = [plan(window(bracket, at(june(30))), lab(), Rules(drying_days=0)) for _ in range(3)]
    assert undated(WORDS, plans) == "No source gives one date for the start. Watch the crop."
    assert undated(WORDS, [plan(window(at(june(21)), at(june(21))), lab(), Rules(drying_days=0))]) == ""


@pytest.mark.parametrize(
    ("opens", "closes", "says"),
    [
        (at(june(21)), at(june(23)), ""),
        (at(june(21), june(14), june(28)), at(june(23)), "early in"),
        (at(june(21)), at(june(23), june(14), june(30)), "late in"),
        (at(june(21), june(14), june(28)), at(june(23), june(14), june(30)), "early or late"),
    ],
)
def test_look_first_where_the_window_is_not_sure(opens: Spread, closes: Spread, says: str) -> None:
    best = plan(window(opens, closes), lab(), Rules(drying_days=0)).best
    assert best is not None
    text = look_first(WORDS, [best])
    assert says in text and bool(text) == bool(says)


def test_the_last_day_for_a_decision_is_said_for_each_lab() -> None:
    """By hand: back by Thursday 1 July; two days of work, so in on Tuesday 29 June; two days on the road over no
    Sunday and Monday to Wednesday for the mail: Wednesday 23 June comes in on Friday. A lab with 15 days of work:
    back from Thursday 1 July, in on Thursday 10 June, mailed on Tuesday 8 June."""
    shape = window(at(june(21)), at(june(25)))
    rules = Rules(drying_days=0, decide_by=date(2027, 7, 2))
    slow = lab(lab="slow", name="Slowstone", turnaround=Turnaround(days_min=15, days_max=15))
    text = latest_text(WORDS, [plan(shape, lab(), rules), plan(shape, slow, rules)])
    assert text.startswith("You decide on Fri 2 Jul.")
    assert "Stonewell Wed 23 Jun" in text and "Slowstone Tue 8 Jun" in text
    assert latest_text(WORDS, [plan(shape, lab(), Rules(drying_days=0))]) == ""


def test_days_of_two_months() -> None:
    assert days_text(WORDS, [june(28), june(30), date(2027, 7, 1)]) == "28, 30 June and 1 July"


def test_closed_days_of_all_labs_are_joined() -> None:
    shut = [
        lab(closed=(Closed.model_validate({"from": june(18), "to": june(20), "why": "x"}),)),
        lab(closed=(Closed.model_validate({"from": june(20), "to": june(21), "why": "x"}),)),
    ]
    found = closed_days(shut, [june(22), date(2027, 5, 31)])
    assert found == ((date(2027, 5, 31), date(2027, 5, 31)), (june(18), june(22)))
