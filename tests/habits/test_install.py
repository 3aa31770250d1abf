"""Earleaf is built, installed and used as a stranger would: from its packages, outside the repository.

Outside authority: pip, the package index and each Python this machine has.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tarfile
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import bare_root
import pytest
import pythons

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.slow
IN_USE = [("new", "manual", "m"), ("check",), ("build",), ("build", "--plain", "--out", "plain"), ("cards",)]
"""What a stranger types first; each but the first in the folder of the new manual."""


@dataclass(frozen=True)
class Packages:
    wheel: Path
    sdist: Path


@pytest.fixture(scope="session")
def packages(tmp_path_factory: pytest.TempPathFactory) -> Packages:
    """Wheel and sdist. The wheel is made from the sdist, so nothing may be missing there."""
    folder = tmp_path_factory.mktemp("packages")
    source = folder / "source"
    never = {"site", "site-plain", "private", "build", "dist"}
    for one in ROOT.iterdir():
        if one.is_dir() and one.name not in never and not one.name.startswith("."):
            shutil.copytree(one, source / one.name, ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
        elif one.is_file():
            source.mkdir(exist_ok=True)
            shutil.copy2(one, source)
    _run([sys.executable, "-m", "venv", folder / "tools"])
    tools = folder / "tools/bin/python"
    _pip(tools, "install", "build")
    _run([tools, "-m", "build", "--outdir", folder / "dist", source])
    (wheel,) = (folder / "dist").glob("*.whl")
    (sdist,) = (folder / "dist").glob("*.tar.gz")
    return Packages(wheel, sdist)


def _run(command: Sequence[str | Path], **how: object) -> str:
    ran = subprocess.run(command, capture_output=True, text=True, check=False, **how)  # type: ignore[call-overload]
    assert ran.returncode == 0, f"{' '.join(map(str, command))}\n{ran.stdout[-3000:]}\n{ran.stderr[-3000:]}"
    return str(ran.stdout)


def _pip(python: Path, *words: str | Path) -> None:
    _run([python, "-m", "pip", "--quiet", "--disable-pip-version-check", *words])


def _installed(version: str, package: Path, folder: Path) -> Path:
    """A fresh environment with the package and what it asks for, from the index."""
    program = pythons.find(version)
    if program is None:
        pytest.skip(f"no Python {version} on this machine")
    _run([program, "-m", "venv", folder / "env"])
    _pip(folder / "env/bin/python", "install", package)
    return folder / "env"


def _use(environment: Path, home: Path) -> Path:
    """Type the first commands with nothing set but a home and this one folder of programs."""
    home.mkdir(exist_ok=True)
    bare = {"HOME": str(home), "PATH": str(environment / "bin")}
    for words in IN_USE:
        place = home if words[0] == "new" else home / "m"
        _run([environment / "bin/earleaf", *words], cwd=place, env=bare)
    return home / "m"


def _is_a_manual(folder: Path) -> None:
    """The pages, a handout of a shipped crop and its cards are there, in both shells."""
    for site in ("site", "plain"):
        assert "<title>" in (folder / site / "index.html").read_text("utf-8")
        handout = (folder / site / "crops/corn/tassel-to-silk/index.html").read_text("utf-8")
        assert "ear leaf" in handout
        assert list((folder / site).rglob("*.pdf")), f"no card in {site}"
    assert (folder / "cards.pdf").read_bytes().startswith(b"%PDF-")


def test_at_least_one_promised_python_is_here() -> None:
    assert any(pythons.find(version) for version in pythons.PROMISED)


@pytest.mark.parametrize("version", pythons.PROMISED)
def test_the_wheel_makes_a_manual_outside_the_repository(version: str, packages: Packages, tmp_path: Path) -> None:
    environment = _installed(version, packages.wheel, tmp_path)
    _run([environment / "bin/python", "-m", "pip", "check"])
    _is_a_manual(_use(environment, tmp_path / "home"))


def test_the_source_package_installs_too(packages: Packages, tmp_path: Path) -> None:
    version = next(v for v in reversed(pythons.PROMISED) if pythons.find(v))
    environment = _installed(version, packages.sdist, tmp_path)
    home = tmp_path / "home"
    home.mkdir()
    bare = {"HOME": str(home), "PATH": str(environment / "bin")}
    _run([environment / "bin/earleaf", "new", "manual", "m"], cwd=home, env=bare)
    _run([environment / "bin/earleaf", "build", "--plain", "--no-cards"], cwd=home / "m", env=bare)
    assert (home / "m/site/crops/corn/tassel-to-silk/index.html").is_file()


def test_a_root_with_only_python_is_enough(packages: Packages, tmp_path: Path) -> None:
    """Nothing of the system but Python and its libraries: no shell, no git, no fonts, no time zones, no /usr/share."""
    if not bare_root.may_be_made():
        pytest.skip("no leave to make a root here; the tests above empty the environment instead")
    version = next(v for v in pythons.PROMISED if pythons.find(v))
    environment = _installed(version, packages.wheel, tmp_path)
    python = (environment / "bin/python").resolve()
    root = tmp_path / "root"
    bare_root.make(root, python)
    trees, bare = (python.parents[1], environment), {"HOME": "/home", "PATH": str(environment / "bin")}
    for words in IN_USE:
        at = "/home" if words[0] == "new" else "/home/m"
        bare_root.run(root, trees, environment / "bin/earleaf", *words, at=at, env=bare)
    _is_a_manual(root / "home/m")


def test_the_packages_hold_what_they_must_and_nothing_private(packages: Packages) -> None:
    with zipfile.ZipFile(packages.wheel) as wheel:
        names = wheel.namelist()
    for part in ("earleaf/protocols/crops/corn.yml", "earleaf/rendering/paper/fonts/OFL.txt", "earleaf/cli.py"):
        assert part in names
    licences = {n.rsplit("/licenses/")[1] for n in names if "/licenses/" in n}
    assert {"LICENSE", "LICENSE-protocols", "THIRD-PARTY.md"} <= licences
    assert not [n for n in names if not n.startswith(("earleaf/", "earleaf-"))]
    with tarfile.open(packages.sdist) as sdist:
        held = {n.split("/", 1)[1] for n in sdist.getnames() if "/" in n}
    assert {"protocols/crops/corn.yml", "LICENSE-protocols", "THIRD-PARTY.md", "pyproject.toml", "setup.py"} <= held
    assert not [n for n in held if "__pycache__" in n or n.endswith(".pyc")]
