"""CSV files of evidence to rows, with the line of each."""

from __future__ import annotations

import csv
import difflib
import io
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from ..model.finding import Finding

R = TypeVar("R", bound=BaseModel)
MAX_BYTES = 5_000_000
MAX_CELL = 2_000


def read_rows(record: type[R], data: bytes, file: str) -> tuple[list[tuple[int, R]], list[Finding]]:
    """(line, row) for every good row, and a finding for every bad one. Empty cells are None."""
    found: list[Finding] = []
    if len(data) > MAX_BYTES:
        return [], [Finding(file, 0, "file-too-large", f"{len(data):,} bytes; at most {MAX_BYTES:,}", "split the file")]
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        return [], [Finding(file, line, "not-utf-8", f"byte 0x{data[error.start]:02x} is not UTF-8 text",
                            "save the file again with the encoding UTF-8")]
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    columns = list(record.model_fields)
    try:
        header = next(reader)
    except (StopIteration, csv.Error):
        return [], [Finding(file, 1, "empty-file", "no header line", f"start with: {','.join(columns)}")]
    for name in header:
        if name not in columns:
            near = difflib.get_close_matches(name, columns, n=1)
            found.append(Finding(file, 1, "unknown-key", f"unknown column {name!r}",
                                 (f"did you mean {near[0]!r}? " if near else "") + f"allowed: {', '.join(columns)}"))
    if len(set(header)) != len(header):
        found.append(Finding(file, 1, "duplicate-key", "a column name is there twice", "keep one of them"))
    if found:
        return [], found
    return _rows(record, reader, header, file)


def _rows(record: type[R], reader: object, header: list[str], file: str
          ) -> tuple[list[tuple[int, R]], list[Finding]]:
    rows: list[tuple[int, R]] = []
    found: list[Finding] = []
    try:
        for cells in reader:  # type: ignore[attr-defined]
            line: int = reader.line_num  # type: ignore[attr-defined]
            if not any(cells):
                continue
            if len(cells) != len(header):
                found.append(Finding(file, line, "wrong-length", f"{len(cells)} cells under {len(header)} columns",
                                     "put quotes round a text that holds a comma"))
                continue
            try:
                rows.append((line, record.model_validate(
                    {k: v.strip() for k, v in zip(header, cells, strict=True) if v.strip()})))
            except ValidationError as error:
                for e in error.errors(include_url=False):
                    name = str(e["loc"][0]) if e["loc"] else "row"
                    said = "is empty" if e["type"] == "missing" else f"is {str(e['input'])[:60]!r}"
                    found.append(Finding(file, line, "bad-cell", f"column {name} {said}",
                                         f"allowed: {e['msg'].removeprefix('Input should be ').lower()}"))
    except csv.Error as error:
        found.append(Finding(file, reader.line_num, "bad-csv", str(error),  # type: ignore[attr-defined]
                             "put quotes round a text that holds a comma or a quote"))
    return rows, found
