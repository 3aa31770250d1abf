"""Every value a reader sees carries a source.

Each text node of every page that holds a figure, or a number word that states an amount, must stand in an
element with `data-source` whose ids exist, or be one of the few things that are no agronomic value: marked
`data-meta` (version, dates of checking, stage codes, source lists), a source mark, a stage code, or the title
of a protocol, stage system or page repeated in a heading, a link or the list of crops.
"""

from __future__ import annotations

import re
from functools import cache

import pytest
from lxml.html import HtmlElement
from site_tree import SiteTree, Text, report

from earleaf.database.load import Database

NUMBERS = "two|three|four|five|six|seven|eight|nine|ten|eleven|twelve"
NOUNS = (
    r"leaves|leaf|plants?|trees?|vines?|canes?|shoots?|bags?|days?|weeks?|months?|hours?|minutes?|feet|foot|inch(?:es)?|"
    r"acres?|hectares?|spots?|places?|handfuls?|samples?|cups?|liters?|litres?|grams?|ounces?|pints?|rows?|stems?|"
    r"stalks?|petioles?|leaflets?|nodes?|pieces?|cores?|times?"
)
DIGIT = re.compile(r"\d")
AMOUNT = re.compile(
    rf"\b(?:{NUMBERS})\b(?: (?:or|to|and|more|full|dry|good|poor|working|different|single))?"
    rf"(?: (?:{NUMBERS}))?(?:-| )(?:{NOUNS})\b|(?<!top )\b(?:half|a third|a quarter) (?:of|an?)\b",
    re.I,
)
NO_AMOUNT = re.compile(  # the plant's own build, and words that only look like amounts
    r"\b(?:all|the) (?:two|three|four) leaflets\b|\bthe two single leaves\b"
    r"|\bleaves of two rows\b|\btwo bags, two names\b"
    r"|\bcompare two spots\b|\bhalf a year off\b|\bA4\b",
    re.I,
)
PRINTING = re.compile(r"\b\d+ (?:cards )?to a sheet\b|\bat full size \(100%\)")
"""What is said of paper and printers is no value of sampling; looked past on the pages of cards and in card links."""
TITLES_REPEATED = ("h1", "h2", "h3", "a", "nav")


def stage_codes(db: Database) -> list[str]:
    """Codes with a letter in them; a bare figure is a code only beside the name of its scale."""
    codes = {s.code for stages in db.stages.values() for s in stages}
    named = {c for c in codes if re.search("[A-Za-z]", c)}
    bare = {f"{scale} {c}" for c in codes - named for scale in ("Feekes", "GS", "Zadoks", "stage", "Stage")}
    return sorted(named | bare, key=len, reverse=True)


def code_pattern(db: Database) -> re.Pattern[str]:
    names = [re.escape(c) for c in stage_codes(db) if DIGIT.search(c)]
    return re.compile(rf"(?<![A-Za-z0-9])(?:{'|'.join(names)})(?:[–-](?:{'|'.join(names)}))?(?![A-Za-z0-9])")


def title_pattern(db: Database) -> re.Pattern[str]:
    """Titles that headings, crumbs and links repeat."""
    titles = {p.title for c in db.crops.values() for p in c.protocols} | {s.name for s in db.systems.values()}
    titles |= {lab.name for lab in db.labs.values()}
    return re.compile("|".join(re.escape(t) for t in sorted(titles, key=len, reverse=True)), re.I)


class Judge:
    """Decides whether one text node needs a source and has it."""

    def __init__(self, db: Database) -> None:
        self.db = db
        self.codes, self.titles = code_pattern(db), title_pattern(db)
        self.rest = cache(self._rest)

    def _rest(self, text: str, repeats: bool) -> str:
        text = self.codes.sub(" ", NO_AMOUNT.sub(" ", text))
        return self.titles.sub(" ", text) if repeats else text

    def states_value(self, node: Text) -> bool:
        printing = node.in_class("el-card-print") or node.in_class("el-cards")
        said = PRINTING.sub(" ", node.text) if printing else node.text
        text = self.rest(said, node.in_tag(*TITLES_REPEATED) or node.in_class("el-group"))
        return bool(DIGIT.search(text) or AMOUNT.search(text))

    def sourced(self, node: Text) -> bool:
        return any(self.known(e) for e in node.around if e.get("data-source"))

    def known(self, element: HtmlElement) -> bool:
        return all(s in self.db.sources for s in element.get("data-source").split())

    def offends(self, node: Text) -> bool:
        if node.has("data-meta") or node.in_class("el-ref") or not self.states_value(node):
            return False
        return not self.sourced(node)


@pytest.fixture(scope="module")
def judge(manual_db: Database) -> Judge:
    return Judge(manual_db)


def test_every_value_on_every_page_carries_a_source(site: SiteTree, judge: Judge) -> None:
    offenders = sorted(
        {(node.text, address) for address in site.pages for node in site.texts(address) if judge.offends(node)}
    )
    pages: dict[str, list[str]] = {}
    for text, address in offenders:
        pages.setdefault(text, []).append(address)
    assert not offenders, report([(where[0], f"+{len(where) - 1} pages", text) for text, where in pages.items()], 400)


def test_the_walk_sees_values(site: SiteTree, judge: Judge) -> None:
    """The test above is only worth something if it looks at many values."""
    seen = sum(judge.states_value(n) and judge.sourced(n) for a in site.pages for n in site.texts(a))
    assert seen > 5000


@pytest.mark.parametrize(
    "text", ["Take 20 leaves", "Wait two weeks", "half of the bag", "Take seven plants", "at 30 cm"]
)
def test_a_bare_amount_is_caught(judge: Judge, text: str) -> None:
    assert judge.states_value(Text(text, []))


