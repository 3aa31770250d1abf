"""Growth-stage systems: ordered stages, and how to tell them in the field."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StringConstraints

from .base import Id, Record, Said, SourceIds, Text

Code = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9. -]{0,23}$")]


class Stage(Record):
    """One stage. `tick` stages are drawn on the strip; the others only where a window needs them."""

    code: Code = Field(description="As the published scale writes it: V5.")
    name: Text = Field(description="The stage in plain words.")
    look: Said = Field(description="What the scout sees, in a line.")
    tick: bool = Field(default=True, description="False keeps it off the stage strip.")


class StageSeries(Record):
    """A run of counted stages, such as V1 to V20, written once."""

    series: Annotated[str, StringConstraints(pattern=r"^[A-Za-z]{1,3}$")] = Field(
        description="The letters before the number: V for V1, V2, V3."
    )
    first: int = Field(ge=0, le=60, description="The first number of the run.")
    last: int = Field(ge=0, le=60, description="The last number of the run.")
    name: Text = Field(description="With {n} where the number goes.")
    look: Said = Field(description="What the scout sees at each of them.")
    at: dict[int, Said] = Field(default={}, description="What is special at one number; these are drawn.")


class StageSystem(Record):
    """An ordered list of stages, early to late."""

    system: Id = Field(description="Its id; the same as the file name.")
    name: Text = Field(description="The name of the scale.")
    codes_are_words: bool = Field(default=False, description="True where the codes are plain words of ours.")
    prefix: Text | None = Field(default=None, description="Said before a bare number: 'Feekes' for Feekes 4.")
    source: SourceIds = Field(description="Who publishes the scale.")
    rule: Said | None = Field(default=None, description="When a field counts as being at a stage.")
    count: tuple[Said, ...] = Field(default=(), description="How to count, step by step.")
    traps: tuple[Said, ...] = Field(default=(), description="Mistakes that are easily made when staging.")
    stages: tuple[Stage | StageSeries, ...] = Field(min_length=1, description="The stages in order, early to late.")

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
