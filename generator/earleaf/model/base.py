"""What every record of the database shares: it is frozen, knows its keys, and says where its words come from."""

from __future__ import annotations

import re
from datetime import date
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, HttpUrl, StringConstraints
from pydantic_core import PydanticCustomError

ID_PATTERN = r"^[a-z0-9]+(-[a-z0-9]+)*$"
ROW_PATTERN = r"^[a-z0-9]+(-[a-z0-9]+)*(\.[a-z0-9-]+)+$"

Id = Annotated[str, StringConstraints(pattern=ID_PATTERN, max_length=60)]
RowId = Annotated[str, StringConstraints(pattern=ROW_PATTERN, max_length=90)]
Text = Annotated[str, StringConstraints(min_length=1, max_length=600)]
MonthDay = Annotated[str, StringConstraints(pattern=r"^(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$")]

_ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_HOST = re.compile(r"[a-z0-9]([a-z0-9.-]{0,98}[a-z0-9])?")
_FOLDER = re.compile(r"[A-Za-z0-9._~:/@!$&'()*+,;=%-]*")
FIRST_YEAR, LAST_YEAR = 1900, 2200


def _iso_day(value: object) -> date:
    """A day written as 2027-05-01 and in no other way: 05/01/2027 is one day here and another one there."""
    try:
        day = date.fromisoformat(value) if isinstance(value, str) and _ISO_DAY.fullmatch(value) else value
    except ValueError:
        day = None
    if isinstance(day, date) and FIRST_YEAR <= day.year <= LAST_YEAR:
        return day
    raise PydanticCustomError("date_form", "a day such as 2027-05-01")


def _public(url: HttpUrl) -> HttpUrl:
    if url.username or url.password:
        raise PydanticCustomError("address_form", "a web address without a name or a password in it")
    return url


def _place(url: HttpUrl) -> HttpUrl:
    fits = _HOST.fullmatch(url.host or "") and _FOLDER.fullmatch(url.path or "")
    if url.query is not None or url.fragment is not None or not fits:
        raise PydanticCustomError("address_form", "the address of a folder, such as https://manual.example/maize/")
    return url


IsoDay = Annotated[date, BeforeValidator(_iso_day)]
WebAddress = Annotated[HttpUrl, AfterValidator(_public)]
FolderAddress = Annotated[WebAddress, AfterValidator(_place)]
"""The address under which files lie: calendars need its host, and pages put their own names behind it."""


class Record(BaseModel):
    """A frozen record; a key it does not know is a fault, never ignored."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True, allow_inf_nan=False)


def _as_list(value: Any) -> Any:
    return [value] if isinstance(value, str) else value


SourceIds = Annotated[tuple[Id, ...], BeforeValidator(_as_list, json_schema_input_type=tuple[Id, ...] | Id)]
"""One source id or a list of them; always a tuple in the model."""


class Cited(Record):
    """A sentence and the sources that say so. `source` is empty only where the sentence holds no number."""

    say: Text = Field(description="The sentence, in plain words, one idea.")
    source: SourceIds = Field(default=(), description="Source ids from sources.yml.")


def _as_cited(value: Any) -> Any:
    return {"say": value} if isinstance(value, str) else value


Said = Annotated[Cited, BeforeValidator(_as_cited, json_schema_input_type=Cited | Text)]
"""A sentence written plainly, or as {say, source} where it needs its sources."""
