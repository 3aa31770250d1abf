"""JSON Schema made from the model: for the published data, and for editors of the YAML files."""

from __future__ import annotations

import sys
from functools import cache
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from ..model.crop import Crop
from ..model.lab import Lab
from ..model.manual import Manual
from ..model.source import SourceFile
from ..model.stages import StageSystem
from ..model.vocabulary import Group, PartFile
from .data import to_bytes
from .schema_lists import list_schemas

FILES: dict[str, type[BaseModel]] = {
    "crop": Crop,
    "lab": Lab,
    "manual": Manual,
    "sources": SourceFile,
    "stages": StageSystem,
    "group": Group,
    "plant-parts": PartFile,
}
_TEXT = {"type": "string"}
_IDS = {"type": "array", "items": _TEXT}
_NULL_TEXT = {"type": ["string", "null"]}
_NUMBER = {"type": ["number", "null"]}


def _record(**fields: Any) -> dict[str, Any]:
    return {"type": "object", "properties": fields, "required": sorted(fields), "additionalProperties": True}


_PART = {"anyOf": [{"type": "null"}, _record(id=_TEXT, text=_TEXT)]}
_COUNT = {"anyOf": [{"type": "null"}, _record(min={"type": "number"}, max=_NUMBER, unit=_TEXT, source=_IDS)]}
_SPOTS = {"anyOf": [{"type": "null"}, _record(number={"type": "integer"}, each={"type": "integer"}, source=_IDS)]}
_ROW = _record(
    row=_TEXT,
    source=_TEXT,
    crop=_TEXT,
    stages=_TEXT,
    stage_from=_NULL_TEXT,
    stage_to=_NULL_TEXT,
    part=_NULL_TEXT,
    count_min=_NUMBER,
    count_max=_NUMBER,
    count_unit=_NULL_TEXT,
)
_PROTOCOL = _record(
    data_version={"const": 1},
    crop=_TEXT,
    protocol=_TEXT,
    version={"type": "integer"},
    checked_on=_TEXT,
    short_id=_TEXT,
    lab=_NULL_TEXT,
    stages=_record(system=_TEXT, **{"from": _TEXT, "to": _TEXT}),
    part=_PART,
    count=_COUNT,
    spots=_SPOTS,
    basis=_IDS,
    cautions=_IDS,
    soil_pair=_IDS,
    page=_TEXT,
    condition=_IDS,
    changes={
        "type": "array",
        "items": _record(version={"type": "integer"}, on=_TEXT, what=_TEXT, source=_IDS),
    },
    specimens={
        "type": "array",
        "items": _record(kind=_TEXT, part=_PART, count=_COUNT, spots=_SPOTS, basis=_IDS),
        "minItems": 1,
    },
    also_accepted={"type": "array", "items": _record(part=_TEXT, sources=_IDS)},
    published={"type": "array", "items": _ROW},
    changed_by_lab={"type": "array", "items": _record(key=_TEXT, source=_IDS, checked_on=_NULL_TEXT)},
)
_DATES = _record(
    p10=_NULL_TEXT, p50=_NULL_TEXT, p90=_NULL_TEXT, years={"type": "integer"}, years_not_reached={"type": "integer"}
)
_SPREAD = {"anyOf": [{"type": "null"}, _DATES]}
_VISIT = _record(
    lab=_TEXT,
    day=_NULL_TEXT,
    mailed=_NULL_TEXT,
    result_last=_NULL_TEXT,
    verdict={"enum": ["can act", "record only", "no decision date", None]},
    missing=_IDS,
    decide_by=_NULL_TEXT,
    last_day_to_sample=_NULL_TEXT,
)
_PLANTING = _record(
    event=_TEXT,
    day=_TEXT,
    stages={"type": "array", "items": {"allOf": [_DATES, _record(code=_TEXT)]}, "minItems": 1},
    windows={
        "type": "array",
        "items": _record(
            protocol=_TEXT,
            opens=_SPREAD,
            closes=_SPREAD,
            open_end={"type": "boolean"},
            reach={"enum": ["yes", "partly", "no"]},
            visits={"type": "array", "items": _VISIT},
        ),
    },
)
_CALENDAR = _record(
    data_version={"const": 1},
    crop=_TEXT,
    seasons={
        "type": "array",
        "minItems": 1,
        "items": _record(
            region=_TEXT,
            season={"type": "integer"},
            model=_TEXT,
            past_years={"type": "array", "items": {"type": "integer"}, "minItems": 1},
            observed_until=_NULL_TEXT,
            plantings={"type": "array", "items": _PLANTING},
        ),
    },
)
_INDEX = _record(
    version={"const": 1},
    labs={"type": "array", "items": _record(id=_TEXT, name=_TEXT, page=_TEXT)},
    crops={
        "type": "array",
        "items": _record(
            id=_TEXT,
            latin=_TEXT,
            names={"type": "object"},
            protocols={
                "type": "array",
                "items": _record(id=_TEXT, short_id=_TEXT, version={"type": "integer"}, page=_TEXT, data=_TEXT),
            },
            retired={"type": "array", "items": _record(id=_TEXT, short_id=_TEXT, on=_TEXT, replaced_by=_NULL_TEXT)},
        ),
    },
    languages=_IDS,
    files={"type": "array", "items": _record(schema=_TEXT, files=_IDS)},
)


@cache
def schemas() -> dict[str, dict[str, Any]]:
    """Schema by name: those of `FILES` for the YAML files, all others for the data."""
    draft = "https://json-schema.org/draft/2020-12/schema"
    out = {name: {"$schema": draft, **record.model_json_schema(by_alias=True)} for name, record in FILES.items()}
    out["protocol"] = {"$schema": draft, "title": "One protocol, version 1", **_PROTOCOL}
    out["index"] = {"$schema": draft, "title": "What the manual holds, version 1", **_INDEX}
    out["calendar"] = {"$schema": draft, "title": "The dates of one crop, version 1", **_CALENDAR}
    out["evidence"] = {"$schema": draft, "title": "Published rows, version 1", "type": "array", "items": _ROW}
    return out | {name: {"$schema": draft, **schema} for name, schema in list_schemas().items()}


def editor_files() -> dict[str, bytes]:
    """The schemas that editors of the YAML files use, by file name."""
    return {f"{name}.json": to_bytes(schema) for name, schema in schemas().items() if name in FILES}


if __name__ == "__main__":
    for name, content in editor_files().items():
        (Path(sys.argv[1]) / name).write_bytes(content)
