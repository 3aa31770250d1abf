"""Lab facts are dated and sourced, not from the future, and not older than a year."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from ...model.finding import Finding
from ...model.lab import Lab, LabFact, LabHandling
from ..ask import protocols
from ..load import Database
from .base import Context, Faults, Rule

OLD = timedelta(days=365)


def facts(lab: Lab) -> Iterator[tuple[tuple[str | int, ...], LabFact | LabHandling]]:
    """Every fact of a lab with its path in the file."""
    for key in ("receives", "transit", "turnaround", "sample_id", "material", "fee", "form"):
        fact = getattr(lab, key)
        if fact is not None:
            yield (key,), fact
    for i, closed in enumerate(lab.closed):
        yield ("closed", i), closed
    for topic, rule in lab.handling.items():
        yield ("handling", topic), rule
    for i, entry in enumerate(lab.protocols):
        yield ("protocols", i), entry


def check(db: Database, context: Context) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    for key, lab in db.labs.items():
        for path, fact in facts(lab):
            if not (fact.source or lab.source):
                yield f.at(
                    "lab", key, path, f"{path[-1]} has no source", "add `source:` here, or once at the top of the file"
                )
            day = fact.checked_on or lab.checked_on
            said = path if fact.checked_on else ("checked_on",)
            what = path[-1] if fact.checked_on else "what this lab wants"
            if day is None:
                yield f.at(
                    "lab",
                    key,
                    path,
                    f"{path[-1]} has no checked_on",
                    "add the day you asked the lab, here or at the top of the file",
                )
            elif day > context.today:
                yield f.at("lab", key, said, f"checked_on {day} is in the future", "give the day you asked the lab")
            elif context.today - day > OLD:
                yield f.at(
                    "lab",
                    key,
                    said,
                    f"{what} was last checked on {day}, over 12 months ago",
                    "ask the lab again and update checked_on",
                    "warning",
                )
        for i, closed in enumerate(lab.closed):
            if closed.last < closed.first:
                yield f.at("lab", key, ("closed", i), f"closed from {closed.first} to {closed.last}", "swap the dates")
        for name in ("transit", "turnaround"):
            fact = getattr(lab, name)
            if fact is not None and fact.days_min > fact.days_max:
                yield f.at(
                    "lab", key, (name,), f"days_min {fact.days_min} is above days_max {fact.days_max}", "swap them"
                )
    for crop, i, protocol in protocols(db):
        if protocol.checked_on > context.today:
            yield f.at(
                "crop",
                crop.crop,
                ("protocols", i, "checked_on"),
                f"checked_on {protocol.checked_on} is in the future",
                "give the day the sources were read",
            )


RULE = Rule("lab-fact", "Lab facts carry a source and a date, and are asked again every 12 months.", check)
