"""Which days of a sampling window are good for a visit, and why the others are not.

From the field to the result, one day after another (the days themselves: `working_days`):

1. The scout samples on a visit day (Monday to Friday, no holiday) inside the window, from the middle date of its
   opening to the middle date of its closing, both included. Where only the start of the last stage is dated, to that.
2. The sample dries for `drying_days`. Sampled on Monday, two days: ready on Wednesday. A lab that wants fresh leaves
   gets them undried.
3. It is mailed on the first mailing day from then on whose parcel does not rest on the way; with `may_rest`, on the
   first mailing day. A dry sample waits for it six days at most, so that each day of the week has its turn. A fresh one
   waits only as long as it still gets there fresh, and never rests.
4. The lab takes it in, works, and sends the result.
5. The result must be back `reading_days` calendar days before the decision. Back on Thursday, one day to read it:
   decide on Friday.

Nothing here is published. It is trade practice put in order, and so are the defaults of `Rules`. Where a lab gives two
figures, the slower decides. A fact that is not known is never guessed: there are fewer answers, and a reason names it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from ..model.lab import Day, Lab
from .season import Spread, WindowDates
from .working_days import MON_TO_FRI, MON_TO_WED, LabDays, Parcel, Reason, Why, later, no_negative_days, send, weekday

Verdict = Literal["can act", "record only", "no decision date"]
ORDER: dict[Verdict, int] = {"can act": 0, "no decision date": 1, "record only": 2}
FRESH = "do not dry"
"""The value of a lab's drying rule that asks for fresh leaves."""
LONGEST_HOLD_DAYS = 6
SEARCH_DAYS = 400
CLOCK = re.compile(r"([01][0-9]|2[0-3]):[0-5][0-9]")


@dataclass(frozen=True)
class Rules:
    """What the team decides. `drying_days` and `fresh_days` are what the lab or the handling rules say in words.

    `fresh_days`: a fresh sample must be taken in at most so many days after the visit. `delivered_by`: the hour at
    which the carrier has come, "14:00"; a parcel that comes after the lab's cut-off counts as come in a day later.
    `may_rest`: a dried parcel may lie over a weekend, a holiday or a closure. `today`: no visits before it.
    """

    decide_by: date | None = None
    reading_days: int = 1
    mailing_days: tuple[Day, ...] = MON_TO_WED
    visit_days: tuple[Day, ...] = MON_TO_FRI
    drying_days: int | None = None
    fresh_days: int | None = None
    holidays: frozenset[date] = frozenset()
    may_rest: bool = False
    delivered_by: str | None = None
    today: date | None = None

    def __post_init__(self) -> None:
        no_negative_days(reading_days=self.reading_days, drying_days=self.drying_days, fresh_days=self.fresh_days)
        if self.delivered_by is not None and not CLOCK.fullmatch(self.delivered_by):
            raise ValueError(f"delivered_by is {self.delivered_by!r}, not an hour such as '14:00'")


@dataclass(frozen=True)
class Visit:
    """A day that works. `arrives` is when the lab takes the parcel in, `result` when the result is there; both at the
    fastest and the slowest. `result` is None where the lab does not state its turn-around."""

    day: date
    mailed: date
    arrives_first: date
    arrives_last: date
    result_first: date | None
    result_last: date | None
    verdict: Verdict
    reasons: tuple[Reason, ...]


@dataclass(frozen=True)
class DayOff:
    """A day of the window that does not work; the reason that weighs most comes first."""

    day: date
    reasons: tuple[Reason, ...]


@dataclass(frozen=True)
class VisitPlan:
    """All days of a window. Visits are best first, days off by date. `missing` are facts that would give more."""

    visits: tuple[Visit, ...]
    days_off: tuple[DayOff, ...]
    missing: tuple[Reason, ...]


