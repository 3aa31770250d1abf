"""Which drawing goes with which bag: the same plant on the page, on the card and in the gallery."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from markupsafe import Markup

from ..database.load import Database
from ..drawing.plants import PlantSpec, describe, draw, resolve, ruler_labels, wrong
from ..model.finding import Finding
from ..model.vocabulary import Part
from ..planning.localise import LocalProtocol, LocalSpecimen, localise
from ..rendering.pages import safe_svg
from ..rendering.paper.typeset import Picture
from ..views.common import Link, protocol_address, protocol_title
from ..views.handout import Handout
from ..views.words import Words, capital

WRONG_NAMES = {"young": "Too young", "old": "Too old"}


@dataclass(frozen=True)
class Beside:
    """One of the pictures that stand side by side: the right leaf, or one that is taken by mistake."""

    name: str
    text: str
    file: str
    alt: str
    right: bool


@dataclass(frozen=True)
class Figure:
    """The drawing of a bag, and the right leaf beside the wrong ones. Both empty where no source names the part."""

    svg: Markup
    beside: tuple[Beside, ...] = ()


@dataclass(frozen=True)
class GalleryEntry:
    """One drawing and who uses it."""

    title: str
    sources: str
    beside: tuple[Beside, ...]
    used_by: tuple[Link, ...]


def spec_of(db: Database, local: LocalProtocol, specimen: LocalSpecimen) -> PlantSpec | None:
    """The drawing of one bag, or None where no source names the part."""
    crop, part = local.crop, db.parts.get(specimen.part or "")
    return resolve(
        crop.crop,
        crop.stage_system,
        local.window.first,
        local.window.last,
        (part.drawn_as or part.id) if part else None,
        petiole=specimen.petiole,
        form=crop.form,
    )


def figures(db: Database, words: Words, local: LocalProtocol, view: Handout) -> list[Figure]:
    """The drawings of a handout, one for each bag."""
    out = []
    for n, (specimen, take) in enumerate(zip(local.specimens, view.takes, strict=True), 1):
        spec = spec_of(db, local, specimen)
        if spec is None:
            out.append(Figure(Markup()))
            continue
        labels = {"target": words.say("take this"), "young": words.say("too young"), **ruler_labels(spec, words.say)}
        title = f"{view.title}: {take.what.text}"
        svg = _plant(spec, title, describe(spec, words.say), f"plant{n}", tuple(labels.items()))
        out.append(
            Figure(safe_svg(svg), _beside(words, spec, db.parts[take.part], explained=True) if wrong(spec) else ())
        )
    return out


def _beside(words: Words, spec: PlantSpec, part: Part, *, explained: bool) -> tuple[Beside, ...]:
    """Right, too young, too old. A place that is merely counted wrong is "not this one"."""
    texts = {"young": part.too_young, "old": part.too_old}
    shown = {key: words.say(text) for key, text in texts.items() if text and explained}
    caption = f"{capital(words.say(part.name))}." if explained else ""
    right = Beside(words.say("Right"), caption, drawing_file(spec), describe(spec, words.say), True)
    mistakes = [
        Beside(
            words.say(WRONG_NAMES[key] if texts.get(key) else "Not this one"),
            shown.get(key, ""),
            drawing_file(one),
            describe(one, words.say),
            False,
        )
        for key, one in wrong(spec).items()
    ]
    return (right, *mistakes)


def drawing_file(spec: PlantSpec) -> str:
    """The address of a drawing on its own: drawings/corn-head-ear-leaf-young.svg."""
    return f"drawings/{'-'.join(filter(None, (spec.form, spec.stage, spec.target, spec.wrong)))}.svg"


def card_picture(db: Database, words: Words, local: LocalProtocol) -> Picture | None:
    """The plant of a card: no labels, for the part's name stands beside it in large letters."""
    spec = spec_of(db, local, local.specimens[0])
    if spec is None:
        return None
    labels = ruler_labels(spec, words.say)
    svg = draw(spec.form, spec.stage, spec.target, title="", description="", ident="p", labels=labels, small=True)
    return Picture(svg, describe(spec, words.say))


