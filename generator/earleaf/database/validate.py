"""Plain values to records. Every fault of a file is told at once, each with what is allowed."""

from __future__ import annotations

import difflib
import re
import types
import typing
from collections.abc import Iterable, Iterator
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from ..model.base import ID_PATTERN, ROW_PATTERN
from ..model.finding import Finding
from .files import first_of
from .yaml_lines import Parsed, PathKey

R = TypeVar("R", bound=BaseModel)
SHOWN = 60
"""Letters of a value that a message repeats."""


def build(record: type[R], parsed: Parsed, file: str) -> tuple[R | None, list[Finding]]:
    """The record of one parsed file, or None and what is wrong with it."""
    if parsed.value is None:
        return None, []
    if not isinstance(parsed.value, dict):
        return None, [
            Finding(
                file,
                1,
                "wrong-type",
                f"the file must hold keys and values, not {_kind(parsed.value)}",
                "start with a line such as `key: value`",
            )
        ]
    try:
        return record.model_validate(parsed.value), []
    except ValidationError as error:
        return None, first_of(_findings(record, error.errors(include_url=False), parsed, file))


def _findings(record: type[BaseModel], errors: Iterable[ErrorDetails], parsed: Parsed, file: str) -> Iterator[Finding]:
    told: set[tuple[PathKey, str]] = set()
    for error in _nearest_branch(list(errors), parsed):
        if error["type"] == "too_short" and error["input"]:
            continue  # its items are faulty, which is told at each item
        path = real_path(parsed, error["loc"])
        rule, message, hint = _explain(record, error, path)
        if (path, rule) not in told:
            told.add((path, rule))
            yield Finding(file, parsed.line(path), rule, message, hint)


def real_path(parsed: Parsed, loc: tuple[str | int, ...]) -> PathKey:
    """The error's place as keys of the file: the checker's own branch names are left out."""
    path: PathKey = ()
    for step in loc:
        if (*path, step) in parsed.lines:
            path = (*path, step)
        elif step == loc[-1] and isinstance(step, str) and not step.endswith("]") and not _is_branch(step):
            return (*path, step)
    return path


def _is_branch(step: str | int) -> bool:
    """Whether a step is the name of a record class: keys of the files are never written with a capital."""
    return isinstance(step, str) and step.isidentifier() and step[0].isupper()


def _nearest_branch(errors: list[ErrorDetails], parsed: Parsed) -> list[ErrorDetails]:
    """Where a value may be one of several records, keep the faults of the record it is nearest to."""
    branches: dict[PathKey, dict[str, int]] = {}

    def split(error: ErrorDetails) -> tuple[PathKey, str] | None:
        loc = error["loc"]
        for i, step in enumerate(loc):
            if _is_branch(step) and (*real_path(parsed, loc[:i]), step) not in parsed.lines:
                return loc[:i], str(step)
        return None

    for error in errors:
        if (at := split(error)) is not None:
            counted = branches.setdefault(at[0], {})
            counted[at[1]] = counted.get(at[1], 0) + 1
    nearest = {place: min(counted, key=lambda name: counted[name]) for place, counted in branches.items()}
    return [e for e in errors if (at := split(e)) is None or nearest[at[0]] == at[1]]


def _explain(record: type[BaseModel], error: ErrorDetails, path: PathKey) -> tuple[str, str, str]:
    kind, found, ctx = error["type"], error["input"], error.get("ctx", {})
    name = ".".join(str(step) for step in path) or "the file"
    if kind == "extra_forbidden":
        keys = _keys_at(record, path[:-1])
        near = difflib.get_close_matches(str(path[-1]), keys, n=1)
        hint = f"did you mean {near[0]!r}? " if near else ""
        return "unknown-key", f"unknown key {_short(path[-1])} in {_parent(path)}", f"{hint}allowed: {', '.join(keys)}"
    if kind == "missing":
        return "missing-key", f"{path[-1]!r} is missing in {_parent(path)}", "add it, or copy from `earleaf new`"
    if kind == "literal_error":
        near = difflib.get_close_matches(str(found)[:SHOWN], re.findall(r"'([^']*)'", str(ctx["expected"])), n=1)
        hint = f"did you mean {near[0]!r}? " if near else ""
        return "not-allowed", f"{name} is {_short(found)}", f"{hint}allowed: {ctx['expected']}"
    if kind == "string_pattern_mismatch":
        return "bad-form", f"{name} is {_short(found)}, which has the wrong form", _pattern_hint(str(ctx["pattern"]))
    if kind == "string_too_long":
        return "wrong-length", f"{name} is {len(str(found))} letters long", f"allowed: {ctx['max_length']} at most"
    if kind == "too_short":
        return "empty-value", f"{name} is an empty list", "put at least one item in it, or leave the key out"
    if found is None or kind == "string_too_short":
        return "empty-value", f"{name} is empty", f"give it a value ({allowed(error)}), or leave the key out"
    if kind.startswith(("greater_than", "less_than")):
        return "out-of-range", f"{name} is {found}", f"allowed: {allowed(error)}"
    return "wrong-type", f"{name} is {_kind(found)}", f"allowed: {allowed(error)}"


