"""Putting a site on disk: all of it or nothing."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from earleaf.site import publish as publishing
from earleaf.site.publish import MARK, NotOurs, publish, swap

OLD = {"index.html": b"old", "crops/corn/index.html": b"old corn"}
NEW = {"index.html": b"new"}


def pages(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*.html")}


def test_a_new_site(tmp_path: Path) -> None:
    publish(OLD, tmp_path / "deep/site")
    assert pages(tmp_path / "deep/site") == OLD
    assert (tmp_path / "deep/site" / MARK).exists()


def test_an_empty_folder_is_filled(tmp_path: Path) -> None:
    (tmp_path / "site").mkdir()
    publish(NEW, tmp_path / "site")
    assert pages(tmp_path / "site") == NEW


def test_the_new_site_takes_the_place_of_the_old(tmp_path: Path) -> None:
    publish(OLD, tmp_path / "site")
    publish(NEW, tmp_path / "site")
    assert pages(tmp_path / "site") == NEW
    assert [p.name for p in tmp_path.iterdir()] == ["site"]


def test_anyone_may_read_the_site(tmp_path: Path) -> None:
    publish(NEW, tmp_path / "site")
    assert (tmp_path / "site").stat().st_mode & 0o555 == 0o555


def test_foreign_files_are_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "site").mkdir()
    (tmp_path / "site/thesis.html").write_bytes(b"mine")
    with pytest.raises(NotOurs, match="did not make"):
        publish(NEW, tmp_path / "site")
    assert pages(tmp_path / "site") == {"thesis.html": b"mine"}


@pytest.mark.parametrize("address", ["../outside.html", "/outside.html", "a/../../outside.html"])
def test_an_address_that_leaves_the_site_is_refused(address: str, tmp_path: Path) -> None:
    publish(OLD, tmp_path / "site")
    with pytest.raises(ValueError, match="leaves the site"):
        publish({**NEW, address: b"x"}, tmp_path / "site")
    assert pages(tmp_path / "site") == OLD
    assert [p.name for p in tmp_path.iterdir()] == ["site"]


def test_half_written_leaves_the_old_site_and_no_rest(tmp_path: Path) -> None:
    """A file in the way of a folder: the disk refuses the second file."""
    publish(OLD, tmp_path / "site")
    with pytest.raises(OSError):
        publish({"crops": b"a file", "crops/corn/index.html": b"new corn"}, tmp_path / "site")
    assert pages(tmp_path / "site") == OLD
    assert [p.name for p in tmp_path.iterdir()] == ["site"]


def test_a_swap_that_fails_puts_the_old_site_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    publish(OLD, tmp_path / "site")
    (tmp_path / "new").mkdir()
    rename = os.rename

    def refuse_new(source: Path, target: Path) -> None:
        if source.name == "new":
            raise OSError(5, "Input/output error")
        rename(source, target)

    monkeypatch.setattr(publishing, "exchange", lambda *_: False)
    monkeypatch.setattr(os, "rename", refuse_new)
    with pytest.raises(OSError, match="Input/output"):
        swap(tmp_path / "new", tmp_path / "site")
    assert pages(tmp_path / "site") == OLD
