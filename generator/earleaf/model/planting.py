"""A team's own plantings, and what its scouts saw in them: one record for each row of its two lists."""

from __future__ import annotations

import re
import unicodedata
from typing import Annotated

from pydantic import AfterValidator, Field, StringConstraints, TypeAdapter, ValidationError
from pydantic_core import PydanticCustomError

from .base import Id, IsoDay, Record, Text
from .feed_state import UidPart, printable
from .stages import Code

_UID_PART: TypeAdapter[str] = TypeAdapter(UidPart)


def _one_line(name: str) -> str:
    try:
        printable(name)
    except ValueError:
        name = "\n"
    if "\n" in name or "\t" in name:
        raise PydanticCustomError("name_form", "a name on one line")
    return name


def _without_date(name: str) -> str:
    try:
        return _UID_PART.validate_python(name)
    except ValidationError as error:
        raise PydanticCustomError("id_form", "a name without a date in it: dates move, a name stays") from error


def _with_letters(name: str) -> str:
    if not slug(name):
        raise PydanticCustomError("name_form", "a name or initials with Latin letters, for the name of a file")
    return name


def slug(name: str) -> str:
    """A name as part of a file's name; "" where no Latin letter and no digit is in it.

    >>> slug("Núria  O'Ferncastle"), slug("!")
    ('nuria-o-ferncastle', '')
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return "-".join(re.findall(r"[a-z0-9]+", plain))


Name = Annotated[str, StringConstraints(min_length=1, max_length=50), AfterValidator(_one_line)]
Scout = Annotated[Name, AfterValidator(_with_letters)]
PlantingId = Annotated[Id, StringConstraints(max_length=40), AfterValidator(_without_date)]
"""It becomes part of an event's identity, so it holds no date."""


class Planting(Record):
    """One field or one part of it, planted on one day."""

    id: PlantingId = Field(description="Your name for it; it stays the same all season.")
    crop: Text = Field(description="A crop, or crop/model where it has several.")
    planted: IsoDay | None = Field(default=None, description="The day, as 2027-05-01.")
    maturity: Text | None = Field(default=None, description="A group or rating, where the crop has them.")
    station: Id = Field(description="The region of the manual whose weather counts.")
    lab: Id = Field(description="The id of the lab.")
    scout: Scout | None = Field(default=None, description="Who walks there: a name or initials.")
    field: Name | None = Field(default=None, description="Which field it is.")


class Sighting(Record):
    """A stage or another event that somebody saw in the field."""

    id: PlantingId = Field(description="The planting it is about.")
    stage: Code = Field(description="The code of the stage that was seen.")
    day: IsoDay = Field(description="The day, as 2027-05-01.")
    scout: Scout | None = Field(default=None, description="Who saw it.")
