"""For each window of a planting and each lab: good days for a visit, and the last day that still helps to decide."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from ..database.load import Database
from ..model.crop import Crop, Protocol
from ..model.lab import Lab
from ..model.region import Region
from .calendars import CropSeason
from .localise import localise
from .visits import Latest, Rules, Visit, VisitPlan, latest_for_lab, visit_days, wants_fresh
from .working_days import later

Plans = Mapping[str, "tuple[LabPlan, ...]"]
"""What the labs give, by the protocol of a window."""


@dataclass(frozen=True)
class LabPlan:
    """One window and one lab. `latest` is None where the region sets no day by which to decide."""

    lab: Lab
    rules: Rules
    plan: VisitPlan
    latest: Latest | None

    @property
    def best(self) -> Visit | None:
        """The day to propose; None where no day is good, or where the window has no middle dates."""
        return self.plan.visits[0] if self.plan.visits else None


def lab_plans(db: Database, crop: Crop, season: CropSeason) -> tuple[Plans, ...]:
    """The plans of every planting of a season, in its order, for every lab of the manual."""
    asked: dict[str, list[tuple[Lab, Rules, Latest | None]]] = {}
    for protocol in crop.protocols:
        rules = [(lab, visit_rules(db, crop, protocol, lab, season.region)) for lab in db.labs.values()]
        asked[protocol.protocol] = [
            (lab, rule, latest_for_lab(lab, rule) if rule.decide_by is not None else None) for lab, rule in rules
        ]
    return tuple(
        {
            window.protocol: tuple(
                LabPlan(lab, rules, visit_days(window, lab, rules), latest)
                for lab, rules, latest in asked[window.protocol]
            )
            for window in planting.windows
        }
        for planting in season.plantings
    )


def visit_rules(db: Database, crop: Crop, protocol: Protocol, lab: Lab, region: Region) -> Rules:
    """What holds for samples of one protocol that go from a region to a lab."""
    days, fresh = drying_days(db, crop, protocol, lab), wants_fresh(lab)
    return Rules(
        decide_by=region.decide_by.get(f"{crop.crop}/{protocol.protocol}"),
        mailing_days=region.mailing_days,
        drying_days=None if fresh else days,
        fresh_days=days if fresh else None,
        holidays=frozenset(region.holidays),
    )


def drying_days(db: Database, crop: Crop, protocol: Protocol, lab: Lab) -> int | None:
    """Days a sample dries for a lab, or days in which a fresh one must get there; None where nobody says."""
    dry = localise(db, crop, protocol, lab).handling.get("dry")
    if dry is not None and (dry.rule.days is not None or wants_fresh(lab) or "dry" in lab.handling):
        return dry.rule.days
    usual = db.handling.get("dry")
    return usual.days if usual else None


def closed_days(labs: Iterable[Lab], holidays: Iterable[date]) -> tuple[tuple[date, date], ...]:
    """First and last days on which some lab is closed or all have a holiday, in order; what touches is joined."""
    out: list[tuple[date, date]] = []
    spans = [(c.first, c.last) for lab in labs for c in lab.closed] + [(day, day) for day in holidays]
    for first, last in sorted(spans):
        if out and first <= later(out[-1][1], 1):
            out[-1] = (out[-1][0], max(out[-1][1], last))
        else:
            out.append((first, last))
    return tuple(out)
