"""The MkDocs shell: the same tree under MkDocs 1.6, with a theme that teams know.

Nothing here depends on the insides of a theme: pages are handed over with finished bodies, navigation holds index pages
only, and the search index is written from our own entries in the form that MkDocs documents.
"""

from __future__ import annotations

import json
import logging
import re
from datetime import date
from html import escape as html_escape
from pathlib import Path
from typing import Any

from markupsafe import Markup, escape
from mkdocs.commands import build as mkdocs_build
from mkdocs.config import base, load_config
from mkdocs.config.config_options import Type
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort, MkDocsException, PluginError
from mkdocs.plugins import BasePlugin, event_priority
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page as MkDocsPage
from mkdocs.structure.toc import get_toc

from ..database.languages import is_source, subtag
from ..database.manual import shipped_protocols
from ..model.feed_state import FeedState
from ..model.finding import Finding
from .build import grow, prepare
from .cache import Cache, usual_folder
from .cards import CannotBuild
from .editions import Edition, left_out, untranslated
from .feed_file import remembered
from .keeping import SEARCH, kept_files
from .page import Page
from .plain_shell import head_links
from .publish import MARK, MARKED, NotOurs, started, swap, write
from .tree import Tree

TITLE = re.compile(r'<h1 id="([^"]+)"')
HEADING = re.compile(r'<h2 id="([^"]+)"[^>]*>(.*?)</h2>', re.S)
LUNR = "assets/javascripts/lunr/"
"""Where the theme has what its search needs for languages other than English."""
SPLITTERS = {"ja": "tinyseg.js", "hi": "wordcut.js", "th": "wordcut.js"}
"""What cuts words in languages without spaces. The second file is under the LGPL and carries no notice."""
log = logging.getLogger("mkdocs.plugins.earleaf")


class Options(base.Config):  # type: ignore[no-untyped-call]
    """Options of the plugin in mkdocs.yml."""

    manual = Type(str, default="manual.yml")
    cards = Type(bool, default=True)


class ReadyPage(MkDocsPage):
    """A page whose body is finished; MkDocs only puts its theme round it."""

    def __init__(self, page: Page, file: File, config: MkDocsConfig, edit: str | None, above: str) -> None:
        super().__init__(escape(page.title), file, config)
        self.ready, self.above = page, above
        self.edit_url = edit

    def read_source(self, config: MkDocsConfig) -> None:
        """There is no Markdown to read."""
        self.markdown = ""
        title, description = escape(self.ready.title), escape(self.ready.description)
        self.meta = {"title": title, "description": description, "search": {"exclude": True}}

    def render(self, config: MkDocsConfig, files: Files) -> None:
        """Hand over the body and its headings: the first leads the theme's skip link, the others are its list."""
        self.content = self.above + self.ready.body
        inside: list[Any] = [
            {"level": 2, "id": ident, "name": Markup(re.sub(r"<[^>]+>", "", name)), "children": []}
            for ident, name in HEADING.findall(self.ready.body)
        ]
        first = TITLE.search(self.ready.body)
        name = escape(self.ready.title)
        title: Any = {"level": 1, "id": first.group(1), "name": name, "children": inside} if first else None
        self.toc = get_toc([title] if title else inside)
        self.present_anchor_ids = None

    def validate_anchor_links(self, *, files: Files, log_level: int) -> None:
        """Links of finished bodies are checked by the project's own tests."""


