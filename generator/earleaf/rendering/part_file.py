"""What a part of the site tells about itself, as JSON and back. A part may come from another machine: data, no code."""

from __future__ import annotations

from typing import TypeVar

from pydantic import TypeAdapter

T = TypeVar("T")


def written(value: object) -> bytes:
    """A record, and all records in it, as JSON."""
    return TypeAdapter(type(value)).dump_json(value)


def read(data: bytes, kind: type[T]) -> T:
    """The record that the JSON holds. ValueError if it holds no such record."""
    return TypeAdapter(kind).validate_json(data)
