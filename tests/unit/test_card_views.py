"""What a pocket card says, for every protocol and lab of the demo manual.

Outside authority: the data files and what they mean (docs/decisions); fewer than ten steps and at most three pauses
are what checklists of other trades hold to, so that they are read to the end.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from earleaf.database.load import Database
from earleaf.model.crop import Crop, Protocol
from earleaf.model.lab import Lab, LabProtocol
from earleaf.planning.localise import LocalProtocol, localise
from earleaf.site.build import Prepared
from earleaf.views.card import Card, card
from earleaf.views.words import Words

MOST_STEPS = 9
MONTHS = dict(enumerate(("August", "September", "October", "November"), 8))
"""The months in which the demo's pages and labs were checked."""


@dataclass(frozen=True)
class Case:
    """A card and what it was made from."""

    crop: Crop
    protocol: Protocol
    lab: Lab | None
    local: LocalProtocol
    card: Card

    @property
    def name(self) -> str:
        return "/".join([self.crop.crop, self.protocol.protocol, self.lab.lab if self.lab else "any lab"])


def made(demo: Prepared, crop: Crop, protocol: Protocol, lab: Lab | None) -> Case:
    assert demo.manual is not None
    local = localise(demo.db, crop, protocol, lab)
    return Case(crop, protocol, lab, local, card(demo.db, Words(units=demo.db.units), demo.manual, local))


@pytest.fixture(scope="module")
def cases(demo: Prepared) -> list[Case]:
    db = demo.db
    labs = (None, *db.labs.values())
    return [made(demo, c, p, lab) for c in db.crops.values() for p in c.protocols for lab in labs]


@pytest.fixture(scope="module")
def db(demo: Prepared) -> Database:
    return demo.db


def steps(card: Card) -> list[str]:
    return [step for pause in card.pauses for step in pause.steps]


def printed(card: Card) -> list[str]:
    """Every text that a reader of the card sees."""
    take = card.take
    return [
        *(card.title, card.stage_code, card.ruined, card.lab, card.checked, card.version, card.short_text),
        *(take.label, take.part, take.stalk, take.count, take.where, take.bag, *card.also),
        *(pause.title for pause in card.pauses),
        *steps(card),
    ]


def figures(text: str) -> list[int]:
    return [int(n) for n in re.findall(r"\d+", text)]


def test_there_is_a_card_for_every_protocol_and_lab(cases: list[Case], db: Database) -> None:
    assert len(cases) == sum(len(c.protocols) for c in db.crops.values()) * (1 + len(db.labs)) > 600
    assert len({c.card.name for c in cases}) == len(cases), "two cards of one file name"
    assert len({c.card.short_url for c in cases}) == len(cases)


def test_three_pauses_and_fewer_than_ten_steps(cases: list[Case]) -> None:
    wrong = [c.name for c in cases if len(c.card.pauses) != 3 or len(steps(c.card)) > MOST_STEPS]
    wrong += [c.name for c in cases for p in c.card.pauses if not p.title or not p.steps]
    assert not wrong


def test_no_step_is_empty_or_said_twice(cases: list[Case]) -> None:
    assert not [c.name for c in cases if not all(map(str.strip, steps(c.card)))]
    assert not [c.name for c in cases if len(set(steps(c.card))) != len(steps(c.card))]


def test_every_card_sends_to_the_label_before_entry(cases: list[Case], db: Database) -> None:
    """Entry times stand on the label (40 CFR 170): the first step of every card says so."""
    assert not [c.name for c in cases if "label" not in c.card.pauses[0].steps[0].lower()]


def test_the_part_is_that_of_the_protocol(cases: list[Case], db: Database) -> None:
    wrong = []
    for c in cases:
        part = db.parts.get(c.local.specimens[0].part or "")
        wanted = (part.card or part.name) if part else "the leaf your lab names"
        wrong += [(c.name, c.card.take.part, wanted)] * (c.card.take.part != wanted)
    assert not wrong


def test_every_further_bag_is_named(cases: list[Case], db: Database) -> None:
    wrong, seen = [], 0
    for c in cases:
        further = c.local.specimens[1:]
        seen += len(further)
        parts = [db.parts[s.part] for s in further if s.part]
        said = len(c.card.also) == len(further) and all(
            (p.card or p.name) in line for p, line in zip(parts, c.card.also, strict=True)
        )
        wrong += [c.name] * (not said or (c.card.take.label != "Take") != bool(further))
    assert seen and not wrong


def test_the_count_is_that_of_the_protocol(cases: list[Case]) -> None:
    """'4 leaves', 'at each of 5 spots', '20 in the bag': each, number, and their product."""
    wrong, walked = [], 0
    for c in cases:
        specimen, take = c.local.specimens[0], c.card.take
        count, spots = specimen.count, specimen.spots
        if spots is not None:
            walked += 1
            wrong += [(c.name, take.count)] * (figures(take.count) != [spots.each])
            wrong += [(c.name, take.where)] * (figures(take.where) != ([spots.number] if spots.number > 1 else []))
            if take.bag:
                wrong += [(c.name, take.bag)] * (figures(take.bag) != [spots.number * spots.each])
        elif count is not None:
            bounds = [count.min] if count.max in (None, count.min) else [count.min, count.max]
            wrong += [(c.name, take.count)] * (figures(take.count) != [int(n) for n in bounds])
        else:
            wrong += [(c.name, take.count)] * (take.count != "Ask your lab how many" or bool(take.where + take.bag))
    assert walked > 500 and not wrong


def test_a_range_without_a_top_says_at_least(cases: list[Case]) -> None:
    wrong = [
        (c.name, c.card.take.count)
        for c in cases
        if (s := c.local.specimens[0]).spots is None and s.count and s.count.max is None
        if s.count.unit != "sections" and "at least" not in c.card.take.count.lower()
    ]
    assert not wrong


