"""Every handout of a manual: its page, its drawings and its data, crop by crop, on every core."""

from __future__ import annotations

import multiprocessing
import os
import threading
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import lru_cache

from markupsafe import Markup

from ..database.load import Database
from ..drawing.plants import draw, resolve
from ..model.crop import Crop
from ..model.lab import Lab
from ..model.manual import Manual
from ..planning.localise import LocalProtocol, localise
from ..rendering.data import data_address, protocol_data, to_bytes
from ..rendering.pages import Pages, safe_svg
from ..views.common import Link
from ..views.handout import Handout, handout
from ..views.words import Words
from .page import Page

FEW = 20
"""Below this many crops a second process costs more than it saves."""


@dataclass(frozen=True)
class CropHandouts:
    """What one crop brings: pages, data files by name, and the sources they use."""

    pages: tuple[Page, ...]
    files: dict[str, bytes]
    used: frozenset[str]


def all_handouts(db: Database, manual: Manual, pages: Pages) -> Iterator[CropHandouts]:
    """The handouts of every crop, in the order of the database."""
    if len(db.crops) < FEW or not _may_fork():
        for crop in db.crops.values():
            yield crop_handouts(db, manual, pages, crop)
        return
    global _shared
    _shared = (db, manual, pages)
    try:
        with ProcessPoolExecutor(os.cpu_count(), multiprocessing.get_context("fork")) as pool:
            yield from pool.map(_work, db.crops, chunksize=4)
    finally:
        _shared = None


_shared: tuple[Database, Manual, Pages] | None = None


def _work(crop_id: str) -> CropHandouts:
    assert _shared is not None
    db, manual, pages = _shared
    return crop_handouts(db, manual, pages, db.crops[crop_id])


def _may_fork() -> bool:
    """Forking is safe only without other threads (not under the live preview), and where the system has it."""
    several = (os.cpu_count() or 1) > 1 and threading.active_count() == 1
    return several and "fork" in multiprocessing.get_all_start_methods()


def crop_handouts(db: Database, manual: Manual, pages: Pages, crop: Crop) -> CropHandouts:
    """Every protocol of a crop, for any lab and for each lab of the manual."""
    out: list[Page] = []
    files: dict[str, bytes] = {}
    used: set[str] = set()
    labs: list[Lab | None] = [None, *db.labs.values()]
    for protocol in crop.protocols:
        for lab in labs:
            local = localise(db, crop, protocol, lab)
            view = handout(db, pages.words, manual, local)
            used |= sources_of(view)
            files[data_address(local)] = to_bytes(protocol_data(db, pages.words, local))
            out.append(handout_page(db, pages, local, view))
    return CropHandouts(tuple(out), files, frozenset(used))


def handout_page(db: Database, pages: Pages, local: LocalProtocol, view: Handout) -> Page:
    """The page of one handout."""
    words, lab = pages.words, local.lab
    trail = [Link(words.say("Crops"), "crops/"), Link(view.crop, f"crops/{view.crop_id}/")]
    if lab is not None:
        trail = [
            Link(words.say("Labs"), "labs/"),
            Link(lab.name, f"labs/{lab.lab}/"),
            Link(view.crop, f"labs/{lab.lab}/#{view.crop_id}"),
        ]
    body = pages.body(
        "handout.html",
        view.address,
        h=view,
        trail=trail,
        here=words.say(local.protocol.title),
        pictures=pictures(words, local, view),
    )
    title = f"{view.title}: {_short(view)}" + (f" ({lab.name})" if lab else "")
    first = view.takes[0]
    text = " ".join(
        [
            view.crop,
            *local.crop.also_called,
            local.crop.latin,
            view.stage_code,
            local.protocol.use,
            *(t.what.text for t in view.takes),
            *(t.find for t in view.takes),
            *(s.text for s in view.see),
            *_other_names(db, local),
        ]
    )
    return Page(
        view.address,
        title,
        body,
        f"{first.what.text}. {first.walk.text}.",
        text if lab is None else None,
        (view.footer.source_file, view.footer.source_line),
    )


def _other_names(db: Database, local: LocalProtocol) -> list[str]:
    """What else people call the parts: 'petiole' for a leaf stalk."""
    return [name for s in local.specimens if s.part for name in db.parts[s.part].also_called]


def pictures(words: Words, local: LocalProtocol, view: Handout) -> list[Markup]:
    """The plant for each bag, or an empty text where no form shows it."""
    labels = (("target", words.say("take this")), ("young", words.say("too young")))
    out = []
    for n, (specimen, take) in enumerate(zip(local.specimens, view.takes, strict=True), 1):
        crop = local.crop
        spec = resolve(
            crop.crop,
            crop.stage_system,
            local.window.first,
            local.window.last,
            specimen.part,
            petiole=specimen.petiole,
            form=crop.form,
        )
        svg = spec and plant(
            spec.form,
            spec.stage,
            spec.target,
            f"{view.title}: {take.what.text}",
            f"{take.what.text}. {take.find}",
            f"plant{n}",
            labels,
        )
        out.append(safe_svg(svg or ""))
    return out


@lru_cache(maxsize=2_000)
def plant(
    form: str, stage: str, target: str, title: str, description: str, ident: str, labels: tuple[tuple[str, str], ...]
) -> str:
    """A drawing, made once however many labs want the same leaf."""
    return draw(form, stage, target, title=title, description=description, ident=ident, labels=dict(labels))


def _short(view: Handout) -> str:
    return view.takes[0].what.text[0].lower() + view.takes[0].what.text[1:]


def sources_of(view: Handout) -> set[str]:
    """Every source a handout shows."""
    lines = [
        view.hour,
        *view.when,
        *view.see,
        *view.notes,
        *view.result,
        *view.cautions,
        *view.handling_differs,
        *(line for s in (*view.steps, *view.later) for line in s.lines),
        *(x[2] for x in view.stages),
    ]
    out = (
        {s for line in lines for s in line.sources} | {e.id for e in view.sources} | {p.source for p in view.published}
    )
    out |= {s for f in view.faults for s in f.sources.split()} | {s for c in view.changed for s in c.sources.split()}
    return out