@dataclass(frozen=True)
class Latest:
    """The last day on which a sample can still change something; None, with reasons, where there is none."""

    day: date | None
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True)
class _Way:
    """The way of a sample into one lab and back."""

    days: LabDays
    transit: tuple[int, ...]
    turnaround: tuple[int, int] | None
    working_days: bool
    mailing_days: frozenset[Day]
    visit_days: frozenset[Day]
    drying_days: int
    hold_days: int
    fresh_days: int | None
    may_rest: bool
    _sent: dict[date, Parcel] = field(default_factory=dict, compare=False, repr=False)

    def off(self, day: date) -> tuple[Reason, ...]:
        """Why nobody goes out on this day."""
        if weekday(day) not in self.visit_days:
            return (Reason(Why.NOT_A_VISIT_DAY if weekday(day) in MON_TO_FRI else Why.WEEKEND),)
        return (Reason(Why.HOLIDAY, (day,)),) if day in self.days.holidays else ()

    def parcel(self, day: date) -> tuple[Parcel | None, tuple[Reason, ...]]:
        """The parcel of a sample taken on a day, and what is to be said about it; no parcel: what is in the way."""
        ready = later(day, self.drying_days)
        wrong: dict[Why, Reason] = {}
        for mailed in (later(ready, n) for n in range(self.hold_days + 1)):
            if weekday(mailed) not in self.mailing_days or mailed in self.days.holidays:
                continue
            parcel = self._send(mailed)
            faults = self._faults(day, parcel)
            if not faults:
                waits = Reason(Why.WAITS_FOR_MAIL, (ready, mailed), (mailed - ready).days)
                return parcel, (*([waits] if mailed > ready else []), *parcel.rests)
            for fault in faults:
                wrong.setdefault(fault.why, fault)
        return None, tuple(wrong.values()) or (Reason(Why.NO_MAILING_DAY, (ready,)),)

    def _send(self, mailed: date) -> Parcel:
        if mailed not in self._sent:
            self._sent[mailed] = send(self.days, mailed, self.transit)
        return self._sent[mailed]

    def _faults(self, day: date, parcel: Parcel) -> tuple[Reason, ...]:
        if parcel.taken_last is None or (parcel.rests and not self.may_rest):
            return parcel.rests
        if self.fresh_days is not None and (parcel.taken_last - day).days > self.fresh_days:
            fresh_until = later(day, self.fresh_days)
            return (Reason(Why.NOT_FRESH, (fresh_until, parcel.taken_last), self.fresh_days),)
        return ()

    def results(self, parcel: Parcel) -> tuple[date | None, date | None]:
        """The day of the result at the fastest and at the slowest."""
        if self.turnaround is None or parcel.taken_first is None or parcel.taken_last is None:
            return None, None
        fast, slow = self.turnaround
        return (
            self.days.result(parcel.taken_first, fast, working_days=self.working_days),
            self.days.result(parcel.taken_last, slow, working_days=self.working_days),
        )

    def latest(self, back_by: date) -> date | None:
        """The last day whose result is surely back by `back_by`."""
        for n in range(SEARCH_DAYS):
            day = later(back_by, -n)
            parcel = None if self.off(day) else self.parcel(day)[0]
            result = self.results(parcel)[1] if parcel else None
            if result is not None and result <= back_by:
                return day
        return None


def visit_days(window: WindowDates, lab: Lab, rules: Rules) -> VisitPlan:
    """The days of a sampling window on which a visit makes sense for one lab, and the days on which it does not.

    A visit that can still change something comes before one that only makes a record. Among equals the day nearest to
    the middle of the window is best, then the shorter way. A result that may come too late makes "record only": such a
    day is a visit, with TOO_LATE among its reasons. So does a turn-around that is not stated, with RESULT_DAY_UNKNOWN.

    Window 22 June to 2 July 2027, a lab that receives on Monday to Friday, 1 to 2 days on the road, result in 2 working
    days, no drying, decision on 2 July, one day to read. Best is Wednesday 23 June: mailed that day, taken in on the
    24th or 25th, result on the 29th at the latest, by the 1st of July as needed. Monday 28 June lies nearer to the
    middle, but its result may come on the 2nd.
    """
    span, missing = _span(window)
    gaps, blocked = _gaps(lab, rules)
    way = _way(lab, rules)
    if span is None or blocked or way is None:
        return VisitPlan((), (), (*missing, *gaps))
    first, last = span
    visits: list[Visit] = []
    days_off: list[DayOff] = []
    for day in (later(first, n) for n in range((last - first).days + 1)):
        past = (Reason(Why.PAST),) if rules.today is not None and day < rules.today else ()
        off = past or way.off(day)
        parcel, reasons = (None, off) if off else way.parcel(day)
        visit = _visit(day, parcel, reasons, way, window, lab, rules) if parcel else None
        if visit is None:
            days_off.append(DayOff(day, reasons))
        else:
            visits.append(visit)

    def rank(visit: Visit) -> tuple[int, int, int, date]:
        off_middle = abs((visit.day - first).days - (last - visit.day).days)
        return ORDER[visit.verdict], off_middle, (visit.arrives_last - visit.day).days, visit.day

    return VisitPlan(tuple(sorted(visits, key=rank)), tuple(days_off), (*missing, *gaps))