def test_a_lab_count_is_on_its_card(cases: list[Case]) -> None:
    """Straight from the lab's file, past the merging of layers."""
    by_name = {c.name: c for c in cases}
    seen = 0
    for lab in {c.lab.lab: c.lab for c in cases if c.lab}.values():
        for entry in lab.protocols:
            if entry.spots:
                seen += 1
                take = by_name[f"{entry.crop}/{entry.protocol}/{lab.lab}"].card.take
                assert figures(f"{take.count} {take.where}") == [entry.spots.each, entry.spots.number]
    assert seen >= 5


# Labs


def sentences(lab: Lab) -> Iterator[str]:
    """Everything a lab's file says in words of its own."""
    for rule in lab.handling.values():
        yield from (s.say for s in rule.say)
        yield from [rule.card.say] if rule.card else []
    for entry in lab.protocols:
        yield from (s.say for s in (*entry.say, *entry.card.how, *([entry.card.see] if entry.card.see else [])))


def said_for_any_lab(db: Database) -> set[str]:
    """How to take it, as crop files say it: a lab may use the same words."""
    protocols = [p for c in db.crops.values() for p in c.protocols]
    return {s.say for p in protocols for s in (*p.card.how, *(s for take in p.take for s in take.how))}


def test_no_card_holds_words_of_another_lab(cases: list[Case], db: Database) -> None:
    """The card for any lab holds no lab's words; the card of a lab holds none of another's."""
    for lab in db.labs.values():
        others = [c for c in cases if c.lab is not lab]
        own = [lab.name, f"/{lab.lab}", *(set(sentences(lab)) - said_for_any_lab(db))]
        assert len(own) > 4
        wrong = [(c.name, s) for c in others for text in printed(c.card) for s in own if s in text]
        wrong += [(c.name, c.card.short_url) for c in others if lab.lab in c.card.short_url]
        assert not wrong


def test_a_card_names_its_lab(cases: list[Case]) -> None:
    for c in cases:
        assert c.card.lab == (c.lab.name if c.lab else "Any lab: ask first")
        path = f"/c/{c.protocol.short_id}/" + (f"{c.lab.lab}/" if c.lab else "")
        assert c.card.short_url.startswith("https://") and c.card.short_url.endswith(path)
        assert f"https://{c.card.short_text}/" == c.card.short_url


def differing(cases: list[Case]) -> Iterator[tuple[Case, LabProtocol]]:
    """Cards of labs that want another part, or another thing done with its stalk."""
    for c in cases:
        base = c.protocol.take[0]
        for entry in c.lab.protocols if c.lab else ():
            if (entry.crop, entry.protocol) == (c.crop.crop, c.protocol.protocol):
                other_part = entry.part is not None and entry.part != base.part
                if other_part or (entry.petiole is not None and entry.petiole != base.petiole):
                    yield c, entry


def test_another_part_brings_its_own_lines(cases: list[Case], db: Database) -> None:
    """Steps for one leaf beside the name of another would make the sample worthless."""
    found = list(differing(cases))
    assert any(entry.part for _, entry in found) and any(entry.petiole for _, entry in found)
    for c, entry in found:
        base = {s.say for s in (*c.protocol.take[0].how, *c.protocol.card.how)}
        own = [s.say for s in (entry.card.how or entry.say[:2])]
        assert own and set(own) <= set(steps(c.card))
        assert not (base - set(own)) & set(steps(c.card))
        if entry.part:
            old = c.protocol.take[0].part
            assert old is None or db.parts[old].name not in " ".join(printed(c.card))


def test_another_part_without_lines_of_its_own_brings_no_line_of_the_base(demo: Prepared) -> None:
    crop = demo.db.crops["corn"]
    protocol = next(p for p in crop.protocols if p.protocol == "tassel-to-silk")
    lab = Lab(
        lab="mute",
        name="Mute",
        protocols=(LabProtocol(crop="corn", protocol="tassel-to-silk", part="leaf-below-opposite-ear"),),
    )
    said = set(steps(made(demo, crop, protocol, lab).card))
    assert steps(made(demo, crop, protocol, None).card)
    assert not said & {s.say for s in (*protocol.card.how, *protocol.take[0].how)}


# Names and dates


def test_titles_are_unique_within_a_crop(cases: list[Case]) -> None:
    """Two cards of one crop and one lab in one pocket are told apart by their title."""
    titles = Counter((c.crop.crop, c.lab.lab if c.lab else "", c.card.title) for c in cases)
    assert not [t for t, n in titles.items() if n > 1]


def test_no_two_crops_share_a_title(cases: list[Case]) -> None:
    crops: dict[str, set[str]] = {}
    for c in cases:
        crops.setdefault(c.card.title, set()).add(c.crop.crop)
    assert not {t: n for t, n in crops.items() if len(n) > 1}


def test_checked_on_the_day_of_the_lab(cases: list[Case]) -> None:
    for c in cases:
        day = c.lab.checked_on if c.lab and c.lab.checked_on else c.protocol.checked_on
        assert c.card.checked == f"checked {day.day} {MONTHS[day.month][:3]} {day.year}"
        assert c.card.version == f"card {c.protocol.version}"
    assert len({c.card.checked for c in cases}) > 3


def test_what_ruins_a_sample_is_said_in_few_words(cases: list[Case], db: Database) -> None:
    short = [f.card for f in db.faults.values() if f.card]
    assert short and {c.card.ruined for c in cases} == {", ".join(short)}
    assert all(len(words.split()) <= 3 for words in short)
