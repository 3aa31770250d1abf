"""The page of all drawings, and the rule that nothing is sampled without one."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

from site_tree import SiteTree

from earleaf.database.load import Database
from earleaf.site.build import prepare
from small_manual import FILES

DRAWN_AS = ", drawn_as: leaf-below-opposite-ear"


def test_the_gallery_leads_to_every_protocol_that_names_a_part(site: SiteTree, manual_db: Database) -> None:
    links = set(site.pages["drawings/"].xpath("//main//p[contains(@class, 'el-used')]/a/@href"))
    for crop in manual_db.crops.values():
        for protocol in crop.protocols:
            if protocol.take[0].part:
                assert f"../crops/{crop.crop}/{protocol.protocol}/" in links, (crop.crop, protocol.protocol)


def test_every_picture_of_the_gallery_is_there_and_described(site: SiteTree) -> None:
    pictures = site.pages["drawings/"].xpath("//main//img")
    assert len(pictures) > 300
    for picture in pictures:
        svg = site.files[picture.get("src").removeprefix("../")]
        assert len(svg) <= 25_000 and len(picture.get("alt")) > 30


def test_a_part_that_no_drawing_shows_fails_the_check(tmp_path: Path, today: date) -> None:
    """The file, the line of the lab's entry, the part, and what to do."""
    for name, text in FILES.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text.replace(DRAWN_AS, ""), "utf-8")
    assert any(DRAWN_AS in text for text in FILES.values())
    (found,) = prepare(tmp_path / "manual.yml", today).errors
    assert found.rule == "no-drawing" and found.file == "labs/stonewell.yml" and found.line > 1
    assert "opposite-leaf" in found.message and "drawn_as" in found.hint
    shutil.rmtree(tmp_path)
