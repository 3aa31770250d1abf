"""Published sampling tables, and the customs of the trade, against the built manual.

Outside authority: the publications named in tables/*.yml. Their tables were written down there a second
time, apart from the database, so that a slip in either place shows. The facts at the end rest on what people
who sample crops for a living do. These tests read only what a reader gets: the built JSON and built pages.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
import yaml
from lxml import html  # type: ignore[import-untyped]

HERE = Path(__file__).parent
VOCABULARY = HERE.parents[1] / "protocols" / "vocabulary" / "plant-parts.yml"

Json = dict[str, Any]
Said = tuple[str, str | None, float | None, float | None, str | None]
Place = tuple[int, ...]

CHECKED_CLOSELY = ("corn", "soybean", "wheat", "alfalfa", "cotton", "potato")
COVERED_BY = {"wheat": ("wheat", "small-grains")}  # tables that print one row for several crops
ONE_A_PLANT = {"leaves", "petioles", "stalks", "stems"}  # a row that counts plants supports as many of these
MOST = 0.6
EMPTY_WORDS = set(re.findall(r"\w+", "a an the of on in to at and or from with for is it leaf leave plant"))


# The tables


@dataclass(frozen=True)
class Row:
    """One statement of one publication, as written down in tables/*.yml."""

    id: str
    source: str
    crop: str
    stage: str
    last_code: str | None
    season: int | None
    part: str | None
    part_words: str
    our_reading: bool  # the source counts leaves; the id is our reading of the place it counts to
    said: Said
    codes: tuple[str, ...] = ()  # the stage as codes: our reading, written down a second time, too

    @property
    def figures(self) -> set[str]:
        return {f"{number:g}" for number in self.said[2:4] if isinstance(number, (int, float))}


def row_of(source: str, number: int, entry: Json) -> Row:
    part, low, high, unit = (entry.get(key) for key in ("part", "count_min", "count_max", "unit"))
    return Row(
        id=f"{source}/{entry['crop']}/{number}",
        source=source,
        crop=entry["crop"],
        stage=entry["stage"],
        last_code=entry.get("stages", (None, None))[1],
        season=entry.get("season"),
        part=part,
        part_words=entry.get("part_words", ""),
        our_reading=entry.get("our_reading", False),
        said=(source, part, low, high, unit),
        codes=tuple(entry.get("codes", ())),
    )


def rows_of(table: Json) -> Iterator[Row]:
    numbers: Counter[str] = Counter()
    for entry in table["rows"]:
        numbers[entry["crop"]] += 1
        yield row_of(table["source"], numbers[entry["crop"]], entry)


FILES = sorted((HERE / "tables").glob("*.yml"))
TABLES: list[Json] = [yaml.safe_load(path.read_text("utf-8")) for path in FILES]
ROWS = [row for table in TABLES for row in rows_of(table)]
every_row = pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)


def transcribed(crop: str) -> list[Row]:
    return [row for row in ROWS if row.crop in COVERED_BY.get(crop, (crop,))]


def words(text: str) -> set[str]:
    return {word.removesuffix("s") for word in re.findall(r"[a-z0-9]+", text.casefold())} - EMPTY_WORDS


def same_words(one: str, other: str) -> bool:
    """Most words of the shorter text stand in the longer one, too."""
    shared, shorter = words(one) & words(other), min(len(words(one)), len(words(other)))
    return len(shared) >= MOST * shorter > 0


# The built site. A file that is missing raises an error: a site that was not built is a failure.


@cache
def read_json(path: Path) -> Any:
    return json.loads(path.read_text("utf-8"))


@cache
def read_page(path: Path) -> html.HtmlElement:
    page = html.fromstring(path.read_bytes())
    for unseen in page.xpath("//script | //style | //template"):
        unseen.drop_tree()
    return page


def text_of(element: html.HtmlElement) -> str:
    return " ".join(" ".join(element.itertext()).split()).casefold()


def id_of(part: Any) -> str | None:
    """Parts are printed as an id, or as an id with its words."""
    return (part["id"] if isinstance(part, dict) else part) or None


def built_crops(built: Path) -> dict[str, list[str]]:
    index = read_json(built / "data/v1/index.json")
    return {crop["id"]: [protocol["id"] for protocol in crop["protocols"]] for crop in index["crops"]}


def protocols_of(built: Path, crop: str) -> list[Json]:
    names = built_crops(built).get(crop, [])
    return [read_json(built / f"data/v1/crops/{crop}/{name}.json") for name in names]


def page_of(built: Path, protocol: Json) -> html.HtmlElement:
    return read_page(built / f"crops/{protocol['crop']}/{protocol['protocol']}/index.html")


def published_of(built: Path, crop: str) -> list[Json]:
    """Every published row of a crop, once: from the list of all rows and from its protocols."""
    listed = [row for row in read_json(built / "data/v1/evidence.json") if row["crop"] == crop]
    shown = [row for protocol in protocols_of(built, crop) for row in protocol["published"]]
    return list({row["row"]: row for row in [*shown, *listed]}.values())


def said_by(published: Json) -> Said:
    low, high, unit = (published[key] for key in ("count_min", "count_max", "count_unit"))
    return (published["source"], id_of(published["part"]), low, high, unit or None)


@cache
def table_rows(built: Path, crop: str) -> list[tuple[str, str]]:
    """Source and text of every table row on the pages of a crop (of all crops where it has no page)."""
    folder = built / "crops" / crop if crop in built_crops(built) else built / "crops"
    pages = [read_page(path) for path in sorted(folder.rglob("index.html"))]
    assert pages, f"no page under {folder}"
    return [(row.get("data-source"), text_of(row)) for page in pages for row in page.xpath("//tr[@data-row]")]


def first_screen(page: html.HtmlElement, class_name: str) -> list[html.HtmlElement]:
    found: list[html.HtmlElement] = page.xpath(f"//p[contains(concat(' ', @class, ' '), ' {class_name} ')]")
    return found


# The tables themselves


@cache
def vocabulary() -> dict[str, Json]:
    return {part["id"]: part for part in yaml.safe_load(VOCABULARY.read_text("utf-8"))["parts"]}


def part_name(part: str) -> str:
    return re.sub(r"^(the|a|an) ", "", str(vocabulary()[part]["name"]).casefold())


def test_tables_are_all_read() -> None:
    assert len(ROWS) >= 220
    assert len({row.crop for row in ROWS}) >= 60
    assert len({table["source"] for table in TABLES}) == len(TABLES)


@every_row
def test_part_id_means_what_the_source_says(row: Row) -> None:
    if row.part is None or row.our_reading:
        assert bool(row.part_words) == bool(row.part)
        return
    part = vocabulary()[row.part]
    told = " ".join([part["id"], part["name"], part["portion"], part["find"], *part["also_called"]])
    assert words(row.part_words) & words(told), f"{row.part_words!r} is not what {row.part} describes"


# Every published row is in the data and on a page


@every_row
def test_row_is_in_the_data(built: Path, row: Row) -> None:
    same = [published for published in published_of(built, row.crop) if said_by(published) == row.said]
    alike = sum(other.said == row.said and other.crop == row.crop for other in ROWS)
    assert len(same) >= alike, f"{row.said} is missing from {row.crop}"
    assert any(same_words(published["stages"], row.stage) for published in same), f"not at {row.stage!r}"


@every_row
def test_row_is_on_a_page(built: Path, row: Row) -> None:
    texts = [text for source, text in table_rows(built, row.crop) if source == row.source]
    assert texts, f"{row.source} is on no page of {row.crop}"
    full = [text for text in texts if row.figures <= set(re.findall(r"\d+(?:\.\d+)?", text))]
    assert full, f"figures {sorted(row.figures)} are in no row of {row.source}"
    assert row.part is None or any(part_name(row.part) in text for text in full), f"no row names {row.part}"


def test_a_row_says_the_same_in_every_file(built: Path) -> None:
    listed = {row["row"]: said_by(row) for row in read_json(built / "data/v1/evidence.json")}
    for crop in built_crops(built):
        for protocol in protocols_of(built, crop):
            shown = {row["row"]: said_by(row) for row in protocol["published"]}
            assert shown == {row: listed[row] for row in shown}, f"{crop}/{protocol['protocol']}"


# What the protocols ask for is what the tables print


def accepted_parts(protocol: Json) -> set[str]:
    return {part for accepted in protocol["also_accepted"] if (part := id_of(accepted["part"]))}


def own_parts(protocol: Json) -> set[str]:
    return {part for specimen in protocol["specimens"] if (part := id_of(specimen["part"]))}


def counts_the_same(row: Row, unit: str) -> bool:
    fits = row.said[4] == unit or (row.said[4] == "plants" and unit in ONE_A_PLANT)
    return fits and row.said[2] is not None


def holds(row: Row, total: int) -> bool:
    low, high = row.said[2:4]
    return low is not None and low <= total and (high is None or total <= high)


@pytest.mark.parametrize("crop", CHECKED_CLOSELY)
def test_crop_has_protocols(built: Path, crop: str) -> None:
    assert protocols_of(built, crop)


@pytest.mark.parametrize("crop", CHECKED_CLOSELY)
def test_no_protocol_names_a_part_of_its_own(built: Path, crop: str) -> None:
    named = {row.part for row in transcribed(crop)}
    for protocol in protocols_of(built, crop):
        invented = (own_parts(protocol) | accepted_parts(protocol)) - named
        assert not invented, f"{crop}/{protocol['protocol']}: no table names {invented}"


@pytest.mark.parametrize("crop", CHECKED_CLOSELY)
def test_spots_add_up_to_a_published_count(built: Path, crop: str) -> None:
    for protocol in protocols_of(built, crop):
        for specimen in protocol["specimens"]:
            parts = {id_of(specimen["part"])} | accepted_parts(protocol)
            naming = [row for row in transcribed(crop) if row.part in parts]
            assert naming, f"{crop}/{protocol['protocol']}: no table names {parts}"
            check_spots(specimen, naming)


def check_spots(specimen: Json, naming: list[Row]) -> None:
    """The spots together give a number that one of these rows prints, where any of them counts that way."""
    count, spots = specimen["count"], specimen["spots"]
    counting = [row for row in naming if count and counts_the_same(row, count["unit"])]
    if spots and counting:
        total = spots["number"] * spots["each"]
        assert any(holds(row, total) for row in counting), f"{total} {count['unit']} stands in no table"


@pytest.mark.parametrize("crop", CHECKED_CLOSELY)
def test_first_screen_shows_part_and_count(built: Path, crop: str) -> None:
    for protocol in protocols_of(built, crop):
        page, specimens = page_of(built, protocol), protocol["specimens"]
        parts = [p.get("data-part") for p in first_screen(page, "el-what") if p.get("data-part")]
        assert parts == [id_of(specimen["part"]) for specimen in specimens if specimen["part"]]
        counts = [specimen["count"] for specimen in specimens if specimen["count"]]
        shown = [(figures(p.get("data-count")), p.get("data-unit")) for p in first_screen(page, "el-count")]
        assert [(figures_of(count), count["unit"]) for count in counts] == [one for one in shown if one[0]]


def figures(text: str | None) -> list[float]:
    return [float(number) for number in re.findall(r"\d+(?:\.\d+)?", text or "")]


def figures_of(count: Json) -> list[float]:
    return [float(count[key]) for key in ("min", "max") if count[key] is not None]


# The order of the season


def place(code: str) -> Place:
    """Where a stage code stands in its own scale: VE, VC, V1.., VT, R1.., or Feekes 10.5.3."""
    letters = "".join(re.findall(r"[A-Za-z]+", code)).upper()
    order = {"VE": 0, "VC": 1, "V": 2, "VT": 3, "R": 4}
    return (order.get(letters, 0), *(int(number) for number in re.findall(r"\d+", code)))


def season_pairs() -> Iterator[tuple[Row, Row]]:
    """Two rows of one source and crop, the earlier stage first."""
    for earlier, later in combinations([row for row in ROWS if row.season], 2):
        if (earlier.source, earlier.crop) == (later.source, later.crop):
            first, second = sorted((earlier, later), key=lambda row: row.season or 0)
            yield first, second


def window_of(protocol: Json) -> tuple[Place, Place]:
    stages = protocol["stages"]
    return place(stages["from"]), place(stages["to"] or stages["from"])


def windows_for(built: Path, row: Row) -> list[tuple[Place, Place]]:
    found = [p for p in protocols_of(built, row.crop) if row.part in own_parts(p) | accepted_parts(p)]
    assert found, f"no protocol of {row.crop} takes {row.part}"
    return sorted(window_of(protocol) for protocol in found)


@pytest.mark.parametrize(("earlier", "later"), list(season_pairs()), ids=lambda row: row.id)
def test_parts_follow_the_order_of_the_source(built: Path, earlier: Row, later: Row) -> None:
    first, second = windows_for(built, earlier), windows_for(built, later)
    assert first[0] < second[0], f"{earlier.part} comes before {later.part} in {earlier.source}"
    if earlier.crop in {"corn", "soybean"}:
        assert max(end for _, end in first) < second[0][0], f"{earlier.part} and {later.part} overlap"


PRINTED = [row for row in ROWS if row.last_code and row.crop in {"corn", "soybean"}]


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: row.id)
def test_last_stage_is_the_one_the_source_prints(built: Path, row: Row) -> None:
    same = [published for published in published_of(built, row.crop) if said_by(published) == row.said]
    assert row.last_code in {published["stage_to"] or published["stage_from"] for published in same}


# Customs of the trade, on the page as a scout reads it


def handout_at(built: Path, crop: str, stage: str) -> Json:
    found = []
    for protocol in protocols_of(built, crop):
        first, last = window_of(protocol)
        if first <= place(stage) <= last:
            found.append(protocol)
    assert len(found) == 1, f"{crop} at {stage}: {[protocol['protocol'] for protocol in found]}"
    return found[0]


WHOLE_PLANT = (r"\bcut\b", r"\bground\b|soil line")
EITHER_LEAF = (r"\bear leaf\b", r"below and opposite", r"\blabs? (vary|differ)|some labs|ask your lab")
TOP_LEAF = (r"full(y)?[ -]grown three-part leaf", r"\bpaler\b", r"too young")
THE_RIGHT_PART = [
    ("corn", "V3", "whole-tops", WHOLE_PLANT),
    ("corn", "V12", "uppermost-collared-leaf", (r"\bcollar", r"\b(break|snap)\b", r"\bstalk\b")),
    ("corn", "VT", "ear-leaf", EITHER_LEAF),
    ("corn", "R1", "ear-leaf", EITHER_LEAF),
    ("soybean", "V1", "whole-tops", WHOLE_PLANT),
    ("soybean", "V3", "whole-tops", WHOLE_PLANT),
    ("soybean", "R1", "trifoliate-leaf", TOP_LEAF),
    ("soybean", "R2", "trifoliate-leaf", TOP_LEAF),
]


@pytest.mark.parametrize(("crop", "stage", "part", "patterns"), THE_RIGHT_PART)
def test_the_stage_decides_the_part(built: Path, crop: str, stage: str, part: str, patterns: tuple[str, ...]) -> None:
    page = page_of(built, handout_at(built, crop, stage))
    assert [p.get("data-part") for p in first_screen(page, "el-what")] == [part]
    for pattern in patterns:
        assert re.search(pattern, text_of(page)), f"{crop} at {stage} does not say {pattern}"


def test_corn_silk_page_shows_sources_for_both_leaves(built: Path) -> None:
    published = handout_at(built, "corn", "R1")["published"]
    assert {"ear-leaf", "leaf-below-opposite-ear"} <= {id_of(row["part"]) for row in published}


CUSTOMS = {
    "paper bag": r"\bpaper bags?\b",
    "never plastic": r"\b(never|no|not)\b[^.]{0,20}\bplastic\b",
    "two days drying": r"\b(two|2) days\b",
    "same spots": r"\bsame spots\b",
    "soil sample": r"\bsoil sample|\btake soil\b",
    "several bags": r"\bseveral bags\b",
    "good spot": r"\bgood spot\b",
    "poor spot": r"\b(poor|bad) spot\b",
}


@pytest.mark.parametrize("crop", ["corn", "soybean", "wheat", "alfalfa", "cotton"])
@pytest.mark.parametrize("custom", CUSTOMS)
def test_every_leaf_handout_tells_the_custom(built: Path, crop: str, custom: str) -> None:
    every = protocols_of(built, crop)
    for protocol in (one for one in every if "lower-stalk-section" not in own_parts(one)):
        told = text_of(page_of(built, protocol))
        assert re.search(CUSTOMS[custom], told), f"{crop}/{protocol['protocol']} does not tell: {custom}"
