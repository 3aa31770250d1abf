"""The checks against publications see a wrong figure: one is put into the database at a time, in memory.

Outside authority: as in conformance.py. A weakened check fails here, even where every figure is right.
"""

from __future__ import annotations

import random
import sys
from functools import cache
from pathlib import Path

import pytest

sys.path.append(str(Path(__file__).resolve().parents[2] / "benchmarks"))

from mutants_knowledge import BLIND, GOAL_SHARE, LEAST, SEED, Mutant, changed, database, every_mutant, seen

from earleaf.database.load import Database

EACH = 3


@cache
def db() -> Database:
    return database()


@cache
def facts() -> list[Mutant]:
    return [mutant for mutant in every_mutant(db()) if not mutant.apart]


def some() -> list[Mutant]:
    """A few of each kind, chosen by a seed."""
    dice = random.Random(SEED)
    kinds = sorted({mutant.kind for mutant in facts()})
    return [m for kind in kinds for m in dice.sample([m for m in facts() if m.kind == kind], EACH)]


def test_the_checks_see_a_sample_of_wrong_figures() -> None:
    """All of the kinds that leave no doubt; of those where two sources of one value differ, nearly all."""
    unseen = [m for m in some() if not seen(db(), m)]
    assert len(some()) >= 40
    told = [(m.kind, m.where, m.value) for m in unseen]
    assert {m.kind for m in unseen} <= BLIND.keys() and len(unseen) <= 2, told


def test_the_right_database_has_no_fault() -> None:
    crops = {m.crop: m for m in facts()}
    for mutant in crops.values():
        assert seen(db(), Mutant(mutant.crop, "nothing", "crops", mutant.crop, (), db().crops[mutant.crop])) == []


def test_a_mutant_changes_one_value_and_leaves_the_old_record_alone() -> None:
    corn = db().crops["corn"]
    other = changed(corn, ("protocols", 0, "take", 0, "count", "min"), 19.0)
    assert other.protocols[0].take[0].count.min == 19 and corn.protocols[0].take[0].count.min == 20
    assert other.protocols[1:] == corn.protocols[1:]


@pytest.mark.slow
def test_the_checks_see_nearly_all_wrong_figures() -> None:
    """What they miss is of the kinds that are told in the figures."""
    unseen = [m for m in facts() if not seen(db(), m)]
    assert len(facts()) >= LEAST and len(unseen) <= (1 - GOAL_SHARE) * len(facts())
    assert {m.kind for m in unseen} <= BLIND.keys()
