"""Work spread over every core, in the order in which it was given."""

from __future__ import annotations

import multiprocessing
import os
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from typing import Any, TypeVar

from ..rendering.paper.typeset import started

Shared = TypeVar("Shared")
Item = TypeVar("Item")
Result = TypeVar("Result")

LOOK_S = 0.2
"""How often a worker looks whether the process it works for is still there."""

_task: tuple[Callable[[Any, Any], Any], Any] | None = None


def spread(
    work: Callable[[Shared, Item], Result], shared: Shared, items: Sequence[Item], *, chunk: int, few: int
) -> Iterator[Result]:
    """`work(shared, item)` for every item. Below `few` items, or where forking is unsafe, in this process.

    `shared` is not copied to the workers but inherited, so it may be large.
    """
    if len(items) < few or not _may_fork():
        for item in items:
            yield work(shared, item)
        return
    global _task
    _task = (work, shared)
    try:
        fork = multiprocessing.get_context("fork")
        with ProcessPoolExecutor(os.cpu_count(), fork, initializer=_watch, initargs=(os.getpid(),)) as pool:
            yield from pool.map(_run, items, chunksize=chunk)
    finally:
        _task = None


def _watch(parent: int) -> None:
    """A worker ends with the process it works for, however that one ended; else it would wait for work for ever."""

    def leave_when_alone() -> None:
        while os.getppid() == parent:
            time.sleep(LOOK_S)
        os._exit(1)

    threading.Thread(target=leave_when_alone, daemon=True).start()


def _run(item: Any) -> Any:
    assert _task is not None
    work, shared = _task
    return work(shared, item)


def _may_fork() -> bool:
    """Forking is safe only without other threads, and where the system has it.

    The live preview has threads of Python, the typesetter has threads of its own once it has worked in this process.
    """
    several = (os.cpu_count() or 1) > 1 and threading.active_count() == 1 and not started()
    return several and "fork" in multiprocessing.get_all_start_methods()
