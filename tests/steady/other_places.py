"""Two surroundings that differ in all that must not matter: place, day, zone, language, seeds, rights, order, cores."""

from __future__ import annotations

import shutil
import subprocess
from functools import cache
from pathlib import Path

from tried import PROGRAM, ROOT, Surroundings

SHUFFLED = '''\
"""Lists of files in an order of their own, as on another drive."""

import os
import random

_order = random.Random({seed})
_listdir, _scandir = os.listdir, os.scandir


def _mixed(found):
    found = sorted(found, key=lambda one: one if isinstance(one, (str, bytes)) else one.name)
    _order.shuffle(found)
    return found


class _Entries:
    def __init__(self, path):
        with _scandir(path) as entries:
            self._found = iter(_mixed(entries))

    def __iter__(self):
        return self._found

    def __next__(self):
        return next(self._found)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        pass

    def close(self):
        pass


os.listdir = lambda path=".": _mixed(_listdir(path))
os.scandir = lambda path=".": _Entries(path)
'''
ELSEWHERE = "another place/ñandú & Grüße/deep/er"
LANGUAGES = ("tr_TR.utf8", "es_ES.utf8", "de_DE.utf8")
"""Wanted for their letters, their commas, their order; the first that the machine has."""


@cache
def can_shift_days() -> bool:
    """Whether libfaketime is here: the only clock that the whole of a process believes."""
    if shutil.which("faketime") is None:
        return False
    say = subprocess.run(["faketime", "-f", "+1d", "date", "+%s"], capture_output=True, text=True, check=False)
    now = subprocess.run(["date", "+%s"], capture_output=True, text=True, check=True)
    return say.returncode == 0 and 86_000 < int(say.stdout) - int(now.stdout) < 86_800


def two_places(folder: Path) -> tuple[Surroundings, Surroundings]:
    """Two copies of the program and the demo, each with surroundings of its own. Nothing is kept between them."""
    known = subprocess.run(["locale", "-a"], capture_output=True, text=True, check=False).stdout.split()
    language = next((name for name in LANGUAGES if name in known), "C.UTF-8")
    one = _place(folder / "one", 1)
    other = _place(folder / ELSEWHERE, 2)
    return (
        Surroundings(
            cwd=one,
            cache=folder / "cache-one",
            program=one,
            env={"TZ": "Pacific/Kiritimati", "LC_ALL": "C", "PYTHONHASHSEED": "0", "PYTHONPATH": str(one / "order")},
        ),
        Surroundings(
            cwd=other.parent,
            cache=folder / "cache two",
            program=other,
            env={
                "TZ": "America/Los_Angeles",
                "LC_ALL": language,
                "LANGUAGE": "tr:es",
                "PYTHONHASHSEED": "random",
                "PYTHONPATH": str(other / "order"),
            },
            before=("faketime", "-f", "+1d", *(("taskset", "-c", "0") if shutil.which("taskset") else ())),
            umask=0o077,
        ),
    )


def _place(folder: Path, seed: int) -> Path:
    folder.mkdir(parents=True)
    for name in PROGRAM:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
        else:
            shutil.copy(source, folder / name)
    (folder / "order").mkdir()
    (folder / "order/sitecustomize.py").write_text(SHUFFLED.format(seed=seed), "utf-8")
    return folder
