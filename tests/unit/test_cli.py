"""The command: exit codes, what it prints, and that a failed build leaves the last site as it was."""

from __future__ import annotations

import argparse
import re
from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest

from earleaf import cli
from earleaf.commands.parser import make_parser
from earleaf.site import build as site_build
from earleaf.site import publish

VERBS = ("check", "build", "serve", "cards", "season", "explain", "new")
LAB = "labs/stonewell.yml"


class FixedDay(date):
    """A clock that stands still, so that no lab fact grows old while the tests wait."""

    @classmethod
    def today(cls) -> FixedDay:
        return cls(2026, 11, 25)


@pytest.fixture(autouse=True)
def _stopped_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cli, "date", FixedDay)


def edit(folder: Path, file: str, old: str, new: str) -> None:
    """Change one place of one file."""
    text = (folder / file).read_text("utf-8")
    assert text.count(old) == 1
    (folder / file).write_text(text.replace(old, new), "utf-8")


def build(folder: Path, out: Path) -> int:
    return cli.main(["build", "--plain", "--manual", str(folder), "--out", str(out)])


def content(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_check_is_fine(small_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["check", "--manual", str(small_folder / "manual.yml")]) == 0
    assert capsys.readouterr().out.startswith("0 errors, 0 warnings in 2 crops, 3 protocols")


def test_check_prints_file_line_and_hint(small_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edit(small_folder, LAB, "amount: 24", "amount: much")
    assert cli.main(["check", "--manual", str(small_folder)]) == 1
    out = capsys.readouterr().out
    assert "labs/stonewell.yml:14  error wrong-type: fee.amount is 'much'" in out
    assert "    hint: allowed: a number" in out
    assert "1 error, " in out


def test_a_warning_is_printed_and_is_fine(small_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edit(small_folder, LAB, "checked_on: 2026-10-06", "checked_on: 2025-10-06")
    assert cli.main(["check", "--manual", str(small_folder)]) == 0
    assert "labs/stonewell.yml:6  warning lab-fact" in capsys.readouterr().out


@pytest.mark.parametrize("argv", [[], ["grow"], ["check", "--fast"], ["new", "farm", "x"], ["explain"]])
def test_wrong_usage_is_2(argv: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        cli.main(argv)
    assert stopped.value.code == 2
    assert "usage: earleaf" in capsys.readouterr().err


@pytest.mark.parametrize("argv", [["check"], ["build"], ["catalogue", "es"]])
def test_no_manual_is_2_and_says_what_to_do(
    argv: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert cli.main(argv) == 2
    told = capsys.readouterr().err
    assert told.count("no manual.yml here") == 1 and "--manual" in told and "earleaf new manual" in told
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("verb", VERBS)
def test_help_of_each_verb(verb: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        cli.main([verb, "--help"])
    assert stopped.value.code == 0
    assert f"usage: earleaf {verb}" in capsys.readouterr().out


def test_every_verb_is_in_a_file_of_its_name() -> None:
    (action,) = (a for a in make_parser()._actions if isinstance(a, argparse._SubParsersAction))
    assert list(cli.VERBS) == list(action.choices)
    assert {verb: run.__module__ for verb, run in cli.VERBS.items()} == {v: f"earleaf.commands.{v}" for v in cli.VERBS}


def test_help_lists_every_verb_and_version(capsys: pytest.CaptureFixture[str]) -> None:
    for option in ("--help", "--version"):
        with pytest.raises(SystemExit) as stopped:
            cli.main([option])
        assert stopped.value.code == 0
    out = capsys.readouterr().out
    assert all(verb in out for verb in VERBS)
    assert re.search(r"^earleaf \d+\.\d+", out, re.M)


def test_build_makes_a_site(small_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = small_folder / "site"
    assert build(small_folder, out) == 0
    assert "pages in" in capsys.readouterr().out
    assert "the ear leaf" in (out / "crops/corn/silk/index.html").read_text("utf-8").lower()


def test_a_fault_leaves_the_last_site(small_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = small_folder / "site"
    build(small_folder, out)
    before = content(out)
    edit(small_folder, LAB, "protocol: silk", "protocol: silks")
    assert build(small_folder, out) == 1
    assert content(out) == before
    told = capsys.readouterr()
    assert "labs/stonewell.yml:22" in told.out and "not built" in told.err


def test_a_folder_that_is_not_ours_is_left_alone(small_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = small_folder / "photos"
    out.mkdir()
    (out / "leaf.txt").write_text("keep me")
    assert build(small_folder, out) == 3
    assert content(out) == {"leaf.txt": b"keep me"}
    assert "Earleaf did not make" in capsys.readouterr().err


def test_a_full_disk_leaves_the_last_site(
    small_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    out = small_folder / "site"
    build(small_folder, out)
    before, names = content(out), sorted(p.name for p in small_folder.iterdir())
    whole = publish.write

    def half(files: Mapping[str, bytes], folder: Path) -> None:
        whole(dict(list(files.items())[: len(files) // 2]), folder)
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(site_build, "write", half)
    edit(small_folder, LAB, "name: Stonewell Leaf Lab", "name: Renamed Lab")
    assert build(small_folder, out) == 3
    assert content(out) == before
    assert sorted(p.name for p in small_folder.iterdir()) == names
    assert "No space left" in capsys.readouterr().err


def test_building_twice_gives_the_same_bytes(small_folder: Path) -> None:
    assert build(small_folder, small_folder / "a") == build(small_folder, small_folder / "b") == 0
    assert content(small_folder / "a") == content(small_folder / "b")


@pytest.mark.parametrize(
    "verb", [["check", "-m", "x" * 300], ["build", "--plain", "--out", "x" * 300]], ids=["read", "write"]
)
def test_a_fault_of_the_disk_is_one_line(
    small_folder: Path, capsys: pytest.CaptureFixture[str], verb: list[str]
) -> None:
    """Before or after the manual is read; no file system takes a name of 300 letters."""
    assert cli.main([*verb, *([] if "-m" in verb else ["-m", str(small_folder)])]) == cli.FAILED
    said = capsys.readouterr().err
    assert said.startswith("earleaf: ") and said.count("\n") == 1 and "name too long" in said
