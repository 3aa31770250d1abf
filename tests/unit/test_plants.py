"""The plant drawings: every protocol has one, the part to take is the dark one, labels stay clear."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from earleaf.database.load import Database, load_protocols
from earleaf.drawing.plants import FORMS, PlantSpec, compose, draw, resolve
from earleaf.drawing.plants.path import Box
from earleaf.drawing.plants.picture import Picture
from earleaf.drawing.plants.roles import OLD, PLANT, TARGET, YOUNG

ROOT = Path(__file__).resolve().parents[2]
SHORT = {"target": "take this", "young": "too young"}
LONG = {"target": "tome esta hoja entera", "young": "todavía muy joven"}
DATABASE = load_protocols(ROOT / "protocols", ROOT)
Use = tuple[str, str, str | None, PlantSpec | None]


def uses(database: Database) -> list[Use]:
    """Crop, protocol and part of every specimen and every accepted part, with what it resolves to."""
    out: list[Use] = []
    for crop in database.crops.values():
        for protocol in crop.protocols:
            parts = [(t.part, t.petiole) for t in protocol.take] + [(a.part, None) for a in protocol.also_accepted]
            for part, petiole in parts:
                out.append(
                    (
                        crop.crop,
                        protocol.protocol,
                        part,
                        resolve(
                            crop.crop,
                            crop.stage_system,
                            protocol.window.first,
                            protocol.window.last,
                            part,
                            petiole=petiole,
                            form=crop.form,
                        ),
                    )
                )
    return out


USES = uses(DATABASE)
USED = list(dict.fromkeys(spec for *_, spec in USES if spec is not None))


def svg(spec: PlantSpec, labels: dict[str, str] | None = None) -> str:
    return draw(
        spec.form,
        spec.stage,
        spec.target,
        title="A & B",
        description="The <dark> leaf.",
        ident="p1",
        labels=SHORT if labels is None else labels,
    )


def lightness(colour: str) -> float:
    """CIE L* of a hex colour."""
    r, g, b = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    y = sum(
        k * (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4)
        for k, c in zip((0.2126, 0.7152, 0.0722), (r, g, b), strict=True)
    )
    return 116 * y ** (1 / 3) - 16 if y > 0.008856 else 903.3 * y


def meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def labelled(spec: PlantSpec, labels: dict[str, str]) -> Picture:
    picture = compose(spec.form, spec.stage, spec.target, ident="p1")
    picture.svg("t", "d", labels)
    return picture


def test_every_protocol_with_a_part_resolves() -> None:
    missing = [(crop, protocol, part) for crop, protocol, part, spec in USES if part and spec is None]
    assert missing == []


def test_a_protocol_without_a_part_has_no_drawing() -> None:
    assert all(spec is None for _, _, part, spec in USES if part is None)
    assert any(part is None for _, _, part, _ in USES)


def test_an_unknown_part_is_never_guessed() -> None:
    assert resolve("corn", "corn-leaf-collar", "VT", "R1", "no-such-part") is None
    assert resolve("apple", "tree-fruit-season", "midsummer", "midsummer", "ear-leaf") is None


def test_an_unknown_crop_falls_back_to_its_stage_system_and_then_to_a_plain_shoot() -> None:
    assert resolve("popcorn", "corn-leaf-collar", "VT", "R1", "ear-leaf") == PlantSpec("corn", "head", "ear-leaf")
    spec = resolve("okra", "own-system", "bloom", "bloom", "mrml")
    assert spec is not None and spec.form == "broadleaf"


@pytest.mark.parametrize(
    ("window", "part", "expected"),
    [
        (("VE", "V5"), "whole-tops", ("young", "whole")),
        (("V6", "V20"), "uppermost-collared-leaf", ("whorl", "top-collar")),
        (("VT", "R1"), "ear-leaf", ("head", "ear-leaf")),
        (("VT", "R1"), "leaf-below-opposite-ear", ("head", "below-ear")),
        (("R5", "R6"), "lower-stalk-section", ("head", "stalk")),
    ],
)
def test_corn(window: tuple[str, str], part: str, expected: tuple[str, str]) -> None:
    assert resolve("corn", "corn-leaf-collar", *window, part) == PlantSpec("corn", *expected)


def test_the_leaf_below_and_opposite_the_ear_is_lower_and_on_the_other_side() -> None:
    ear, below = (compose("corn", "head", t, ident="x").marks["target"] for t in ("ear-leaf", "below-ear"))
    assert min(x for x, _ in ear) > 100 and max(x for x, _ in below) < 104
    base = {"ear": min(ear)[1], "below": max(below)[1]}
    assert base["below"] > base["ear"] + 8


def test_what_happens_to_the_leaf_stalk_changes_the_drawing() -> None:
    found = {
        petiole: resolve("soybean", "soybean-nodes", "R1", "R2", "trifoliate-leaf", petiole=petiole)
        for petiole in ("keep", "remove", "part", "only")
    }
    assert [spec.target for spec in found.values() if spec] == ["leaf", "blade", "parted", "petiole"]


@pytest.mark.parametrize("spec", USED, ids=lambda s: f"{s.form}-{s.stage}-{s.target}")
def test_every_drawing(spec: PlantSpec) -> None:
    text = svg(spec)
    assert text == svg(spec)
    assert len(text.encode()) <= 25_000
    root = ElementTree.fromstring(text)
    assert root.get("role") == "img"
    space = "{http://www.w3.org/2000/svg}"
    assert root.get("aria-labelledby") == "p1-t p1-d"
    assert [root[0].tag, root[0].text, root[1].tag, root[1].text] == [
        space + "title",
        "A & B",
        space + "desc",
        "The <dark> leaf.",
    ]
    left, _, width, height = map(int, (root.get("viewBox") or "").split())
    assert left == 0 and width == 200 and 200 <= height <= 260
    assert all(i.startswith("p1-") for i in re.findall(r' id="([^"]+)"', text))
    assert len(re.findall(r'class="el-target[ "]', text)) >= 1
    sizes = [float(s) for s in re.findall(r'font-size="([\d.]+)"', text)]
    assert sizes and min(sizes) >= 11
    assert len(re.findall(r'class="el-plant-label el-label-', text)) <= 2


@pytest.mark.parametrize("spec", USED, ids=lambda s: f"{s.form}-{s.stage}-{s.target}")
@pytest.mark.parametrize("labels", [SHORT, LONG], ids=["short", "long"])
def test_labels_stay_inside_and_clear(spec: PlantSpec, labels: dict[str, str]) -> None:
    picture = labelled(spec, labels)
    assert picture.boxes
    top, height = picture.window()
    for i, box in enumerate(picture.boxes):
        assert box[0] >= 0 and box[2] <= 200 and top <= box[1] and box[3] <= top + height
        assert not any(meet(box, other) for other in picture.boxes[:i])
        outline = picture.marks["target"] + picture.marks["either"]
        assert not any(box[0] <= x <= box[2] and box[1] <= y <= box[3] for x, y in outline)
    xs = [x for role, path in picture.items if "clip" not in role for x, _ in path.points]
    assert min(xs) >= 0 and max(xs) <= 200


def test_every_form_has_its_target_at_every_stage_it_names() -> None:
    for name, form in FORMS.items():
        for target in form.targets:
            stages = [stage for stage in form.stages if form.shows(stage, target)]
            assert form.nearest("no-such-stage", target) in stages
            for stage in (stages[0], stages[-1]):
                assert compose(name, stage, target, ident="x").marks["target"], (name, stage, target)


def test_the_target_is_much_darker_than_the_rest() -> None:
    for spec in USED:
        text = svg(spec)
        pale = {c for c in re.findall(r'class="el-(?:leaf|stem|flower|wood)[^"]*" fill="(#[0-9A-F]{6})"', text)}
        dark = {c for c in re.findall(r'class="el-target(?: el-target-each)?" fill="(#[0-9A-F]{6})"', text)}
        dark |= {c for c in re.findall(r'el-target-line" stroke="(#[0-9A-F]{6})"', text)}
        assert dark == {TARGET}
        assert min(map(lightness, pale), default=100) - max(map(lightness, dark)) >= 20
    assert min(map(lightness, (PLANT, OLD, YOUNG))) - lightness(TARGET) >= 20


def test_words_the_forms_do_not_know_are_refused() -> None:
    with pytest.raises(ValueError, match="no drawing"):
        compose("corn", "head", "wrapper", ident="x")


def test_labels_are_escaped_and_a_missing_label_is_left_out() -> None:
    spec = PlantSpec("corn", "head", "ear-leaf")
    assert "&lt;b&gt;" in svg(spec, {"target": "<b>"}) and "<text" not in svg(spec, {})
