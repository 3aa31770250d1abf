"""Two builds at once, into the same place: the site is whole, and no number of a calendar is lost."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from killing import Forked, ForkedProcess
from tried import Surroundings, beside, corn_edition, corn_manual, small_edition, tree

from earleaf import cli
from earleaf.site import alone as alone_module
from earleaf.site.alone import Busy, alone, claimed, is_free
from earleaf.site.build import build_plain, prepare
from earleaf.site.publish import publish


def child(work: Callable[[Callable[[], None]], None]) -> int:
    """A process that works until it calls what it is given, and then stops where it stands."""
    ready, told = os.pipe()
    number = os.fork()
    if not number:

        def stand() -> None:
            os.write(told, b"x")
            signal.pause()

        try:
            work(stand)
        finally:
            os._exit(1)
    os.close(told)
    assert os.read(ready, 1) == b"x"
    os.close(ready)
    return number


def end(number: int) -> None:
    os.kill(number, signal.SIGKILL)
    os.waitpid(number, 0)


def test_builds_side_by_side_end_well(tmp_path: Path) -> None:
    manual = small_edition(tmp_path / "manual", 0)
    (tmp_path / "out").mkdir()
    out = tmp_path / "out/site"
    words = ("build", "--plain", "--no-cards", "-m", manual, "--out", out)
    around = Forked(tmp_path, tmp_path / "cache")
    around.run(*words)
    alike = tree(out)
    for _ in range(3):
        both: list[ForkedProcess] = [around.start(*words) for _ in range(3)]
        for process in both:
            process.communicate()
        assert [process.returncode for process in both] == [cli.FINE] * 3
        assert tree(out) == alike and beside(out) == []


@pytest.mark.slow
@pytest.mark.parametrize("shell", [("--plain",), ()], ids=["plain shell", "MkDocs shell"])
def test_builds_with_cards_and_calendars_side_by_side_end_well(tmp_path: Path, shell: tuple[str, ...]) -> None:
    """The same site, the same state of the calendars, the same cache, which is empty at first."""
    manual = corn_manual(tmp_path / "manual")
    out = tmp_path / "out/site"
    words = ("build", *shell, "-m", manual, "--out", out)
    around = Surroundings(tmp_path, tmp_path / "cache")
    both = [around.start(*words) for _ in range(2)]
    for process in both:
        said = "".join(process.communicate(timeout=600))
        assert process.returncode == cli.FINE, said
    alike, state = tree(out), (manual.parent / "feeds.json").read_bytes()
    around.run(*words)
    assert tree(out) == alike and (manual.parent / "feeds.json").read_bytes() == state and beside(out) == []


def test_a_build_that_was_overtaken_says_so_and_publishes_nothing(
    tmp_path: Path, today: date, capsys: pytest.CaptureFixture[str]
) -> None:
    """It counted on from numbers that are not the last ones any more."""
    manual = corn_manual(tmp_path / "manual")
    out, state = tmp_path / "site", manual.parent / "feeds.json"
    build_plain(prepare(manual, today), out)
    slow = prepare(corn_edition(manual.parent, 1), today)
    build_plain(prepare(corn_edition(manual.parent, 2), today), out)
    site, noted = tree(out), state.read_bytes()
    with pytest.raises(Busy, match=r"another build has changed feeds\.json .* build again"):
        build_plain(slow, out)
    assert tree(out) == site and state.read_bytes() == noted and beside(out) == ["manual"]
    build_plain(prepare(corn_edition(manual.parent, 1), today), out)
    assert tree(out) != site


def test_a_season_that_was_overtaken_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from earleaf.site import private

    manual = corn_manual(tmp_path / "manual")
    out = tmp_path / "own"
    lists = ["--plantings", str(manual.parent / "plantings.csv"), "--today", "2027-06-14"]
    words = ["season", *lists, "-m", str(manual), "--out", str(out)]
    assert cli.main(words) == cli.FINE
    make = private.season_files

    def overtaken(*args: object, **more: object) -> dict[str, bytes]:
        files = make(*args, **more)  # type: ignore[arg-type]
        (out / private.STATE).write_bytes(b'{"version": 1, "events": [], "gone": []}')
        return files

    monkeypatch.setattr(private, "season_files", overtaken)
    capsys.readouterr()
    assert cli.main(words) == cli.FAILED
    assert "another run has changed" in capsys.readouterr().err
    assert (out / private.STATE).read_bytes() == b'{"version": 1, "events": [], "gone": []}'
    assert beside(out) == ["manual"]


def test_one_waits_for_the_other_and_says_so_if_that_takes_long(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def holds(stand: Callable[[], None]) -> None:
        with alone(tmp_path):
            stand()

    publish({"index.html": b"old"}, tmp_path / "site")
    monkeypatch.setattr(alone_module, "WAIT_S", 0.1)
    number = child(holds)
    try:
        with pytest.raises(Busy, match=r"another build is still publishing into .* then build again"):
            publish({"index.html": b"new"}, tmp_path / "site")
        assert (tmp_path / "site/index.html").read_bytes() == b"old"
    finally:
        end(number)
    publish({"index.html": b"new"}, tmp_path / "site")
    assert (tmp_path / "site/index.html").read_bytes() == b"new" and beside(tmp_path / "site") == []


def test_the_unfinished_site_of_a_living_build_stays_until_it_is_dead(tmp_path: Path) -> None:
    from earleaf.site.publish import started

    def builds(stand: Callable[[], None]) -> None:
        with started(tmp_path / "site") as new:
            (new / "index.html").write_bytes(b"half")
            stand()

    number = child(builds)
    try:
        publish({"index.html": b"new"}, tmp_path / "site")
        (unfinished,) = beside(tmp_path / "site")
        assert (tmp_path / unfinished / "index.html").read_bytes() == b"half"
    finally:
        end(number)
    publish({"index.html": b"newer"}, tmp_path / "site")
    assert beside(tmp_path / "site") == []


def test_a_lock_inside_a_lock_of_ones_own_and_a_claim(tmp_path: Path) -> None:
    with alone(tmp_path), alone(tmp_path, wait_s=0):
        pass
    with claimed(tmp_path):
        assert not is_free(tmp_path)
    assert is_free(tmp_path) and not is_free(tmp_path / "gone")


def test_without_locks_of_the_system_all_goes_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Then nobody knows who is alive, so nothing of others is swept."""
    (tmp_path / ".site-new-abcd0123").mkdir()
    for lacking in (None, NoLocks):
        monkeypatch.setattr(alone_module, "fcntl", lacking)
        publish({"index.html": b"new"}, tmp_path / "site")
        assert tree(tmp_path / "site")["index.html"] == b"new"
        assert beside(tmp_path / "site") == [".site-new-abcd0123"]


class NoLocks:
    """A drive without locks."""

    LOCK_EX = LOCK_NB = 0

    @staticmethod
    def flock(number: int, what: int) -> None:
        raise OSError(95, "Operation not supported")
