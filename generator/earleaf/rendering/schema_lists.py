"""JSON Schema of the lists among the published data, made from the records that they hold.

The records refuse a key they do not know; these schemas allow it, for data of version 1 may gain keys.
"""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, TypeAdapter

from ..model.evidence import HandlingRow, TimingRow
from ..model.lab import Lab
from ..model.language import Term, Variants
from ..model.source import Source
from ..model.stages import Stage, StageSystem
from ..model.vocabulary import Caution, Fault, Handling, Part, Unit

_TEXT = {"type": "string"}
_IDS = {"type": "array", "items": _TEXT}
_NAMES = {"type": "object", "additionalProperties": _TEXT}


def list_schemas() -> dict[str, dict[str, Any]]:
    """Schema by the name of what it describes."""
    stage = _of(Stage)
    language = _record(language=_TEXT, name=_TEXT, direction={"enum": ["ltr", "rtl"]}, page=_TEXT, words=_TEXT)
    words = _record(
        language=_TEXT,
        crops=_NAMES,
        protocols={"type": "object", "additionalProperties": _NAMES},
        parts=_NAMES,
        units=_NAMES,
        stages={"type": "object", "additionalProperties": _NAMES},
        terms={"type": "array", "items": _of(Term)},
        variants={"type": "array", "items": _of(Variants)},
    )
    rules = {"type": "object", "additionalProperties": _of(Handling)}
    return {
        "labs": _list("Labs", _of(Lab, page=_TEXT)),
        "growth-stages": _list(
            "Stage systems", _of(StageSystem, stages={"type": "array", "items": stage}, crops=_IDS, page=_TEXT)
        ),
        "source-list": _list("Sources", _of(Source, citation=_TEXT)),
        "parts": _list("Plant parts", _of(Part)),
        "units": _list("What is counted", _of(Unit)),
        "cautions": _list("Cautions", _of(Caution)),
        "faults": _list("What ruins a sample", _of(Fault)),
        "evidence-handling": _list("Published rows about handling", _of(HandlingRow)),
        "evidence-timing": _list("Published rows about timing", _of(TimingRow)),
        "handling": {
            "title": "Rules for handling, version 1",
            **_record(every_crop=rules, groups={"type": "object", "additionalProperties": rules}),
        },
        "languages": _list("Languages", language),
        "language": {"title": "The words of one language, version 1", **words},
    }


def _record(**fields: Any) -> dict[str, Any]:
    return {"type": "object", "properties": fields, "required": sorted(fields)}


def _list(title: str, items: dict[str, Any]) -> dict[str, Any]:
    return {"title": f"{title}, version 1", "type": "array", "items": items}


def _of(record: type[BaseModel], **more: Any) -> dict[str, Any]:
    """The schema of a record as it is published, whole in itself; `more` adds keys, or takes the place of some."""
    schema = TypeAdapter(record).json_schema(by_alias=True, mode="serialization")
    definitions = schema.pop("$defs", {})
    whole: dict[str, Any] = _opened(schema, definitions)
    whole["properties"] |= more
    whole["required"] = sorted({*whole.get("required", ()), *more})
    return whole


def _opened(value: Any, definitions: dict[str, Any]) -> Any:
    """A schema with its definitions put in where they are named, and open to keys that a later version may gain."""
    if isinstance(value, list):
        return [_opened(item, definitions) for item in value]
    if not isinstance(value, dict):
        return value
    if "$ref" in value:
        named = definitions[value["$ref"].removeprefix("#/$defs/")]
        rest = {key: inside for key, inside in value.items() if key != "$ref"}
        return _opened({**named, **rest}, definitions)
    closed = value.get("additionalProperties") is False
    return {
        key: _opened(inside, definitions)
        for key, inside in value.items()
        if not (closed and key == "additionalProperties")
    }
