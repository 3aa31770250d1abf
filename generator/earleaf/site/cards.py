"""Everything on paper: cards, sheets, decks and field records, made from the same views as the pages."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from ..database.load import Database
from ..database.near import near
from ..model.crop import Crop, Protocol
from ..model.finding import Finding
from ..model.lab import Lab
from ..model.language import SOURCE_LANGUAGE
from ..model.manual import Manual
from ..planning.localise import LocalProtocol, localise
from ..rendering.paper.glyphs import missing, spoken
from ..rendering.paper.sheets import PAPERS, USUAL_CARD, Sheet, imposed, single
from ..rendering.paper.typeset import (
    CannotPrint,
    Form,
    Job,
    Picture,
    Printable,
    card_job,
    digest,
    record_job,
    season_job,
    typeset,
)
from ..views.calendar import season_file
from ..views.card import card, card_words
from ..views.cards import Yield, card_file, deck_file, record_file, sheet_file
from ..views.common import by_name, protocol_title
from ..views.record import record
from ..views.season_sheet import SeasonSheet
from ..views.words import Words
from .cache import Cache
from .drawings import card_picture
from .workers import spread

RULE = "card-cannot-be-printed"
SEASON_RULE = "season-cannot-be-printed"
LETTERS = "write it with letters the font has: Latin, with accents"
TRANSLATE = "translate it shorter, in the files languages/{language}/*.po; the card in English fits"
SHORTER = "say it shorter: `card: {title, see, how}` of this protocol, or `card:` of its part or of a handling rule"

Cards = dict[str | None, tuple[Printable, ...]]
"""The cards of each lab, by lab id; None is any lab."""


class CannotBuild(Exception):
    """Faults that only show when the paper is set. `findings` names file and line of each."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        self.findings = tuple(sorted(set(findings)))
        super().__init__("\n".join(map(str, self.findings)))


@dataclass
class Press:
    """Makes files, asks the cache first, and collects faults instead of stopping at the first."""

    db: Database
    manual: Manual
    words: Words
    cache: Cache
    faults: list[Finding] = field(default_factory=list)

    @property
    def yields(self) -> tuple[Yield, ...]:
        """The papers of the manual, with what a sheet of each gives."""
        return tuple(Yield(p, USUAL_CARD[p], imposed(p).per_page) for p in self.manual.papers)

    def make(self, job: Job, form: Form = "pdf") -> bytes:
        return self.cache.get(digest(job, form), lambda: typeset(job, form))

    def job(self, cards: Sequence[Printable], sheet: Sheet, title: str, *, tried: bool = False) -> Job:
        return card_job(cards, card_words(self.words), sheet, title, self.manual.team, tried=tried)

    def printable(self, local: LocalProtocol) -> Printable:
        return Printable(card(self.db, self.words, self.manual, local), card_picture(self.db, self.words, local))

    def crop(
        self, crop: Crop, lab: Lab | None, locals_: Sequence[LocalProtocol]
    ) -> tuple[tuple[Printable, ...], dict[str, bytes]]:
        """The cards of one crop for one lab: each alone, as a picture, and together on sheets."""
        if lab is not None and missing(lab.name):
            return (), {}
        files: dict[str, bytes] = {}
        cards = [self._one(local, files) for local in locals_]
        good = tuple(card for card in cards if card is not None)
        if good:
            title = self.words.say("Pocket cards: {crop}", crop=self.words.say(crop.name))
            for y in self.yields:
                files[sheet_file(crop, lab, y.paper)] = self.make(self.job(good, imposed(y.paper), title, tried=True))
        return good, files

    def _one(self, local: LocalProtocol, files: dict[str, bytes]) -> Printable | None:
        """One card, put into `files`; None where it cannot be printed, and the fault is noted."""
        ready = self.printable(local)
        job = self.job([ready], single(), ready.card.title)
        name = card_file(local.crop, local.protocol, local.lab)
        try:
            files |= {f"{name}.pdf": self.make(job), f"{name}.png": self.make(job, "png")}
            return ready
        except CannotPrint as error:
            self.faults += [self.fault(local, what) for _, what in error.faults]
            return None

    def seasons(self, crop: Crop, sheets: Sequence[tuple[SeasonSheet, Picture]]) -> dict[str, bytes]:
        """The seasons of a crop, a page for each, on each paper; nothing where a letter is missing, which is noted."""
        files: dict[str, bytes] = {}
        language = self.words.about.language
        try:
            for y in self.yields:
                job = season_job(sheets, PAPERS[y.paper], self.manual.team, language, f"calendar-{crop.crop}")
                files[season_file(crop, y.paper)] = self.make(job)
        except CannotPrint as error:
            file, line = self.db.places.at("crop", crop.crop, "development")
            self.faults += [
                Finding(file, line, SEASON_RULE, f"the season sheet of {crop.name}: {what}", LETTERS)
                for _, what in error.faults
            ]
        return files

    def collated(self, crops: Mapping[str, Cards]) -> Cards:
        """The cards of each lab, from those of each crop, in the order of the crops' names in this language."""
        out: Cards = {}
        for crop in by_name(self.words, self.db.crops.values()):
            for lab, ready in crops[crop.crop].items():
                out[lab] = (*out.get(lab, ()), *ready)
        return out

    def decks(self, cards: Cards) -> Iterator[tuple[str, bytes]]:
        """All cards of each lab: one a page, and on sheets of each paper."""
        wanted = [
            (lab, self._deck_title(lab), paper)
            for lab, ready in cards.items()
            if ready
            for paper in (None, *self.manual.papers)
        ]
        return spread(_deck, (self, cards), wanted, chunk=1, few=1)

    def _deck_title(self, lab: str | None) -> str:
        return self.words.say(
            "Pocket cards for {lab}", lab=self.db.labs[lab].name if lab else self.words.say("any lab")
        )

    def records(self) -> Iterator[tuple[str, bytes]]:
        """The field record for any lab and for each lab, on each paper.

        Like all paper it is set in workers, never here: a process that has typeset forks no more, and the edition in
        the next language would have one core.
        """
        labs = [lab for lab in (None, *self.db.labs.values()) if lab is None or not missing(lab.name)]
        wanted = [
            (record_file(lab, paper), record_job(record(self.words, lab), PAPERS[paper], self.manual.team))
            for lab in labs
            for paper in self.manual.papers
        ]
        return spread(_made, self, wanted, chunk=1, few=1)

    def check_labs(self, labs: Iterable[Lab]) -> None:
        """A lab whose name the fonts cannot print has no paper at all; say so once."""
        for lab in labs:
            if absent := missing(lab.name):
                file, line = self.db.places.at("lab", lab.lab, "name")
                what = (
                    f"the font of the cards has no {', '.join(map(spoken, absent))}, so {lab.name!r} cannot be printed"
                )
                self.faults.append(Finding(file, line, RULE, what, LETTERS))

    def take_faults(self) -> tuple[Finding, ...]:
        """The faults found so far, which are then forgotten here."""
        found, self.faults = tuple(self.faults), []
        return found

    def fault(self, local: LocalProtocol, what: str) -> Finding:
        crop, protocol, lab = local.crop, local.protocol, local.lab
        file, line = self.db.places.at("crop", crop.crop, "protocols", crop.protocols.index(protocol))
        title = protocol_title(self.words, crop, protocol) + (f", {lab.name}" if lab else "")
        shorter = (
            SHORTER
            if self.words.about.language == SOURCE_LANGUAGE
            else TRANSLATE.format(language=self.words.about.language)
        )
        return Finding(file, line, RULE, f"the card {title!r}: {what}", LETTERS if "font" in what else shorter)


