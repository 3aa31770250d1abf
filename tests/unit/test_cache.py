"""The cache of finished paper: it may make a build faster, never different and never fail.

Outside authority: the XDG Base Directory Specification for the place; arithmetic for the days.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from earleaf.site.cache import KEEP_DAYS, Cache, usual_folder

NAME = "abcdef"


class Maker:
    """Counts how often it is asked."""

    def __init__(self, content: bytes = b"made") -> None:
        self.content, self.asked = content, 0

    def __call__(self) -> bytes:
        self.asked += 1
        return self.content


def never() -> bytes:
    raise AssertionError("it was there already")


def files(folder: Path) -> list[Path]:
    return [p for p in folder.rglob("*") if p.is_file()]


def test_made_once_then_kept(tmp_path: Path) -> None:
    make = Maker(b"\x00\xff\r\n")
    assert [Cache(tmp_path).get(NAME, make) for _ in range(3)] == [b"\x00\xff\r\n"] * 3
    assert make.asked == 1


def test_another_name_is_made_anew(tmp_path: Path) -> None:
    cache = Cache(tmp_path)
    assert cache.get("aaaa", Maker(b"a")) == b"a"
    assert cache.get("aabb", Maker(b"b")) == b"b"
    assert (cache.get("aaaa", never), cache.get("aabb", never)) == (b"a", b"b")


def test_without_a_folder_nothing_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    cache, make = Cache(None), Maker()
    assert cache.get(NAME, make) == cache.get(NAME, make) == b"made"
    cache.tidy()
    assert make.asked == 2 and files(tmp_path) == []


def test_a_folder_is_made_when_it_is_needed(tmp_path: Path) -> None:
    folder = tmp_path / "not/yet"
    Cache(folder).tidy()
    assert not folder.exists()
    Cache(folder).get(NAME, Maker())
    assert Cache(folder).get(NAME, never) == b"made"


def test_nothing_half_written_stays_behind(tmp_path: Path) -> None:
    Cache(tmp_path).get(NAME, Maker())
    assert [p.read_bytes() for p in files(tmp_path)] == [b"made"]


def test_a_folder_that_cannot_be_written_is_no_fault(tmp_path: Path) -> None:
    """A file stands where the folder should be: nobody, not even root, can write below it."""
    (tmp_path / "file").write_text("not a folder")
    cache, make = Cache(tmp_path / "file"), Maker()
    assert cache.get(NAME, make) == cache.get(NAME, make) == b"made"
    cache.tidy()
    assert make.asked == 2 and (tmp_path / "file").read_text() == "not a folder"


def test_a_full_disk_is_no_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    make = Maker()
    assert Cache(tmp_path).get(NAME, make) == b"made"
    monkeypatch.undo()
    assert Cache(tmp_path).get(NAME, make) == b"made" and make.asked == 2, "a half-written file was taken for a whole"


@pytest.mark.parametrize("fault", [ValueError("too tall"), OSError(5, "broken"), KeyboardInterrupt()], ids=repr)
@pytest.mark.parametrize("place", [lambda folder: folder, lambda _: None], ids=["folder", "no folder"])
def test_what_make_raises_is_passed_on_and_nothing_is_kept(
    fault: BaseException, place: Callable[[Path], Path | None], tmp_path: Path
) -> None:
    def fails() -> bytes:
        raise fault

    cache = Cache(place(tmp_path))
    with pytest.raises(type(fault)) as raised:
        cache.get(NAME, fails)
    assert raised.value is fault
    assert files(tmp_path) == []
    assert cache.get(NAME, Maker(b"later")) == b"later"


def aged(cache: Cache, name: str, days: float) -> None:
    """A file that was last asked for so many days ago."""
    assert cache.folder is not None
    cache.get(name, Maker(name.encode()))
    (path,) = [p for p in files(cache.folder) if p.read_bytes() == name.encode()]
    then = time.time() - days * 24 * 60 * 60
    os.utime(path, (then, then))


def test_tidy_drops_what_was_not_asked_for_in_a_while(tmp_path: Path) -> None:
    cache = Cache(tmp_path)
    aged(cache, "old", KEEP_DAYS + 1)
    aged(cache, "young", KEEP_DAYS - 1)
    cache.tidy()
    assert [p.read_bytes() for p in files(tmp_path)] == [b"young"]


def test_what_is_asked_for_again_grows_young(tmp_path: Path) -> None:
    cache = Cache(tmp_path)
    aged(cache, "used", KEEP_DAYS + 1)
    cache.get("used", never)
    cache.tidy()
    assert cache.get("used", never) == b"used"


def test_the_place_is_that_of_the_specification(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """$XDG_CACHE_HOME, or $HOME/.cache where it is unset or empty."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "x"))
    assert usual_folder() == tmp_path / "x/earleaf"
    for unset in (lambda: monkeypatch.setenv("XDG_CACHE_HOME", ""), lambda: monkeypatch.delenv("XDG_CACHE_HOME")):
        unset()
        assert usual_folder() == tmp_path / ".cache/earleaf"
