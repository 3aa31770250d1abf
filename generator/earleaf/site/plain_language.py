"""How hard each page is to read: its score against a target, and the worst sentences with file and line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from ..database.languages import is_source, subtag
from ..database.manual import ManualDatabase, common_root, shipped_protocols
from ..language.lint import Remark, deep_headings, lint
from ..language.readability import MEASURES, Counts, count, score
from ..language.sentences import sentences
from ..planning.calendars import crop_seasons
from ..planning.lab_days import lab_plans
from ..planning.localise import localise
from ..views.calendar import calendar_page
from ..views.card import card
from ..views.handout import handout
from ..views.pages import stage_guide
from .build import Prepared
from .chapters import Chapter
from .editions import Edition, editions
from .page_texts import Piece, Place, calendar_pieces, card_pieces, chapter_pieces, guide_pieces, handout_pieces

TARGETS: Mapping[str, Mapping[str, float]] = {
    "en": {"cards": 6, "handouts": 8, "stage guides": 8, "calendars": 8, "chapters": 8},
    "es": {"cards": 65, "handouts": 55, "stage guides": 55, "calendars": 55, "chapters": 55},
}
"""At most this school grade in English, at least this INFLESZ value in Spanish. Our choice."""


@dataclass(frozen=True)
class Reading:
    """One page as it reads: all its sentences together make the score."""

    kind: str
    address: str
    language: str
    pieces: tuple[Piece, ...]
    counts: Counts
    place: Place

    @cached_property
    def score(self) -> float:
        return score(self.counts, self.language)

    @property
    def target(self) -> float:
        return TARGETS[self.language][self.kind]

    @property
    def passes(self) -> bool:
        return MEASURES[self.language].passes(self.score, self.target)

    @property
    def distance(self) -> float:
        """How far the page is on the wrong side of its target; below zero on the right side."""
        return (self.score - self.target) * (1 if MEASURES[self.language].better == "low" else -1)


class Reader:
    """Reads every page of an edition, and remembers what it has counted. `untranslated` pages are not read."""

    def __init__(self, edition: Edition) -> None:
        self.edition, self.language = edition, subtag(edition.tag)
        db = edition.db
        self.names = (*(lab.name for lab in db.labs.values()), *(crop.latin for crop in db.crops.values()))
        self.counted: dict[str, Counts] = {}
        self.untranslated = 0

    def readings(self) -> list[Reading]:
        """Every card, handout, stage guide, calendar and chapter; the worst first within its kind."""
        found = [*self._protocols(), *self._guides(), *self._calendars()]
        for chapter in self.edition.chapters:
            found += self._reading("chapters", chapter.file, chapter_pieces(chapter), (chapter.file, 1))
        kinds = list(TARGETS[self.language])
        return sorted(found, key=lambda r: (kinds.index(r.kind), -r.distance, r.address))

    def _protocols(self) -> Iterator[Reading]:
        db, words, manual = self.edition.db, self.edition.words, self.edition.manual
        for crop in db.crops.values():
            for protocol in crop.protocols:
                for lab in (None, *db.labs.values()):
                    local = localise(db, crop, protocol, lab)
                    page = handout(db, words, manual, local)
                    place = (page.footer.source_file, page.footer.source_line)
                    yield from self._reading("handouts", page.address, handout_pieces(page), place)
                    small = card(db, words, manual, local)
                    yield from self._reading("cards", small.name, card_pieces(small), place)

    def _guides(self) -> Iterator[Reading]:
        db, words, manual = self.edition.db, self.edition.words, self.edition.manual
        for system in db.systems:
            page = stage_guide(db, words, manual, system)
            place = (page.footer.source_file, page.footer.source_line)
            yield from self._reading("stage guides", page.address, guide_pieces(page), place)

    def _calendars(self) -> Iterator[Reading]:
        db, words = self.edition.db, self.edition.words
        if not isinstance(db, ManualDatabase):
            return
        for crop in db.crops.values():
            if seasons := crop_seasons(db, crop):
                plans = tuple(lab_plans(db, crop, season) for season in seasons)
                page = calendar_page(db, words, self.edition.manual, crop, seasons, plans)
                place = (page.footer.source_file, page.footer.source_line)
                yield from self._reading("calendars", page.address, calendar_pieces(page), place)

    def _reading(self, kind: str, address: str, pieces: Iterable[Piece], place: Place) -> Iterator[Reading]:
        """The page, unless its view has just asked for a sentence that this language lacks."""
        missing = self.edition.words.missing
        if missing:
            self.untranslated += 1
            missing.clear()
            return
        read = tuple(pieces)
        counts = sum((self._count(piece.text) for piece in read), Counts())
        if counts.words:
            yield Reading(kind, address, self.language, read, counts, place)

    def _count(self, text: str) -> Counts:
        if text not in self.counted:
            self.counted[text] = count([text], self.language, self.names)
        return self.counted[text]


class Finder:
    """Where a sentence is written: the first line of catalogue, database, manual or program that holds its start."""

    START = 40

    def __init__(self, manual: Path, edition: Edition) -> None:
        package, folder, own = (
            Path(__file__).resolve().parents[1],
            manual.resolve().parent,
            edition.manual.protocols_folder,
        )
        protocols = (folder / own).resolve() if own else shipped_protocols()
        root = common_root(folder, protocols.parent)
        self.files: list[tuple[str, str, list[int]]] = []
        db = edition.db
        known = db.languages.get(edition.tag) if isinstance(db, ManualDatabase) else None
        for entry in known.entries.values() if known and not is_source(edition.tag) else ():
            text = f"{known.sentences.get(entry.sentence, '')} " if known else ""
            self.files.append((entry.file, text, [entry.line] * len(text)))
        for place, ending in (
            (protocols, "*.yml"),
            (folder, "*.yml"),
            (package / "views", "*.py"),
            (package / "rendering/templates", "*.html"),
        ):
            for path in sorted(place.rglob(ending)):
                name = path.relative_to(root).as_posix() if root in path.parents else path.as_posix()
                self.files.append((name, *_flat(path.read_text("utf-8"))))

    def place(self, sentence: str, piece: Piece, reading: Reading) -> Place:
        """File and line of a sentence; those of its page where it is put together from several places."""
        if piece.place[0]:
            return piece.place
        start = " ".join(sentence.split())[: self.START]
        for name, text, lines in self.files:
            if (at := text.find(start)) >= 0:
                return name, lines[at]
        return reading.place


def _flat(text: str) -> tuple[str, list[int]]:
    """The text on one line, and the line of each of its letters: a sentence of YAML may run over two lines."""
    flat: list[str] = []
    lines: list[int] = []
    for number, line in enumerate(text.splitlines(), 1):
        piece = " ".join(line.replace("''", "'").split()) + " "
        flat.append(piece)
        lines += [number] * len(piece)
    return "".join(flat), lines


@dataclass(frozen=True)
class Sentence:
    """A sentence with its own score, and where it stands."""

    text: str
    score: float
    place: Place


FEWEST_WORDS = 6
"""A formula says nothing of a shorter sentence."""


def worst_sentences(readings: Iterable[Reading], finder: Finder, names: Iterable[str], most: int) -> list[Sentence]:
    """The hardest sentences of these pages, each once."""
    seen: dict[str, tuple[float, Reading, Piece]] = {}
    known, sign = tuple(names), 1
    for reading in readings:
        sign = -1 if MEASURES[reading.language].better == "low" else 1
        for piece in reading.pieces:
            for text in sentences(piece.text):
                if text not in seen and (counts := count([text], reading.language, known)).words >= FEWEST_WORDS:
                    seen[text] = (score(counts, reading.language), reading, piece)
    hardest = sorted(seen.items(), key=lambda item: (sign * item[1][0], item[0]))[:most]
    return [Sentence(text, at, finder.place(text, piece, reading)) for text, (at, reading, piece) in hardest]


def remarks(readings: Iterable[Reading]) -> list[tuple[Remark, Reading, Piece]]:
    """What the lint sees in these pages, each sentence once; faults first."""
    seen: dict[tuple[str, str], tuple[Remark, Reading, Piece]] = {}
    read: set[str] = set()
    for reading in readings:
        for piece in reading.pieces:
            if piece.text not in read:
                read.add(piece.text)
                for remark in lint(piece.text, reading.language):
                    seen.setdefault((remark.rule, remark.sentence), (remark, reading, piece))
    return sorted(seen.values(), key=lambda found: (found[0].level != "fault", found[0].rule))


def deep_places(chapters: Iterable[Chapter]) -> list[tuple[Place, str]]:
    """Headings below the third level, in chapters and templates."""
    templates = Path(__file__).resolve().parents[1] / "rendering/templates"
    sources = [(c.file, c.text) for c in chapters]
    sources += [(path.name, path.read_text("utf-8")) for path in sorted(templates.glob("*.html"))]
    return [((file, line), heading) for file, text in sources for line, heading in deep_headings(text)]


MOST = 10
"""Pages of each kind, sentences and notices that are listed where not all are asked for."""


def report(prepared: Prepared, manual: Path, *, every: bool = False) -> tuple[list[str], bool]:
    """The lines to print for every edition, and whether all is fine: each page within its target, no fault of the lint.

    `every` lists every page. Else the worst are listed, and every page that misses its target, and every fault.
    """
    assert prepared.manual is not None
    out: list[str] = []
    fine = True
    for edition in editions(prepared.manual, prepared.db, prepared.chapters):
        if subtag(edition.tag) in TARGETS:
            lines, good = _report_edition(edition, manual, every)
            out += lines
            fine = fine and good
        else:
            out.append(f"{edition.name}: not scored, no formula for this language is built in")
    return out, fine


def _report_edition(edition: Edition, manual: Path, every: bool) -> tuple[list[str], bool]:
    reader, finder = Reader(edition), Finder(manual, edition)
    readings = reader.readings()
    pages, summary = _scores(readings, reader.language, every)
    hardest = worst_sentences(readings, finder, reader.names, 5 * MOST if every else MOST)
    found, deep = remarks(readings), deep_places(edition.chapters)
    faults = [r for r in found if r[0].level == "fault"]
    out = [f"{edition.name}", *pages, "hardest sentences:"]
    out += [f"  {s.score:6.1f}  {s.place[0]}:{s.place[1]}  {s.text}" for s in hardest]
    out += [_remark(finder, *r) for r in (found if every else found[: len(faults) + MOST])]
    out += [f"{place[0]}:{place[1]}  fault deep-heading: {heading}" for place, heading in deep]
    out += summary
    if reader.untranslated:
        out.append(f"{reader.untranslated} pages not read: they are not translated in full")
    out.append(f"{len(faults) + len(deep)} faults and {len(found) - len(faults)} notices of plain language")
    return out, all(r.passes for r in readings) and not faults and not deep


def _scores(readings: list[Reading], language: str, every: bool) -> tuple[list[str], list[str]]:
    """The pages of each kind with their scores, worst first; and a summary line of each kind."""
    measure = MEASURES[language]
    within = "at most" if measure.better == "low" else "at least"
    pages: list[str] = []
    summary: list[str] = []
    for kind, target in TARGETS[language].items():
        of_kind = [r for r in readings if r.kind == kind]
        if not of_kind:
            continue
        shown = [r for n, r in enumerate(of_kind) if every or n < MOST or not r.passes]
        pages.append(f"{kind}, worst first ({measure.name}; target {within} {target:g}):")
        pages += [f"  {r.score:6.1f}  {'' if r.passes else 'MISSED  '}{r.address}" for r in shown]
        if len(shown) < len(of_kind):
            pages.append(f"  ... and {len(of_kind) - len(shown)} more, none of them worse")
        summary.append(
            f"{kind}: {len(of_kind)} read, {sum(not r.passes for r in of_kind)} missed the target "
            f"({measure.name} {within} {target:g}); worst {of_kind[0].score:.1f}, middle {_middle(of_kind):.1f}"
        )
    return pages, summary


def _middle(readings: list[Reading]) -> float:
    return sorted(r.score for r in readings)[len(readings) // 2]


def _remark(finder: Finder, remark: Remark, reading: Reading, piece: Piece) -> str:
    file, line = finder.place(remark.sentence, piece, reading)
    return f"{file}:{line}  {remark.level} {remark.rule}: {remark.sentence!r} ({remark.found})\n    hint: {remark.hint}"
