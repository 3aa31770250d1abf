"""The words on paper against the published tables.

Outside authority: the publications named in tables/*.yml, written down there apart from the database. Reads only what a
scout gets: the PDF of each card for any lab, and the published JSON that says which rows a protocol rests on.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest
from test_tables import (
    COVERED_BY,
    ROWS,
    Json,
    Row,
    built_crops,
    counts_the_same,
    holds,
    id_of,
    protocols_of,
    published_of,
    said_by,
    vocabulary,
)

from paper import Paper, bare, joined

WALK = re.compile(r"(\d+) [a-z -]+ at each of (\d+) [a-z]+(?: \((\d+) in the bag\))?", re.I)


@dataclass(frozen=True)
class OnPaper:
    """What a card tells to take: the words larger than its title, and the lines of the count."""

    loud: str
    lines: str

    @property
    def numbers(self) -> list[int]:
        """All that go in the bag: one number, or the two ends of a span."""
        walk = WALK.search(self.lines)
        if walk is None:
            return [int(n) for n in re.findall(r"\d+", self.lines)]
        total = int(walk[1]) * int(walk[2])
        assert walk[3] in (None, str(total)), f"{self.lines!r} does not add up"
        return [total]


@cache
def on_paper(built: Path, crop: str, protocol: str) -> OnPaper:
    paper = Paper.read(built / f"cards/{crop}-{protocol}.pdf")
    title = paper.letters[0].size
    loud = joined([letter for letter in paper.letters if letter.size > title])
    text = paper.texts[0]
    take = re.search(r"(?:Take |Bag 1: )(.*?)(?: Bag 2: .*)? Before you enter", text)
    assert take is not None, text
    return OnPaper(loud, take[1])


def after_the_part(card: OnPaper, part: str | None) -> str:
    """The lines of the count: what follows the name of the part. The whole where the part is not named."""
    for name in names(part):
        if card.lines.casefold().startswith(name.casefold()):
            return card.lines[len(name) :]
    return card.lines


def names(part: str | None) -> list[str]:
    """What the part is called in full, and on cards where the full name is long."""
    known = vocabulary()[part] if part else {}
    return [known[key] for key in ("name", "card") if known.get(key)]


@cache
def twins(built: Path, crop: str) -> dict[str, list[Row]]:
    """The rows of tables/*.yml that say the same as a published row, by its id."""
    rows = [row for row in ROWS if row.crop in COVERED_BY.get(crop, (crop,))]
    return {p["row"]: [row for row in rows if row.said == said_by(p)] for p in published_of(built, crop)}


def basis_of(built: Path, protocol: Json) -> list[tuple[Json, list[Row]]]:
    """The published rows behind the first bag of a protocol, each with the rows of tables/*.yml that say the same."""
    by_id, basis = twins(built, protocol["crop"]), protocol["specimens"][0]["basis"]
    return [(row, by_id.get(row["row"], [])) for row in protocol["published"] if row["row"] in basis]


def transcribed(built: Path, protocol: Json) -> bool:
    return any(rows for _, rows in basis_of(built, protocol))


def every_protocol(built: Path) -> list[Json]:
    return [protocol for crop in built_crops(built) for protocol in protocols_of(built, crop)]


def test_most_protocols_rest_on_rows_that_were_written_down_twice(built: Path) -> None:
    """The checks below are worth what they see."""
    every = every_protocol(built)
    assert sum(transcribed(built, protocol) for protocol in every) > 0.6 * len(every) > 90


def test_the_part_on_paper_is_the_part_of_the_source(built: Path) -> None:
    """Each transcribed row of the basis names the part on the card, or the data says openly that it names another."""
    wrong, same = [], 0
    for protocol in every_protocol(built):
        card = on_paper(built, protocol["crop"], protocol["protocol"])
        for published, rows in basis_of(built, protocol):
            for row in (row for row in rows if row.part):
                named = any(card.loud.startswith(bare(name)) for name in names(row.part))
                same += named
                if named == ("part" in published["differs_in"]):
                    wrong.append((row.id, row.part, row.part_words, card.loud))
    assert same > 100
    assert not wrong, "\n".join(map(str, wrong))


def test_every_part_on_paper_is_named_by_a_source(built: Path) -> None:
    """Not one card names a part that no row of its own basis names in just these words."""
    wrong = []
    for protocol in every_protocol(built):
        card = on_paper(built, protocol["crop"], protocol["protocol"])
        parts = {id_of(row["part"]) for row, _ in basis_of(built, protocol)} - {None}
        known = [bare(name) for part in parts for name in names(part)]
        if protocol["specimens"][0]["part"] and not any(card.loud.startswith(name) for name in known):
            wrong.append((protocol["crop"], protocol["protocol"], card.loud, sorted(map(str, parts))))
    assert not wrong, "\n".join(map(str, wrong))


def test_the_number_on_paper_lies_in_a_printed_range(built: Path) -> None:
    """Where rows of the basis count what the card counts, one of them prints a range that holds the card's number."""
    wrong, seen = [], 0
    for protocol in every_protocol(built):
        count = protocol["specimens"][0]["count"]
        said = [Row("", "", "", "", None, None, None, "", False, said_by(row)) for row, _ in basis_of(built, protocol)]
        rows = [row for row in said if count and counts_the_same(row, count["unit"])]
        if not rows or not transcribed(built, protocol):
            continue
        seen += 1
        card = on_paper(built, protocol["crop"], protocol["protocol"])
        numbers = OnPaper("", after_the_part(card, id_of(protocol["specimens"][0]["part"]))).numbers
        if not numbers or not all(any(holds(row, n) for row in rows) for n in numbers):
            wrong.append((protocol["crop"], protocol["protocol"], card.lines, [row.said for row in rows]))
    assert seen > 50
    assert not wrong, "\n".join(map(str, wrong))


def test_a_card_without_a_part_sends_to_the_lab(built: Path) -> None:
    """Where no source names the part, paper names none either."""
    silent = [p for p in every_protocol(built) if p["specimens"][0]["part"] is None]
    assert silent
    for protocol in silent:
        card = on_paper(built, protocol["crop"], protocol["protocol"])
        assert card.loud.startswith(bare("the leaf your lab names"))


@pytest.mark.parametrize(
    ("crop", "protocol", "part", "number"),
    [
        ("corn", "young-plants", "the whole plant above ground", (15, 30)),
        ("corn", "tassel-to-silk", "the ear leaf", (15, 25)),
        ("soybean", "bloom", "three-part leaf", (20, 30)),
        ("wheat", "heading-flag-leaf", "flag leaf", (25, 100)),
    ],
)
def test_cards_that_every_scout_knows(
    built: Path, crop: str, protocol: str, part: str, number: tuple[int, int]
) -> None:
    """What land-grant tables agree on: whole small plants, ear leaf at silk, three-part leaf at bloom, flag leaf."""
    card = on_paper(built, crop, protocol)
    assert bare(part) in card.loud
    assert number[0] <= card.numbers[0] <= number[1], card.lines
