"""Questions that several rules, planning and the views ask of the database. Pure look-ups, no words."""

from __future__ import annotations

import re
from collections.abc import Iterator

from pydantic import BaseModel

from ..model.base import Cited
from ..model.crop import Crop, Protocol, Specimen
from ..model.evidence import SamplingRow
from .load import Database

ANY_CROP = "any-crop"


def protocols(db: Database) -> Iterator[tuple[Crop, int, Protocol]]:
    """Every protocol with its crop and its number in the crop file."""
    for crop in db.crops.values():
        for i, protocol in enumerate(crop.protocols):
            yield crop, i, protocol


def basis_rows(db: Database, specimen: Specimen) -> list[SamplingRow]:
    """The known rows a specimen rests on."""
    return [db.sampling[r] for r in specimen.basis if r in db.sampling]


def span(db: Database, crop: Crop, first: str, last: str) -> tuple[int, int] | None:
    """Stage positions of a window; None when a code is unknown."""
    a, b = db.stage_index(crop.stage_system, first), db.stage_index(crop.stage_system, last)
    return None if a is None or b is None else (a, b)


def unit_fits(db: Database, row_unit: str | None, unit: str, part: str | None) -> bool:
    """Whether a row's count speaks of the same things: a count of plants is one of single leaves."""
    if row_unit is None or row_unit == unit:
        return row_unit == unit
    known = db.parts.get(part or "")
    one_each = known is not None and known.family not in ("whole_plant", "whole-plant", "clippings")
    return one_each and {row_unit, unit} <= {"plants", known.item}  # type: ignore[union-attr]


Path = tuple[str | int, ...]


def walk(value: object, path: Path = ()) -> Iterator[tuple[Path, object]]:
    """A record and everything inside it, each with its path as the file writes it."""
    yield path, value
    if isinstance(value, dict):
        for key, inside in value.items():
            yield from walk(inside, (*path, key))
    elif isinstance(value, tuple):
        for i, inside in enumerate(value):
            yield from walk(inside, (*path, i))
    elif isinstance(value, BaseModel):
        for key, info in type(value).model_fields.items():
            yield from walk(getattr(value, key), (*path, info.alias or key))


def said_sentences(value: object) -> Iterator[tuple[Path, Cited]]:
    """Every cited sentence inside a record, with its path."""
    return ((path, inside) for path, inside in walk(value) if isinstance(inside, Cited))


def texts(value: object) -> Iterator[tuple[Path, str]]:
    """Every text inside a record, with its path."""
    return ((path, inside) for path, inside in walk(value) if isinstance(inside, str))


_NUMBER = re.compile(r"\d")


def has_number(text: str, codes: frozenset[str] = frozenset()) -> bool:
    """Whether a sentence holds a figure. Stage codes such as V6 or R1 are names, not figures."""
    if not _NUMBER.search(text):
        return False
    for code in sorted(codes, key=len, reverse=True):
        text = re.sub(rf"(?<![\w.]){re.escape(code)}(?![\w.])", " ", text)
    return bool(_NUMBER.search(text))
