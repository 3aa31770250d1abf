"""What every record of the database shares: it is frozen, knows its keys, and says where its words come from."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints

ID_PATTERN = r"^[a-z0-9]+(-[a-z0-9]+)*$"
ROW_PATTERN = r"^[a-z0-9]+(-[a-z0-9]+)*(\.[a-z0-9-]+)+$"

Id = Annotated[str, StringConstraints(pattern=ID_PATTERN, max_length=60)]
RowId = Annotated[str, StringConstraints(pattern=ROW_PATTERN, max_length=90)]
Text = Annotated[str, StringConstraints(min_length=1, max_length=600)]
MonthDay = Annotated[str, StringConstraints(pattern=r"^(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$")]


class Record(BaseModel):
    """A frozen record; a key it does not know is a fault, never ignored."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)


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
