"""`earleaf new`: each skeleton, once filled in, passes the check; nothing is ever overwritten."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from earleaf.site.build import prepare
from earleaf.site.skeleton import write_new


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory, today: date) -> Path:
    """A new manual of one's own."""
    folder = tmp_path_factory.mktemp("own") / "my-manual"
    message, fine = write_new("manual", str(folder), None, today)
    assert fine, message
    return folder


def errors(folder: Path, today: date) -> list[str]:
    return [str(f) for f in prepare(folder / "manual.yml", today).errors]


def fill(path: Path, **words: str) -> None:
    text = path.read_text("utf-8")
    for old, new in words.items():
        assert old in text, old
        text = text.replace(old, new)
    path.write_text(text, "utf-8")


def test_new_manual_passes_as_it_is(own: Path, today: date) -> None:
    assert errors(own, today) == []


def test_new_crop_passes_when_filled(own: Path, today: date) -> None:
    _, fine = write_new("crop", "quinoa", own / "manual.yml", today)
    assert fine
    assert errors(own, today), "an unfilled skeleton must not pass in silence"
    crop = own / "protocols/crops/quinoa.yml"
    row = next(line[2:] for line in crop.read_text("utf-8").splitlines() if line.startswith("# quinoa.practice.1,"))
    fill(crop, **{"<genus species>": "Chenopodium quinoa", "<4 letters a-z or digits 2-9>": "qu2y"})
    with (own / "protocols/evidence/sampling-row-crops.csv").open("a") as table:
        table.write(row + "\n")
    assert errors(own, today) == []


def test_new_lab_and_source_pass_when_filled(own: Path, today: date) -> None:
    assert write_new("source", "mill-lab-sheet", own / "manual.yml", today)[1]
    assert write_new("lab", "mill-lab", own / "manual.yml", today)[1]
    fill(
        own / "sources.yml", **{"<who wrote it>": "Mill lab", "<its title>": "Sheet", "<who published it>": "Mill lab"}
    )
    text = (own / "labs/mill-lab.yml").read_text("utf-8")
    placeholder = text[text.index('"<id of') : text.index('>"') + 2]
    fill(own / "labs/mill-lab.yml", **{placeholder: "mill-lab-sheet"})
    fill(own / "manual.yml", **{"labs: []": "labs: [mill-lab]"})
    assert errors(own, today) == []


@pytest.mark.parametrize(
    ("kind", "name"), [("crop", "corn"), ("crop", "Big Name"), ("lab", "../x y"), ("manual", "my-manual")]
)
def test_nothing_is_overwritten_and_ids_are_checked(own: Path, today: date, kind: str, name: str) -> None:
    target = str(own) if kind == "manual" else name
    before = {p: p.read_bytes() for p in own.rglob("*") if p.is_file()}
    message, fine = write_new(kind, target, own / "manual.yml", today)
    assert not fine and message
    assert before == {p: p.read_bytes() for p in own.rglob("*") if p.is_file()}
