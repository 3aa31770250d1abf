"""One team's manual: what it is called and which crops and labs are in it."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field, HttpUrl, StringConstraints

from .base import Id, Record, Text
from .region import Region

Language = Annotated[str, StringConstraints(pattern=r"^[a-z]{2}(-[A-Z]{2})?$")]


class Manual(Record):
    """The settings of one manual."""

    title: Text
    team: Text
    invented: bool = Field(default=False, description="True for a demonstration: shown on every page.")
    site_url: HttpUrl
    edition: date = Field(description="Date printed on every page; change it when you publish.")
    languages: tuple[Language, ...] = ("en",)
    crops: tuple[Id, ...] = Field(default=(), description="Empty: every crop in the database.")
    labs: tuple[Id, ...] = ()
    papers: tuple[Literal["letter", "a4"], ...] = Field(default=("letter", "a4"), description="Paper for card sheets.")
    regions: tuple[Region, ...] = Field(default=(), description="Weather and planting dates, for calendars.")
    protocols_folder: Text | None = Field(default=None, description="Your own database; the shipped one if left out.")
    labs_folder: Text = "labs"
    sources_file: Text | None = None
    chapters_folder: Text | None = None
    edit_url: HttpUrl | None = Field(default=None, description="Where a page's YAML can be read, ending in /.")
    contact: Text | None = None