class EarleafPlugin(BasePlugin[Options]):  # type: ignore[no-untyped-call]
    """Puts the manual into an MkDocs build. Faults in the data end the build before the old site is touched."""

    tree: Tree
    feeds_path: Path | None = None
    feeds_before: FeedState
    is_ready = False
    """Whether the edition was handed over by the run of another one, which has read and checked everything."""
    keeps_feeds = False
    """Whether this run of MkDocs publishes straight into the site: a preview does not, and `build_mkdocs` swaps."""

    def on_startup(self, *, command: str, dirty: bool) -> None:
        self.keeps_feeds = command == "build"

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Read, check and render everything first, so that a fault leaves the old site alone."""
        if self.is_ready:
            return config
        manual = Path(config.config_file_path).parent / self.config.manual
        prepared = prepare(manual, date.today())
        for finding in prepared.findings:
            log.log(logging.ERROR if finding.level == "error" else logging.INFO, str(finding))
        if prepared.errors or prepared.manual is None:
            raise PluginError(f"{len(prepared.errors)} errors in the manual; the site was not touched")
        try:
            (self.edition, self.tree), *self.others = grow(
                prepared, Cache(usual_folder()) if self.config.cards else None
            )
        except CannotBuild as error:
            for finding in error.findings:
                log.error(str(finding))
            raise PluginError(f"{len(error.findings)} faults in what was built; the site was not touched") from error
        self._check_words(config)
        for edition, tree in (*self.others, (self.edition, self.tree)):
            for finding in left_out(edition, tree):
                log.info(str(finding))
        self.watched = [manual.parent, shipped_protocols()]
        self.feeds_path, self.feeds_before = prepared.feeds_path, prepared.feeds
        self._set_up(config)
        return config

    def _check_words(self, config: MkDocsConfig) -> None:
        """Ask every edition for the words of this shell now, while the old site is still there."""
        lacking = []
        for edition, tree in ((self.edition, self.tree), *self.others):
            self._nav(edition, tree)
            for text in own_texts(config) if edition.prefix else ():
                edition.words.say(text)
            lacking += untranslated(edition, edition.words.missing)
            if edition.prefix and not _has_words(config, edition.words.about.language):
                said = f"the theme has no words in {edition.name}"
                hint = "build with --plain, or leave the language out"
                lacking.append(Finding(f"languages/{subtag(edition.tag)}", 0, "not-translated", said, hint))
        for finding in lacking:
            log.error(str(finding))
        if lacking:
            raise PluginError(f"{len(lacking)} sentences are not translated; the site was not touched")

    def _set_up(self, config: MkDocsConfig) -> None:
        """Navigation, address and language of one edition."""
        manual = self.edition.manual
        self.tree.pages.pop("search/", None)
        config.theme.static_templates.discard("sitemap.xml")  # the whole site has one, with all its languages
        self.edit_url = str(manual.edit_url or "") or None
        config.nav = self._nav(self.edition, self.tree)
        config.site_name, config.site_url = escape(manual.title), str(manual.site_url)
        if self.edition.prefix:
            self._speak(config)

    def _nav(self, edition: Edition, tree: Tree) -> list[dict[str, Any]]:
        """The menu of one edition, index pages only. The theme prints words as they are: they are escaped here."""

        def say(text: str) -> str:
            return escape(edition.words.say(text))

        guides: list[dict[str, Any]] = [
            {escape(page.title): f"{page.address}index.md"}
            for page in tree.pages.values()
            if page.chapter and page.address
        ]
        names = edition.db.labs.values()
        labs: list[dict[str, Any]] = [{escape(lab.name): f"labs/{lab.lab}/index.md"} for lab in names]
        return [
            {escape(edition.manual.title): "index.md"},
            {say("Crops"): "crops/index.md"},
            *([{say("Cards"): "cards/index.md"}] if self.config.cards else []),
            *([{say("Calendars"): "calendars/index.md"}] if "calendars/" in tree.pages else []),
            {say("Growth stages"): "stages/index.md"},
            {say("Labs"): [{say("All labs"): "labs/index.md"}, *labs]},
            {say("Guide"): [{say("All chapters"): "guide/index.md"}, *guides]},
            {say("Sources"): "sources/index.md"},
            {say("What changed"): "changes/index.md"},
            {say("Data"): "data/index.md"},
        ]

    def _speak(self, config: MkDocsConfig) -> None:
        """The theme and its search in the language of an edition that is not the first."""
        language, say = self.edition.words.about, self.edition.words.say
        config.theme["language"] = language.language
        config.theme["direction"] = language.direction
        for toggle in _toggles(config):
            toggle["name"] = escape(say(toggle["name"]))
        if config.copyright:
            config.copyright = say(config.copyright)

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Replace MkDocs' reading of docs/ by our finished pages and files; chapters of other languages are not its.

        Nor is the theme's sitemap, which is a mere file to MkDocs once it is no template any more; nor word stems of
        languages that are not searched in.
        """
        folders = {subtag(tag) for tag in self.edition.manual.languages if not is_source(tag)}
        stems = _search_files(config, self.edition.words.about.language)
        above = self._demonstration()
        for known in [*files]:
            unused = known.src_uri.startswith(LUNR) and known.src_uri not in stems
            if known.src_uri.split("/")[0] in folders or known.src_uri == "sitemap.xml" or unused:
                files.remove(known)
        for page in self.tree.pages.values():
            src = f"{page.address}index.md"
            for old in (src, f"{page.address.rstrip('/')}.md"):
                known = files.get_file_from_path(old)
                if known is not None:
                    files.remove(known)
            file = File.generated(config, src, content="", inclusion=InclusionLevel.NOT_IN_NAV)
            files.append(file)
            ReadyPage(page, file, config, self._edit(page), above)
        for name, content in self.tree.files.items():
            files.append(File.generated(config, name, content=content))
        return files

    def _demonstration(self) -> str:
        """What stands above every page of a manual that is invented."""
        if not self.edition.manual.invented:
            return ""
        said = self.edition.words.say("Demonstration: all names are invented.")
        return str(Markup('<p class="el-demo">{}</p>').format(said))

    def _edit(self, page: Page) -> str | None:
        return f"{self.edit_url}{page.source[0]}" if self.edit_url and page.source[0] else None

    def on_pre_build(self, *, config: MkDocsConfig) -> None:
        """Before anything is written into the site, keep what its calendars will have said."""
        if self.keeps_feeds:
            with remembered(self.feeds_path, self.feeds_before, self.tree.feeds):
                pass

    @event_priority(-100)
    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """After the theme's search has written its index of nothing, write ours in its place, as the HTML it shows."""
        path = Path(config.site_dir) / "search/search_index.json"
        if path.exists():
            index = json.loads(path.read_text("utf-8"))
            docs = json.loads(self.tree.search_index())["docs"]
            index["docs"] = [{key: html_escape(text, quote=False) for key, text in doc.items()} for doc in docs]
            path.write_text(json.dumps(index, ensure_ascii=False, separators=(",", ":")), "utf-8")
        self._keep_lists(Path(config.site_dir))
        (Path(config.site_dir) / MARK).write_bytes(MARKED)
        for edition, tree in self.others:
            self._build_other(config, edition, tree)

    def _keep_lists(self, folder: Path) -> None:
        """What may be kept on a phone, from the pages as the theme has made them and with the theme's own files."""
        made = dict(self.tree.files)
        pages = (folder / f"{address}index.html" for address in self.tree.pages)
        for path in (*pages, folder / SEARCH, *(folder / "assets").rglob("*")):
            if path.is_file():
                made[path.relative_to(folder).as_posix()] = path.read_bytes()
        search = (f"{LUNR}min/lunr.{name}.min.js" for name in ("stemmer.support", self.edition.words.about.language))
        write(kept_files(made, self.edition, self.tree, search), folder)

    def _build_other(self, config: MkDocsConfig, edition: Edition, tree: Tree) -> None:
        """Another language, by a run of its own into a folder of the same site.

        MkDocs keeps one plugin for all its runs: what it holds of the first edition is put back after this one.
        """
        first = dict(vars(self))
        folder = str(Path(config.site_dir) / edition.prefix)
        other = load_config(config.config_file_path, site_dir=folder, strict=config.strict)
        plugin = other.plugins["earleaf"]
        assert isinstance(plugin, EarleafPlugin)
        plugin.edition, plugin.tree, plugin.others, plugin.is_ready = edition, tree, [], True
        plugin.config["cards"], plugin.watched, plugin.keeps_feeds = first["config"].cards, [], False
        plugin._set_up(other)  # now, for the theme's search asks for the language before it is our turn
        mkdocs_build.build(other)
        (Path(folder) / MARK).unlink()
        vars(self).update(first)

    def on_post_page(self, output: str, *, page: MkDocsPage, config: MkDocsConfig) -> str:
        """Put our own links into the head of a page."""
        if not isinstance(page, ReadyPage):
            return output
        links = head_links(page.ready, f"{str(self.edition.manual.site_url).rstrip('/')}/")
        return output.replace("</head>", f"{links}</head>", 1)

    def on_serve(self, server: Any, *, config: MkDocsConfig, builder: Any) -> Any:
        """Reload when the manual, its labs or the database change."""
        for folder in self.watched:
            server.watch(str(folder))
        return server


