"""Pages of labs and handouts for labs: what changes is said, and nothing of the base stands beside it."""

from __future__ import annotations

import re

from site_tree import SiteTree, report, words_of

from earleaf.database.load import Database
from earleaf.planning.localise import localise
from earleaf.views.common import part_name, protocol_address
from earleaf.views.words import Words


def test_a_lab_page_lists_what_changes(site: SiteTree, manual_db: Database) -> None:
    lost = []
    for lab in manual_db.labs.values():
        main = site.main(f"labs/{lab.lab}/")
        said = words_of(main)
        sentences = [s.say for rule in lab.handling.values() for s in rule.say]
        lost += [(lab.lab, s) for s in sentences if " ".join(s.split()) not in said]
        for entry in lab.protocols:
            link = f"../../labs/{lab.lab}/{entry.crop}/{entry.protocol}/"
            items = main.xpath(f".//li[a/@href='{link}']")
            if not items or not items[0].xpath(".//*[@data-source]"):
                lost.append((lab.lab, f"{entry.crop}/{entry.protocol}"))
    assert not lost, report(lost)


def test_a_lab_handout_lists_what_changes(site: SiteTree, manual_db: Database) -> None:
    wrong = []
    for lab in manual_db.labs.values():
        for crop in manual_db.crops.values():
            for protocol in crop.protocols:
                address = protocol_address(crop, protocol, lab.lab)
                changes = localise(manual_db, crop, protocol, lab).changes
                rows = site.pages[address].xpath("//section[h2/@id='lab']//tbody/tr")
                if len(rows) != len(changes):
                    wrong.append((address, len(rows), len(changes)))
    assert not wrong, report(wrong)


def test_another_part_never_mixes_with_the_base(site: SiteTree, manual_db: Database) -> None:
    """Where a lab takes another part, its page names it and repeats no step of the base for the old one."""
    seen = 0
    words = Words(units=manual_db.units)
    for lab in manual_db.labs.values():
        for entry in lab.protocols:
            crop = manual_db.crops[entry.crop]
            protocol = next(p for p in crop.protocols if p.protocol == entry.protocol)
            base = protocol.take[0]
            if entry.part is None or entry.part == base.part:
                continue
            seen += 1
            page = site.pages[protocol_address(crop, protocol, lab.lab)]
            assert page.xpath("//p[contains(@class,'el-what')]/@data-part")[0] == entry.part
            name = part_name(manual_db, words, entry.part)
            assert words_of(page.xpath("//p[contains(@class,'el-what')]")[0]).lower() == name.lower()
            steps = " ".join(words_of(s) for s in page.xpath("//section[contains(@class,'el-step')]"))
            own = {line.say for line in entry.say}
            assert not [h.say for h in base.how if h.say in steps and h.say not in own]
            assert all(line.say in steps for line in entry.say)
            old = manual_db.parts[base.part] if base.part else None
            first = words_of(page.xpath("//section[contains(@class,'el-first')]")[0])
            assert old is None or old.find not in first
            result = words_of(page.xpath("//section[h2/@id='result']")[0])
            assert not [r.say for r in protocol.result if r.say in result]
    assert seen, "the demo must hold a lab that takes another part"


def test_a_lab_count_is_the_count_on_its_page(site: SiteTree, manual_db: Database) -> None:
    for lab in manual_db.labs.values():
        for entry in lab.protocols:
            if entry.count is None:
                continue
            page = site.pages[f"labs/{lab.lab}/{entry.crop}/{entry.protocol}/"]
            count = page.xpath("//p[contains(@class,'el-count')]")[0]
            high = f"-{entry.count.max:g}" if entry.count.max else ""
            assert count.get("data-count") == f"{entry.count.min:g}{high}"
            assert set(count.get("data-source").split()) >= set(entry.source or lab.source)


def test_the_split_over_spots_adds_up(site: SiteTree) -> None:
    """'4 leaves at each of 5 spots (20 in the bag)', and the total lies within the count."""
    wrong = []
    for address, page in site.handouts.items():
        for count in page.find_class("el-count"):
            text = words_of(count)
            walk = re.search(r"^(\d+) .*at each of (\d+)\D", text)
            bag = re.search(r"\((\d+) in the bag\)", text)
            if walk and bag:
                total = int(walk[1]) * int(walk[2])
                low, _, high = count.get("data-count").partition("-")
                fits = (
                    not low
                    or count.get("data-unit") == "locations"
                    or (float(low) <= total and (not high or total <= float(high)))
                )
                if total != int(bag[1]) or not fits:
                    wrong.append((address, text, count.get("data-count"), count.get("data-unit")))
    assert not wrong, report(wrong)


def test_what_no_source_states_is_said_openly(site: SiteTree, manual_db: Database) -> None:
    wrong, seen = [], 0
    for crop in manual_db.crops.values():
        for protocol in crop.protocols:
            page = site.pages[protocol_address(crop, protocol)]
            whats, counts = page.find_class("el-what"), page.find_class("el-count")
            for take, what, count in zip(protocol.take, whats, counts, strict=True):
                if take.part is None:
                    seen += 1
                    wrong += [(protocol.short_id, words_of(what))] * (
                        "not stated by source" not in words_of(what).lower()
                    )
                if take.count is None and take.spots is None:
                    seen += 1
                    wrong += [(protocol.short_id, words_of(count))] * (
                        "not stated by source" not in words_of(count).lower()
                    )
    assert seen and not wrong, report(wrong)


def test_what_a_row_leaves_out_is_said_openly(site: SiteTree, manual_db: Database) -> None:
    wrong = []
    for address, page in site.pages.items():
        for tr in page.xpath("//tr[@data-row]"):
            row = manual_db.sampling[tr.get("data-row")]
            part, count = (words_of(td) for td in tr.xpath("td")[:2])
            if (row.part is None) != (part.lower() == "not stated") or (row.count_min is None) != (
                count == "not stated"
            ):
                wrong.append((address, row.row, part, count))
    assert not wrong, report(wrong)