def _deck(shared: tuple[Press, Cards], wanted: tuple[str | None, str, str | None]) -> tuple[str, bytes]:
    (press, cards), (lab_id, title, paper) = shared, wanted
    sheet = imposed(paper) if paper else single()
    lab = press.db.labs[lab_id] if lab_id else None
    return deck_file(lab, paper), press.make(press.job(cards[lab_id], sheet, title, tried=True))


def _made(press: Press, wanted: tuple[str, Job]) -> tuple[str, bytes]:
    name, job = wanted
    return name, press.make(job)


def pick_cards(
    db: Database, words: Words, wanted: Sequence[str], lab_id: str | None
) -> tuple[list[tuple[Crop, Protocol]], Lab | None]:
    """The protocols of `crop` or `crop/protocol` names in their order; for no name all, in the order of the decks.

    ValueError for an unknown name.
    """
    if lab_id is not None and lab_id not in db.labs:
        raise ValueError(f"there is no lab {lab_id!r} in this manual; {near(lab_id, db.labs)}")
    picks: list[tuple[Crop, Protocol]] = []
    for name in wanted or [crop.crop for crop in by_name(words, db.crops.values())]:
        crop_id, _, protocol_id = name.partition("/")
        crop = db.crops.get(crop_id)
        if crop is None:
            raise ValueError(f"there is no crop {crop_id!r} in this manual; {near(crop_id, db.crops)}")
        known = {name: p for p in crop.protocols for name in (p.protocol, *p.aliases)}
        if protocol_id and protocol_id not in known:
            has = ", ".join(p.protocol for p in crop.protocols)
            raise ValueError(f"{crop_id} has no protocol {protocol_id!r}; it has {has}")
        picks += [(crop, known[protocol_id])] if protocol_id else [(crop, p) for p in crop.protocols]
    return picks, db.labs[lab_id] if lab_id else None


def print_cards(press: Press, picks: Sequence[tuple[Crop, Protocol]], lab: Lab | None, sheet: Sheet) -> bytes:
    """One PDF of the picked cards, for one lab. Raises CannotBuild where one of them cannot be printed."""
    if lab is not None:
        press.check_labs((lab,))
    cards = [press.printable(localise(press.db, crop, protocol, lab)) for crop, protocol in picks]
    by_name = {card.card.name: pick for card, pick in zip(cards, picks, strict=True)}
    if not press.faults:
        try:
            return press.make(press.job(cards, sheet, press.words.say("Pocket cards")))
        except CannotPrint as error:
            for name, what in error.faults:
                press.faults.append(press.fault(localise(press.db, *by_name[name], lab), what))
    raise CannotBuild(press.take_faults())
