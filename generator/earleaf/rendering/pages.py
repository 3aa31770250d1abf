"""Views to HTML bodies. Everything a template prints is escaped; a missing value is an error, never a blank."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from types import CodeType
from typing import Any

from jinja2 import BytecodeCache, Environment, FileSystemLoader, StrictUndefined
from jinja2.bccache import Bucket
from markupsafe import Markup, escape

from ..views.words import Words
from .pieces import GLOBALS


class Compiled(BytecodeCache):
    """Templates translated to Python, once for every language and every build of this run."""

    def __init__(self) -> None:
        self.known: dict[str, tuple[str, CodeType]] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        checksum, code = self.known.get(bucket.key, ("", None))
        if code is not None and checksum == bucket.checksum:
            bucket.code = code

    def dump_bytecode(self, bucket: Bucket) -> None:
        if bucket.code is not None:
            self.known[bucket.key] = (bucket.checksum, bucket.code)


COMPILED = Compiled()


class Pages:
    """The templates, with the words of one language.

    `home` is the way from the root of this edition to that of the whole site, where the data is: "" if they are one.
    """

    def __init__(self, words: Words, home: str = "") -> None:
        self.environment = Environment(
            loader=FileSystemLoader(Path(__file__).parent / "templates"),
            autoescape=True,
            bytecode_cache=COMPILED,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self.environment.globals.update(GLOBALS)
        self.environment.globals["say"] = _escaped(words)
        self.environment.globals["language"] = words.about.language
        self.environment.globals["home"] = self.home = home
        self.words = words

    def body(self, template: str, address: str, **view: Any) -> str:
        """One page body. Links in it are relative to the page's own address, so a site may stand in any folder."""
        return self.environment.get_template(template).render(root=up(address), **view)


def _escaped(words: Words) -> Callable[..., Markup]:
    """`say` for templates: looked up and escaped once for each sentence and its values."""

    @lru_cache(maxsize=20_000)
    def known(sentence: str, **values: str) -> Markup:
        return escape(words.say(sentence, **values))

    def say(sentence: str, **values: str) -> Markup:
        if words.lacks(sentence):
            words.missing.add(sentence)
        return known(sentence, **values)

    return say


def up(address: str) -> str:
    """The way from a page to the root of the site: '../../' for 'crops/corn/'; './' for the root itself."""
    return "../" * address.count("/") or "./"


def safe_svg(svg: str) -> Markup:
    """A drawing made by this program, whose texts are escaped already."""
    return Markup(svg)
