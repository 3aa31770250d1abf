"""The preview: quick because nothing is made twice, and yet the same bytes as a build from nothing."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from earleaf.database.load import Database
from earleaf.model.crop import Crop
from earleaf.model.finding import Finding
from earleaf.rendering.pages import Pages
from earleaf.site import handouts
from earleaf.site.build import finished, grow, prepare
from earleaf.site.editions import editions
from earleaf.site.memory import crop_keys
from earleaf.site.preview import Preview, watched
from small_manual import write

TODAY = date(2026, 11, 25)


@pytest.fixture
def manual(tmp_path: Path) -> Path:
    return write(tmp_path / "manual")


class Told:
    def __init__(self) -> None:
        self.findings: list[Finding] = []
        self.lines: list[str] = []

    def __call__(self, findings: list[Finding], line: str) -> None:
        self.findings, self.lines = findings, [*self.lines, line]


@pytest.fixture
def told() -> Told:
    return Told()


@pytest.fixture
def preview(manual: Path, tmp_path: Path, told: Told) -> Preview:
    (tmp_path / "shown").mkdir()
    made = Preview(manual, tmp_path / "shown", told, lambda: TODAY)
    made.build()
    return made


def tree(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def clean(manual: Path) -> dict[str, bytes]:
    return finished(grow(prepare(manual, TODAY)), keep_lists=False)


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")


EDITS = [
    ("protocols/crops/corn.yml", "latin:", "# a line more\nlatin:"),
    ("protocols/crops/corn.yml", "name: Corn\n", "name: Maize\n"),
    ("labs/stonewell.yml", "Stonewell Leaf Lab", "Stonewell Plant Lab"),
    ("docs/index.md", "Take the leaf", "Take only the leaf"),
    ("manual.yml", "Fernhollow Scouts", "Fernhollow Walkers"),
    ("manual.yml", "crops: [corn, bean]", "crops: [bean]"),
]


@pytest.mark.parametrize(("name", "old", "new"), EDITS)
def test_after_an_edit_the_folder_is_what_a_build_from_nothing_makes(
    preview: Preview, manual: Path, name: str, old: str, new: str
) -> None:
    before = tree(preview.folder)
    edit(manual.parent / name, old, new)
    preview.build()
    after = tree(preview.folder)
    assert after == clean(manual)
    assert after != before
    edit(manual.parent / name, new, old)
    preview.build()
    assert tree(preview.folder) == before


def test_only_the_crop_that_changed_is_worked_on(
    preview: Preview, manual: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    worked: list[str] = []
    real = handouts.crop_handouts

    def counting(db: Database, one: object, pages: Pages, crop: Crop, press: object) -> object:
        worked.append(crop.crop)
        return real(db, one, pages, crop, press)  # type: ignore[arg-type]

    monkeypatch.setattr(handouts, "crop_handouts", counting)
    edit(manual.parent / "protocols/crops/corn.yml", "latin:", "# a line more\nlatin:")
    preview.build()
    assert worked == ["corn"]
    edit(manual.parent / "labs/stonewell.yml", "Stonewell Leaf Lab", "Stonewell Plant Lab")
    preview.build()
    assert worked == ["corn", "bean", "corn"]


def test_a_fault_leaves_the_pages_and_is_told(preview: Preview, manual: Path, told: Told) -> None:
    before = tree(preview.folder)
    edit(manual.parent / "protocols/crops/corn.yml", "latin:", "latn:")
    preview.build()
    assert tree(preview.folder) == before
    assert {f.file for f in told.findings if f.level == "error"} == {"protocols/crops/corn.yml"}
    assert told.lines[-1].startswith("not built")
    edit(manual.parent / "protocols/crops/corn.yml", "latn:", "latin:")
    preview.build()
    assert not told.findings and re.match(r"\d+ files changed", told.lines[-1])


class Closed(dict[str, Crop]):
    """Crops that must not be looked at, but for one."""

    def __init__(self, crops: dict[str, Crop], only: str) -> None:
        super().__init__(crops)
        self.only = only

    def __getitem__(self, name: str) -> Crop:
        assert name == self.only, f"the pages of {self.only} look at {name}"
        return super().__getitem__(name)

    def get(self, name: str, default: object = None) -> object:  # type: ignore[override]
        return self[name] if name == self.only else pytest.fail(f"the pages of {self.only} look at {name}")

    def values(self) -> object:  # type: ignore[override]
        pytest.fail(f"the pages of {self.only} look at all crops")

    items = __iter__ = values  # type: ignore[assignment]


@pytest.mark.parametrize("name", ["corn", "wheat", "alfalfa", "grape", "potato", "almond", "strawberry", "turf"])
def test_the_pages_of_a_crop_rest_on_no_other_crop(root: Path, name: str) -> None:
    prepared = prepare(root / "demo_scenario/manual.yml", TODAY)
    assert prepared.manual is not None
    edition = editions(prepared.manual, prepared.db, prepared.chapters)[0]
    crop = edition.db.crops[name]
    alone = replace(edition.db, crops=Closed(edition.db.crops, name), left_out=Closed({}, name))
    made = handouts.crop_handouts(alone, edition.manual, Pages(edition.words), crop, None)
    whole = handouts.crop_handouts(edition.db, edition.manual, Pages(edition.words), crop, None)
    assert made == whole and made.pages


def test_the_key_of_a_crop_follows_its_file_and_all_that_is_shared(manual: Path) -> None:
    def keys() -> dict[str, str]:
        prepared = prepare(manual, TODAY)
        assert prepared.manual is not None
        edition = editions(prepared.manual, prepared.db, prepared.chapters)[0]
        crops = list(edition.db.crops.values())
        made = crop_keys(edition.db, edition.manual, Pages(edition.words), crops, printed=False)
        return dict(zip(edition.db.crops, made, strict=True))

    first = keys()
    assert len(set(first.values())) == 2 and keys() == first
    edit(manual.parent / "protocols/crops/corn.yml", "latin:", "# a line more\nlatin:")
    second = keys()
    assert second["bean"] == first["bean"] and second["corn"] != first["corn"]
    for file in sorted((manual.parent / "protocols/evidence").glob("*.csv")):
        file.write_bytes(file.read_bytes().rstrip(b"\n") + b"\r\n")
        third = keys()
        assert all(third[crop] != second[crop] for crop in third), file.name
        second = third


def test_folders_outside_the_manual_are_watched_too(root: Path, preview: Preview) -> None:
    assert watched(preview) == []
    demo = Preview(root / "demo_scenario/manual.yml", preview.folder, preview.tell, lambda: TODAY)
    assert {folder.name for folder in watched(demo)} == {"docs", "protocols"}


@pytest.fixture
def served(manual: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [
        str(Path(sys.executable).with_name("earleaf")),
        "serve",
        "-m",
        str(manual),
        "--address",
        f"127.0.0.1:{port}",
    ]
    process = subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "LANGUAGE": "en"},
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # tests in the background ignore it
    )
    yield process, f"http://127.0.0.1:{port}/"
    process.kill()
    process.wait()


def page(address: str) -> str:
    try:
        with urllib.request.urlopen(address, timeout=10) as answer:
            return str(answer.read().decode("utf-8"))
    except OSError:
        return ""


def wait_for(address: str, text: str) -> bool:
    until = time.monotonic() + 30
    while time.monotonic() < until:
        if text in page(address):
            return True
        time.sleep(0.1)
    return False


def test_a_reader_sees_the_edit_and_ctrl_c_ends_it(served: tuple[subprocess.Popen[str], str], manual: Path) -> None:
    process, address = served
    assert wait_for(f"{address}crops/corn/", "Corn")
    assert "livereload" in page(f"{address}crops/corn/")
    edit(manual.parent / "protocols/crops/corn.yml", "name: Corn\n", "name: Blue maize\n")
    assert wait_for(f"{address}crops/corn/", "lue maize")
    process.send_signal(signal.SIGINT)
    assert process.wait(20) == 0
    assert process.stdout is not None and "files changed" in process.stdout.read()
