"""What a page says to programs, in the words of schema.org, as JSON-LD. It says nothing that the page does not say."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from ..model.manual import Manual
from ..planning.localise import LocalProtocol
from ..views.changes import dated
from ..views.handout import Handout
from ..views.lines import Line
from ..views.words import Words

LICENSE = "https://creativecommons.org/licenses/by/4.0/"
BAGS = {"paper": "paper bag", "plastic": "plastic bag"}
"""What a bag is called where the rule names one kind of bag. Nothing else on a handout is a list of things to bring."""


@dataclass(frozen=True)
class Download:
    """A file that holds the data: its whole address and its media type."""

    name: str
    address: str
    media_type: str


def script(value: dict[str, Any]) -> str:
    """As it stands in the head of a page. No text can end the element early."""
    text = json.dumps({"@context": "https://schema.org", **value}, ensure_ascii=False, separators=(",", ":"))
    return f'<script type="application/ld+json">{text.replace("<", chr(92) + "u003c")}</script>'


def how_to(manual: Manual, words: Words, local: LocalProtocol, view: Handout) -> dict[str, Any]:
    """A handout as a HowTo: what to bring in bags, what results, and the steps in the field."""
    bag = local.handling.get("bag")
    name = BAGS.get(bag.rule.value or "") if bag else None
    return {
        "@type": "HowTo",
        "name": f"{view.title} ({view.lab_name})" if view.lab_name else view.title,
        "url": f"{_root(manual)}{view.address}",
        "inLanguage": words.language,
        "version": view.footer.version,
        "dateModified": dated(local.protocol, local.lab).isoformat(),
        "license": LICENSE,
        **({"supply": {"@type": "HowToSupply", "name": words.say(name)}} if name else {}),
        "yield": " ".join(
            words.say("{part}: {count}.", part=take.what.text, count=take.published_count) for take in view.takes
        ),
        "step": [
            {
                "@type": "HowToSection",
                "name": section.title,
                "itemListElement": _texts(section.lines),
            }
            for section in view.steps
        ],
    }


def _texts(lines: Iterable[Line]) -> list[str]:
    """Each line once: a plain text is a step of its own, and short."""
    return list(dict.fromkeys(line.text for line in lines))


def dataset(
    manual: Manual, words: Words, address: str, name: str, about: str, edition: date, files: Sequence[Download]
) -> dict[str, Any]:
    """The published data as a Dataset; `address` is the page about it, from the root of its edition."""
    return {
        "@type": "Dataset",
        "name": name,
        "description": about,
        "url": f"{_root(manual)}{address}",
        "inLanguage": words.language,
        "version": "1",
        "dateModified": edition.isoformat(),
        "license": LICENSE,
        "isAccessibleForFree": True,
        "creator": {"@type": "Organization", "name": manual.team},
        "distribution": [
            {
                "@type": "DataDownload",
                "name": file.name,
                "encodingFormat": file.media_type,
                "contentUrl": file.address,
            }
            for file in files
        ],
    }


def _root(manual: Manual) -> str:
    return f"{str(manual.site_url).rstrip('/')}/"
