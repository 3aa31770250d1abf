"""The list of all keys of all files, docs/guides/keys.md, made from the model. `make guides` writes it."""

from __future__ import annotations

import sys
import types
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from earleaf.model.base import Cited
from earleaf.model.crop import Crop
from earleaf.model.evidence import HandlingRow, SamplingRow, TimingRow
from earleaf.model.lab import Lab
from earleaf.model.language import Language, TermFile
from earleaf.model.manual import Manual
from earleaf.model.planting import Planting, Sighting
from earleaf.model.source import SourceFile
from earleaf.model.stages import StageSystem
from earleaf.model.vocabulary import CautionFile, FaultFile, Group, HandlingFile, PartFile, UnitFile

PAGE = Path(__file__).resolve().parents[2] / "docs/guides/keys.md"
FILES: list[tuple[str, str, type[BaseModel]]] = [
    ("Your manual", "manual.yml", Manual),
    ("A lab", "labs/*.yml", Lab),
    ("A crop", "crops/*.yml", Crop),
    ("A group of crops", "groups/*.yml", Group),
    ("What everyone does", "protocols/handling.yml", HandlingFile),
    ("A scale of growth stages", "stages/*.yml", StageSystem),
    ("Sources", "sources.yml", SourceFile),
    ("Plant parts", "vocabulary/plant-parts.yml", PartFile),
    ("What is counted", "vocabulary/units.yml", UnitFile),
    ("Cautions", "vocabulary/cautions.yml", CautionFile),
    ("What makes a sample worthless", "vocabulary/faults.yml", FaultFile),
    ("Published rows: what to take", "evidence/sampling-*.csv", SamplingRow),
    ("Published rows: how to handle it", "evidence/handling.csv", HandlingRow),
    ("Published rows: how long it takes", "evidence/timing.csv", TimingRow),
    ("Your plantings", "plantings.csv", Planting),
    ("What your scouts saw", "seen.csv", Sighting),
    ("A language", "languages/*/language.yml", Language),
    ("Terms in a language", "languages/*/terms.yml", TermFile),
]
HEAD = """\
<!-- made by `make guides` from generator/earleaf/model/; edit the descriptions there, not this page -->
# Every key of every file

A key that is not listed here is a fault, so a slip is never ignored. **needed**: the check asks for it.
Ids are small letters, digits and hyphens. A *sentence* is a text, or `{say: ..., source: an-id}`; a sentence with a
figure in it needs its source. A record that stands in several files is listed where it comes first. An editor that
reads `protocols/schema/` shows the same texts as you type.
"""
WORDS = {str: "text", int: "whole number", float: "number", bool: "true or false", date: "date"}


def page() -> str:
    """The whole page as Markdown."""
    parts, told = [HEAD], set[type[BaseModel]]({Cited})
    for title, pattern, record in FILES:
        parts.append(f"\n## {title}: `{pattern}`\n\n{_sentence(record)}")
        queue = [record]
        while queue:
            one = queue.pop(0)
            if one in told:
                continue
            told.add(one)
            if one is not record:
                parts.append(f"\n### {one.__name__}\n\n{_sentence(one)}")
            parts.append("\n| Key | | What it is | What it holds |\n|---|---|---|---|\n")
            for name, field in one.model_fields.items():
                need = "**needed**" if field.is_required() else ""
                parts.append(f"| `{field.alias or name}` | {need} | {_cell(field.description)} | {_holds(field)} |\n")
            queue[:0] = [r for f in one.model_fields.values() for r in _records(f.annotation) if r not in told]
    return "".join(parts)


def undescribed() -> list[str]:
    """Keys whose description is missing, is no sentence, or only says the key again."""
    out = []
    for _, _, record in FILES:
        queue, seen = [record], set[type[BaseModel]]()
        while queue:
            one = queue.pop()
            seen.add(one)
            for name, field in one.model_fields.items():
                text = field.description or ""
                if not text.endswith((".", "...", ".]", "}.", "?")) or len(text) < 10 or text.lower()[:-1] == name:
                    out.append(f"{one.__name__}.{name}: {text!r}")
            queue += [r for f in one.model_fields.values() for r in _records(f.annotation) if r not in seen]
    return sorted(set(out))


def _sentence(record: type[BaseModel]) -> str:
    """What a record is: the first paragraph of its docstring, where it has one of its own."""
    text = record.__dict__.get("__doc__") or ""
    return " ".join(text.split("\n\n")[0].split()) + "\n" if text else ""


def _cell(text: str | None) -> str:
    return (text or "").replace("|", "\\|")


def _holds(field: FieldInfo) -> str:
    said = _type(field.annotation)
    default = field.default
    if not field.is_required() and isinstance(default, str | int | float) and default != "":
        said += f"; `{str(default).lower() if isinstance(default, bool) else default}` if left out"
    return said


def _type(kind: Any) -> str:
    """A type in words: `list of text`, one of some words, the name of a record."""
    origin, args = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return _type(args[0])
    if origin is Literal:
        return "one of " + ", ".join(f"`{a}`" for a in args)
    if origin is tuple:
        return f"list of {_type(args[0])}"
    if origin is dict:
        return (
            f"{_type(args[1])} by {_type(args[0])}"
            if get_origin(args[0]) is not Literal
            else f"{_type(args[1])} by topic"
        )
    if origin in (Union, types.UnionType):
        return " or ".join(_type(a) for a in args if a is not type(None))
    if kind is Cited:
        return "sentence"
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return f"[{kind.__name__}](#{kind.__name__.lower()})"
    return WORDS.get(kind, "web address" if "Url" in getattr(kind, "__name__", "") else "text")


def _records(kind: Any) -> Iterator[type[BaseModel]]:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        yield kind
    for one in get_args(kind):
        yield from _records(one)


if __name__ == "__main__":
    for fault in undescribed():
        print(fault, file=sys.stderr)
    PAGE.write_text(page(), "utf-8")
