"""A manual whose every free text is a piece of somebody's program, each with a mark by which it is found again.

What is a free text is not listed but read off the records: any text without a pattern, a list of allowed words, or a
rule of its own.
"""
# ruff: noqa: E501  (the data below is written as its authors write it, one record a line)

from __future__ import annotations

import csv
import io
import types
import typing
from dataclasses import dataclass, field
from typing import Any, get_args, get_origin

import yaml
from pydantic import BaseModel
from whole_manual import FEEDS, FILES, LANGUAGE, MANUAL, PLANTINGS, SEEN, TERMS

from earleaf.model.base import Cited
from earleaf.model.crop import Crop
from earleaf.model.evidence import HandlingRow, SamplingRow, TimingRow
from earleaf.model.feed_state import FeedState
from earleaf.model.lab import Lab
from earleaf.model.language import Language, TermFile
from earleaf.model.manual import Manual
from earleaf.model.planting import Planting, Sighting
from earleaf.model.source import SourceFile
from earleaf.model.stages import Stage, StageSeries, StageSystem
from earleaf.model.vocabulary import CautionFile, FaultFile, Group, HandlingFile, PartFile, UnitFile

RECORDS: dict[str, type[BaseModel]] = {
    MANUAL: Manual,
    "sources.yml": SourceFile,
    "protocols/sources.yml": SourceFile,
    "labs/stonewell.yml": Lab,
    "protocols/crops/corn.yml": Crop,
    "protocols/crops/bean.yml": Crop,
    "protocols/stages/corn-stages.yml": StageSystem,
    "protocols/stages/bean-stages.yml": StageSystem,
    "protocols/vocabulary/plant-parts.yml": PartFile,
    "protocols/vocabulary/units.yml": UnitFile,
    "protocols/vocabulary/cautions.yml": CautionFile,
    "protocols/vocabulary/faults.yml": FaultFile,
    "protocols/handling.yml": HandlingFile,
    "protocols/groups/row-crops.yml": Group,
    LANGUAGE: Language,
    TERMS: TermFile,
}
TABLES: dict[str, type[BaseModel]] = {
    "protocols/evidence/sampling.csv": SamplingRow,
    "protocols/evidence/handling.csv": HandlingRow,
    "protocols/evidence/timing.csv": TimingRow,
    PLANTINGS: Planting,
    SEEN: Sighting,
}

NAMES_SOMETHING = {
    **dict.fromkeys(
        ("Manual.protocols_folder", "Manual.labs_folder", "Manual.languages_folder", "Manual.sources_file",
         "Manual.chapters_folder", "Region.weather"), "a path; test_broken_files tries hostile ones"),
    **dict.fromkeys(("Region.plantings", "Region.decide_by", "Planting.crop"), "names of crops: another one is refused"),
    "Region.time_zone": "one of a list of time zones",
    "Leg.start": "a stage, a day or a known event",
    "Need.after": "the name of an earlier point",
    "Planting.maturity": "a figure or a group of the crop's model",
    **dict.fromkeys(("SamplingRow.stage_from", "SamplingRow.stage_to", "TimingRow.stage", "TimingRow.stage_to"), "a stage of the crop"),
    **dict.fromkeys(("Handling.basis", "Handling.differs", "LabHandling.basis", "LabHandling.differs"), "ids of rows"),
    **dict.fromkeys(("Measures.numbers", "Measures.joins", "Measures.us", "Measures.metric"),
                    "words that are looked for in sentences and never shown by themselves"),
}  # fmt: skip
"""Texts that must name what is there, so that the check refuses anything else."""

LONG = "\"><script>__planted=self</script><img src=x onerror=__planted=self>'{{language}}${language}{language}%s#panic[*_@b]$x$<!--"
SHORT = " #[$*@"
"""For paper, where a line has room for few letters."""
NAME = '"><u onclick=x>=a'
"""For names of people and fields, which are short as well."""


