"""Text to sentences, and sentences to words, by one stated rule for all languages.

What is scored is what is read as prose. What is looked at rather than read counts as one word of one syllable, so that
figures make a page neither easy nor hard: a number with its unit, a span of numbers, a date, a stage code (V6, GS 30,
VT–R1), and a name that was given as such (a Latin name, a lab). A figure in brackets that says the same in another unit
counts too. Citations, addresses of links and marks of emphasis do not count at all.

A sentence ends at a full stop, question mark or exclamation mark. A heading, an item of a list and a cell of a table
are a sentence each, with or without a full stop. A short label of up to three words before a colon ("Low: ...") is a
sentence of its own, as a heading is. A semicolon does not end a sentence.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

THING = "¤"
"""What stands for a figure, a code or a name: one word, one syllable."""

MONTHS = (
    "January|February|March|April|May|June|July|August|September|October|November|December|"
    "enero|febrero|marzo|abril|mayo|junio|julio|agosto|septiembre|octubre|noviembre|diciembre"
)
INCH = r"in(?! (?:the|a|an|all|any|each|one|your|this|that|it|its|mid)\b)"
"""`in` after a number is the unit, but not in "10 in the bag"."""
UNITS = rf"°\s?[CF]|%|mm|cm|km|m|{INCH}|pulg|ft|yd|mi|oz|lb|kg|g|mg|L|ml|ha|ac|ppm|h|min|s|d"
NUMBER = r"\d+(?:[.,:/]\d+)*"
CITATION = re.compile(r"\s*\[@[^\]]*\]")
LINK = re.compile(r"!?\[([^\]]*)\]\([^)]*\)")
DATE = re.compile(rf"\b\d{{1,2}}(?: de)? (?:{MONTHS})(?:(?: de)? \d{{4}})?\b")
FIGURE = re.compile(rf"{NUMBER}(?:\s?[–-]\s?{NUMBER})?(?:[ -](?:{UNITS})(?![\w'’]))?")
CODE = re.compile(r"\b(?:[A-Z]{1,4}\d+(?:\.\d+)?|[A-Z]{2,4}(?:\s\d+(?:\.\d+)?)?)(?:[–-][A-Z]{0,4}\d*)?(?![\w¤])")
END = re.compile(r"(?<=[.!?])[\"'”»)]*\s+(?=[\"'“«(¿¡]*[A-ZÁÉÍÓÚÑ¤0-9])")
LABEL = re.compile(r"^((?:[^\s:]+ ){0,2}[^\s:]+):\s+(?=\S)")
WORD = re.compile(rf"{THING}|[^\W\d_]+(?:['’-][^\W\d_]+)*")


def unmarked(text: str) -> str:
    """The text without citations, addresses of links and marks of emphasis."""
    return LINK.sub(r"\1", CITATION.sub("", text)).replace("**", "").replace("`", "")


def plain(text: str, names: Iterable[str] = ()) -> str:
    """The text with figures, dates, codes and the given names each as one `THING`, without marks of Markdown."""
    text = unmarked(text)
    for name in sorted((n for n in names if n in text), key=len, reverse=True):
        text = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", THING, text)
    return FIGURE.sub(THING, CODE.sub(THING, DATE.sub(THING, text)))


def sentences(text: str) -> list[str]:
    """The sentences of one heading, item, cell or paragraph, as they stand, in order."""
    out: list[str] = []
    for piece in END.split(" ".join(text.split())):
        label = LABEL.match(piece)
        out += [label[1], piece[label.end() :]] if label else [piece]
    return [piece for piece in out if re.search(r"\w", piece)]


def words(sentence: str, names: Iterable[str] = ()) -> list[str]:
    """The words of a sentence as they are counted: `THING` for what is not read."""
    return WORD.findall(plain(sentence, names))
