"""The whole site as one tree in memory: pages with finished bodies, and files. Shells only publish it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from importlib import resources

from markupsafe import Markup

from ..database.load import Database
from ..drawing.plants import draw, resolve
from ..drawing.stage_strip import stage_strip
from ..model.lab import Lab
from ..model.manual import Manual
from ..planning.compare import compare_rows
from ..planning.localise import LocalProtocol, localise
from ..rendering.data import data_address, index_data, protocol_data, published_row, to_bytes
from ..rendering.pages import Pages, safe_svg, up
from ..rendering.schema import schemas
from ..views.common import Link, protocol_address, protocol_title
from ..views.handout import Handout, handout
from ..views.pages import crop_list, crop_page, lab_page, source_list, stage_guide
from ..views.words import Words
from .chapters import Chapter, expand, plain_text, to_html


@dataclass(frozen=True)
class Page:
    """One page: its address from the root, its finished body, and what the search knows of it."""

    address: str
    title: str
    body: str
    description: str
    search: str | None = None
    source: tuple[str, int] = ("", 0)
    chapter: Chapter | None = None


@dataclass
class Tree:
    """Every output. `menu` is the navigation, index pages only."""

    pages: dict[str, Page] = field(default_factory=dict)
    files: dict[str, bytes] = field(default_factory=dict)
    menu: list[Link] = field(default_factory=list)

    def add(self, page: Page) -> None:
        if page.address in self.pages:
            raise ValueError(f"two pages at {page.address!r}")
        self.pages[page.address] = page

    def search_index(self) -> bytes:
        """Titles and words of the pages a reader looks for; lab variants are reached from the base page."""
        docs = [
            {"location": p.address, "title": p.title, "text": p.search}
            for p in self.pages.values()
            if p.search is not None
        ]
        return to_bytes(
            {
                "config": {
                    "lang": ["en"],
                    "separator": r"[\s\-,]+",
                    "pipeline": ["stopWordFilter"],
                    "fields": {"title": {"boost": 1000.0}, "text": {"boost": 1.0}},
                },
                "docs": docs,
            }
        )


def build_tree(db: Database, manual: Manual, chapters: list[Chapter], words: Words) -> Tree:
    """All pages and files of one manual in one language."""
    pages, tree = Pages(words), Tree()
    used: set[str] = set()
    _chapters(db, pages, tree, chapters, used)
    for page in _handouts(db, manual, pages, tree, used):
        tree.add(page)
    for page in _indexes(db, manual, pages, used):
        tree.add(page)
    tree.add(_guide(pages, chapters))
    _redirects(db, manual, pages, tree)
    _data(db, words, tree)
    for name, content in assets().items():
        tree.files[f"assets/{name}"] = content
    tree.menu = _menu(words)
    return tree


def _guide(pages: Pages, chapters: list[Chapter]) -> Page:
    """The list of hand-written chapters."""
    title = pages.words.say("Guide: how to sample, from plan to parcel")
    links = [Link(c.title, c.address) for c in chapters if c.address]
    return Page("guide/", title, pages.body("guide.html", "guide/", here=title, links=links), title, title)


def _menu(words: Words) -> list[Link]:
    return [
        Link(words.say("Crops"), "crops/"),
        Link(words.say("Stages"), "stages/"),
        Link(words.say("Labs"), "labs/"),
        Link(words.say("Guide"), "guide/"),
        Link(words.say("Sources"), "sources/"),
    ]


def _chapters(db: Database, pages: Pages, tree: Tree, chapters: list[Chapter], used: set[str]) -> None:
    for chapter in chapters:
        text, cited = expand(db, pages, chapter)
        used.update(cited)
        body = to_html(text, chapter.address)
        tree.add(
            Page(
                chapter.address,
                chapter.title,
                body,
                _first_words(plain_text(body)),
                plain_text(body)[:3000],
                (chapter.file, 1),
                chapter,
            )
        )


def _first_words(text: str, length: int = 150) -> str:
    return text if len(text) <= length else text[:length].rsplit(" ", 1)[0] + " …"


def _handouts(db: Database, manual: Manual, pages: Pages, tree: Tree, used: set[str]) -> Iterator[Page]:
    labs: list[Lab | None] = [None, *db.labs.values()]
    for crop in db.crops.values():
        for protocol in crop.protocols:
            for lab in labs:
                local = localise(db, crop, protocol, lab)
                view = handout(db, pages.words, manual, local)
                used.update(sources_of(view))
                tree.files[data_address(local)] = to_bytes(protocol_data(db, pages.words, local))
                yield handout_page(db, pages, local, view)


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


def _indexes(db: Database, manual: Manual, pages: Pages, used: set[str]) -> Iterator[Page]:
    words = pages.words
    crops_link = Link(words.say("Crops"), "crops/")
    for crop in db.crops.values():
        view = crop_page(db, words, manual, crop)
        used |= {e.id for e in view.sources} | {p.source for p in view.published}
        picture = safe_svg(
            stage_strip(
                view.strip.form,
                view.strip.ticks,
                [(b.first, b.last, b.label, b.part) for b in view.strip.bars],
                view.strip.description,
                words.say("Sampling windows of {crop}", crop=view.name),
                "strip",
            )
        )
        body = pages.body("crop.html", view.address, c=view, strip=picture, trail=[crops_link], here=view.name)
        text = " ".join(
            [
                view.name,
                view.also_called,
                view.latin,
                *(c.handout.text for c in view.choices),
                *(c.part.text for c in view.choices),
            ]
        )
        yield Page(
            view.address,
            words.say("{crop}: which leaf, and when", crop=view.name),
            body,
            words.say("Sampling windows and handouts of {crop}.", crop=view.name),
            text,
            (view.footer.source_file, view.footer.source_line),
        )
    guides = [
        stage_guide(db, words, manual, s) for s in db.systems if any(c.stage_system == s for c in db.crops.values())
    ]
    for guide in guides:
        used |= {e.id for e in guide.sources}
        body = pages.body(
            "stages.html", guide.address, g=guide, here=guide.name, trail=[Link(words.say("Growth stages"), "stages/")]
        )
        yield Page(
            guide.address,
            words.say("Telling the stage: {system}", system=guide.name),
            body,
            words.say("How to tell the growth stages: {system}.", system=guide.name),
            " ".join([guide.name, *(c.text for c in guide.crops), *(f"{c} {n}" for c, n, _ in guide.stages)]),
            (guide.footer.source_file, 1),
        )
    yield from _lists(db, manual, pages, used, guides)


def _lists(db: Database, manual: Manual, pages: Pages, used: set[str], guides: list) -> Iterator[Page]:  # type: ignore[type-arg]
    words = pages.words

    def page(address: str, title: str, template: str, **view: object) -> Page:
        body = pages.body(template, address, here=title, **view)
        return Page(address, title, body, title, title)

    yield page("crops/", words.say("Crops, A to Z"), "crop_list.html", x=crop_list(db, words))
    yield page("stages/", words.say("Telling growth stages"), "stage_list.html", guides=guides)
    labs = [lab_page(db, words, manual, lab) for lab in db.labs.values()]
    yield page("labs/", words.say("Labs"), "lab_list.html", labs=labs)
    for view in labs:
        used.update(s for f in view.facts for s in f.sources.split())
        used.update(s for c in view.everywhere for s in c.sources.split())
        body = pages.body("lab.html", view.address, l=view, here=view.name, trail=[Link(words.say("Labs"), "labs/")])
        yield Page(
            view.address,
            words.say("{lab}: what changes for this lab", lab=view.name),
            body,
            words.say("What {lab} wants otherwise.", lab=view.name),
            view.name,
            (view.footer.source_file, view.footer.source_line),
        )
    yield page("sources/", words.say("Sources of this manual"), "sources.html", x=source_list(db, words, used))
    yield page("search/", words.say("Search"), "search.html")


def _redirects(db: Database, manual: Manual, pages: Pages, tree: Tree) -> None:
    """Short permanent addresses, and pages under the ids that things had before."""
    for crop in db.crops.values():
        for protocol in crop.protocols:
            target = protocol_address(crop, protocol)
            title = protocol_title(pages.words, crop, protocol)
            names = [
                f"crops/{c}/{p}/" for c in (crop.crop, *crop.aliases) for p in (protocol.protocol, *protocol.aliases)
            ]
            for address in [f"c/{protocol.short_id}/", *(n for n in names if n != target)]:
                tree.files[f"{address}index.html"] = (
                    pages.environment.get_template("redirect.html")
                    .render(
                        language=pages.words.language,
                        title=title,
                        target=up(address) + target,
                        canonical=f"{str(manual.site_url).rstrip('/')}/{target}",
                    )
                    .encode()
                )


def _data(db: Database, words: Words, tree: Tree) -> None:
    tree.files["data/v1/index.json"] = to_bytes(index_data(db, words))
    rows: dict[str, object] = {}
    for crop in db.crops.values():
        for protocol in crop.protocols:
            for compared in compare_rows(db, localise(db, crop, protocol)):
                rows.setdefault(compared.row.row, published_row(compared))
        for name in crop.also_rows:
            if name in db.sampling:
                rows.setdefault(name, {**db.sampling[name].model_dump(), "stages": db.sampling[name].stage_text})
    for name, row in db.sampling.items():
        if row.crop == "any-crop":
            rows.setdefault(name, {**row.model_dump(), "stages": row.stage_text})
    tree.files["data/v1/evidence.json"] = to_bytes([rows[name] for name in sorted(rows)])
    for name, schema in schemas().items():
        tree.files[f"data/v1/schema/{name}.json"] = to_bytes(schema)


@lru_cache
def assets() -> dict[str, bytes]:
    """Style sheets, fonts and the search script that come with the program."""
    root = resources.files("earleaf.site") / "assets"
    out: dict[str, bytes] = {}
    for entry in root.iterdir():
        if entry.is_file():
            out[entry.name] = entry.read_bytes()
        else:
            for inner in entry.iterdir():
                out[f"{entry.name}/{inner.name}"] = inner.read_bytes()
    return out
