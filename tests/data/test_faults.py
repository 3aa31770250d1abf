"""Every way we know to get the data wrong, each with the message it must give.

Each case breaks the small manual in one way. It must give one finding of the named rule, at the named place, that
says what was found and what to do. Findings that must follow from the same fault are listed in `also`; any other
finding is a failure, so that one slip is never told as ten.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest

from earleaf.database.check import RULES as EVERY_RULE
from earleaf.model.finding import Finding
from earleaf.site.build import build_plain, prepare
from small_manual import FILES, write

CORN, BEAN, LAB = "protocols/crops/corn.yml", "protocols/crops/bean.yml", "labs/stonewell.yml"
ROWS, RULES = "protocols/evidence/sampling.csv", "protocols/evidence/handling.csv"
IDS, INDEX = "protocols/published-ids.txt", "docs/index.md"
SOURCES, PARTS = "protocols/sources.yml", "protocols/vocabulary/plant-parts.yml"
BASE, GROUP = "protocols/handling.yml", "protocols/groups/row-crops.yml"
STAGES = "protocols/stages/corn-stages.yml"


@dataclass(frozen=True)
class Case:
    """One fault. `new` takes the place of `old`; bytes take the place of the whole file, None deletes it.

    `at` is the line of the finding: a number, or the words that start on it after the change. `copy_to` is a second
    name under which the unchanged file is put beside it.
    """

    name: str
    file: str
    old: str
    new: str | bytes | None
    rule: str
    at: int | str
    says: tuple[str, ...]
    hint: tuple[str, ...]
    level: str = "error"
    also: tuple[str, ...] = ()
    found_in: str = ""
    copy_to: str = ""


SYNTAX = [
    Case(
        "unknown key",
        CORN,
        "latin: Zea",
        "latinn: Zea",
        "unknown-key",
        "latinn",
        ("unknown key 'latinn'", "top level"),
        ("did you mean 'latin'?", "stage_system"),
        also=("missing-key",),
    ),
    Case(
        "unknown key deep down",
        CORN,
        "spots: {number: 4, each: 5}",
        "spots: {numbr: 4, number: 4, each: 5}",
        "unknown-key",
        "numbr",
        ("'numbr'", "protocols.1.take.0.spots"),
        ("did you mean 'number'?", "each"),
    ),
    Case(
        "missing key", BEAN, "latin: Phaseolus vulgaris\n", "", "missing-key", 1, ("'latin' is missing",), ("add it",)
    ),
    Case(
        "tab for an indent",
        CORN,
        "  title: young plants",
        "\ttitle: young plants",
        "bad-yaml",
        "\ttitle",
        ("not YAML",),
        ("tab", "spaces only"),
    ),
    Case(
        "a colon inside a text",
        BEAN,
        "title: bloom",
        "title: bloom: first",
        "bad-yaml",
        "bloom: first",
        ("not YAML",),
        ("put quotes round a text that holds a colon",),
    ),
    Case(
        "open bracket",
        CORN,
        "basis: [corn.uni-a.2]",
        "basis: [corn.uni-a.2",
        "bad-yaml",
        "  differs:",
        ("not YAML",),
        ("[ ]",),
    ),
    Case(
        "duplicate key",
        CORN,
        "form: grass",
        "form: grass\nname: Maize",
        "duplicate-key",
        "name: Maize",
        ("'name' is here twice", "first on line 2"),
        ("keep one",),
    ),
    Case(
        "number in words",
        CORN,
        "min: 15",
        "min: fifteen",
        "wrong-type",
        "min: fifteen",
        ("protocols.1.take.0.count.min is 'fifteen'",),
        ("a number",),
    ),
    Case(
        "half a leaf",
        CORN,
        "spots: {number: 5, each: 4}",
        "spots: {number: 5, each: 4.5}",
        "wrong-type",
        "each: 4.5",
        ("each is '4.5'",),
        ("a whole number",),
    ),
    Case(
        "keys where a list belongs",
        BEAN,
        "  - The first flowers are open.",
        "    say: The first flowers are open.",
        "wrong-type",
        "see:",
        ("see is a set of keys",),
        ("a list",),
    ),
    Case(
        "list where keys belong",
        CORN,
        "window: {from: VT, to: R1}",
        "window: [VT, R1]",
        "wrong-type",
        "window: [VT, R1]",
        ("window is a list",),
        ("keys and values",),
    ),
    Case(
        "not a date",
        BEAN,
        "checked_on: 2026-11-25",
        "checked_on: 25 Nov 2026",
        "wrong-type",
        "25 Nov",
        ("checked_on is '25 Nov 2026'",),
        ("a date such as 2026-11-25",),
    ),
    Case(
        "not true or false",
        LAB,
        "invented: true",
        "invented: perhaps",
        "wrong-type",
        "perhaps",
        ("invented is 'perhaps'",),
        ("true or false",),
    ),
    Case(
        "word that is not allowed",
        CORN,
        "  - part: ear-leaf",
        "  - petiole: keeep\n    part: ear-leaf",
        "not-allowed",
        "petiole: keeep",
        ("petiole is 'keeep'",),
        ("did you mean 'keep'?", "'remove'"),
    ),
    Case(
        "topic that is not allowed", GROUP, "  dry:", "  drying:", "not-allowed", "drying:", ("'drying'",), ("'dry'",)
    ),
    Case(
        "stage without its look",
        STAGES,
        ", look: Silks show.}",
        "}",
        "missing-key",
        "code: R1",
        ("'look' is missing in stages.3",),
        ("add it",),
    ),
    Case(
        "huge file",
        CORN,
        "",
        b"crop: corn\n#" + b"x" * 1_000_001,
        "file-too-large",
        0,
        ("bytes", "1,000,000"),
        ("split",),
    ),
    Case("huge table", ROWS, "", b"row\n" + b"x" * 5_000_001, "file-too-large", 0, ("bytes", "5,000,000"), ("split",)),
    Case(
        "alias bomb",
        CORN,
        "",
        b"a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\n",
        "yaml-alias",
        1,
        ("anchors",),
        ("write the value out",),
    ),
    Case(
        "tag that makes an object",
        CORN,
        "name: Corn",
        "name: !!python/object:os.system Corn",
        "yaml-tag",
        "!!python",
        ("python/object",),
        ("remove",),
    ),
    Case(
        "two documents",
        BEAN,
        "protocols:\n",
        "---\nprotocols:\n",
        "bad-yaml",
        "---",
        ("more than one document",),
        ("remove the line ---",),
    ),
    Case("not UTF-8", CORN, "", b"crop: corn\nname: Ma\xefs\n", "not-utf-8", 2, ("0xef",), ("UTF-8",)),
    Case("table not UTF-8", ROWS, "", b"row,source\ncorn.uni-a.1,\xe9\n", "not-utf-8", 2, ("0xe9",), ("UTF-8",)),
    Case("control character", BEAN, "name: Bean", "name: Be\x07an", "control-character", 2, ("U+0007",), ("delete",)),
    Case(
        "figure turned round", BEAN, "title: bloom", 'title: "\\u202E25"', "control-character", 9, ("U+202E",), ("it",)
    ),
    Case("empty file", BEAN, "", b"", "empty-file", 0, ("is empty",), ("earleaf new",)),
    Case("comment only", BEAN, "", b"# later\n", "empty-file", 0, ("is empty",), ("delete",)),
    Case("a list instead of keys", BEAN, "", b"- crop: bean\n", "wrong-type", 1, ("not a list",), ("key: value",)),
    Case("one word instead of keys", BEAN, "", b"bean\n", "wrong-type", 1, ("not 'bean'",), ("key: value",)),
    Case(
        "more than 30 levels deep",
        BEAN,
        "",
        b"crop: " + b"[" * 40 + b"]" * 40,
        "too-deep",
        1,
        ("30 levels",),
        ("indents",),
    ),
    Case(
        "empty list",
        BEAN,
        "take:\n  - part: trifoliate-leaf\n    count: {min: 20, max: 30, unit: leaves}\n"
        "    spots: {number: 5, each: 5}\n    basis: [bean.uni-a.1]",
        "take: []",
        "empty-value",
        "take: []",
        ("take is an empty list",),
        ("at least one",),
    ),
    Case("null value", CORN, "name: Corn", "name:", "empty-value", "name:", ("name is empty",), ("a text",)),
    Case(
        "null where a list belongs",
        BEAN,
        "see:\n  - The first flowers are open.",
        "see: ~",
        "empty-value",
        "see: ~",
        ("see is empty",),
        ("a list",),
    ),
    Case("empty text", CORN, "name: Corn", 'name: ""', "empty-value", 'name: ""', ("name is empty",), ("a text",)),
    Case("text too long", CORN, "name: Corn", "name: " + "C" * 700, "wrong-length", "CCC", ("700",), ("600",)),
    Case("bad clock", LAB, 'until: "15:00"', 'until: "3 pm"', "bad-form", "3 pm", ("'3 pm'",), ("24-hour",)),
    Case(
        "bad row id",
        CORN,
        "basis: [corn.uni-a.2]",
        "basis: [corn uni-a]",
        "bad-form",
        "corn uni-a",
        ("'corn uni-a'",),
        ("dots between",),
    ),
    Case("bad short id", BEAN, "short_id: bblm", "short_id: B1", "bad-form", "short_id", ("'B1'",), ("four small",)),
    Case(
        "bad address",
        "manual.yml",
        "https://manual",
        "www.manual",
        "wrong-type",
        "www.manual",
        ("site_url",),
        ("https://",),
    ),
]

LEFT_OPEN = [
    Case(
        "skeleton not filled in",
        CORN,
        "latin: Zea mays",
        "latin: <genus species>",
        "placeholder",
        "latin",
        ("'<genus species>'", "filled in"),
        ("real thing",),
    ),
    Case(
        "chapter with a taken address",
        "docs/index.md",
        "",
        None,
        "chapter",
        0,
        ("'crops'",),
        ("none of", "sources"),
        copy_to="docs/crops.md",
        found_in="docs/crops.md",
    ),
    Case(
        "chapter that is not UTF-8",
        "docs/index.md",
        "",
        b"# Caf\xe9\n",
        "not-utf-8",
        1,
        ("not UTF-8",),
        ("encoding UTF-8",),
    ),
]

FILES_AND_IDS = [
    Case(
        "missing file",
        "protocols/vocabulary/units.yml",
        "",
        None,
        "missing-file",
        0,
        ("cannot be read",),
        ("check the name",),
    ),
    Case(
        "missing sources of the manual",
        "manual.yml",
        "sources_file: sources.yml",
        "sources_file: source.yml",
        "missing-file",
        0,
        ("cannot be read",),
        ("check the name",),
        found_in="source.yml",
    ),
    Case(
        "missing protocols folder",
        "manual.yml",
        "protocols_folder: protocols",
        "protocols_folder: protocol",
        "missing-file",
        0,
        ("no such folder",),
        ("crops/",),
        found_in="protocol",
        also=("unknown-name",) * 5,
    ),
    Case(
        "missing labs folder",
        "manual.yml",
        "labs: [stonewell]",
        "labs: [stonewell]\nlabs_folder: laboratories",
        "missing-file",
        "laboratories",
        ("no folder 'laboratories'",),
        ("labs_folder",),
    ),
    Case(
        "missing chapters folder",
        "manual.yml",
        "chapters_folder: docs",
        "chapters_folder: chapter",
        "missing-file",
        0,
        ("'chapter' is not there",),
        ("Markdown",),
    ),
    Case(
        "path in an id",
        CORN,
        "- protocol: silk",
        "- protocol: ../silk",
        "bad-form",
        "../silk",
        ("'../silk'",),
        ("small letters",),
    ),
    Case(
        "path in a crop id",
        CORN,
        "crop: corn",
        "crop: ../../corn",
        "bad-form",
        "../../corn",
        ("'../../corn'",),
        ("small letters",),
    ),
    Case(
        "file name that is no id",
        BEAN,
        "",
        None,
        "bad-form",
        0,
        ("'Dry Bean.yml'",),
        ("dry-bean.yml",),
        found_in="protocols/crops/Dry Bean.yml",
        copy_to="protocols/crops/Dry Bean.yml",
        also=("unknown-name",) * 3 + ("id",),
    ),
    Case(
        "id is not the file name",
        BEAN,
        "crop: bean",
        "crop: beans",
        "id-is-not-file-name",
        "crop: beans",
        ("'beans'", "bean.yml"),
        ("the same",),
    ),
    Case(
        "crop twice",
        BEAN,
        "crop: bean",
        "crop: bean",
        "duplicate-id",
        1,
        ("'bean'", "bean.yaml"),
        ("keep one",),
        copy_to="protocols/crops/bean.yaml",
    ),
    Case(
        "part twice",
        PARTS,
        "- {id: opposite-leaf",
        "- {id: ear-leaf, name: x, family: x, portion: x, find: x, item: leaves}\n- {id: opposite-leaf",
        "duplicate-id",
        "id: ear-leaf, name: x",
        ("part 'ear-leaf'",),
        ("rename",),
    ),
    Case(
        "source twice",
        SOURCES,
        "id: uni-b",
        "id: uni-a",
        "duplicate-id",
        "Leaves again",
        ("source 'uni-a'",),
        ("rename",),
        also=("unknown-name",) * 4,
    ),
    Case(
        "crop that is not there",
        "manual.yml",
        "crops: [corn, bean]",
        "crops: [corn, bean, corm]",
        "unknown-name",
        "crops:",
        ("no crop 'corm'",),
        ("did you mean 'corn'?",),
    ),
    Case(
        "lab that is not there",
        "manual.yml",
        "labs: [stonewell]",
        "labs: [stonewel]",
        "unknown-name",
        "labs:",
        ("no lab 'stonewel'",),
        ("did you mean 'stonewell'?",),
    ),
    Case(
        "duplicate protocol",
        CORN,
        "- protocol: silk",
        "- protocol: young",
        "id",
        "- protocol: young\n  title: tassel",
        ("'young' is here twice",),
        ("another id",),
        also=("id", "id", "unknown-name"),
    ),
    Case(
        "short id taken",
        CORN,
        "short_id: cslk",
        "short_id: cyng",
        "id",
        "short_id: cyng\n  aliases",
        ("'cyng' is taken by corn/young",),
        ("choose another",),
        also=("id", "id"),
    ),
    Case(
        "old id given to another protocol",
        CORN,
        "aliases: [tassel]",
        "aliases: [tassel, young]",
        "id",
        "aliases: [tassel",
        ("alias 'young' is the id of a protocol",),
        ("another id",),
    ),
    Case(
        "old id given to another crop",
        BEAN,
        "name: Bean",
        "name: Bean\naliases: [corn]",
        "id",
        "aliases:",
        ("alias 'corn' is the id of a crop",),
        ("remove the alias",),
    ),
    Case(
        "short id changed",
        BEAN,
        "short_id: bblm",
        "short_id: bnew",
        "id",
        "bean/bloom",
        ("bblm", "now bnew"),
        ("put the old short_id back",),
        found_in=IDS,
    ),
    Case(
        "published id lost",
        BEAN,
        "protocol: bloom",
        "protocol: flower",
        "id",
        "bean/bloom",
        ("bean/bloom", "is gone"),
        ("aliases",),
        found_in=IDS,
    ),
    Case(
        "published alias lost",
        CORN,
        "  aliases: [tassel]\n",
        "",
        "id",
        "corn/tassel",
        ("corn/tassel", "is gone"),
        ("aliases",),
        found_in=IDS,
    ),
]

TWO = "  version: 2\n  checked_on: 2026-11-20"
NEWS = "  changes:\n  - {version: 2, on: 2026-11-20, what: Another leaf.}\n"
LATE = "  - {version: 1, on: 2026-11-20, what: A third leaf.}\n"
OLD = """\
retired:
- {protocol: old, title: old, short_id: cold, on: 2026-11-20, why: Nobody takes it.}
protocols:
- protocol: young"""
VERSIONS = [
    Case(
        "new version without a word",
        CORN,
        "  checked_on: 2026-11-20",
        TWO,
        "changes",
        "version: 2",
        ("version 2 does not say what it changed",),
        ("changes:", "version: 2"),
    ),
    Case(
        "change of a version to come",
        CORN,
        "  checked_on: 2026-11-20",
        f"{NEWS}  checked_on: 2026-11-20",
        "changes",
        "changes:",
        ("a change to version 2", "`version` is 1"),
        ("version: 2",),
    ),
    Case(
        "changes out of order",
        CORN,
        "  checked_on: 2026-11-20",
        f"{NEWS}{LATE}{TWO}".replace("version: 2", "version: 3").replace("version: 1", "version: 2"),
        "changes",
        "changes:",
        ("out of order", "3, 2"),
        ("the oldest first",),
    ),
    Case(
        "change dated in the future",
        CORN,
        "  checked_on: 2026-11-20",
        f"{NEWS.replace('2026', '2030')}{TWO}",
        "changes",
        "- {version: 2",
        ("2030-11-20", "to come"),
        ("mend the date",),
    ),
    Case(
        "retired on a day to come",
        CORN,
        "protocols:\n- protocol: young",
        OLD.replace("2026", "2030"),
        "changes",
        "- {protocol: old",
        ("retired on 2030-11-20",),
        ("mend the date",),
    ),
    Case(
        "retired for what is not there",
        CORN,
        "protocols:\n- protocol: young",
        OLD.replace("on: 2026", "replaced_by: corn/silks, on: 2026"),
        "changes",
        "- {protocol: old",
        ("no protocol 'corn/silks'",),
        ("did you mean 'corn/silk'?",),
    ),
    Case(
        "short id of a retired protocol taken",
        CORN,
        "protocols:\n- protocol: young",
        OLD.replace("cold", "cslk"),
        "id",
        "- {protocol: old",
        ("short_id 'cslk' of a retired protocol is taken by corn/silk",),
        ("new id",),
    ),
    Case(
        "retired and still there",
        CORN,
        "protocols:\n- protocol: young",
        OLD.replace("protocol: old", "protocol: silk", 1),
        "id",
        "- {protocol: silk",
        ("protocol 'silk' of a retired protocol is taken by corn/silk",),
        ("new id",),
    ),
]

NAMES = [
    Case(
        "unknown part",
        CORN,
        "part: ear-leaf",
        "part: earleaf",
        "unknown-name",
        "earleaf",
        ("unknown part 'earleaf'",),
        ("did you mean 'ear-leaf'?",),
    ),
    Case(
        "unknown unit",
        BEAN,
        "unit: leaves",
        "unit: leafs",
        "unknown-name",
        "leafs",
        ("unknown unit 'leafs'",),
        ("did you mean 'leaves'?",),
    ),
    Case(
        "unknown stage",
        CORN,
        "window: {from: VT, to: R1}",
        "window: {from: VTT, to: R1}",
        "unknown-name",
        "VTT",
        ("unknown stage 'VTT'",),
        ("did you mean 'VT'?", "R1"),
    ),
    Case(
        "unknown stage in a gap",
        CORN,
        "to: V6",
        "to: V9",
        "unknown-name",
        "- from: V4",
        ("unknown stage 'V9'",),
        ("V6",),
        also=("window",),
    ),
    Case(
        "unknown source",
        STAGES,
        "source: uni-a",
        "source: unia",
        "unknown-name",
        "source: unia",
        ("unknown source 'unia'",),
        ("did you mean 'uni-a'?",),
    ),
    Case(
        "unknown row",
        CORN,
        "differs: [corn.uni-b.1]",
        "differs: [corn.uni-b.7]",
        "unknown-name",
        "corn.uni-b.7",
        ("unknown row 'corn.uni-b.7'",),
        ("did you mean 'corn.uni-b.1'?",),
        also=("row-not-shown",),
    ),
    Case(
        "unknown basis row",
        CORN,
        "basis: [corn.uni-a.2]",
        "basis: [corn.unia.2]",
        "unknown-name",
        "corn.unia.2",
        ("unknown row",),
        ("did you mean 'corn.uni-a.2'?",),
        also=("row-not-shown",),
    ),
    Case(
        "unknown handling row",
        BASE,
        "basis: [bag.1]",
        "basis: [bag.7]",
        "unknown-name",
        "bag:",
        ("unknown handling row 'bag.7'",),
        ("did you mean 'bag.2'?",),
    ),
    Case(
        "unknown group",
        BEAN,
        "group: row-crops",
        "group: row-crop",
        "unknown-name",
        "group:",
        ("unknown group 'row-crop'",),
        ("did you mean 'row-crops'?",),
    ),
    Case(
        "unknown stage system",
        BEAN,
        "stage_system: bean-stages",
        "stage_system: beans-stages",
        "unknown-name",
        "stage_system:",
        ("unknown stage system",),
        ("did you mean 'bean-stages'?",),
    ),
    Case(
        "unknown caution",
        CORN,
        "cautions: [blades]",
        "cautions: [blade]",
        "unknown-name",
        "cautions:",
        ("unknown caution 'blade'",),
        ("did you mean 'blades'?",),
    ),
    Case(
        "unknown caution for all",
        "protocols/vocabulary/cautions.yml",
        "always: [rei]",
        "always: [reentry]",
        "unknown-name",
        "always:",
        ("unknown caution 'reentry'",),
        ("blades",),
    ),
    Case(
        "lab names an unknown protocol",
        LAB,
        "protocol: silk",
        "protocol: silks",
        "unknown-name",
        "protocol: silks",
        ("corn has no protocol 'silks'",),
        ("did you mean 'silk'?",),
    ),
    Case(
        "lab names an unknown crop",
        LAB,
        "- crop: corn",
        "- crop: maize",
        "unknown-name",
        "- crop: maize",
        ("unknown crop 'maize'",),
        ("corn",),
    ),
    Case(
        "row of an unknown crop",
        ROWS,
        "uni-b,bean",
        "uni-b,been",
        "unknown-name",
        6,
        ("unknown crop 'been'",),
        ("did you mean 'bean'?",),
    ),
    Case(
        "part counted in an unknown unit",
        PARTS,
        "find: Near the top., item: leaves",
        "find: Near the top., item: leafs",
        "unknown-name",
        "leafs",
        ("unknown unit 'leafs'",),
        ("did you mean 'leaves'?",),
    ),
    Case("chapter without a title", INDEX, "# Start here", "Start here", "chapter", 1, ("not a title",), ("# Title",)),
    Case(
        "chapter cites an unknown source",
        INDEX,
        "[@uni-a]",
        "[@uni-z]",
        "unknown-name",
        3,
        ("unknown source 'uni-z'",),
        ("sources.yml",),
    ),
    Case(
        "chapter asks for unknown rules",
        INDEX,
        "rules: bag",
        "rules: bags",
        "unknown-name",
        5,
        ("no rules on 'bags'",),
        ("handling.csv",),
    ),
]

COUNTS_AND_STAGES = [
    Case(
        "dates of a source that has no row about the crop",
        "protocols/crops/bean.yml",
        "  window: {from: R1, to: R2}",
        "  window: {from: R1, to: R2}\n  dates:\n"
        "  - {from: 07-01, to: 07-31, hemisphere: north, source: stonewell-note}",
        "not-supported",
        "- {from: 07-01",
        ("no row of", "bean"),
        ("add the row",),
    ),
    Case(
        "negative count",
        CORN,
        "min: 15",
        "min: -15",
        "out-of-range",
        "min: -15",
        ("count.min is -15",),
        ("greater than 0",),
    ),
    Case("zero count", CORN, "min: 15", "min: 0", "out-of-range", "min: 0", ("count.min is 0",), ("greater than 0",)),
    Case(
        "zero spots",
        CORN,
        "number: 4, each: 5",
        "number: 0, each: 5",
        "out-of-range",
        "number: 0",
        ("spots.number is 0",),
        ("greater than or equal to 1",),
    ),
    Case(
        "min and max swapped",
        CORN,
        "min: 15\n      max: 25",
        "min: 25\n      max: 15",
        "count",
        "    count:\n      min: 25",
        ("min 25 is above max 15",),
        ("swap",),
    ),
    Case(
        "spots that do not make the count",
        CORN,
        "number: 4, each: 5",
        "number: 4, each: 9",
        "count",
        "each: 9",
        ("4 spots of 9 make 36", "15 to 25 leaves"),
        ("number or each",),
    ),
    Case(
        "lab count that the walk does not give",
        LAB,
        "  spots: {number: 5, each: 5}\n",
        "",
        "count",
        "count: {min: 25",
        ("4 spots of 5 make 20", "the count is 25 leaves"),
        ("number or each",),
    ),
    Case(
        "row counts swapped",
        ROWS,
        "15,25,plants",
        "25,15,plants",
        "count",
        3,
        ("count_min 25 is above count_max 15",),
        ("swap",),
    ),
    Case(
        "row count without a unit", ROWS, "25,30,leaves", "25,30,", "count", 4, ("without a unit",), ("plants, leaves",)
    ),
    Case(
        "row maximum without a minimum",
        ROWS,
        "25,30,leaves",
        ",30,leaves",
        "count",
        4,
        ("count_max without count_min",),
        ("count_min",),
    ),
    Case(
        "part that no basis row says",
        CORN,
        "part: ear-leaf",
        "part: opposite-leaf",
        "not-supported",
        "part: opposite-leaf",
        ("no basis row says 'opposite-leaf'", "ear-leaf"),
        ("name a row",),
    ),
    Case(
        "count that no basis row says",
        CORN,
        "min: 15",
        "min: 18",
        "not-supported",
        "    count:\n      min: 18",
        ("no basis row says 18 to 25", "15 to 25"),
        ("a figure that a row prints",),
    ),
    Case(
        "unit that no basis row counts in",
        BEAN,
        "unit: leaves",
        "unit: petioles",
        "not-supported",
        "petioles",
        ("no basis row counts in petioles",),
        ("unit of a row", "common-practice"),
    ),
    Case(
        "stage that no basis row covers",
        CORN,
        "window: {from: VT, to: R1}",
        "window: {from: VT, to: R2}",
        "not-supported",
        "to: R2",
        ("no basis row covers stage R2",),
        ("narrow",),
    ),
    Case(
        "no basis",
        BEAN,
        "    basis: [bean.uni-a.1]\n",
        "",
        "not-supported",
        "- part: trifoliate-leaf",
        ("no basis row",),
        ("evidence",),
        also=("row-not-shown",),
    ),
    Case(
        "basis row of another crop",
        CORN,
        "basis: [corn.uni-a.2]",
        "basis: [corn.uni-a.2, bean.uni-a.1]",
        "not-supported",
        "bean.uni-a.1",
        ("row bean.uni-a.1 is about bean",),
        ("rows of this crop",),
    ),
    Case(
        "basis from memory only",
        ROWS,
        "corn.uni-a.2,uni-a",
        "corn.uni-a.2,from-memory",
        "memory-only",
        "basis: [corn.uni-a.2]",
        ("from memory",),
        ("find and read a source",),
        found_in=CORN,
    ),
    Case(
        "window backwards",
        CORN,
        "window: {from: VT, to: R1}",
        "window: {from: R1, to: VT}",
        "window",
        "from: R1",
        ("run backwards", "R1 comes after VT"),
        ("swap",),
    ),
    Case(
        "lab window backwards",
        LAB,
        "  part: opposite-leaf",
        "  window: {from: R2, to: VT}",
        "window",
        "window: {from: R2",
        ("run backwards", "R2 comes after VT"),
        ("swap",),
    ),
    Case(
        "protocols out of order",
        BEAN,
        "protocols:\n",
        "protocols:\n"
        + """\
