"""A root folder that holds Python and the libraries it is linked to, and nothing else of the system."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

BESIDE = ("librt.so.1", "libpthread.so.0", "libdl.so.2", "libutil.so.1", "libstdc++.so.6", "libgcc_s.so.1")
"""The rest of the C library and the two of the compiler: the smallest images with Python have them, compiled packages
count on them."""
_SHOWN = re.compile(r"(/\S+) \(0x")


def may_be_made() -> bool:
    """Whether this machine lets us mount and change root."""
    asked = subprocess.run(["unshare", "--mount", "chroot", "/", "true"], capture_output=True, check=False)
    return asked.returncode == 0


def make(root: Path, python: Path) -> None:
    """Fill `root` with empty folders and copies of the libraries of this Python."""
    for folder in ("proc", "dev/shm", "tmp", "home"):
        (root / folder).mkdir(parents=True)
    for device in ("null", "urandom"):
        (root / "dev" / device).touch()
    modules = [m for m in python.parents[1].glob("lib/python3*/lib-dynload/*.so") if "tkinter" not in m.name]
    linked: set[str] = set()
    for one in (python, *modules):
        said = subprocess.run(["ldd", one], capture_output=True, text=True, check=True).stdout
        linked |= set(_SHOWN.findall(said))
    system = {Path(path) for path in linked if not path.startswith(str(python.parents[1]))}
    beside = {path.parent / name for path in system if path.name == "libc.so.6" for name in BESIDE}
    for path in system | beside:
        target = root / str(path)[1:]
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(path, target)


def run(root: Path, trees: Sequence[Path], program: Path, *words: str, at: str, env: dict[str, str]) -> str:
    """Run a program of one of the trees inside the root. The trees are seen there under their own names, read-only."""
    steps = []
    for tree in trees:
        place = root / str(tree)[1:]
        place.mkdir(parents=True, exist_ok=True)
        steps += [f"mount --bind {tree} {place}", f"mount -o remount,bind,ro {place}"]
    steps += [f"mount --bind /dev/{name} {root}/dev/{name}" for name in ("null", "urandom")]
    steps += [f"mount -t proc proc {root}/proc", f"mount -t tmpfs tmpfs {root}/dev/shm"]
    inside = (
        f"import os, sys; os.chroot({str(root)!r}); os.chdir({at!r}); os.execve(sys.argv[1], sys.argv[1:], {env!r})"
    )
    script = " && ".join([*steps, 'exec python3 -I -c "$0" "$@"'])
    command = ["unshare", "--mount", "sh", "-c", script, inside, str(program), *words]
    ran = subprocess.run(command, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, f"{' '.join(words)}\n{ran.stdout[-3000:]}\n{ran.stderr[-3000:]}"
    return ran.stdout
