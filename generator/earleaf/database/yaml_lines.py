"""YAML text to plain values, remembering the line of every key and item.

Deliberately smaller than YAML: scalars stay strings (the model decides what is a number or a date, so `no`, `10.10`
and `12:30` mean what they say), and anchors, aliases, tags, duplicate keys, several documents and letters
that do not print are refused.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import yaml

from ..model.finding import Finding
from .files import VALUE_CONTROL, control, decode

MAX_BYTES = 1_000_000
MAX_VALUES = 50_000
"""Keys, items and values of one file."""
MAX_DEPTH = 30
PathKey = tuple[str | int, ...]


@dataclass
class Parsed:
    """The value of one file and the line of each path in it."""

    value: Any = None
    lines: dict[PathKey, int] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)

    def line(self, path: PathKey) -> int:
        """Line of the path, or of its nearest ancestor that has one."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 0)


def parse_yaml(data: bytes, file: str) -> Parsed:
    """Read one YAML file. Faults come back in `findings`; `value` is None when nothing could be read."""
    out = Parsed()

    def fault(line: int, rule: str, message: str, hint: str) -> None:
        out.findings.append(Finding(file, line, rule, message, hint))

    text, wrong = decode(data, file, MAX_BYTES)
    if wrong is not None:
        out.findings.append(wrong)
        return out
    loader = yaml.CSafeLoader(text)
    try:
        node = _compose(loader, text, fault)
    except yaml.YAMLError as error:
        fault(_error_line(error), "bad-yaml", _yaml_problem(error), _yaml_hint(error, text))
        return out
    finally:
        loader.dispose()
    if node is None:
        if not out.findings:
            fault(0, "empty-file", "the file is empty", "write it, or delete it; `earleaf new` makes a skeleton")
        return out
    out.value = _build(node, (), out, fault)
    return out


def _compose(loader: Any, text: str, fault: Any) -> yaml.Node | None:
    """The single document, or None with a finding when the text uses what we refuse."""
    depth = 0
    for number, event in enumerate(yaml.parse(text, Loader=yaml.CSafeLoader)):
        line = event.start_mark.line + 1 if event.start_mark else 0
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            fault(
                line,
                "yaml-alias",
                "anchors (&) and aliases (*) are not used in these files",
                "write the value out; shared rules belong in protocols/groups/",
            )
            return None
        if number > MAX_VALUES:
            said = f"the file has more than {MAX_VALUES:,} keys and values, and no more are read"
            fault(line, "file-too-large", said, "split the file, or look for something pasted in by mistake")
            return None
        if isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent)):
            depth += 1
            if depth > MAX_DEPTH:
                fault(line, "too-deep", f"lists inside lists more than {MAX_DEPTH} levels deep", "check the indents")
                return None
        elif isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
            depth -= 1
        tag = getattr(event, "tag", None)
        if tag and tag != "!":
            fault(line, "yaml-tag", f"the tag {tag} is not used in these files", "remove the word that starts with !")
            return None
    return loader.get_single_node()  # type: ignore[no-any-return]


def _build(node: yaml.Node, path: PathKey, out: Parsed, fault: Any) -> Any:
    out.lines.setdefault(path, node.start_mark.line + 1)
    if isinstance(node, yaml.ScalarNode):
        if not node.style and node.value in ("", "~", "null"):
            return None
        return _text(node, fault)
    if isinstance(node, yaml.SequenceNode):
        return [_build(item, (*path, i), out, fault) for i, item in enumerate(node.value)]
    value: dict[str, Any] = {}
    for key_node, value_node in node.value:
        line = key_node.start_mark.line + 1
        if not isinstance(key_node, yaml.ScalarNode):
            fault(line, "bad-yaml", "a key must be one word, not a list", "put quotes round it, or check the indents")
            continue
        key = _text(key_node, fault)
        if key in value:
            fault(
                line,
                "duplicate-key",
                f"the key {key!r} is here twice (first on line {out.lines[(*path, key)]})",
                "keep one of them; the second would silently replace the first",
            )
            continue
        out.lines[(*path, key)] = line
        value[key] = _build(value_node, (*path, key), out, fault)
    return value


def _text(node: yaml.ScalarNode, fault: Any) -> str:
    """The text of a scalar. Between double quotes, letters that do not print can be written as others."""
    text: str = node.value
    if node.style == '"' and (odd := VALUE_CONTROL.search(text)) is not None:
        fault(node.start_mark.line + 1, *control(odd.group()))
    return text


def _error_line(error: yaml.YAMLError) -> int:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    return mark.line + 1 if mark else 0


def _yaml_problem(error: yaml.YAMLError) -> str:
    if "expected a single document" in str(error):
        return "the file holds more than one document (a line with ---)"
    problem = getattr(error, "problem", None) or str(error).splitlines()[0]
    return f"this is not YAML: {problem}"


def _yaml_hint(error: yaml.YAMLError, text: str) -> str:
    if "expected a single document" in str(error):
        return "remove the line ---, or make two files of it"
    lines = text.split("\n")
    number = _error_line(error)
    line = lines[number - 1] if 0 < number <= len(lines) else ""
    if "\t" in line:
        return "the line holds a tab; use spaces only"
    if ": " in line.partition(":")[2]:
        return "put quotes round a text that holds a colon"
    return "check the indents, and put quotes round a text that holds : # [ ] { } or starts with a quote"
