"""What one edition lacks, and the way to the edition that has it: the one in the language of the database."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..database.load import Database
from ..model.crop import Crop
from ..model.language import SOURCE_LANGUAGE
from ..model.manual import Manual
from ..rendering.pages import up
from ..views.common import Link, crop_address
from ..views.words import alphabetical
from .chapters import Chapter


@dataclass(frozen=True)
class Source:
    """The edition in the language of the database. `way` leads to its root from the root of another edition."""

    way: str
    chapters: tuple[Chapter, ...]


@dataclass(frozen=True)
class Elsewhere:
    """Crops of the manual and chapters that are not in this edition, named in the source language."""

    way: str = ""
    missing: tuple[Crop, ...] = ()
    chapters: tuple[Link, ...] = ()

    @property
    def crops(self) -> tuple[Link, ...]:
        """The crops by name, each with the way to its page from the root of this edition."""
        links = (Link(crop.name, f"{self.way}{crop_address(crop)}") for crop in self.missing)
        return tuple(sorted(links, key=lambda link: alphabetical(link.text)))

    def rerouted(self, body: str, address: str) -> str:
        """A chapter whose links to those crops lead to the edition that has them."""
        if not self.missing:
            return body
        crops, root = "|".join(re.escape(crop.crop) for crop in self.missing), up(address)
        link = rf'href="{re.escape(root)}((?:crops|calendars|labs/[a-z0-9-]+)/(?:{crops})/)'
        return re.sub(link, rf'hreflang="{SOURCE_LANGUAGE}" href="{root}{self.way}\1', body)


def elsewhere(db: Database, manual: Manual, chapters: Sequence[Chapter], source: Source | None) -> Elsewhere:
    """What the source edition has and this one has not; nothing where there is no other edition."""
    if source is None:
        return Elsewhere()
    ours = {chapter.name for chapter in chapters}
    return Elsewhere(
        source.way,
        tuple(crop for crop in db.left_out.values() if not manual.crops or crop.crop in manual.crops),
        tuple(Link(c.title, f"{source.way}{c.address}") for c in source.chapters if c.name not in ours),
    )


def everybodys(incomplete: Mapping[str, frozenset[str]], crops: int) -> set[str]:
    """Missing sentences that most crops need, or all of them where no crop is complete: no edition without these."""
    lacking = Counter(sentence for sentences in incomplete.values() for sentence in sentences)
    return {sentence for sentence, n in lacking.items() if 2 * n > crops or len(incomplete) == crops}
