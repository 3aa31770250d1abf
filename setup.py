"""Puts the protocols folder into the wheel, beside the program that reads it."""

from __future__ import annotations

import shutil
from pathlib import Path

from setuptools import setup
from setuptools.command.build_py import build_py


class WithProtocols(build_py):
    """Copies protocols/ to earleaf/protocols in the built package; a source checkout reads it in place."""

    def run(self) -> None:
        super().run()
        if not self.editable_mode:
            target = Path(self.build_lib) / "earleaf/protocols"
            shutil.rmtree(target, ignore_errors=True)
            shutil.copytree(Path(__file__).parent / "protocols", target)


setup(cmdclass={"build_py": WithProtocols})