- protocol: pods
  title: first pods
  short_id: bpds
  checked_on: 2026-11-25
  window: {from: R3, to: R3}
  see: [Small pods show.]
  take: [{}]
""",
        "window",
        "from: R1",
        ("'bloom' starts earlier",),
        ("order protocols",),
    ),
    Case(
        "overlap without tell_apart",
        CORN,
        "window: {from: VE, to: V3}",
        "window: {from: VE, to: VT}",
        "window",
        "- protocol: silk",
        ("'silk' and 'young' overlap",),
        ("tell_apart",),
        also=("window", "not-supported"),
    ),
    Case(
        "undeclared gap",
        CORN,
        "- from: V4\n",
        "- from: V6\n",
        "window",
        "protocols:",
        ("no declared gap at V4, V5",),
        ("gaps:",),
    ),
    Case(
        "gap over a protocol",
        CORN,
        "- from: V4\n",
        "- from: V3\n",
        "window",
        "- from: V3",
        ("the gap holds V3",),
        ("narrow the gap",),
    ),
    Case(
        "figure without a source",
        CORN,
        "Plants are below your knee.",
        "Plants are under 12 in tall.",
        "figure-without-source",
        "12 in",
        ("under 12 in tall",),
        ("say:", "common-practice"),
    ),
    Case(
        "figure without a source in a rule",
        BASE,
        "Air-dry it.",
        "Air-dry it for 2 days.",
        "figure-without-source",
        "2 days",
        ("for 2 days",),
        ("source:",),
    ),
    Case(
        "row on no page",
        BEAN,
        "also_rows: [bean.uni-b.1]\n",
        "",
        "row-not-shown",
        6,
        ("bean.uni-b.1", "on no page"),
        ("crops/bean.yml", "also_rows"),
        found_in=ROWS,
    ),
    Case(
        "protocol checked in the future",
        BEAN,
        "checked_on: 2026-11-25",
        "checked_on: 2027-01-01",
        "lab-fact",
        "checked_on:",
        ("2027-01-01", "in the future"),
        ("the day",),
    ),
]

LABS = [
    Case(
        "another part without a way to take it",
        LAB,
        "  say:\n  - Take the leaf on the other side of the stalk.\n",
        "",
        "lab-how",
        "part: opposite-leaf",
        ("corn/silk", "nothing says"),
        ("add `say:`", "mixes two protocols"),
    ),
    Case(
        "lab asked in the future",
        LAB,
        "checked_on: 2026-10-06",
        "checked_on: 2027-10-06",
        "lab-fact",
        "checked_on:",
        ("2027-10-06", "in the future"),
        ("the day",),
    ),
    Case(
        "fact without a source",
        LAB,
        "source: stonewell-note\n",
        "",
        "lab-fact",
        "fee:",
        ("fee has no source",),
        ("at the top of the file",),
        also=("lab-fact",) * 5,
    ),
    Case(
        "fact without a date",
        LAB,
        "checked_on: 2026-10-06\n",
        "",
        "lab-fact",
        "fee:",
        ("fee has no checked_on",),
        ("the day you asked",),
        also=("lab-fact",) * 5,
    ),
    Case(
        "lab asked over 12 months ago",
        LAB,
        "checked_on: 2026-10-06",
        "checked_on: 2025-10-06",
        "lab-fact",
        "checked_on:",
        ("2025-10-06", "12 months"),
        ("ask the lab again",),
        level="warning",
    ),
    Case(
        "one fact over 12 months old",
        LAB,
        "fee: {amount: 24,",
        "fee: {checked_on: 2025-10-06, amount: 24,",
        "lab-fact",
        "fee:",
        ("fee", "2025-10-06"),
        ("ask the lab again",),
        level="warning",
    ),
    Case(
        "closed dates swapped",
        LAB,
        "from: 2027-07-02, to: 2027-07-05",
        "from: 2027-07-05, to: 2027-07-02",
        "lab-fact",
        "2027-07-05",
        ("closed from 2027-07-05 to 2027-07-02",),
        ("swap",),
    ),
    Case(
        "days on the road swapped",
        LAB,
        "days_min: 1\n",
        "days_min: 3\n",
        "lab-fact",
        "transit:",
        ("days_min 3 is above days_max 2",),
        ("swap",),
    ),
    Case(
        "a day that is no day",
        LAB,
        "days: [mon, tue]",
        "days: [mon, tues]",
        "not-allowed",
        "tues",
        ("'tues'",),
        ("did you mean 'tue'?",),
    ),
    Case(
        "negative fee",
        LAB,
        "amount: 24",
        "amount: -24",
        "out-of-range",
        "amount",
        ("fee.amount is -24",),
        ("greater than or equal to 0",),
    ),
    Case(
        "currency that is none",
        LAB,
        "currency: USD",
        "currency: dollars",
        "bad-form",
        "dollars",
        ("'dollars'",),
        ("such as USD",),
    ),
    Case(
        "lab entry twice",
        LAB,
        "protocols:\n",
        "protocols:\n- {crop: corn, protocol: silk, petiole: keep, say: [Keep it.]}\n",
        "id",
        "- crop: corn",
        ("corn/silk is here twice",),
        ("one entry",),
    ),
    Case(
        "lab in a demonstration not marked invented",
        LAB,
        "invented: true\n",
        "",
        "invented",
        1,
        ("'stonewell'", "not marked invented"),
        ("invented: true",),
    ),
    Case(
        "invented lab in a real manual",
        "manual.yml",
        "invented: true\n",
        "",
        "invented",
        "invented: true",
        ("'stonewell' is invented",),
        ("remove it",),
        found_in=LAB,
        also=("invented",),
    ),
    Case(
        "e-mail in a lab",
        LAB,
        "place: Fernhollow (invented)",
        "place: desk@stonewell.org",
        "invented",
        "desk@",
        ("an e-mail address", "desk@stonewell.org"),
        ("do not belong",),
    ),
    Case(
        "telephone in a lab",
        LAB,
        "place: Fernhollow (invented)",
        "place: Fernhollow, 555 010 0199",
        "invented",
        "555",
        ("a telephone number",),
        ("do not belong",),
    ),
    Case(
        "position in a lab",
        LAB,
        "place: Fernhollow (invented)",
        "place: 41.87810, -93.09770",
        "invented",
        "41.87",
        ("a position",),
        ("do not belong",),
    ),
    Case(
        "invented source not marked",
        "sources.yml",
        ", invented: true}",
        "}",
        "invented",
        "stonewell-note",
        ("kind invented",),
        ("set both",),
    ),
]

TABLES = [
    Case(
        "unknown column",
        ROWS,
        "count_min,count_max",
        "count_mn,count_max",
        "unknown-key",
        1,
        ("unknown column 'count_mn'",),
        ("did you mean 'count_min'?",),
    ),
    Case(
        "column twice",
        ROWS,
        "count_min,count_max",
        "count_min,count_min",
        "duplicate-key",
        1,
        ("twice",),
        ("keep one",),
    ),
    Case(
        "cell too many",
        ROWS,
        "tassel to silk",
        "tassel, to silk",
        "wrong-length",
        3,
        ("13 cells under 12 columns",),
        ("quotes",),
    ),
    Case(
        "cell too few",
        ROWS,
        "25,30,leaves,",
        "25,30,leaves",
        "wrong-length",
        4,
        ("11 cells under 12 columns",),
        ("quotes",),
    ),
    Case(
        "bad number in a cell",
        ROWS,
        "15,25,plants",
        "15,many,plants",
        "bad-cell",
        3,
        ("count_max is 'many'",),
        ("a number",),
    ),
    Case(
        "negative number in a cell",
        ROWS,
        "15,25,plants",
        "-15,25,plants",
        "bad-cell",
        3,
        ("count_min is '-15'",),
        ("greater than 0",),
    ),
    Case("empty cell that is needed", RULES, "bag.1,bag,", "bag.1,,", "bad-cell", 2, ("topic is empty",), ()),
    Case(
        "unknown topic in a cell", RULES, "bag.1,bag,", "bag.1,bagg,", "bad-cell", 2, ("topic is 'bagg'",), ("'bag'",)
    ),
    Case("bad quote", ROWS, "tassel to silk", '"tassel" to silk', "bad-csv", 3, ("expected after",), ("quote",)),
    Case(
        "quote that never ends",
        ROWS,
        "tassel to silk",
        '"tassel to silk',
        "bad-csv",
        6,
        ("unexpected end",),
        ("quote",),
    ),
    Case(
        "duplicate row",
        ROWS,
        "corn.uni-b.1,uni-b",
        "corn.uni-a.2,uni-b",
        "duplicate-id",
        4,
        ("'corn.uni-a.2' is here twice",),
        ("new id",),
        also=("unknown-name",),
    ),
    Case("table without a header", ROWS, "", b"", "empty-file", 1, ("no header",), ("row,source,crop",)),
]

CASES = [*SYNTAX, *LEFT_OPEN, *FILES_AND_IDS, *VERSIONS, *NAMES, *COUNTS_AND_STAGES, *LABS, *TABLES]


def apply(folder: Path, case: Case) -> str:
    """Break the small manual; the text of the changed file."""
    path = folder / case.file
    if case.copy_to:
        (folder / case.copy_to).write_text(FILES[case.file], "utf-8")
    if case.new is None:
        path.unlink()
        return ""
    if isinstance(case.new, bytes):
        path.write_bytes(case.new)
        return ""
    assert FILES[case.file].count(case.old) == 1, f"{case.old!r} is not once in {case.file}"
    text = FILES[case.file].replace(case.old, case.new)
    path.write_text(text, "utf-8", newline="")
    return text


def line_of(where: int | str, text: str) -> int:
    """The line number: as given, or the line on which the words start."""
    if isinstance(where, int):
        return where
    assert where in text, f"{where!r} is not in the file"
    return text[: text.index(where)].count("\n") + 1


def findings(folder: Path, today: date) -> list[Finding]:
    return prepare(folder / "manual.yml", today).findings


def fits(case: Case, finding: Finding) -> bool:
    """Whether a finding says what was found and what to do."""
    return all(words in finding.message for words in case.says) and all(words in finding.hint for words in case.hint)


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A folder with the small manual."""
    write(tmp_path)
    return tmp_path