def undrawn(db: Database) -> Iterator[Finding]:
    """Protocols that name a part which no drawing shows: the scout would have to guess."""
    for crop in db.crops.values():
        for i, protocol in enumerate(crop.protocols):
            labs = [
                (lab, j)
                for lab in db.labs.values()
                for j, entry in enumerate(lab.protocols)
                if (entry.crop, entry.protocol) == (crop.crop, protocol.protocol) and (entry.part or entry.window)
            ]
            yield from _undrawn(db, localise(db, crop, protocol), db.places.at("crop", crop.crop, "protocols", i))
            for lab, j in labs:
                yield from _undrawn(db, localise(db, crop, protocol, lab), db.places.at("lab", lab.lab, "protocols", j))


def _undrawn(db: Database, local: LocalProtocol, place: tuple[str, int]) -> Iterator[Finding]:
    for specimen in local.specimens:
        if specimen.part in db.parts and spec_of(db, local, specimen) is None:
            yield Finding(
                *place,
                "no-drawing",
                f"no drawing shows {specimen.part!r} on {local.crop.crop} at {local.protocol.protocol}",
                "name a part that can be drawn there, or give this part `drawn_as:` a part that sits in the same place",
            )


def drawing_files(db: Database, words: Words, locals_: Iterable[LocalProtocol]) -> dict[str, bytes]:
    """The drawings of some protocols as files, each with the wrong leaves beside it."""
    specs = dict.fromkeys(spec for local in locals_ for s in local.specimens if (spec := spec_of(db, local, s)))
    return {drawing_file(one): _alone(words, one).encode() for spec in specs for one in (spec, *wrong(spec).values())}


def gallery(db: Database, words: Words) -> tuple[GalleryEntry, ...]:
    """Every drawing of the manual, each once, with its wrong leaves and who uses it."""
    used: dict[PlantSpec, dict[Link, None]] = {}
    first: dict[PlantSpec, tuple[str, Part, str]] = {}
    for crop in db.crops.values():
        for protocol in crop.protocols:
            for lab in (None, *db.labs.values()):
                local = localise(db, crop, protocol, lab)
                for n, specimen in enumerate(local.specimens):
                    spec = spec_of(db, local, specimen)
                    if spec is None or (lab is not None and specimen.part == protocol.take[n].part):
                        continue
                    name = protocol_title(words, crop, protocol) + (f" ({lab.name})" if lab else "")
                    link = Link(name, protocol_address(crop, protocol, lab.lab if lab else None))
                    used.setdefault(spec, {})[link] = None
                    sources = "" if lab else " ".join(specimen.origin["part"].sources)
                    first.setdefault(spec, (words.say(crop.name), db.parts[specimen.part or ""], sources))
    return tuple(
        GalleryEntry(
            words.say("{crop}: {part}", crop=first[spec][0], part=words.say(first[spec][1].name)),
            first[spec][2],
            _beside(words, spec, first[spec][1], explained=False),
            tuple(links),
        )
        for spec, links in used.items()
    )


def _alone(words: Words, spec: PlantSpec) -> str:
    """A drawing as a file of its own, without labels but those of a ruler."""
    return _small(spec, describe(spec, words.say), tuple(ruler_labels(spec, words.say).items()))


@lru_cache(maxsize=2_000)
def _small(spec: PlantSpec, description: str, labels: tuple[tuple[str, str], ...]) -> str:
    """The same, made once however many labs want it."""
    return draw(
        spec.form,
        spec.stage,
        spec.target,
        title="",
        description=description,
        ident="p",
        labels=dict(labels),
        wrong=spec.wrong,
        small=True,
    )


@lru_cache(maxsize=2_000)
def _plant(spec: PlantSpec, title: str, description: str, ident: str, labels: tuple[tuple[str, str], ...]) -> str:
    """A drawing, made once however many labs want the same leaf."""
    return draw(
        spec.form, spec.stage, spec.target, title=title, description=description, ident=ident, labels=dict(labels)
    )