def latest_for_lab(lab: Lab, rules: Rules) -> Latest:
    """The last sampling day for one lab under the same rules as `visit_days`, whatever the window.

    Decide by Friday 2 July 2027, one day to read: result by Thursday 1 July. Two working days: Wednesday and Thursday,
    so taken in on Tuesday 29 June. Three calendar days on the road: mailed on Saturday 26 June at the latest. The last
    mailing day before is Wednesday 23 June; that parcel comes in on Saturday and waits until Monday 28 June, in time.
    So here a parcel may rest. If it may not, each arrival from the day after mailing to the slowest must be a receiving
    day, with no Sunday or holiday on the way: Tuesday 22 June.

    A later closure, a longer way or a longer turn-around never gives a later day. Looked for in the 400 days before
    the decision.
    """
    gaps, blocked = _gaps(lab, rules)
    if rules.decide_by is None:
        gaps, blocked = (*gaps, Reason(Why.NO_DECISION_DATE)), True
    way = _way(lab, rules)
    if blocked or way is None or way.turnaround is None or rules.decide_by is None:
        return Latest(None, gaps)
    back_by = later(rules.decide_by, -rules.reading_days)
    day = way.latest(back_by)
    if day is None:
        return Latest(None, (*gaps, Reason(Why.NO_DAY_IN_TIME, (back_by,))))
    if rules.today is not None and day < rules.today:
        return Latest(None, (*gaps, Reason(Why.PAST, (day,))))
    return Latest(day, gaps)


def wants_fresh(lab: Lab) -> bool:
    """Whether the lab asks for leaves that are not dried."""
    rule = lab.handling.get("dry")
    return rule is not None and rule.value == FRESH


def _span(window: WindowDates) -> tuple[tuple[date, date] | None, tuple[Reason, ...]]:
    """First and last day of the window, never outside p10 of its opening and p90 of its closing; and ends not dated."""
    opens, closes = window.opens, window.closes
    missing = [
        Reason(why, _bounds(end))
        for why, end, dated in ((Why.NO_OPENING, opens, True), (Why.NO_CLOSING, closes, not window.open_end))
        if end is None or end.p50 is None or not dated
    ]
    if opens is None or closes is None or opens.p50 is None or closes.p50 is None:
        return None, tuple(missing)
    first = max(opens.p50, opens.p10 or opens.p50)
    last = min(closes.p50, closes.p90 or closes.p50)
    return ((first, last), tuple(missing)) if first <= last else (None, (Reason(Why.NO_WINDOW, (first, last)),))


def _bounds(end: Spread | None) -> tuple[date, ...]:
    return tuple(day for day in (end.p10, end.p90) if day is not None) if end is not None else ()


def _gaps(lab: Lab, rules: Rules) -> tuple[tuple[Reason, ...], bool]:
    """Facts that are missing, and whether no parcel can be planned without them."""
    fresh = wants_fresh(lab)
    needed = (
        (Why.NO_TRANSIT, lab.transit is None),
        (Why.NO_RECEIVING_DAYS, lab.receives is None),
        (Why.NO_DRYING_TIME, not fresh and rules.drying_days is None),
    )
    useful = (
        (Why.NO_TURNAROUND, lab.turnaround is None),
        (Why.NO_FRESH_LIMIT, fresh and rules.fresh_days is None),
    )
    return tuple(Reason(why) for why, gone in (*needed, *useful) if gone), any(gone for _, gone in needed)