def test_nothing_is_wrong_before(small: Path, today: date) -> None:
    assert findings(small, today) == []


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_fault(case: Case, small: Path, today: date) -> None:
    text = apply(small, case)
    place = case.found_in or case.file
    said_in = text if place == case.file else FILES.get(place, "")
    found = findings(small, today)
    told = "\n".join(map(str, found))
    line = line_of(case.at, said_in)
    mine = [f for f in found if (f.rule, f.file, f.line) == (case.rule, place, line) and fits(case, f)]
    assert len(mine) == 1, told or "nothing was found"
    assert mine[0].level == case.level
    assert sorted(f.rule for f in found if f != mine[0]) == sorted(case.also), told


def test_every_rule_has_a_case() -> None:
    from test_timing import CASES as TIMING  # these take their form from here, so they are imported late
    from test_weather import CASES as REGIONS

    assert {rule.name for rule in EVERY_RULE} <= {case.rule for case in (*CASES, *TIMING, *REGIONS)}
    assert len({case.name for case in CASES}) == len(CASES) >= 45


def test_every_finding_says_what_to_do(small: Path, today: date) -> None:
    """All text faults of different files at once: each message and each hint is there."""
    for file in (CORN, LAB, ROWS, INDEX):
        apply(small, next(c for c in CASES if c.file == file and isinstance(c.new, str) and not c.also))
    found = findings(small, today)
    assert len(found) >= 4
    assert all(f.message and f.hint for f in found)


