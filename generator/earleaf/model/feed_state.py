"""Calendar events, and what a feed remembers between builds so that a calendar program sees a move as a move."""

from __future__ import annotations

import re
import unicodedata
from hashlib import sha256
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, StringConstraints, TypeAdapter, ValidationError, model_validator

from .base import Id, IsoDay, Record

Status = Literal["tentative", "confirmed", "cancelled"]

_FULL_DATE = re.compile(r"(?<![0-9])(19|20)[0-9]{2}[-/]?(0[1-9]|1[0-2])[-/]?(0[1-9]|[12][0-9]|3[01])(?![0-9])")
_PART = "[a-z0-9]+([-/][a-z0-9]+)*"
_LINE_BREAKS = frozenset({"Zl", "Zp"})


def printable(text: str) -> str:
    """The text with `\\n` as its only line end; ValueError for any other character that controls instead of prints.

    RFC 5545 section 3.1 forbids control characters but the tab. The separators U+2028 and U+2029 are refused too: some
    programs end a line there. So are lone surrogates, which are not text.
    """
    text = text.replace("\r\n", "\n")
    for char in text:
        kind = unicodedata.category(char)
        if (kind == "Cc" and char not in "\n\t") or kind == "Cs" or kind in _LINE_BREAKS:
            raise ValueError(f"control character U+{ord(char):04X} in {text!r}")
    return text


def _no_date(part: str) -> str:
    if _FULL_DATE.search(part):
        raise ValueError(f"{part!r} holds a date: dates move, an identity does not")
    return part


Printable = Annotated[str, StringConstraints(min_length=1), AfterValidator(printable)]
UidPart = Annotated[str, StringConstraints(pattern=f"^{_PART}$", max_length=121), AfterValidator(_no_date)]
Uri = Annotated[str, StringConstraints(pattern=r"^https?://[A-Za-z0-9._~:/?#\[\]@!$&'()*+,;=%-]+$")]
_UID_PART: TypeAdapter[str] = TypeAdapter(UidPart)
UidParts = tuple[UidPart, UidPart, UidPart, UidPart]
"""Season, place, protocol, kind: ids of small letters and digits, joined by dashes; a protocol may be `corn/early`."""


def uid_part(text: str) -> str:
    """The text, if it may be part of an identity; a word made from it, if it is too long or holds a date.

    >>> uid_part("window-planting-05-10"), uid_part("sown-2026-09-15")
    ('window-planting-05-10', 'meprjiljebtbzytasvpm')
    """
    try:
        return _UID_PART.validate_python(text)
    except ValidationError:
        return "".join(chr(ord("a") + byte % 26) for byte in sha256(text.encode()).digest()[:20])


class Event(Record):
    """One all-day event; `first` and `last` are both inside. ValueError (of pydantic) if it could not be published."""

    uid_parts: UidParts = Field(description="Season, place, protocol, kind: what it is, never when, who or where.")
    first: IsoDay
    last: IsoDay = Field(description="The last day, inclusive.")
    summary: Printable
    description: Printable | None = None
    url: Uri | None = Field(default=None, description="http or https; anything outside ASCII percent-encoded.")
    status: Status
    changed: IsoDay = Field(description="The day on which the inputs of this event changed last.")
    sequence: int = Field(default=0, ge=0, description="Set by the state, not by whoever makes the event.")
    categories: tuple[Printable, ...] = Field(default=(), description="Words shown with it, such as the crop's name.")
    place: Printable | None = Field(default=None, description="What a team calls its field; not printed.")
    feeds: tuple[Id, ...] = Field(default=(), description="Which feeds hold it; not printed, kept when it is dropped.")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.last < self.first:
            raise ValueError(f"{self.key} ends on {self.last}, before it begins on {self.first}")
        return self

    @property
    def key(self) -> str:
        """The identity without the host: `2027.north-9.corn/early.window`. Parts hold no dot, so no two are alike."""
        return ".".join(self.uid_parts)


class Gone(Record):
    """An event that left the feed, with its last number: should it come back, the count goes on."""

    key: Annotated[str, StringConstraints(pattern=rf"^{_PART}(\.{_PART}){{3}}$", max_length=500)]
    sequence: int = Field(ge=0)


class FeedState(Record):
    """What was sent last, in order of identity. One state serves all feeds of one season."""

    version: Literal[1] = 1
    events: tuple[Event, ...] = ()
    gone: tuple[Gone, ...] = ()
