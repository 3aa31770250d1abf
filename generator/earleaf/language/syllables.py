"""Syllables of one word: Spanish by its rules of spelling, English by rules and a short list of exceptions.

Spanish spelling tells the syllables, so the Spanish count is exact for words written right. English spelling does not;
the English count is right for nearly all plain words (`tests/unit/test_syllables.py` says for how many).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache

EXCEPTIONS: Mapping[str, int] = {
    "area": 3, "being": 2, "business": 2, "create": 2, "diet": 2, "element": 3, "everyone": 3, "everything": 3,
    "everywhere": 3, "evening": 2, "fluid": 2, "forecast": 2, "frontier": 2, "gateway": 2, "going": 2, "homemade": 2,
    "idea": 3, "india": 3, "liquid": 2, "livestock": 2, "lonesome": 2, "maybe": 2, "ohio": 3, "people": 2, "petiole": 3,
    "piedmont": 2, "quiet": 2, "radio": 3, "ratio": 3, "recipe": 3, "riot": 2, "ruin": 2, "safety": 2, "science": 2,
    "someone": 2, "something": 2, "sometimes": 2, "somewhere": 2, "elsewhere": 2, "soldier": 2, "studio": 3,
    "therefore": 2, "vegetable": 3, "via": 2, "wednesday": 2, "whereas": 2, "whoever": 3, "does": 1, "goes": 1,
    "shoe": 1, "canoe": 2, "two": 1, "lion": 2, "pistachio": 4, "california": 4, "australia": 3, "ontario": 4,
}  # fmt: skip
"""Words whose spelling misleads the rules, by their simplest form."""

LETTERS = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*")
VOWELS = re.compile(r"[aeiouy]+")
PARTED = re.compile(
    r"(?<![tcsgxln])io|(?<![tcsgx])(?!(?<=l)ian)ia|ium|(?<![tc])ient|[aeiou].*[^aeiou]ier$|eo(?!us)|[^qg]uou|[^qg]ua"
    r"|[^aeiou]iet|[aeouy]ing|[^aeiouq]uo"
)
"""Two vowels that stand together and are spoken apart."""
ENDINGS = ("less", "ness", "ment", "ful", "ly")


STRONG, WEAK, STRESSED = "aeoáéó", "iuü", "íú"


def english(word: str) -> int:
    """Syllables of an English word, at least one."""
    return max(1, _english(word.lower().replace("’", "'")))


@cache
def _english(word: str) -> int:
    if word in EXCEPTIONS:
        return EXCEPTIONS[word]
    if word.endswith("'s"):
        return _english(word[:-2]) + word[:-2].endswith(("s", "x", "z", "ch", "sh", "ce", "ge", "se"))
    if word.endswith("n't"):
        return max(1, _english(word[:-3])) + (word[:-3] not in ("do", "ca", "wo", "are", "were"))
    word = word.replace("'", "")
    for ending in ENDINGS:
        stem = word.removesuffix(ending)
        if stem != word and len(stem) > 2 and VOWELS.search(stem):
            return _english(stem) + 1
    if re.search(r"[^aeiou]ed$", word) and len(word) > 3:
        stem = word[:-2] if word[:-2] in EXCEPTIONS else word[:-1]
        return _english(stem) + (word[-3] in "td")
    if word.endswith("s") and not word.endswith(("ss", "us", "is")) and len(word) > 3:
        if re.search(r"(s|x|z|ch|sh|c|g)es$", word):
            return _english(word[:-2]) + 1
        return _english(word[:-1])
    word = re.sub(r"(?<=[aeiou])y(?=[aeiou])", "j", word)
    count = len(VOWELS.findall(word))
    if re.search(r"[^aeiouy]e$", word) and not re.search(r"[^aeiouylr]le$|[bct]re$", word):
        count -= 1
    return count + len(PARTED.findall(word)) + word.endswith(("sm", "thm"))


def spanish(word: str) -> int:
    """Syllables of a Spanish word, at least one.

    A strong vowel (a, e, o) makes a syllable; a weak one (i, u) joins its neighbour unless it carries the accent beside
    a strong one. `h` parts nothing (prohi-bir), the `u` of `que` and `gui` is silent, `y` is a vowel at the end only.
    Source: Real Academia Española, Ortografía de la lengua española (2010), on diphthongs, triphthongs and hiatus.
    """
    word = re.sub(r"(?<=q)u|(?<=g)u(?=[eiéí])", "", word.lower())
    word = re.sub(r"y(?=[aeiouáéíóúü])", "j", word).replace("y", "i")
    word = re.sub(r"(?<!c)h", "", word)
    return max(1, sum(map(_nuclei, re.findall(f"[{STRONG}{WEAK}{STRESSED}]+", word))))


def _nuclei(run: str) -> int:
    """Syllables in vowels that stand together."""
    if not any(v in STRONG for v in run):
        return 1 + len(re.findall(r"ii|uu|ií|uú", run))
    return sum(
        v in STRONG or (v in STRESSED and any(n in STRONG for n in run[max(0, i - 1) : i + 2]))
        for i, v in enumerate(run)
    )


COUNTERS: Mapping[str, Callable[[str], int]] = {"en": english, "es": spanish}
"""The counter of each language that can be scored."""


def syllables(word: str, language: str) -> int:
    """Syllables of a word; the parts of a hyphenated word are counted one by one. KeyError for another language."""
    return sum(COUNTERS[language](part) for part in word.split("-") if part)