def test_all_faults_are_told_at_once(small: Path, today: date) -> None:
    chosen = ("number in words", "telephone in a lab", "cell too many")
    for case in CASES:
        if case.name in chosen:
            apply(small, case)
    found = findings(small, today)
    assert [(f.file, f.rule) for f in found] == [(LAB, "invented"), (CORN, "wrong-type"), (ROWS, "wrong-length")]


def test_several_faults_of_one_file_are_told_at_once(small: Path, today: date) -> None:
    text = FILES[CORN].replace("min: 15", "min: none").replace("latin: Zea mays", "latin:")
    text = text.replace("cslk", "c")
    (small / CORN).write_text(text, "utf-8")
    assert {f.rule for f in findings(small, today)} == {"wrong-type", "empty-value", "bad-form"}


def test_an_unreadable_manual_is_told(small: Path, today: date) -> None:
    (small / "manual.yml").write_bytes(b"title: [\n")
    prepared = prepare(small / "manual.yml", today)
    assert prepared.manual is None
    assert [f.rule for f in prepared.errors] == ["bad-yaml"]


def test_no_file_of_the_data_can_stop_the_check(small: Path, today: date) -> None:
    """Bytes that are no text, in every file in turn: always findings, never an exception."""
    for name in FILES:
        if name.endswith(".md") or name.endswith(".txt"):
            continue
        (small / name).write_bytes(b"\x00\xff\xfe\n- {")
        assert findings(small, today), name
        (small / name).write_text(FILES[name], "utf-8")
    assert findings(small, today) == []


