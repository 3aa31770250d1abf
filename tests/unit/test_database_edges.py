"""Rules of the check at their edges: each place that may name something, and guards that keep one slip one finding.

Each case makes one change to the small manual; exactly one finding comes of it, at the line that was changed.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest

from earleaf.database.check import check
from earleaf.database.manual import load_manual
from earleaf.database.rules.base import Context
from earleaf.model.finding import Finding

CORN, BEAN, LAB = "protocols/crops/corn.yml", "protocols/crops/bean.yml", "labs/stonewell.yml"
ROWS, BASE, STAGES = "protocols/evidence/sampling.csv", "protocols/handling.yml", "protocols/stages/corn-stages.yml"
AFTER = "  after: [{event: full bloom, days_from: 9, days_to: 4, source: [common-practice]}]\n"


@dataclass(frozen=True)
class Slip:
    """One change, and the rule and words of the one finding. `at`: words of the line that is named."""

    file: str
    old: str
    new: str
    rule: str
    says: str
    at: str


SLIPS = [
    Slip(BASE, "say: [Do not wash it.]", "say: [{say: Do not., source: uni-q}]", "unknown-name", "'uni-q'", "uni-q"),
    Slip(CORN, "form: grass", "form: grass\ncautions: [blade]", "unknown-name", "caution 'blade'", "cautions: [blade]"),
    Slip(BEAN, "[bean.uni-b.1]", "[bean.uni-b.1, bean.uni-b.7]", "unknown-name", "row 'bean.uni-b.7'", "uni-b.7"),
    Slip(
        CORN,
        "say: [Go early. Corn rolls its leaves in the heat.]",
        "say: [Go early.]\n    basis: [bag.9]",
        "unknown-name",
        "handling row 'bag.9'",
        "hour:",
    ),
    Slip(CORN, "form: grass", "other_systems: [feekes]", "unknown-name", "stage system 'feekes'", "other_systems"),
    Slip(
        CORN,
        "  differs: [corn.uni-b.1]",
        "  also_accepted: [{part: flag-leaf, basis: [corn.uni-b.1]}]",
        "unknown-name",
        "part 'flag-leaf'",
        "also_accepted",
    ),
    Slip(
        CORN,
        "say: [Leave the stalk out.]",
        "say: [Leave the stalk out.]\n      differs: [mix.1]",
        "unknown-name",
        "handling row 'mix.1'",
        "mix:",
    ),
    Slip(LAB, "part: opposite-leaf", "part: oposite-leaf", "unknown-name", "part 'oposite-leaf'", "oposite-leaf"),
    Slip(LAB, "unit: leaves", "unit: leafs", "unknown-name", "unit 'leafs'", "leafs"),
    Slip(LAB, "  part: opp", "  window: {from: R1, to: R9}\n  part: opp", "unknown-name", "stage 'R9'", "R9"),
    Slip(LAB, "  part: opp", "  window: {from: R1, to: VT}\n  part: opp", "window", "run backwards", "to: VT"),
    Slip(ROWS, "R3,,,trifoliate-leaf", "R3,,,trifoliate", "unknown-name", "part 'trifoliate'", "first pods"),
    Slip(ROWS, "opposite-leaf,25,30,leaves", "opposite-leaf,25,30,blades", "unknown-name", "unit 'blades'", "b.1"),
    Slip(ROWS, "first pods,R3", "first pods,R8", "unknown-name", "stage 'R8'", "first pods"),
    Slip(CORN, "form: grass", "form: grass\nspot: rows", "unknown-name", "unit 'rows'", "spot: rows"),
    Slip(STAGES, "code: R2", "code: R1", "window", "'R1' is here twice", "stages:"),
    Slip(STAGES, "  last: 6", "  last: 0", "window", "the series runs from 1 to 0", "series: V"),
    Slip(BEAN, "  see:", f"{AFTER}  see:", "window", "days_from 9 is above days_to 4", "days_from: 9"),
    Slip(BEAN, "crop: bean", "? [crop]\n: bean\ncrop: bean", "bad-yaml", "one word, not a list", "? [crop]"),
]


def findings(folder: Path, today: date) -> list[Finding]:
    db = load_manual(folder / "manual.yml")[1]
    return check(db, Context(today, demo=True))


def changed(folder: Path, file: str, old: str, new: str) -> str:
    path = folder / file
    text = path.read_text("utf-8")
    assert text.count(old) >= 1, old
    path.write_text(text.replace(old, new, 1), "utf-8")
    return path.read_text("utf-8")


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: f"{slip.rule} {slip.says}")
def test_a_slip_is_told_where_it_is(slip: Slip, small_folder: Path, today: date) -> None:
    text = changed(small_folder, slip.file, slip.old, slip.new)
    mine = [f for f in findings(small_folder, today) if f.rule == slip.rule and slip.says in f.message]
    assert len(mine) == 1, "\n".join(map(str, findings(small_folder, today)))
    assert mine[0].file == slip.file and mine[0].hint
    assert slip.at in text.splitlines()[mine[0].line - 1]
