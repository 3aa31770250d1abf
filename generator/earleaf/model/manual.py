"""One team's manual: what it is called and which crops and labs are in it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from .base import FolderAddress, Id, IsoDay, Record, Text
from .language import SOURCE_LANGUAGE, Tag, UnitSystem
from .region import Region

FileName = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9_-][A-Za-z0-9._-]*\.json$")]


class Manual(Record):
    """The settings of one manual."""

    title: Text = Field(description="What the manual is called.")
    team: Text = Field(description="Who it is for.")
    invented: bool = Field(default=False, description="True for a demonstration: shown on every page.")
    site_url: FolderAddress = Field(description="Where it will be published, ending in /.")
    edition: IsoDay = Field(description="Date printed on every page; change it when you publish.")
    languages: tuple[Tag, ...] = Field(
        default=(SOURCE_LANGUAGE,), min_length=1, description="One edition each, the first at the root: [en, es-MX]."
    )
    regional_words: dict[Tag, dict[Id, Id]] = Field(
        default={},
        description="By language, the word for a thing that regions name differently: {es-MX: {ear: elote}}.",
    )
    units: UnitSystem = Field(default="both", description="Which of '12 in (30 cm)' is shown: us, metric or both.")
    crops: tuple[Id, ...] = Field(default=(), description="Empty: every crop in the database.")
    labs: tuple[Id, ...] = Field(default=(), description="Labs in use: ids of files in the labs folder.")
    papers: tuple[Literal["letter", "a4"], ...] = Field(default=("letter", "a4"), description="Paper for card sheets.")
    regions: tuple[Region, ...] = Field(default=(), description="Weather and planting dates, for calendars.")
    protocols_folder: Text | None = Field(default=None, description="Your own database; the shipped one if left out.")
    labs_folder: Text = Field(default="labs", description="Where the lab files are, from this folder.")
    languages_folder: Text = Field(default="languages", description="Translations of your own texts; see docs/guides.")
    sources_file: Text | None = Field(default=None, description="Your own sources, from this folder.")
    chapters_folder: Text | None = Field(default=None, description="Your own chapters, from this folder.")
    feeds_file: FileName | None = Field(
        default=None, description="A file beside manual.yml, such as feeds.json: what the calendar feeds sent last."
    )
    edit_url: FolderAddress | None = Field(default=None, description="Where a page's YAML can be read, ending in /.")
    contact: Text | None = Field(default=None, description="Whom the team may ask; kept here, never published.")