def test_only_paper_is_looked_past_beside_cards(judge: Judge) -> None:
    section = HtmlElement()
    section.set("class", "el-card-print")
    assert not judge.states_value(Text("All cards on A4, 4 to a sheet", [section]))
    assert judge.states_value(Text("All cards on A4, 4 to a sheet", [])) and not judge.states_value(Text("On A4", []))
    assert judge.states_value(Text("Take 4 to a spot, 20 leaves", [section]))


@pytest.mark.parametrize("text", ["At V6 or R1", "See Feekes 6", "From VT–R1", "the third leaf from the top"])
def test_a_stage_or_a_part_is_no_amount(judge: Judge, text: str) -> None:
    assert not judge.states_value(Text(text, []))


def test_meta_never_hides_an_amount(site: SiteTree, manual_db: Database) -> None:
    """`data-meta` is for versions, dates of checking, codes and citations; a count is none of these."""
    units = sorted({re.escape(w) for u in manual_db.units.values() for w in (u.one, u.many)}, key=len, reverse=True)
    amount = re.compile(rf"\d[\d., to]*(?:{'|'.join(units)})\b")
    months = re.compile(
        r"\b\d{1,2} (?:January|February|March|April|May|June|July|August|September|October|November"
        r"|December)\b(?! \d{4})"
    )
    names = {t for stages in manual_db.stages.values() for s in stages for t in (s.name, s.code)}
    found: dict[str, list[str]] = {}
    for address in site.pages:
        for node in site.texts(address):
            if node.text in names or node.in_class("el-strip") or node.in_class("el-stage") or node.in_class("el-span"):
                continue  # the name of a stage, such as '6 leaf collars', is no count of a sample
            citation = node.in_class("el-sources") or node.in_class("el-sourcelist")
            if (
                node.has("data-meta")
                and not citation
                and not node.has("data-source")
                and (amount.search(node.text) or months.search(node.text))
            ):
                found.setdefault(node.text, []).append(address)
    assert not found, report([(where[0], f"+{len(where) - 1} pages", text) for text, where in found.items()])


def test_no_data_source_is_empty_or_unknown(site: SiteTree, manual_db: Database) -> None:
    wrong = [
        (a, e.tag, e.get("data-source"), e.text_content()[:60])
        for a, page in site.pages.items()
        for e in page.xpath("//*[@data-source]")
        if not e.get("data-source").split() or set(e.get("data-source").split()) - manual_db.sources.keys()
    ]
    assert not wrong, report(wrong)


def test_every_source_named_anywhere_has_an_anchor_in_the_list(site: SiteTree) -> None:
    anchors = set(site.ids["sources/index.html"])
    missing: dict[str, str] = {}
    for address, page in site.pages.items():
        named = {s for value in page.xpath("//@data-source") for s in value.split()}
        named |= {h.split("#", 1)[1] for h in page.xpath("//@href") if "sources/#" in h}
        named |= {h[3:] for h in page.xpath("//@href") if h.startswith("#s-")}
        for source in named - anchors:
            missing.setdefault(source, address)
    assert not missing, report(sorted(missing.items()))


def test_every_mark_leads_to_a_note_on_its_own_page(site: SiteTree) -> None:
    lost = [
        (a, h)
        for a, page in site.pages.items()
        for h in page.xpath("//sup[contains(@class,'el-ref')]//@href")
        if h.removeprefix("#") not in site.ids[f"{a}index.html"]
    ]
    assert not lost, report(lost)


def test_every_sampling_row_is_shown(site: SiteTree, manual_db: Database) -> None:
    shown = {r for page in site.pages.values() for r in page.xpath("//@data-row")}
    named = {s for page in site.pages.values() for v in page.xpath("//@data-source") for s in v.split()}
    named |= {h.split("#", 1)[1] for page in site.pages.values() for h in page.xpath("//@href") if "sources/#" in h}
    lost = [
        row.row
        for row in manual_db.sampling.values()
        if row.row not in shown and not (row.crop == "any-crop" and row.source in named)
    ]
    assert not lost, report(sorted(lost))


def test_every_shown_row_is_in_the_database_and_says_the_same(site: SiteTree, manual_db: Database) -> None:
    wrong = []
    for address, page in site.pages.items():
        for tr in page.xpath("//*[@data-row]"):
            row = manual_db.sampling.get(tr.get("data-row"))
            if row is None or row.source != tr.get("data-source"):
                wrong.append((address, tr.get("data-row"), tr.get("data-source")))
            elif row.count_min is not None and f"{row.count_min:g}" not in tr.xpath("string(td[2])"):
                wrong.append((address, row.row, tr.xpath("string(td[2])"), row.count_min))
    assert not wrong, report(wrong)


def test_every_handling_row_stands_behind_a_rule_or_on_a_page(site: SiteTree, manual_db: Database) -> None:
    """A handling row is the basis of a rule, or said to differ from one, or listed in a chapter."""
    holders = [
        manual_db.handling,
        *(g.handling for g in manual_db.groups.values()),
        *(c.handling for c in manual_db.crops.values()),
        *(p.handling for c in manual_db.crops.values() for p in c.protocols),
    ]
    used = {r for held in holders for rule in held.values() for r in (*rule.basis, *rule.differs)}
    chapters = " ".join(p.text_content() for a, p in site.pages.items() if p.find_class("el-chapter"))
    text = " ".join(chapters.split())
    lost = [
        r.row for r in manual_db.handling_rows.values() if r.row not in used and " ".join(r.rule.split()) not in text
    ]
    assert not lost, report(sorted(lost))
