"""Work spread over the cores: the same answers in the same order, however many cores there are."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from earleaf.site import workers
from earleaf.site.workers import spread
from small_manual import write

MANY = list(range(40))


@pytest.fixture
def forks(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine that may fork, whatever this one is: two cores, no other thread, and nothing typeset so far."""
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    monkeypatch.setattr(workers, "started", lambda: False)


def where(_: object, item: int) -> tuple[int, int]:
    return item, os.getpid()


def squared(shared: int, item: int) -> int:
    return shared + item * item


def slow_first(_: object, item: int) -> int:
    """Earlier items take longer, so that later ones are ready first."""
    threading.Event().wait((len(MANY) - item) / 2000)
    return item


def fails_at_seven(_: object, item: int) -> int:
    if item == 7:
        raise LookupError(f"item {item}")
    return item


def called(shared: Iterator[int], item: int) -> str:
    return type(shared).__name__


@pytest.mark.parametrize("few", [1, 1000], ids=["forked", "here"])
@pytest.mark.parametrize("chunk", [1, 3, 100])
def test_order_and_results_are_kept(few: int, chunk: int, forks: None) -> None:
    assert list(spread(squared, 100, MANY, chunk=chunk, few=few)) == [100 + n * n for n in MANY]
    assert list(spread(slow_first, None, MANY, chunk=chunk, few=few)) == MANY


def test_from_few_on_other_processes_work(forks: None) -> None:
    ids = {pid for _, pid in spread(where, None, MANY, chunk=1, few=len(MANY))}
    assert os.getpid() not in ids


def test_below_few_it_stays_in_this_process(forks: None) -> None:
    assert {pid for _, pid in spread(where, None, MANY, chunk=1, few=len(MANY) + 1)} == {os.getpid()}


def test_one_core_stays_in_this_process(forks: None, monkeypatch: pytest.MonkeyPatch) -> None:
    for cores in (1, None):
        monkeypatch.setattr(os, "cpu_count", lambda cores=cores: cores)
        assert {pid for _, pid in spread(where, None, MANY, chunk=1, few=1)} == {os.getpid()}


def test_after_typesetting_it_stays_in_this_process(forks: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """The typesetter has threads that Python does not count."""
    monkeypatch.setattr(workers, "started", lambda: True)
    assert {pid for _, pid in spread(where, None, MANY, chunk=1, few=1)} == {os.getpid()}


def test_beside_another_thread_it_stays_in_this_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fork copies one thread only; a lock that another holds would stay shut for ever (POSIX fork)."""
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    monkeypatch.setattr(workers, "started", lambda: False)
    done = threading.Event()
    other = threading.Thread(target=done.wait)
    other.start()
    try:
        assert {pid for _, pid in spread(where, None, MANY, chunk=1, few=1)} == {os.getpid()}
    finally:
        done.set()
        other.join()


@pytest.mark.parametrize("few", [1, 1000], ids=["forked", "here"])
def test_what_the_work_raises_is_passed_on(few: int, forks: None) -> None:
    done = []
    with pytest.raises(LookupError, match="item 7"):
        for item in spread(fails_at_seven, None, MANY, chunk=1, few=few):
            done.append(item)
    assert done == [0, 1, 2, 3, 4, 5, 6]
    assert list(spread(squared, 0, [1, 2, 3], chunk=1, few=few)) == [1, 4, 9], "a fault must not spoil the next"


def test_what_is_shared_need_not_be_copied(forks: None) -> None:
    """A generator cannot be pickled; it is inherited all the same."""
    assert set(spread(called, (n for n in MANY), MANY, chunk=1, few=1)) == {"generator"}


def test_nothing_is_kept_afterwards(forks: None) -> None:
    list(spread(squared, 0, MANY, chunk=4, few=1))
    assert workers._task is None


def test_no_items_no_results(forks: None) -> None:
    assert list(spread(fails_at_seven, None, [], chunk=1, few=0)) == []


RECORDS = """
import sys
from datetime import date
from pathlib import Path
from earleaf.rendering.paper.typeset import started
from earleaf.site.build import prepare
from earleaf.site.cache import Cache
from earleaf.site.cards import Press
from earleaf.site.editions import editions
prepared = prepare(Path(sys.argv[1]), date(2026, 11, 25))
edition = editions(prepared.manual, prepared.db, {})[0]
made = dict(Press(edition.db, edition.manual, edition.words, Cache(None)).records())
print(len(made), all(content.startswith(b"%PDF") for content in made.values()), started())
"""


def test_field_records_are_typeset_in_workers(tmp_path: Path) -> None:
    """Else the next language would have one core only. In a process of its own, which may fork."""
    asked = [sys.executable, "-c", RECORDS, str(write(tmp_path / "manual"))]
    assert subprocess.run(asked, capture_output=True, text=True, check=True).stdout == "4 True False\n"


WAITS = """
import os, threading, sys
from earleaf.site import workers
os.cpu_count = lambda: 2

def work(shared, item):
    os.write(1, f"{os.getpid()}{os.linesep}".encode())
    threading.Event().wait(60)

list(workers.spread(work, None, [1, 2], chunk=1, few=1))
"""


def test_workers_end_with_a_build_that_is_killed_alone() -> None:
    """Whoever is short of memory kills one process, not its group; the others must not wait for work for ever."""
    build = subprocess.Popen([sys.executable, "-c", WAITS], stdout=subprocess.PIPE, text=True)
    assert build.stdout is not None
    working = [int(build.stdout.readline()) for _ in range(2)]
    build.kill()
    build.wait()
    until = time.monotonic() + 20
    while any(map(alive, working)) and time.monotonic() < until:
        time.sleep(0.1)
    left = [pid for pid in working if alive(pid)]
    for pid in left:
        os.kill(pid, signal.SIGKILL)
    assert not left


def alive(pid: int) -> bool:
    """Whether there is such a process that is not only waiting to be counted out."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False