@dataclass
class Planter:
    """Gives each text a mark of its own, and remembers what it stands for."""

    text: str = LONG
    marks: dict[str, str] = field(default_factory=dict)

    def mark(self, where: str) -> str:
        """A word that stands nowhere else: letters only, for a figure would need a source."""
        number, letters = len(self.marks), ""
        for _ in range(3):
            number, rest = divmod(number, 20)
            letters = "bcdfghjklmnpqrstvwxz"[rest] + letters
        mark = f"Zq{letters}qZ"
        self.marks[mark] = where
        return mark

    def plant(self, where: str, data: Any, kind: Any) -> Any:
        """The data with its free texts replaced; `kind` is what the record says of the place."""
        args = get_args(kind)
        if get_origin(kind) is typing.Annotated:
            return self.plant(where, data, args[0]) if not _has_pattern(args[1:]) else data
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            if kind is Cited and isinstance(data, str):
                return self._text(where)
            return self.record(data, kind)
        if get_origin(kind) in (typing.Union, types.UnionType):
            return self.plant(where, data, self._branch(data, [a for a in args if a is not type(None)]))
        if get_origin(kind) is tuple and isinstance(data, list):
            return [self.plant(where, item, args[0]) for item in data]
        if get_origin(kind) is dict and isinstance(data, dict):
            return {key: self.plant(where, value, args[1]) for key, value in data.items()}
        return self._text(where) if kind is str and isinstance(data, str) else data

    def record(self, data: dict[str, Any], kind: type[BaseModel]) -> dict[str, Any]:
        """One record; texts that are left out in the data are put in."""
        out = dict(data)
        for name, info in kind.model_fields.items():
            key, where = info.alias or name, f"{kind.__name__}.{name}"
            if where in NAMES_SOMETHING or _has_pattern(info.metadata):
                continue
            if key not in out and where != "Need.at" and _is_free(info.annotation, info.metadata):
                out[key] = "x"
            if key in out:
                out[key] = self.plant(where, out[key], info.annotation)
        return out

    def _branch(self, data: Any, kinds: list[Any]) -> Any:
        if Stage in kinds:
            return StageSeries if "series" in data else Stage
        if len(kinds) > 1:
            return next(k for k in kinds if (k.__name__ == "Pace") == ("to" in data))
        return kinds[0]

    def _text(self, where: str) -> str:
        mark = self.mark(where)
        if where in ("Planting.scout", "Planting.field", "Sighting.scout"):
            return f"{mark}{NAME}"
        return f"{mark}{self.text}"


def _has_pattern(metadata: Any) -> bool:
    return any(getattr(one, "pattern", None) for one in metadata)


def _is_free(kind: Any, metadata: Any) -> bool:
    """Whether a field that may be left out is a free text: a plain one, or a sentence."""
    if _has_pattern(metadata):
        return False
    if get_origin(kind) in (typing.Union, types.UnionType):
        inner = [a for a in get_args(kind) if a is not type(None)]
        return len(inner) == 1 and _is_free(inner[0], ())
    if get_origin(kind) is typing.Annotated:
        return not _has_pattern(get_args(kind)[1:]) and _is_free(get_args(kind)[0], ())
    return kind is str or kind is Cited


def free_fields(kind: type[BaseModel], seen: set[type[BaseModel]] | None = None) -> set[str]:
    """Every free text of a record and of the records in it, as `Record.field`."""
    seen = seen if seen is not None else set()
    found: set[str] = set()
    if kind in seen:
        return found
    seen.add(kind)
    for name, info in kind.model_fields.items():
        for inner, metadata in _parts(info.annotation, tuple(info.metadata)):
            if isinstance(inner, type) and issubclass(inner, BaseModel):
                found |= {f"{kind.__name__}.{name}"} if inner is Cited else free_fields(inner, seen)
            elif inner is str and not _has_pattern(metadata):
                found.add(f"{kind.__name__}.{name}")
    return found


def _parts(kind: Any, metadata: tuple[Any, ...] = ()) -> typing.Iterator[tuple[Any, tuple[Any, ...]]]:
    if get_origin(kind) is typing.Annotated:
        yield from _parts(get_args(kind)[0], get_args(kind)[1:])
    elif get_origin(kind) in (typing.Union, types.UnionType, tuple, dict):
        for arg in get_args(kind):
            if arg not in (type(None), Ellipsis):
                yield from _parts(arg, metadata)
    else:
        yield kind, metadata


