"""Disks that are full and disks that may not be written: one line that says so, and the last good site stays."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from tried import Surroundings, beside, corn_edition, corn_manual, small_edition, tree

from earleaf import cli
from earleaf.rendering.feed import read_state
from earleaf.site.feed_file import read_feeds


@dataclass(frozen=True)
class Disk:
    """A small disk of its own, in memory."""

    folder: Path

    def remount(self, options: str) -> None:
        subprocess.run(["mount", "-o", f"remount,{options}", str(self.folder)], check=True)

    def fill(self, left_kb: int) -> None:
        """Leave so much room and no more."""
        free = shutil.disk_usage(self.folder).free - left_kb * 1024
        with (self.folder / "ballast").open("wb") as out:
            out.write(bytes(max(0, free)))

    def empty(self) -> None:
        (self.folder / "ballast").unlink()


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Disk]:
    folder = tmp_path / "disk"
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=32m", "tmpfs", str(folder)]
    if shutil.which("mount") is None or subprocess.run(command, capture_output=True, check=False).returncode:
        pytest.skip("mounting a small disk is not allowed here")
    try:
        yield Disk(folder)
    finally:
        subprocess.run(["umount", "--lazy", str(folder)], check=True)


@dataclass(frozen=True)
class Command:
    """One thing that is made, by its words; `put` is what it tells when it could not."""

    words: tuple[str, ...]
    out: str
    told: str


MADE = {
    "site": Command(("build", "--plain", "--no-cards"), "site", "not built"),
    "copy": Command(("build", "--offline", "--no-cards"), "copy.zip", "not built"),
    "season": Command(("season", "--today", "2027-06-14"), "own", "not written"),
    "cards": Command(("cards", "--crop", "corn/silk"), "cards.pdf", "not printed"),
}
EACH = pytest.mark.parametrize("made", MADE.values(), ids=MADE)


def ready(made: Command, folder: Path) -> tuple[list[str], Callable[[], object]]:
    """The words with a manual that they fit, and how to make another edition of it."""
    if made.words[0] != "season":
        manual = small_edition(folder / "manual", 0)
        team = (manual, "team: Fernhollow Scouts", "team: Fernhollow Walkers")
        return [*made.words, "-m", str(manual)], lambda: replace(*team)
    manual = corn_manual(folder / "manual")
    lists = [str(manual.parent / name) for name in ("plantings.csv", "seen.csv")]
    words = [*made.words, "--plantings", lists[0], "--seen", lists[1], "-m", str(manual)]
    return words, lambda: replace(Path(lists[0]), "2027-04-28", "2027-05-02")


def replace(path: Path, old: str, new: str) -> None:
    text = path.read_text("utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), "utf-8")


def one_line(capsys: pytest.CaptureFixture[str], *parts: str) -> None:
    told = capsys.readouterr().err
    assert told.count("\n") == 1 and told.startswith("earleaf: "), told
    for part in parts:
        assert part in told


@EACH
def test_a_full_disk_leaves_the_last_one(
    made: Command, disk: Disk, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words, another = ready(made, tmp_path)
    out = disk.folder / made.out
    assert cli.main([*words, "--out", str(out)]) == cli.FINE
    old = tree(out)
    another()
    disk.fill(left_kb=8)
    capsys.readouterr()
    assert cli.main([*words, "--out", str(out)]) == cli.FAILED
    one_line(capsys, made.told, "disk is full", "No space left on device", str(disk.folder), "make room")
    assert tree(out) == old and beside(out) == ["ballast"]
    disk.empty()
    assert cli.main([*words, "--out", str(out)]) == cli.FINE
    assert tree(out) != old and tree(out).keys() == old.keys() and beside(out) == []


@pytest.mark.parametrize("made", [MADE["site"], MADE["cards"]], ids=["site", "cards"])
def test_a_disk_that_may_not_be_written_leaves_the_last_one(
    made: Command, disk: Disk, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words, another = ready(made, tmp_path)
    out = disk.folder / made.out
    assert cli.main([*words, "--out", str(out)]) == cli.FINE
    old = tree(out)
    another()
    disk.remount("ro")
    capsys.readouterr()
    assert cli.main([*words, "--out", str(out)]) == cli.FAILED
    one_line(capsys, made.told, f"{disk.folder} may not be written", "Read-only", "choose another folder")
    assert tree(out) == old and beside(out) == []
    disk.remount("rw")
    assert cli.main([*words, "--out", str(out)]) == cli.FINE
    assert tree(out) != old and beside(out) == []


@pytest.mark.parametrize("fault", ["full", "read-only"])
def test_a_cache_that_cannot_be_kept_costs_only_time(
    fault: str, disk: Disk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words, _ = ready(MADE["cards"], tmp_path)
    assert cli.main([*words, "--out", str(tmp_path / "one.pdf")]) == cli.FINE
    monkeypatch.setenv("XDG_CACHE_HOME", str(disk.folder))
    if fault == "full":
        disk.fill(left_kb=8)
    else:
        disk.remount("ro")
    assert cli.main([*words, "--out", str(tmp_path / "two.pdf")]) == cli.FINE
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()
    assert not [p for p in (disk.folder / "earleaf").rglob("*") if p.is_file()], "a half file was kept"


@pytest.mark.parametrize("fault", ["full", "read-only"])
def test_calendars_that_cannot_be_noted_are_not_published(
    fault: str, disk: Disk, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The state of the calendars stands beside the manual, which may be on another disk than the site."""
    manual = corn_manual(disk.folder / "manual")
    state = manual.parent / "feeds.json"
    words = ["build", "--plain", "--no-cards", "-m", str(manual), "--out", str(tmp_path / "site")]
    assert cli.main(words) == cli.FINE
    old, noted = tree(tmp_path / "site"), state.read_bytes()
    corn_edition(manual.parent, 1)
    if fault == "full":
        disk.fill(left_kb=0)
    else:
        disk.remount("ro")
    capsys.readouterr()
    assert cli.main(words) == cli.FAILED
    one_line(capsys, "not built", str(manual.parent), "full" if fault == "full" else "may not be written")
    assert tree(tmp_path / "site") == old and state.read_bytes() == noted
    assert not [name for name in beside(state) if name.startswith(".feeds")]
    assert beside(tmp_path / "site") == ["disk"]
    if fault == "full":
        disk.empty()
    else:
        disk.remount("rw")
    assert cli.main(words) == cli.FINE
    assert read_feeds(state)[0] != read_state(noted)


