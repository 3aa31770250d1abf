"""Every rule over the whole database; all findings at once."""

from __future__ import annotations

from ..model.finding import Finding
from .load import Database
from .rules import (
    changes,
    counts,
    ids,
    invented,
    lab_facts,
    lab_how,
    memory_only,
    numbers,
    placeholders,
    rows_used,
    supported,
    timing,
    timing_supported,
    unknown_names,
    weather,
    windows,
)
from .rules.base import Context, Rule

RULES: tuple[Rule, ...] = tuple(
    module.RULE
    for module in (
        unknown_names,
        supported,
        counts,
        windows,
        numbers,
        memory_only,
        rows_used,
        timing,
        timing_supported,
        weather,
        lab_facts,
        lab_how,
        invented,
        ids,
        changes,
        placeholders,
    )
)


def check(db: Database, context: Context) -> list[Finding]:
    """Loading faults and rule findings, in order of file and line, each once."""
    found = set(db.findings)
    for rule in RULES:
        found.update(rule.check(db, context))
    return sorted(found)
