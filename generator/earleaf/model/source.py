"""Who says so: publications, and the two honest non-publications."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from .base import Id, Record, Text, WebAddress

COMMON_PRACTICE = "common-practice"
FROM_MEMORY = "from-memory"
NOT_PUBLICATIONS = frozenset({COMMON_PRACTICE, FROM_MEMORY})


class Source(Record):
    """One source, cited once. `read` says how much of it we have read, and how."""

    id: Id = Field(description="Its id; never changed.")
    authors: Text = Field(description="Who wrote it.")
    year: int | None = Field(
        default=None, ge=1850, le=2100, description="When it was printed; left out where it is not known."
    )
    title: Text = Field(description="Its title.")
    publisher: Text = Field(description="Who printed it.")
    number: Text | None = Field(default=None, description="Series, volume and pages, or DOI.")
    url: WebAddress | None = Field(default=None, description="Address of the publication itself, never of a copy.")
    kind: Literal[
        "extension",
        "university",
        "government",
        "journal",
        "handbook",
        "proceedings",
        "standard",
        "press-report",
        "practice",
        "memory",
        "invented",
    ] = Field(description="What kind of text it is.")
    read: Literal["original", "copy", "abstract", "part", "reported", "not-a-publication"] = Field(
        description="How much of it was read, and how."
    )
    family: Id = Field(description="Institution or common root: sources of one family count once.")
    note: Text | None = Field(default=None, description="What a reader of the source should know.")
    invented: bool = Field(default=False, description="True for a demonstration.")


class SourceFile(Record):
    sources: tuple[Source, ...] = Field(description="The sources.")
