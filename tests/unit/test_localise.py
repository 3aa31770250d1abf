"""One protocol for one lab: what the lab says wins, and every value knows who said it."""

from __future__ import annotations

from datetime import date

import pytest

from earleaf.database.load import Database
from earleaf.model.base import Cited
from earleaf.model.crop import Count, Spots, Window
from earleaf.model.lab import Lab, LabProtocol
from earleaf.planning.localise import LocalProtocol, localise


def local(db: Database, crop: str = "corn", protocol: str = "silk", lab: Lab | None = None) -> LocalProtocol:
    known = db.crops[crop]
    return localise(db, known, next(p for p in known.protocols if p.protocol == protocol), lab)


def lab_with(**entry: object) -> Lab:
    """A lab that wants one thing otherwise at corn silk."""
    return Lab(
        lab="other",
        name="Other",
        source=("stonewell-note",),
        checked_on=date(2026, 10, 1),
        protocols=(LabProtocol.model_validate({"crop": "corn", "protocol": "silk", **entry}),),
    )


def test_without_a_lab_nothing_changes(small: Database) -> None:
    base = local(small)
    assert base.changes == () and base.lab is None
    assert base.specimens[0].part == "ear-leaf"
    assert [line.say for line in base.specimens[0].how] == ["Find the top ear. Take the leaf at its foot."]


def test_a_lab_that_changes_the_part_drops_how_result_and_notes_of_the_base(small: Database) -> None:
    mine = local(small, lab=small.labs["stonewell"])
    assert mine.specimens[0].part == "opposite-leaf"
    assert mine.specimens[0].how == (
        Cited(say="Take the leaf on the other side of the stalk.", source=("stonewell-note",)),
    )
    assert "part" in [c.key for c in mine.changes]
    assert mine.result == () and mine.notes == ()


def test_a_lab_that_changes_the_stalk_brings_its_own_how(small: Database) -> None:
    """What the base says of the stalk must not stand beside what the lab says of it."""
    mine = local(small, lab=lab_with(petiole="keep", say=["Keep the stalk on."]))
    assert [line.say for line in mine.specimens[0].how] == ["Keep the stalk on."]
    assert [c.key for c in mine.changes] == ["petiole"]
    assert not mine.result and "mix" not in mine.handling


def test_a_lab_that_only_counts_otherwise_adds_to_how(small: Database) -> None:
    count, spots = {"min": 50, "unit": "leaves"}, {"number": 5, "each": 10}
    mine = local(small, lab=lab_with(count=count, spots=spots, say=["Shake each leaf."]))
    assert [line.say for line in mine.specimens[0].how] == [
        "Find the top ear. Take the leaf at its foot.",
        "Shake each leaf.",
    ]
    assert mine.result


@pytest.mark.parametrize(
    ("topic", "layer", "file"),
    [
        ("bag", "base", "protocols/handling.yml"),
        ("dry", "group", "protocols/groups/row-crops.yml"),
        ("hour", "crop", "protocols/crops/corn.yml"),
        ("wash", "lab", "labs/stonewell.yml"),
    ],
)
def test_every_handling_rule_knows_its_layer(topic: str, layer: str, file: str, small: Database) -> None:
    rule = local(small, lab=small.labs["stonewell"]).handling[topic]
    assert (rule.origin.layer, rule.origin.file) == (layer, file)
    assert rule.origin.line > 0


def test_without_the_lab_its_layer_is_gone(small: Database) -> None:
    assert local(small).handling["wash"].origin.layer == "base"
    assert local(small).handling["mix"].origin.layer == "protocol"
    assert local(small, "bean", "bloom").handling["hour"].origin.layer == "base"


def test_origin_of_part_and_count_names_the_sources_that_say_so(small: Database) -> None:
    base = local(small).specimens[0]
    assert base.origin["part"].sources == base.origin["count"].sources == ("uni-a",)
    mine = local(small, lab=small.labs["stonewell"]).specimens[0]
    for key in ("part", "count", "spots", "how"):
        assert mine.origin[key].layer == "lab" and mine.origin[key].sources == ("stonewell-note",)
        assert mine.origin[key].checked_on == date(2026, 10, 6)


def test_changes_hold_before_and_after(small: Database) -> None:
    changes = {c.key: (c.before, c.after) for c in local(small, lab=small.labs["stonewell"]).changes}
    assert list(changes) == ["part", "count", "spots", "wash"]
    assert changes["part"] == ("ear-leaf", "opposite-leaf")
    assert changes["count"] == (Count(min=15, max=25, unit="leaves"), Count(min=25, max=25, unit="leaves"))
    assert changes["spots"] == (Spots(number=4, each=5), Spots(number=5, each=5))


def test_what_a_lab_repeats_is_no_change(small: Database) -> None:
    mine = local(small, lab=lab_with(part="ear-leaf", window={"from": "VT", "to": "R1"}))
    assert mine.changes == () and mine.specimens[0].how


def test_a_lab_may_move_the_window(small: Database) -> None:
    mine = local(small, lab=lab_with(window={"from": "R1", "to": "R1"}))
    assert mine.window == Window.model_validate({"from": "R1", "to": "R1"})
    assert mine.window_origin.layer == "lab" and [c.key for c in mine.changes] == ["window"]


def test_an_entry_for_another_protocol_changes_nothing_but_the_rules_for_all(small: Database) -> None:
    mine = local(small, "corn", "young", small.labs["stonewell"])
    assert [c.key for c in mine.changes] == ["wash"] and mine.specimens[0].part == "whole-tops"


def test_cautions_for_all_and_of_the_protocol(small: Database) -> None:
    assert local(small, "corn", "young").cautions == ("rei", "blades")
    assert local(small).cautions == ("rei",)
