"""Puts the protocols folder into the wheel, beside the program that reads it. The same files give the same archives.

SOURCE_DATE_EPOCH (seconds since 1970) is the day that archives name; `make wheel` sets it to that of the last commit.
"""

from __future__ import annotations

import gzip
import os
import shutil
import tarfile
from pathlib import Path

from setuptools import setup
from setuptools.command.build_py import build_py
from setuptools.command.sdist import sdist

os.umask(0o022)


class WithProtocols(build_py):
    """Copies protocols/ to earleaf/protocols in the built package; a source checkout reads it in place."""

    def run(self) -> None:
        super().run()
        if not self.editable_mode:
            target = Path(self.build_lib) / "earleaf/protocols"
            shutil.rmtree(target, ignore_errors=True)
            shutil.copytree(Path(__file__).parent / "protocols", target)
            for path in Path(self.build_lib).rglob("*"):
                path.chmod(0o755 if path.is_dir() else 0o644)


class SameBytes(sdist):
    """The source archive without the clock, the owner and the rights of whoever packs it, in order of name."""

    def make_archive(self, base_name, format, root_dir=None, base_dir=None, owner=None, group=None):  # type: ignore[no-untyped-def]
        day = os.environ.get("SOURCE_DATE_EPOCH")
        if format != "gztar" or not day:
            return super().make_archive(base_name, format, root_dir, base_dir, owner, group)
        name = f"{base_name}.tar.gz"
        with (
            open(name, "wb") as out,
            gzip.GzipFile("", "wb", mtime=int(day), fileobj=out) as packed,
            tarfile.open(mode="w", fileobj=packed, format=tarfile.PAX_FORMAT) as archive,
        ):
            for path in sorted(path for path in Path(base_dir).rglob("*") if path.is_file()):
                entry = tarfile.TarInfo(path.as_posix())
                entry.size, entry.mtime, entry.mode = path.stat().st_size, int(day), 0o644
                with path.open("rb") as content:
                    archive.addfile(entry, content)
        return name


setup(cmdclass={"build_py": WithProtocols, "sdist": SameBytes})