def _way(lab: Lab, rules: Rules) -> _Way | None:
    """The way into this lab; None where it does not say enough of itself. A fresh sample is neither dried nor held
    longer than it stays fresh; where that limit is not known it is mailed on the day it is taken."""
    if lab.receives is None or lab.transit is None:
        return None
    fresh = wants_fresh(lab)
    late = 1 if _after_cut_off(lab, rules) else 0
    fastest, slowest = sorted((lab.transit.days_min, lab.transit.days_max))
    turnaround = lab.turnaround
    return _Way(
        days=LabDays(frozenset(lab.receives.days), tuple((c.first, c.last) for c in lab.closed), rules.holidays),
        transit=tuple(range(fastest + late, slowest + late + 1)),
        turnaround=(turnaround.days_min, turnaround.days_max) if turnaround else None,
        working_days=turnaround.working_days if turnaround else True,
        mailing_days=frozenset(rules.mailing_days),
        visit_days=frozenset(rules.visit_days),
        drying_days=0 if fresh else rules.drying_days or 0,
        hold_days=rules.fresh_days or 0 if fresh else LONGEST_HOLD_DAYS,
        fresh_days=rules.fresh_days if fresh else None,
        may_rest=rules.may_rest and not fresh,
    )


def _after_cut_off(lab: Lab, rules: Rules) -> bool:
    """Whether the carrier comes when the lab takes nothing more in. Hours of two digits compare as text."""
    until = lab.receives.until if lab.receives else None
    return until is not None and rules.delivered_by is not None and rules.delivered_by > until


def _visit(
    day: date, parcel: Parcel, way_reasons: tuple[Reason, ...], way: _Way, window: WindowDates, lab: Lab, rules: Rules
) -> Visit | None:
    if parcel.taken_first is None or parcel.taken_last is None:
        return None
    result_first, result_last = way.results(parcel)
    verdict, why = _verdict(result_first, result_last, rules)
    return Visit(
        day=day,
        mailed=parcel.mailed,
        arrives_first=parcel.taken_first,
        arrives_last=parcel.taken_last,
        result_first=result_first,
        result_last=result_last,
        verdict=verdict,
        reasons=(*why, *_unsure(day, window), *way_reasons, *_cut_off(lab, rules)),
    )


def _verdict(first: date | None, last: date | None, rules: Rules) -> tuple[Verdict, tuple[Reason, ...]]:
    """Whether the result is surely back in time; a result that may be late is for the record."""
    if rules.decide_by is None:
        return "no decision date", ()
    back_by = later(rules.decide_by, -rules.reading_days)
    if last is None:
        return "record only", (Reason(Why.RESULT_DAY_UNKNOWN),)
    if last <= back_by:
        return "can act", (Reason(Why.IN_TIME, (last, back_by)),)
    reasons = [Reason(Why.TOO_LATE, (last, back_by))]
    if first is not None and first <= back_by:
        reasons.append(Reason(Why.ONLY_IF_FAST, (first, back_by)))
    return "record only", tuple(reasons)


def _unsure(day: date, window: WindowDates) -> tuple[Reason, ...]:
    """What the spread of the window says of a day: in some years it is still closed, or over."""
    reasons = []
    opened = window.opens.p90 if window.opens else None
    closing = window.closes.p10 if window.closes else None
    if opened is None or day < opened:
        reasons.append(Reason(Why.MAY_BE_TOO_EARLY, (opened,) if opened else ()))
    if not window.open_end and (closing is None or day > closing):
        reasons.append(Reason(Why.MAY_BE_TOO_LATE, (closing,) if closing else ()))
    return tuple(reasons)


def _cut_off(lab: Lab, rules: Rules) -> tuple[Reason, ...]:
    """The hour by which the parcel must be there: a reminder where the carrier's hour is not known."""
    until = lab.receives.until if lab.receives else None
    if until is None or (rules.delivered_by is not None and rules.delivered_by <= until):
        return ()
    return (Reason(Why.CUT_OFF if rules.delivered_by is None else Why.AFTER_CUT_OFF, clock=until),)
