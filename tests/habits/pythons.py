"""Where this machine keeps each Python that Earleaf promises to run on."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

PROMISED = ("3.11", "3.12", "3.13")
_ASK = "import sys, venv, ensurepip; print('%d.%d' % sys.version_info[:2])"


def find(version: str) -> Path | None:
    """A Python of this version that can make virtual environments, or None."""
    folders = [Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv")) / "versions"]
    found = [p for folder in folders for p in sorted(folder.glob(f"{version}.*/bin/python"), key=_number)]
    on_path = shutil.which(f"python{version}")
    for program in [*reversed(found), *([Path(on_path)] if on_path else [])]:
        asked = subprocess.run([program, "-c", _ASK], capture_output=True, text=True, check=False)
        if asked.returncode == 0 and asked.stdout.strip() == version:
            return program
    return None


def _number(program: Path) -> list[int]:
    return [int(n) for n in re.findall(r"\d+", program.parts[-3])]