WANTED = {
    "int": "a whole number",
    "float": "a number",
    "finite": "a number",
    "bool": "true or false",
    "date": "a date such as 2026-11-25",
    "url": "a web address that starts with https://",
    "string": "a text",
    "tuple": "a list, one item a line after -",
    "list": "a list, one item a line after -",
    "dict": "keys and values",
    "model": "keys and values",
    "missing": "a value, never empty",
}


def allowed(error: ErrorDetails) -> str:
    """What may stand there, in plain words."""
    kind = error["type"]
    if kind == "string_pattern_mismatch":
        return _pattern_hint(str(error.get("ctx", {})["pattern"]))
    if kind in ("greater_than", "less_than", "greater_than_equal", "less_than_equal", "literal_error"):
        return error["msg"].removeprefix("Input should be ")
    return WANTED.get(kind.split("_")[0], error["msg"].removeprefix("Input should be "))


def _parent(path: PathKey) -> str:
    return ".".join(str(step) for step in path[:-1]) or "the top level"


def _kind(value: Any) -> str:
    if isinstance(value, dict):
        return "a set of keys"
    if isinstance(value, list):
        return "a list"
    return _short(value)


def _short(value: Any) -> str:
    """What was found, in quotes; the start of it where it is long."""
    return repr(value if len(str(value)) < SHOWN else str(value)[: SHOWN - 3] + "...")


def _pattern_hint(pattern: str) -> str:
    known = {
        ID_PATTERN: "small letters, digits and single hyphens, such as corn-tassel",
        "^[a-z2-9]{4}$": "four small letters or digits 2-9, such as c7k2",
        ROW_PATTERN: "crop, source and number with dots between, such as corn.mu-field.1",
        "^[A-Za-z]{1,3}$": "one to three letters, such as V",
        "^[A-Z]{3}$": "three large letters, such as USD",
        "^[a-z]{2}(-[A-Z]{2})?$": "a language code, such as en or pt-BR",
    }
    if pattern.startswith("^[A-Za-z0-9][A-Za-z0-9. -]"):
        return "a stage code of letters, digits, dots, spaces and hyphens, such as V6 or 10.5"
    if pattern.startswith("^(0[1-9]|1[0-2])"):
        return "month and day, such as 07-15"
    if pattern.startswith("^([01]"):
        return 'hours and minutes of the 24-hour clock in quotes, such as "15:00"'
    return known.get(pattern, f"it must match {pattern}")


def _keys_at(record: type[BaseModel], path: PathKey) -> list[str]:
    """The keys a record allows at a path; follows lists, unions and nested records."""
    here: list[Any] = [record]
    for step in path:
        nxt: list[Any] = []
        for kind in here:
            for model in _models(kind):
                for field_name, info in model.model_fields.items():
                    if step in (field_name, info.alias):
                        nxt.append(info.annotation)
            if isinstance(step, int) or not list(_models(kind)):
                nxt.extend(_inside(kind))
        here = nxt
    keys: list[str] = []
    for kind in here:
        for model in _models(kind):
            keys += [info.alias or name for name, info in model.model_fields.items()]
    return sorted(dict.fromkeys(keys))


def _models(kind: Any) -> list[type[BaseModel]]:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return [kind]
    if typing.get_origin(kind) in (typing.Union, types.UnionType, typing.Annotated):
        return [m for arg in typing.get_args(kind) for m in _models(arg)]
    return []


def _inside(kind: Any) -> list[Any]:
    """What a list or a mapping holds."""
    origin, args = typing.get_origin(kind), typing.get_args(kind)
    if origin is tuple:
        return [a for a in args if a is not Ellipsis]
    if origin is dict:
        return [args[1]]
    if origin in (typing.Union, types.UnionType, typing.Annotated):
        return [x for arg in args for x in _inside(arg)]
    return [kind]
