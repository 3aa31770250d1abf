"""Figures of long runs, kept as JSON beside this file, and the page made from them: docs/quality.md.

    python benchmarks/quality.py        write docs/quality.md anew from benchmarks/figures/

A run hands its figures to `keep`; nobody types a figure into the page. `tests/site/test_quality.py` compares the two.
"""

from __future__ import annotations

import json
import os
import platform
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

HERE = Path(__file__).parent
FIGURES = HERE / "figures"
PAGE = HERE.parent / "docs/quality.md"

HEAD = """\
<!-- not a chapter: made by `make quality` from benchmarks/figures/; edit the runs, not this page -->
# Held to numbers

Each table is from one run. The command above it repeats the run. A goal that was not reached says so.
"""


@dataclass(frozen=True)
class Figure:
    """One figure. `goal` is what was asked for, as text; `reached` is None where nothing was asked for."""

    what: str
    value: str
    goal: str = ""
    reached: bool | None = None


def keep(name: str, title: str, order: int, command: str, figures: list[Figure], notes: list[str]) -> Path:
    """Write the figures of a run to benchmarks/figures/<name>.json. Lower `order` stands higher on the page."""
    FIGURES.mkdir(exist_ok=True)
    path = FIGURES / f"{name}.json"
    run = {
        "title": title,
        "order": order,
        "command": command,
        "day": datetime.now(UTC).date().isoformat(),
        "machine": f"{os.cpu_count()} cores, Python {platform.python_version()}",
        "figures": [asdict(figure) for figure in figures],
        "notes": notes,
    }
    path.write_text(json.dumps(run, indent=1, ensure_ascii=False) + "\n", "utf-8")
    return path


def page(folder: Path = FIGURES) -> str:
    """docs/quality.md as Markdown, from every run in the folder."""
    runs = [json.loads(path.read_text("utf-8")) for path in sorted(folder.glob("*.json"))]
    parts = [HEAD]
    for run in sorted(runs, key=lambda r: (r["order"], r["title"])):
        parts.append(f"\n## {run['title']}\n\n`{run['command']}`. {run['day']}, {run['machine']}.\n")
        parts.append("\n| What | Figure | Goal | |\n|---|---|---|---|\n")
        for one in run["figures"]:
            verdict = {True: "reached", False: "**not reached**", None: ""}[one["reached"]]
            parts.append(f"| {one['what']} | {one['value']} | {one['goal']} | {verdict} |\n")
        if run["notes"]:
            parts.append("\n" + "\n".join(f"- {note}" for note in run["notes"]) + "\n")
    return "".join(parts)


if __name__ == "__main__":
    PAGE.write_text(page(), "utf-8")
    print(f"{PAGE.name}: {len(list(FIGURES.glob('*.json')))} runs")