def _search_files(config: MkDocsConfig, language: str) -> set[str]:
    """What the search needs for the language of this edition and those of mkdocs.yml; the theme brings 32 languages."""
    search = config.plugins.get("material/search") or config.plugins.get("search")
    tongues = {language, *((search.config.get("lang") if search else None) or ())}
    stems = {f"{LUNR}min/lunr.{name}.min.js" for name in ("stemmer.support", "multi", *tongues)}
    return stems | {f"{LUNR}{SPLITTERS[tongue]}" for tongue in tongues & SPLITTERS.keys()}


def _has_words(config: MkDocsConfig, language: str) -> bool:
    """Whether the theme speaks a language; a theme without such files speaks them all."""
    folders = [Path(folder) / "partials/languages" for folder in config.theme.dirs]
    there = [folder for folder in folders if folder.is_dir()]
    return not there or any((folder / f"{language}.html").exists() for folder in there)


def _toggles(config: MkDocsConfig) -> list[dict[str, Any]]:
    """The switches between light and dark that mkdocs.yml gives a name."""
    palette = config.theme.get("palette") or []
    schemes = palette if isinstance(palette, list) else [palette]
    return [scheme["toggle"] for scheme in schemes if scheme.get("toggle", {}).get("name")]


def own_texts(config: MkDocsConfig) -> list[str]:
    """The sentences of mkdocs.yml that readers see."""
    return [*(toggle["name"] for toggle in _toggles(config)), *filter(None, [config.copyright])]


