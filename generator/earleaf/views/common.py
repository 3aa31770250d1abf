"""Small pieces that several views share: titles, addresses, names of stages and parts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ..database.load import Database
from ..model.crop import Count as CropCount
from ..model.crop import Crop, Protocol, Spots, Window
from .words import Words, alphabetical, capital


@dataclass(frozen=True)
class Link:
    """A link inside the site. `address` is from the root, such as crops/corn/."""

    text: str
    address: str
    current: bool = False


@dataclass(frozen=True)
class Footer:
    """What stands at the end of every page: where it came from and how fresh it is."""

    source_file: str
    source_line: int
    edit_url: str | None
    version: str
    checked_on: str
    edition: str


def other_names(words: Words, crop: Crop) -> tuple[str, ...]:
    """What else people call a crop: each name once, and none that is the crop's own name in this language."""
    said = {name.casefold(): name for name in map(words.say, crop.also_called)}
    said.pop(words.say(crop.name).casefold(), None)
    return tuple(said.values())


def crop_address(crop: Crop) -> str:
    return f"crops/{crop.crop}/"


def protocol_address(crop: Crop, protocol: Protocol, lab: str | None = None) -> str:
    inside = f"{crop.crop}/{protocol.protocol}/"
    return f"labs/{lab}/{inside}" if lab else f"crops/{inside}"


def stage_code(db: Database, words: Words, system: str, code: str) -> str:
    """A stage by its code; in this language where the codes of its system are plain words."""
    return words.say(code) if db.systems[system].codes_are_words else code


def stage_span(db: Database, words: Words, system: str, first: str, last: str) -> str:
    """'VT–R1', or 'VT' alone."""
    return "–".join(stage_code(db, words, system, code) for code in dict.fromkeys((first, last)))


def window_code(db: Database, words: Words, crop: Crop, window: Window) -> str:
    """'VT–R1', or 'Feekes 4–5' where the codes are bare numbers."""
    prefix = db.systems[crop.stage_system].prefix
    code = stage_span(db, words, crop.stage_system, window.first, window.last)
    return words.say("{prefix} {code}", prefix=words.say(prefix), code=code) if prefix else code


def by_name(words: Words, crops: Iterable[Crop]) -> list[Crop]:
    """Crops in the order of their names in this language."""
    return sorted(crops, key=lambda crop: alphabetical(words.say(crop.name)))


def protocol_title(words: Words, crop: Crop, protocol: Protocol) -> str:
    return words.say("{crop}, {stage}", crop=words.say(crop.name), stage=words.say(protocol.title))


def part_name(db: Database, words: Words, part: str | None) -> str:
    """The part as a scout says it; the honest words where no source names it."""
    if part is None:
        return words.say("not stated by source: ask your lab which leaf")
    return words.say(db.parts[part].name)


def portion(db: Database, words: Words, part: str | None) -> str:
    return words.say(db.parts[part].portion) if part else ""


def count_text(words: Words, count: CropCount | None) -> str:
    """'20 to 30 leaves' as sources print it."""
    if count is None:
        return words.say("not stated by source")
    if (count.unit, count.min, count.max) == ("pints", 1, None):
        return words.say("at least 1 pint (half a litre)")
    high = count.max if count.max is not None else None
    last = high if high is not None else count.min
    return words.say("{n} {unit}", n=words.span(count.min, high), unit=words.unit(count.unit, last))


def spot_unit(db: Database, crop: Crop) -> str:
    """What a spot is called in this crop: spots, trees, plants."""
    return crop.spot or db.groups[crop.group].spot


def item_unit(db: Database, part: str | None, count: CropCount | None) -> str | None:
    """What one item in the bag is called: by the count's own unit, unless that counts plants or places."""
    if count and count.unit not in ("plants", "locations"):
        return count.unit
    return db.parts[part].item if part else None


def many_of(words: Words, unit: str) -> str:
    """The word for many of a unit as part of a sentence that has places: a brace in it is a letter, no place."""
    return words.units[unit].many.replace("{", "{{").replace("}", "}}")


def walk_text(
    words: Words, count: CropCount | None, spots: Spots | None, item: str | None, place: str
) -> tuple[str, str]:
    """('4 leaves at each of 5 spots', '20 in the bag'); the second is empty where nothing is to be added up.

    `item` and `place` are units: what is picked, and what a spot is called in this crop (spots, trees). The place is
    part of the sentence, for "each" has a gender in some languages.
    """
    if count is not None and count.unit == "sections":
        return words.counted(count.min, "sections"), ""
    if count is not None and count.unit in ("pints", "handfuls"):
        return capital(count_text(words, count)), ""
    if spots is None and count is not None and count.unit == "locations":
        return words.say(f"Some from each of {{n}} {many_of(words, place)}", n=words.span(count.min, count.max)), ""
    if spots is None:
        return capital(count_text(words, count)), ""
    each = words.counted(spots.each, item or (count.unit if count else "plants"))
    if spots.number == 1:
        return each, ""
    walk = words.say(f"{{each}} at each of {{n}} {many_of(words, place)}", each=each, n=spots.number)
    if count is not None and count.unit == "locations":
        return walk, ""
    return walk, words.say("{n} in the bag", n=spots.number * spots.each)
