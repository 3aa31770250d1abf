"""Whoever uses Earleaf finds each command, option, rule and key written down."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator
from inspect import getsource
from pathlib import Path

import keys_page
import rule_ids

from earleaf.commands.parser import EXAMPLES, make_parser
from earleaf.language import lint

ROOT = Path(__file__).resolve().parents[2]
GUIDES = ROOT / "docs/guides"


def verbs() -> dict[str, argparse.ArgumentParser]:
    (action,) = (a for a in make_parser()._actions if isinstance(a, argparse._SubParsersAction))
    return dict(action.choices)


def options(parser: argparse.ArgumentParser) -> Iterator[str]:
    """What may be typed after a command: options by their long name, others as the help names them."""
    for action in parser._actions:
        if not isinstance(action, argparse._HelpAction):
            yield max(action.option_strings, key=len) if action.option_strings else str(action.metavar or action.dest)


def sections(text: str) -> dict[str, str]:
    """The parts of a page by the command in their heading."""
    parts = re.split(r"^## `earleaf (\w+)[^`]*`.*$", text, flags=re.M)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def test_every_command_is_in_the_readme() -> None:
    rows = re.findall(r"^\| (`earleaf .+?) \|", (ROOT / "README.md").read_text("utf-8"), re.M)
    assert {verb for row in rows for verb in re.findall(r"`earleaf (\w+)", row)} == set(verbs())


def test_every_command_and_option_has_its_place_in_the_guide() -> None:
    parts = sections((GUIDES / "commands.md").read_text("utf-8"))
    assert list(parts) == list(verbs()), "in the order of `earleaf --help`"
    for verb, parser in verbs().items():
        listed = re.findall(r"^\| `([^` ]+)", parts[verb], re.M)
        assert listed == list(options(parser)), verb


def test_every_option_says_what_it_is_for() -> None:
    silent = [
        f"{verb} {option}"
        for verb, parser in verbs().items()
        for action, option in zip(parser._actions[1:], options(parser), strict=True)
        if not action.help and not action.choices
    ]
    assert silent == []


def test_every_example_of_the_help_can_be_typed() -> None:
    """The parser itself takes each of them."""
    typed = re.findall(r"^  earleaf (.+?)(?:  +.*)?$", EXAMPLES, re.M)
    assert len(typed) >= len(verbs()) - 1
    for line in typed:
        make_parser().parse_args(line.split())
    assert {line.split()[0] for line in typed} >= set(verbs()) - {"serve"}


def test_every_rule_of_a_finding_is_explained() -> None:
    found, unread = rule_ids.rule_ids()
    assert unread == [], "a finding whose rule cannot be read from the program"
    text = (GUIDES / "findings.md").read_text("utf-8")
    rows = re.findall(r"^\| `([a-z0-9-]+)` \| (.+) \| (.+) \|$", text, re.M)
    of_sentences = {rule.name for rule in lint.RULES} | set(re.findall(r'Remark\("([a-z-]+)"', getsource(lint)))
    assert sorted(rule for rule, _, _ in rows) == sorted(found | of_sentences)
    assert all(meaning.endswith(".") and remedy.endswith(".") for _, meaning, remedy in rows)


def test_rules_the_tests_break_are_among_them() -> None:
    """A second way to the same list: rules that tests of faulty data expect."""
    found, _ = rule_ids.rule_ids()
    text = (ROOT / "tests/data/test_faults.py").read_text("utf-8")
    expected = set(re.findall(r'"([a-z]+(?:-[a-z0-9]+)+)"', text)) & {r for r in found if "-" in r}
    assert len(expected) > 15
    assert {"unknown-key", "duplicate-id", "weather-days", "timing"} <= found


def test_every_key_is_described() -> None:
    assert keys_page.undescribed() == []


def test_the_list_of_keys_is_made_from_the_model() -> None:
    assert (GUIDES / "keys.md").read_text("utf-8") == keys_page.page(), "run `make guides`"


def test_every_file_of_the_database_has_its_keys_listed() -> None:
    """What the folders hold is what the page has headings for."""
    text = keys_page.page()
    for path in sorted((ROOT / "protocols").rglob("*")):
        if path.suffix in (".yml", ".csv") and "schema" not in path.parts:
            assert any(path.match(pattern) for _, pattern, _ in keys_page.FILES), path
    for _, pattern, _ in keys_page.FILES:
        assert f"`{pattern}`" in text


def test_every_make_target_is_in_the_developers_guide() -> None:
    made = set(re.findall(r"^([a-z]+):.*##", (ROOT / "Makefile").read_text("utf-8"), re.M))
    phony = set(re.search(r"^\.PHONY: (.+)$", (ROOT / "Makefile").read_text("utf-8"), re.M)[1].split())  # type: ignore[index]
    rows = re.findall(r"^\| (`make .+?) \|", (ROOT / "DEVELOPERS.md").read_text("utf-8"), re.M)
    told = {name for row in rows for name in re.findall(r"`make ([a-z]+)`", row)}
    assert made == told == phony


def test_the_guides_are_reachable() -> None:
    """Each guide is linked from the README, DEVELOPERS.md, or another guide."""
    pages = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *GUIDES.glob("*.md")]
    linked = {
        name for page in pages for name in re.findall(r"\]\((?:docs/guides/)?([a-z-]+\.md)\)", page.read_text("utf-8"))
    }
    assert {page.name for page in GUIDES.glob("*.md")} <= linked
