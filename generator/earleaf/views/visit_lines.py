"""Good days for a visit as a page says them: one line a lab, what to ask where there is none, and the other days."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from ..planning.lab_days import LabPlan
from ..planning.visits import Visit
from ..planning.working_days import Reason, Why
from .visit_words import brief_date, brief_day, reason_text, say
from .words import MONTHS, Words

NO_DATES = (Why.NO_OPENING, Why.NO_CLOSING, Why.NO_WINDOW)
"""What is the crop's doing and not the lab's."""
OUR_DAYS_OFF = (Why.WEEKEND, Why.NOT_A_VISIT_DAY, Why.PAST)
"""What needs no telling."""
NOTES: dict[Why, str] = {
    Why.RESULT_DAY_UNKNOWN: say("ask how long a result takes"),
    Why.ONLY_IF_FAST: say("in time only if all goes fast"),
    Why.TOO_LATE: say("too late to act"),
    Why.IN_TIME: say("in time to act"),
    Why.NO_FRESH_LIMIT: say("ask how long leaves keep fresh"),
}
"""What is said of a day in a few words, the weightiest first."""


@dataclass(frozen=True)
class VisitLine:
    """The best day for one lab, with what is to be known of it; or, without a `day`, why there is none."""

    lab: str
    day: str = ""
    mail: str = ""
    result: str = ""
    note: str = ""
    why_not: str = ""


@dataclass(frozen=True)
class OtherDays:
    """The other days of a window for one lab: what else is good, and what is in the way of the rest."""

    lab: str
    lines: tuple[str, ...]


def undated(words: Words, plans: Sequence[LabPlan]) -> str:
    """Why no lab has a good day, where the reason is that the window itself has no middle dates; else nothing."""
    if any(plan.best for plan in plans):
        return ""
    reasons = (reason for plan in plans for reason in plan.plan.missing if reason.why in NO_DATES)
    first = next(reasons, None)
    return reason_text(words, Reason(first.why)) if first else ""


def visit_line(words: Words, plan: LabPlan) -> VisitLine:
    """What one lab gives for one window."""
    visit, name = plan.best, plan.lab.name
    if visit is None:
        reason = _in_the_way(plan)
        return VisitLine(name, why_not=reason_text(words, reason) if reason else words.say("No day is good."))
    back = visit.result_last
    return VisitLine(
        name,
        brief_day(words, visit.day),
        brief_day(words, visit.mailed),
        brief_date(words, back) if back else words.say("ask the lab"),
        note_text(words, visit, plan.plan.missing),
    )


def _in_the_way(plan: LabPlan) -> Reason | None:
    """A fact that the lab does not state, else what stands against the first day that is no weekend."""
    reasons = [*plan.plan.missing, *(reason for day in plan.plan.days_off for reason in day.reasons)]
    return next((r for r in reasons if r.why not in OUR_DAYS_OFF), reasons[0] if reasons else None)


def note_text(words: Words, visit: Visit, missing: Iterable[Reason] = ()) -> str:
    """The weightiest thing to know of a day, in a few words."""
    known = {reason.why for reason in (*visit.reasons, *missing)}
    return next((words.say(text) for why, text in NOTES.items() if why in known), "")


def look_first(words: Words, visits: Iterable[Visit]) -> str:
    """What the spread of the window says of its best days; nothing where they are sure."""
    known = {reason.why for visit in visits for reason in visit.reasons}
    early, late = Why.MAY_BE_TOO_EARLY in known, Why.MAY_BE_TOO_LATE in known
    if early and late:
        return words.say("May be early or late in some years: look first.")
    if early:
        return words.say("May be early in some years: look first.")
    return words.say("May be late in some years: look first.") if late else ""


def latest_text(words: Words, plans: Sequence[LabPlan]) -> str:
    """The last day to sample for each lab, where the region sets a day by which to decide."""
    decide_by = next((plan.rules.decide_by for plan in plans if plan.rules.decide_by), None)
    days = [
        words.say("{lab} {day}", lab=plan.lab.name, day=brief_day(words, plan.latest.day))
        for plan in plans
        if plan.latest and plan.latest.day
    ]
    if decide_by is None or not days:
        return ""
    return words.say(
        "You decide on {day}. Last day to sample for that: {labs}.",
        day=brief_day(words, decide_by),
        labs=words.listing(days),
    )


def other_days(words: Words, plan: LabPlan) -> OtherDays:
    """The good days that are not the best, and the others by what is in their way. Weekends are left out."""
    lines = []
    more = sorted(visit.day for visit in plan.plan.visits[1:])
    if more:
        lines.append(words.say("Good too: {days}.", days=days_text(words, more)))
    against: dict[Why, list[date]] = {}
    for off in plan.plan.days_off:
        if off.reasons[0].why not in OUR_DAYS_OFF:
            against.setdefault(off.reasons[0].why, []).append(off.day)
    for why, days in against.items():
        reason = reason_text(words, Reason(why))
        lines.append(words.say("Not {days}: {reason}", days=days_text(words, days), reason=reason))
    return OtherDays(plan.lab.name, tuple(lines))


def days_text(words: Words, days: Iterable[date]) -> str:
    """'28, 29 June and 1 July', of days in order."""
    return words.listing(
        words.say("{day} {month}", day=", ".join(str(day.day) for day in some), month=words.say(MONTHS[month - 1]))
        for (_, month), some in groupby(days, key=lambda day: (day.year, day.month))
    )