def _more(files: dict[str, Any]) -> None:
    """What the small manual leaves out, so that every record is there once."""
    files[MANUAL]["edit_url"] = "https://code.fernhollow.example/tree/"
    lab, corn = files["labs/stonewell.yml"], files["protocols/crops/corn.yml"]
    lab |= {
        "material": {"say": "x"},
        "form": {"fields": ["x", "y"]},
        "sample_id": {"max_length": "12"},
        "turnaround": {"days_min": "2", "days_max": "4"},
    }
    lab["protocols"][0]["card"] = {"title": "x", "see": "x", "how": ["x"]}
    young, silk = corn["protocols"]
    corn |= {
        "also_called": ["maize"],
        "retired": [
            {
                "protocol": "old",
                "title": "x",
                "short_id": "cold",
                "on": "2026-05-05",
                "why": "x",
                "replaced_by": "corn/silk",
            }
        ],
    }
    silk |= {
        "version": "2",
        "changes": [{"version": "2", "on": "2026-11-20", "what": "x"}],
        "notes": ["x"],
        "card": {"title": "x", "see": "x", "how": ["x"]},
        "also_accepted": [{"part": "opposite-leaf", "basis": ["corn.uni-b.1"]}],
        "after": [{"event": "x", "days_from": "10", "days_to": "20", "source": ["uni-a"]}],
    }
    silk.pop("differs")
    young.pop("cautions")  # one line more than a card has room for
    young["take"][0]["how"] = ["x"]
    corn["development"][0]["limits"] = ["x"]
    files["protocols/stages/corn-stages.yml"]["traps"] = ["x"]
    files["protocols/stages/corn-stages.yml"]["stages"][1]["at"] = {"3": "x"}
    files["protocols/stages/bean-stages.yml"]["prefix"] = "x"
    for part in files["protocols/vocabulary/plant-parts.yml"]["parts"]:
        part["also_called"] = ["x"]
    files[LANGUAGE] |= {"joined": {" de el ": "x"}, "measures": {"us": ["in"], "metric": ["cm"]}}


LEFT = """\
{"events": [{"categories": ["CATEGORY"], "changed": "2027-06-01", "description": "DESCRIPTION", "feeds": ["crop-corn"],
"first": "2027-06-10", "last": "2027-06-12", "place": "PLACE", "sequence": 1, "status": "tentative", "summary": "SUMMARY",
"uid_parts": ["2027", "gone-hill", "corn/silk", "window"], "url": "https://manual.fernhollow.example/"}], "gone": [], "version": 1}
"""


def planted_files(text: str) -> tuple[dict[str, str], dict[str, str]]:
    """The files of the manual with its texts planted, and the marks with what each stands for."""
    planter = Planter(text)
    files: dict[str, Any] = {name: yaml.load(FILES[name], yaml.BaseLoader) for name in RECORDS if name in FILES}
    files[LANGUAGE] = {"language": "qps", "name": "x"}
    _more(files)
    out = dict(FILES)
    for name, data in files.items():
        out[name] = yaml.safe_dump(
            planter.record(data, RECORDS[name]), allow_unicode=True, sort_keys=False, width=10_000
        )
    for name, kind in TABLES.items():
        rows = list(csv.DictReader(io.StringIO(FILES[name])))
        lines = io.StringIO()
        writer = csv.DictWriter(lines, list(kind.model_fields), lineterminator="\n")
        writer.writeheader()
        for row in rows:
            filled = planter.record({key: value for key, value in row.items() if value}, kind)
            writer.writerow(filled)
        out[name] = lines.getvalue()
    left = LEFT
    for name in ("summary", "description", "categories", "place"):
        word = {"categories": "CATEGORY"}.get(name, name.upper())
        left = left.replace(
            f'"{word}"', yaml.safe_dump(planter._text(f"Event.{name}"), default_style='"', width=10_000).strip()
        )
    out[FEEDS] = left
    return out, planter.marks


def every_free_field() -> set[str]:
    """Every free text of every kind of file."""
    kinds = [*RECORDS.values(), *TABLES.values(), FeedState]
    return set().union(*(free_fields(kind) for kind in kinds))