def test_published_ids_that_are_no_text_do_not_stop_the_check(small: Path, today: date) -> None:
    (small / IDS).write_bytes(b"corn/yo\xffng cyng\n")
    assert [(f.rule, f.line) for f in findings(small, today)] == [("not-utf-8", 1)]


def test_a_manual_of_some_crops_has_no_faults_of_the_others(small: Path, today: date) -> None:
    """Rows, labs and published ids of a crop that is not in this manual are no faults of it."""
    for chosen in ("bean", "corn"):
        text = FILES["manual.yml"].replace("crops: [corn, bean]", f"crops: [{chosen}]")
        (small / "manual.yml").write_text(text, "utf-8")
        assert findings(small, today) == []


MARKUP = ("<script>alert(1)</script>", "<img src=x onerror=alert(2)>", '"><script>alert(3)</script>')


@pytest.mark.parametrize("markup", MARKUP)
@pytest.mark.parametrize(
    ("file", "old"),
    [
        (CORN, "title: tassel to silk"),
        (CORN, "name: Corn"),
        (LAB, "name: Stonewell Leaf Lab"),
        (LAB, "why: stocktaking"),
        (SOURCES, "title: Taking leaves"),
        (PARTS, "name: the ear leaf"),
        (STAGES, "name: silk"),
        ("manual.yml", "title: Small manual"),
    ],
)
def test_markup_in_a_value_is_shown_as_text(markup: str, file: str, old: str, small: Path, today: date) -> None:
    key = old.split(":")[0]
    quoted = markup.replace('"', '\\"')
    (small / file).write_text(FILES[file].replace(old, f'{key}: "{quoted}"'), "utf-8")
    prepared = prepare(small / "manual.yml", today)
    assert prepared.errors == []
    build_plain(prepared, small / "site")
    pages = "\n".join(p.read_text("utf-8") for p in (small / "site").rglob("*.html"))
    assert "&lt;script&gt;alert(" in pages or "&lt;img src=x onerror=" in pages
    assert "<script>alert" not in pages
    assert "<img src=x" not in pages
