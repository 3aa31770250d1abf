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


def said_sentences(value: object, path: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], Cited]]:
    """Every cited sentence inside a record, with its path."""
    if isinstance(value, Cited):
        yield path, value
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from said_sentences(item, (*path, key))
    elif isinstance(value, tuple):
        for i, item in enumerate(value):
            yield from said_sentences(item, (*path, i))
    elif isinstance(value, BaseModel):
        for key in type(value).model_fields:
            yield from said_sentences(getattr(value, key), (*path, key))


_NUMBER = re.compile(r"\d")


def has_number(text: str, codes: frozenset[str] = frozenset()) -> bool:
    """Whether a sentence holds a figure. Stage codes such as V6 or R1 are names, not figures."""
    if not _NUMBER.search(text):
        return False
    for code in sorted(codes, key=len, reverse=True):
        text = re.sub(rf"(?<![\w.]){re.escape(code)}(?![\w.])", " ", text)
    return bool(_NUMBER.search(text))
