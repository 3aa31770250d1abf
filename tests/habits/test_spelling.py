"""What is written here is spelled as dictionaries have it: British English, and Spanish.

Outside authority: the Hunspell dictionaries for British English, Spain and Mexico, as Debian ships them. Words of the
trade, of programs and of names that these lack stand in words.txt and palabras.txt, small letters for any place.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from functools import cache
from pathlib import Path

import prose
import pytest

HERE = Path(__file__).parent
LANGUAGES = {
    "English": ("en_GB", HERE / "words.txt", prose.english),
    "Spanish": ("es_ES,es_MX", HERE / "palabras.txt", prose.spanish),
}


@cache
def unknown(words: tuple[str, ...], dictionaries: str) -> set[str]:
    """The words that none of the dictionaries has."""
    if shutil.which("hunspell") is None and not os.environ.get("CI"):
        pytest.skip("no hunspell here; CI has one")
    command = ["hunspell", "-i", "utf-8", "-d", dictionaries, "-l"]
    done = subprocess.run(command, input="\n".join(words), capture_output=True, text=True, check=True)
    return set(done.stdout.split())


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_word_is_in_a_dictionary_or_on_our_list(language: str) -> None:
    dictionaries, path, read = LANGUAGES[language]
    own = set(path.read_text("utf-8").split())
    found = read()
    assert len(found) > 2000
    bad = {word for word in unknown((*found,), dictionaries) if word not in own and word.lower() not in own}
    assert not bad, "\n".join(f"{found.get(word)}: {word}" for word in sorted(bad))


@pytest.mark.parametrize("language", LANGUAGES)
def test_our_own_list_is_tidy_and_each_word_is_needed(language: str) -> None:
    dictionaries, path, read = LANGUAGES[language]
    lines = path.read_text("utf-8").splitlines()
    assert lines == sorted(set(lines))
    missed = unknown((*read(),), dictionaries)
    needed = missed | {word.lower() for word in missed}
    assert set(lines) <= needed, sorted(set(lines) - needed)


def test_a_slip_would_be_found() -> None:
    slips = ["recieve", "seperate", "fertilizr", "center", "color"]
    assert unknown((*slips, "leaf", "colour", "fertiliser"), "en_GB") == set(slips)
    assert unknown(("hoja", "muestra", "muetsra"), "es_ES,es_MX") == {"muetsra"}


def test_what_is_read_is_prose_and_no_code() -> None:
    text = (
        "Take `the_leaf` at V5, see <b>here</b>, or https://a.example/x of ear-leaf and {place}: it’s dry. DNA, MkDocs."
    )
    assert [*prose.words(text)] == ["Take", "see", "here", "and", "it's", "dry"]