def texts_beside(manual: Path) -> list[str]:
    """The same for the mkdocs.yml of a manual; none where there is no such file, or none that can be read."""
    try:
        return own_texts(load_config(str(_config_file(manual))))
    except (NotOurs, MkDocsException):
        return []


def _config_file(manual: Path) -> Path:
    """mkdocs.yml beside the manual, or one folder up."""
    for folder in (manual.resolve().parent, manual.resolve().parent.parent):
        if (folder / "mkdocs.yml").exists():
            return folder / "mkdocs.yml"
    raise NotOurs(f"no mkdocs.yml beside {manual} or above it; use --plain, or `earleaf new manual` for one")


def build_mkdocs(manual: Path, out: Path, *, cards: bool = True) -> int:
    """Build beside `out` and swap in when complete; the number of pages. Raises OSError or NotOurs."""
    with started(out) as new:
        try:
            plugin = _build_into(new, manual, cards)
        except Abort as error:
            raise NotOurs(str(error)) from error
        pages = sum(1 for _ in new.rglob("index.html"))
        with remembered(plugin.feeds_path, plugin.feeds_before, plugin.tree.feeds):
            swap(new, out)
    return pages


def _build_into(folder: Path, manual: Path, cards: bool) -> EarleafPlugin:
    """One run of MkDocs, which publishes nothing yet."""
    config = load_config(str(_config_file(manual)), site_dir=str(folder), strict=True)
    plugin = config.plugins["earleaf"]
    assert isinstance(plugin, EarleafPlugin)
    if not cards:
        plugin.config["cards"] = False
    config.plugins.on_startup(command="build", dirty=False)
    plugin.keeps_feeds = False
    try:
        mkdocs_build.build(config)
    finally:
        config.plugins.on_shutdown()
    return plugin
