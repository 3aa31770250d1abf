"""Growth-stage systems: ordered stages, and how to tell them in the field."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StringConstraints

from .base import Id, Record, Said, SourceIds, Text

Code = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9. -]{0,23}$")]


class Stage(Record):
    """One stage. `tick` stages are drawn on the strip; the others only where a window needs them."""

    code: Code
    name: Text
    look: Said
    tick: bool = True


class StageSeries(Record):
    """A run of counted stages, such as V1 to V20, written once."""

    series: Annotated[str, StringConstraints(pattern=r"^[A-Za-z]{1,3}$")]
    first: int = Field(ge=0, le=60)
    last: int = Field(ge=0, le=60)
    name: Text = Field(description="With {n} where the number goes.")
    look: Said
    at: dict[int, Said] = Field(default={}, description="What is special at one number; these are drawn.")


class StageSystem(Record):
    """An ordered list of stages, early to late."""

    system: Id
    name: Text
    codes_are_words: bool = Field(default=False, description="True where the codes are plain words of ours.")
    prefix: Text | None = Field(default=None, description="Said before a bare number: 'Feekes' for Feekes 4.")
    source: SourceIds
    rule: Said | None = Field(default=None, description="When a field counts as being at a stage.")
    count: tuple[Said, ...] = Field(default=(), description="How to count, step by step.")
    traps: tuple[Said, ...] = ()
    stages: tuple[Stage | StageSeries, ...] = Field(min_length=1)

    def expanded(self) -> tuple[Stage, ...]:
        """Every stage in order, with each series written out."""
        out: list[Stage] = []
        for entry in self.stages:
            if isinstance(entry, Stage):
                out.append(entry)
                continue
            for n in range(entry.first, entry.last + 1):
                out.append(
                    Stage(
                        code=f"{entry.series}{n}",
                        name=entry.name.replace("{n}", str(n)),
                        look=entry.at.get(n, entry.look),
                        tick=n in entry.at,
                    )
                )
        return tuple(out)