@pytest.mark.slow
@pytest.mark.parametrize("fault", ["full", "read-only"])
def test_the_other_shell_says_the_same_in_one_line(fault: str, disk: Disk, tmp_path: Path) -> None:
    manual = small_edition(tmp_path / "manual", 0)
    around = Surroundings(tmp_path, tmp_path / "cache")
    words = ("build", "--no-cards", "-m", manual, "--out", disk.folder / "site")
    around.run(*words)
    old = tree(disk.folder / "site")
    if fault == "full":
        disk.fill(left_kb=200)
    else:
        disk.remount("ro")
    told = around.run(*words, code=cli.FAILED)
    lines = [line for line in told.splitlines() if line.startswith("earleaf: ")]
    assert len(lines) == 1 and "Traceback" not in told
    assert ("disk is full" if fault == "full" else "may not be written") in lines[0]
    assert tree(disk.folder / "site") == old and beside(disk.folder / "site") in (["ballast"], [])


@pytest.mark.slow
def test_a_full_disk_leaves_what_was_translated(disk: Disk, capsys: pytest.CaptureFixture[str]) -> None:
    manual = small_edition(disk.folder / "manual", 0)
    replace(manual, "labs: [stonewell]", "labs: [stonewell]\nlanguages: [en, es-US]")
    assert cli.main(["catalogue", "es", "-m", str(manual)]) == cli.FINE
    written = {path: path.read_bytes() for path in disk.folder.rglob("*.po")}
    assert written
    replace(manual, "title: Small manual", "title: A manual of small size")
    disk.fill(left_kb=0)
    capsys.readouterr()
    assert cli.main(["catalogue", "es", "-m", str(manual)]) == cli.FAILED
    one_line(capsys, "not written", "disk is full", ".po")
    assert {path: path.read_bytes() for path in disk.folder.rglob("*.po")} == written
