"""What plain language avoids in one sentence, as a list of rules.

The rules are patterns, so they see form and not meaning: a `notice` is a thing to look at, a `fault` one to put right.
Sources: Federal plain language guidelines (United States, 2011) on double negatives, conditions and headings; the Clear
Communication Index of the Centers for Disease Control and Prevention on arithmetic; 20 words are a choice of our own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from .sentences import sentences, words

MOST_WORDS = 20
MOST_CONDITIONS = 2
DEEPEST_HEADING = 3

Level = Literal["fault", "notice"]


@dataclass(frozen=True)
class Rule:
    """A pattern that plain language avoids, in one language."""

    name: str
    language: str
    pattern: re.Pattern[str]
    hint: str
    level: Level = "fault"


@dataclass(frozen=True)
class Remark:
    """What a rule found: the sentence, the words that gave it away, and what to do."""

    rule: str
    sentence: str
    found: str
    hint: str
    level: Level


def _rule(name: str, language: str, pattern: str, hint: str, level: Level = "fault") -> Rule:
    return Rule(name, language, re.compile(pattern, re.I), hint, level)


POSITIVE = "say it without the two negatives: 'at least', not 'no fewer than'"
NO_SUMS = "give the figure that comes out, so that nobody has to work it out in the field"
IF_FIRST = "put the condition first: 'If Y, do X'"

# Words that deny: the first list opens a clause, the second denies again before the clause ends.
NOT_EN = r"(?:not|never|cannot|no|\w+n['’]t)"
AGAIN_EN = (
    r"(?:(?:fewer|less|later|more) than|unless|without|never|none|fail\w*|avoid\w*|im(?:possible|proper)"
    r"|in(?:correct|sufficient)|un(?:able|aware|clear|common|equal|known|less|like|likely|necessary|safe|sound|true|usual))"
)
NOT_ES = r"(?:no|nunca|jamás)"
AGAIN_ES = (
    r"(?:menos de|más de|sin|a menos que|imposible|improbable|dej[ae] de|evit\w+"
    r"|in(?:correct|suficiente|usual|segur|útil|necesari)\w*)"
)
# After these, `if` opens a question and not a condition: "ask your lab if it wants the blade".
ASKS_EN = r"\b(?:ask|know|tell|see|say|check|show|write|note)\w*\b"
ASKS_ES = r"\b(?:pregunt|sab|di[gc]|ve[ar]|mir|revis|muestr|anot)\w*\b"
IF_EN = r"(?<!\beven)(?<!\bas)(?<!\bonly)(?P<found> (?:if|unless) (?!you can\b|possible\b|in doubt\b)\w+ \w+)"
IF_ES = r"(?<!\bcomo)(?<!\bincluso)(?<!\bsolo)(?P<found> (?:si|a menos que) (?!puede\b|es posible\b)\w+ \w+)"

RULES: tuple[Rule, ...] = (
    _rule("double-negative", "en", rf"\b{NOT_EN}\b[^,;:.?!]*?\b{AGAIN_EN}\b", POSITIVE),
    _rule(
        "double-negative",
        "es",
        rf"\b{NOT_ES}\b[^,;:.?!]*?\b{AGAIN_ES}\b",
        "dígalo sin las dos negaciones: 'al menos', no 'no menos de'",
    ),
    _rule(
        "arithmetic",
        "en",
        r"\b(?:divid\w+ (?:[\w-]+ ){0,5}by|multipl\w+|subtract\w*|calculate|compute|add up|work out|sum up|minus"
        r"|times the|take the (?:mean|average)|(?:double|triple|halve) (?:the|this|that|it)|as a decimal)\b",
        NO_SUMS,
    ),
    _rule(
        "arithmetic",
        "es",
        r"\b(?:divid[ae]n? (?:[\w-]+ ){0,5}(?:entre|por)|multipli(?:que|car?)\w*|reste|sume (?:el|la|los|las|\d)"
        r"|calculen?|promedien?|saque (?:el promedio|la media)|como decimal)\b",
        "dé la cifra final: nadie debe hacer cuentas en el campo",
    ),
    _rule("condition-last", "en", rf"^(?!.*{ASKS_EN}.* if\b).*(?<=[\w\"'”)]){IF_EN}", IF_FIRST, "notice"),
    _rule(
        "condition-last",
        "es",
        rf"^(?!.*{ASKS_ES}.* si\b).*(?<=[\w\"'”»)]){IF_ES}",
        "ponga la condición primero: 'Si Y, haga X'",
        "notice",
    ),
)
CONDITIONS = {
    "en": re.compile(r"\b(?:if|unless|when|where|until|once|while)\b", re.I),
    "es": re.compile(r"\b(?:si|cuando|donde|hasta que|a menos que|mientras)\b", re.I),
}
DEEP_MARKDOWN = re.compile(rf"^#{{{DEEPEST_HEADING + 1},6}}\s+(.+)", re.M)
DEEP_HTML = re.compile(rf"<h[{DEEPEST_HEADING + 1}-6][\s>]", re.I)


def lint(text: str, language: str) -> list[Remark]:
    """What the rules of a language see in the sentences of a text, in order. KeyError for a language without rules."""
    return [remark for sentence in sentences(text) for remark in _lint(sentence, language)]


def _lint(sentence: str, language: str) -> Iterator[Remark]:
    conditions = CONDITIONS[language].findall(sentence)
    for rule in RULES:
        if rule.language == language and (match := rule.pattern.search(sentence)):
            yield Remark(rule.name, sentence, match.groupdict().get("found", match[0]).strip(), rule.hint, rule.level)
    if len(conditions) > MOST_CONDITIONS:
        hint = "one condition a sentence, or a table of 'If' and 'Then'"
        yield Remark("many-conditions", sentence, ", ".join(conditions), hint, "fault")
    if (length := len(words(sentence))) > MOST_WORDS:
        yield Remark("long-sentence", sentence, f"{length} words", f"at most {MOST_WORDS} words: split it", "fault")


def deep_headings(source: str) -> list[tuple[int, str]]:
    """Lines of a chapter (Markdown) or template (HTML) with a heading below the third level, each with its number."""
    return [
        (source.count("\n", 0, match.start()) + 1, match.group(0).strip())
        for pattern in (DEEP_MARKDOWN, DEEP_HTML)
        for match in pattern.finditer(source)
    ]
