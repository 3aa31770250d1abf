"""The small manual with every kind of file that Earleaf reads: the ground on which hostile files are tried.

Two of it: one in English, and one with a second, made-up language, whose catalogue takes longer to read.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path

TESTS = Path(__file__).resolve().parents[1]
for _folder in (TESTS, TESTS / "data"):
    if str(_folder) not in sys.path:
        sys.path.insert(0, str(_folder))

from test_weather import FILES as WITH_REGIONS  # noqa: E402
from test_weather import HEAD, WEATHER, rows  # noqa: E402

from earleaf.site.build import build_plain, prepare  # noqa: E402
from pseudo_language import CODE, second_language  # noqa: E402
from small_manual import write  # noqa: E402

TODAY = date(2027, 6, 14)
MANUAL = "manual.yml"
PLANTINGS, SEEN, FEEDS = "own/plantings.csv", "own/seen.csv", "feeds.json"
TERMS, LANGUAGE = f"languages/{CODE}/terms.yml", f"languages/{CODE}/language.yml"

KINDS = {
    "manual": (MANUAL,),
    "crop": ("protocols/crops/corn.yml", "protocols/crops/bean.yml"),
    "lab": ("labs/stonewell.yml",),
    "source": ("sources.yml", "protocols/sources.yml"),
    "stage system": ("protocols/stages/corn-stages.yml", "protocols/stages/bean-stages.yml"),
    "vocabulary": tuple(f"protocols/vocabulary/{name}.yml" for name in ("plant-parts", "units", "cautions", "faults")),
    "handling": ("protocols/handling.yml",),
    "group": ("protocols/groups/row-crops.yml",),
    "evidence": tuple(f"protocols/evidence/{name}.csv" for name in ("sampling", "handling", "timing")),
    "published ids": ("protocols/published-ids.txt",),
    "weather": (WEATHER,),
    "chapter": ("docs/index.md", "docs/more.md"),
    "plantings": (PLANTINGS,),
    "seen": (SEEN,),
    "feeds state": (FEEDS,),
    "catalogue": (f"languages/{CODE}/shared.po", f"languages/{CODE}/program.po", f"languages/{CODE}/row-crops.po"),
    "language": (LANGUAGE,),
    "terms": (TERMS,),
}
"""Every kind of file, and where it lies below the manual's folder."""
OF_LANGUAGES = ("catalogue", "language", "terms")
OF_THE_TEAM = ("plantings", "seen")

FILES = dict(WITH_REGIONS)
FILES[MANUAL] += f"feeds_file: {FEEDS}\ncontact: Ask the office.\nunits: both\n"
FILES[MANUAL] = FILES[MANUAL].replace("as_of: 2026-11-25", "as_of: 2027-06-10")
FILES[WEATHER] = HEAD + rows("2022-01-01", "2027-06-10")
FILES["docs/more.md"] = """\
# More to read

Take **one** part to a bag, as the [first page](index.md) says [@uni-a; @uni-b].

| Part | Bag |
|---|---|
| leaf | paper |

1. Walk the field.
2. Look at the plant.

<!-- cautions -->
"""
FILES[PLANTINGS] = """\
id,crop,planted,maturity,station,lab,scout,field
north-a,corn,2027-04-28,1266,mill-hill,stonewell,Ada (invented),North side
south-b,bean/bean-bush,2027-05-20,,mill-hill,stonewell,Bo (invented),South side
"""
FILES[SEEN] = """\
id,stage,day,scout
north-a,VE,2027-05-11,Ada (invented)
north-a,V3,2027-06-01,
"""
FILES[TERMS] = """\
variants:
- id: ear
  en: ear of corn
  words:
    mazorca: {one: mazorca, the: la mazorca}
    elote: {one: elote, the: el elote}
terms:
- {en: leaf, word: hoja, gender: f, known: memory, note: Said everywhere.}
"""


@dataclass(frozen=True)
class Ground:
    """One manual as it should be: every file by name, as bytes."""

    files: dict[str, bytes]

    def put(self, folder: Path) -> Path:
        """Write it below a folder; the path of its manual.yml."""
        for name, content in self.files.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        return folder / MANUAL


@cache
def grounds(folder: Path) -> tuple[Ground, Ground]:
    """The manual in English, and the one in two languages; built once below a folder, so that the feeds have a past."""
    english = write(folder / "english", {k: v for k, v in FILES.items() if k not in (TERMS, LANGUAGE)})
    prepared = prepare(english, TODAY)
    assert not prepared.errors, "\n".join(map(str, prepared.errors))
    build_plain(prepared, folder / "english-site")
    both = write(folder / "both", FILES)
    second_language(both, TODAY)
    (both.parent / FEEDS).write_bytes((english.parent / FEEDS).read_bytes())
    return Ground(_read(english.parent)), Ground(_read(both.parent))


def _read(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}
