"""Paper from JSON: a template for cards, for the field record and for a season. Fit is measured, never hoped for."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from functools import lru_cache
from hashlib import sha256
from html import unescape
from importlib.metadata import version
from typing import Any, Literal

import typst

from ...views.card import Card, CardWords
from ...views.record import Record
from ...views.season_sheet import SeasonSheet
from .codes import code
from .glyphs import FONTS, missing, spoken
from .preview import small
from .sheets import Sheet

TEMPLATES = FONTS.parent
TOLERANCE_MM = 0.01
LEAST_MM = 9 * 25.4 / 72
"""9 pt: nothing on a card is printed smaller."""

PREVIEW_PPI = 110
"""Fine enough for 11 pt on a phone."""

Form = Literal["pdf", "png"]
Job = dict[str, Any]


@dataclass(frozen=True)
class Picture:
    """A drawing for a card, and what it shows for those who cannot see it."""

    svg: str
    alt: str

    @property
    def least_mm(self) -> float:
        """How high it must be printed so that the numbers in it keep the least size; 0 without numbers."""
        sizes = [float(size) for size in re.findall(r'font-size="([0-9.]+)"', self.svg)]
        if not sizes:
            return 0.0
        return LEAST_MM / min(sizes) * self._view[1]

    @property
    def least_wide_mm(self) -> float:
        """How wide it must be printed for the same; as high as that makes it."""
        return self.least_mm / self._view[1] * self._view[0]

    @property
    def _view(self) -> tuple[float, float]:
        """Width and height in its own units."""
        view = re.search(r'viewBox="[-0-9.]+ [-0-9.]+ ([0-9.]+) ([0-9.]+)"', self.svg)
        assert view is not None
        return float(view[1]), float(view[2])


@dataclass(frozen=True)
class Printable:
    """A card with its drawing; None where no source names the part."""

    card: Card
    picture: Picture | None


class CannotPrint(ValueError):
    """Paper that cannot be printed as it is. `faults` holds (name of the card, what is wrong)."""

    def __init__(self, faults: Sequence[tuple[str, str]]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(f"{name}: {what}" for name, what in faults))


def card_job(
    cards: Sequence[Printable], words: CardWords, sheet: Sheet, title: str, team: str, *, tried: bool = False
) -> Job:
    """What the template of the cards is fed with. Of cards that were `tried` alone the words are not measured again."""
    return {
        "template": "card.typ",
        "tried": tried,
        "title": title,
        "team": team,
        "language": cards[0].card.language,
        "words": asdict(words),
        "sheet": asdict(sheet),
        "cards": [
            {
                **asdict(p.card),
                "picture": {**asdict(p.picture), "least_mm": p.picture.least_mm} if p.picture else None,
            }
            for p in cards
        ],
    }


def record_job(record: Record, paper_mm: tuple[float, float], team: str) -> Job:
    """What the template of the field record is fed with."""
    return {
        "template": "record.typ",
        "team": team,
        "paper": {"width_mm": paper_mm[0], "height_mm": paper_mm[1]},
        **asdict(record),
    }


def season_job(
    sheets: Sequence[tuple[SeasonSheet, Picture]], paper_mm: tuple[float, float], team: str, language: str, name: str
) -> Job:
    """What the template of the season sheets is fed with: each sheet with its chart. The chart's words are checked."""
    return {
        "template": "season.typ",
        "name": name,
        "title": sheets[0][0].title,
        "team": team,
        "language": language,
        "paper": {"width_mm": paper_mm[0], "height_mm": paper_mm[1]},
        "sheets": [
            {
                **asdict(sheet),
                "picture": {**asdict(chart), "wide_mm": chart.least_wide_mm},
                "chart_words": [unescape(text) for text in re.findall(r"<text [^>]*>([^<]*)</text>", chart.svg)],
            }
            for sheet, chart in sheets
        ],
    }


def digest(job: Job, form: Form) -> str:
    """A name for the finished bytes: same name, same bytes."""
    parts = [_tools(), form, json.dumps(job, ensure_ascii=False, sort_keys=True)]
    return sha256("\0".join(parts).encode()).hexdigest()


def typeset(job: Job, form: Form = "pdf") -> bytes:
    """The job as one PDF, tagged (PDF/UA-1), or its first page as a small PNG. Same job, same bytes.

    Raises CannotPrint, which names each card that is too tall or holds a character that the fonts do not have.
    """
    faults = _without_glyphs(job)
    if faults:
        raise CannotPrint(faults)
    if "cards" in job:
        job = {**job, "cards": [_with_code(card) for card in job["cards"]]}
    compiler = _compiler()
    out = compiler.compile(
        TEMPLATES / job["template"],
        format=form,
        ppi=PREVIEW_PPI if form == "png" else None,
        sys_inputs={"job": json.dumps(job, ensure_ascii=False)},
        pdf_standards=["ua-1"] if form == "pdf" else [],
    )
    fits = json.loads(compiler.query("<fit>", field="value"))
    sides = (("wide_mm", "a word is {:.1f} mm too long for its line"), ("over_mm", "the text is {:.1f} mm too tall"))
    over = [(fit["name"], what.format(fit[side])) for fit in fits for side, what in sides if fit[side] > TOLERANCE_MM]
    if over:
        raise CannotPrint(over)
    first = out[0] if isinstance(out, list) else out
    assert isinstance(first, bytes)
    return small(first) if form == "png" else first


def _with_code(card: Job) -> Job:
    """A card with its square code: made here, so that a card from the cache costs none."""
    made = code(card["short_url"])
    return {**card, "code": made.svg, "code_mm": made.width_mm}


def started() -> bool:
    """Whether the typesetter has worked in this process. It then has threads, and the process must not be forked."""
    return _compiler.cache_info().currsize > 0


@lru_cache
def _compiler() -> typst.Compiler:
    return typst.Compiler(root=str(TEMPLATES), font_paths=[str(FONTS)], ignore_system_fonts=True)


@lru_cache
def _tools() -> str:
    """Everything but the job that the bytes depend on."""
    mark = sha256(f"{version('typst')} {version('pillow')} {version('segno')}".encode())
    for path in sorted([*TEMPLATES.glob("*.typ"), *TEMPLATES.glob("*.py"), *FONTS.glob("*.ttf")]):
        mark.update(path.read_bytes())
    return mark.hexdigest()


NOT_PRINTED = frozenset({"svg", "short_url", "alt", "code_alt", "template", "name"})
"""What no reader sees as text."""


def _texts(value: object) -> list[str]:
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [t for k, v in value.items() if k not in NOT_PRINTED for t in _texts(v)]
    if isinstance(value, list | tuple):
        return [t for v in value for t in _texts(v)]
    return []


def _without_glyphs(job: Job) -> list[tuple[str, str]]:
    """(card, what is missing) for every card, and for the words that stand on all of them."""
    shared = {k: v for k, v in job.items() if k != "cards"}
    groups: list[tuple[str, object]] = [(job.get("name", "every card"), shared)]
    groups += [(card["name"], card) for card in job.get("cards", [])]
    out = []
    for name, texts in groups:
        absent = list(dict.fromkeys(c for text in _texts(texts) for c in missing(text)))
        if absent:
            out.append((name, f"the font of the cards has no {', '.join(spoken(c) for c in absent)}"))
    return out
