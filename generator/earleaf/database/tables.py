"""CSV files of evidence to rows, with the line of each."""

from __future__ import annotations

import csv
import difflib
import io
import re
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from ..model.finding import Finding
from .files import MANY, MAX_TOLD, decode
from .validate import allowed

R = TypeVar("R", bound=BaseModel)
MAX_BYTES = 5_000_000
FORMULA = re.compile(r"[=+@-](?![0-9.]*$)")
"""How a cell begins that a spreadsheet would work out. These tables are published, so none may; a figure is fine."""


Rows = tuple[list[tuple[int, R]], list[Finding], set[str]]
ALL = {""}


def read_rows(record: type[R], data: bytes, file: str) -> Rows[R]:
    """(line, row) for every good row, a finding for every bad one, and the ids that were lost. Empty cells are None.

    A lost id of "" means that more rows than can be told were not read.
    """
    text, wrong = decode(data, file, MAX_BYTES)
    if wrong is not None:
        return [], [wrong], ALL
    found: list[Finding] = []
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    columns = list(record.model_fields)
    try:
        header = next(reader)
    except (StopIteration, csv.Error):
        return [], [Finding(file, 1, "empty-file", "no header line", f"start with: {','.join(columns)}")], ALL
    for name in header[: 2 * len(columns)]:
        if name not in columns:
            near = difflib.get_close_matches(name, columns, n=1)
            found.append(
                Finding(
                    file,
                    1,
                    "unknown-key",
                    f"unknown column {name[:60]!r}",
                    (f"did you mean {near[0]!r}? " if near else "") + f"allowed: {', '.join(columns)}",
                )
            )
    if len(set(header)) != len(header):
        found.append(Finding(file, 1, "duplicate-key", "a column name is there twice", "keep one of them"))
    if found:
        return [], found, ALL
    return _rows(record, reader, header, file)


def _rows(record: type[R], reader: object, header: list[str], file: str) -> Rows[R]:
    rows: list[tuple[int, R]] = []
    found: list[Finding] = []
    lost: set[str] = set()
    try:
        for cells in reader:  # type: ignore[attr-defined]
            line: int = reader.line_num  # type: ignore[attr-defined]
            if not any(cells):
                continue
            if len(found) >= MAX_TOLD:
                lost |= ALL
                found.append(Finding(file, line, MANY, "no row is read from here on", "put the others right first"))
                break
            if len(cells) != len(header):
                lost.add(cells[0])
                found.append(
                    Finding(
                        file,
                        line,
                        "wrong-length",
                        f"{len(cells)} cells under {len(header)} columns",
                        "put quotes round a text that holds a comma",
                    )
                )
                continue
            if any(map(FORMULA.match, cells)):
                lost.add(cells[0])
                said = f"{next(filter(FORMULA.match, cells))[:60]!r} begins as a formula of a spreadsheet"
                found.append(Finding(file, line, "bad-cell", said, "begin the text with a letter, a figure or a quote"))
                continue
            try:
                rows.append(
                    (
                        line,
                        record.model_validate({k: v.strip() for k, v in zip(header, cells, strict=True) if v.strip()}),
                    )
                )
            except ValidationError as error:
                lost.add(cells[0])
                for e in error.errors(include_url=False):
                    name = str(e["loc"][0]) if e["loc"] else "row"
                    said = "is empty" if e["type"] == "missing" else f"is {str(e['input'])[:60]!r}"
                    found.append(Finding(file, line, "bad-cell", f"column {name} {said}", f"allowed: {allowed(e)}"))
    except csv.Error as error:
        lost |= ALL
        found.append(
            Finding(
                file,
                reader.line_num,  # type: ignore[attr-defined]
                "bad-csv",
                str(error),
                "put quotes round a text that holds a comma or a quote",
            )
        )
    return rows, found, lost
