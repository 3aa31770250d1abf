"""YAML to plain values: scalars stay as written, and every key knows its line."""

from __future__ import annotations

import pytest

from earleaf.database.yaml_lines import parse_yaml

TEXT = b"""\
# a comment
crop: corn
window: {from: VT,
  to: R1}
see:
- first
-
  say: second
"""


def test_lines_of_keys_items_and_nested_keys() -> None:
    parsed = parse_yaml(TEXT, "corn.yml")
    assert parsed.findings == []
    assert {
        path: parsed.line(path)
        for path in [
            ("crop",),
            ("window",),
            ("window", "from"),
            ("window", "to"),
            ("see",),
            ("see", 0),
            ("see", 1, "say"),
        ]
    } == {
        ("crop",): 2,
        ("window",): 3,
        ("window", "from"): 3,
        ("window", "to"): 4,
        ("see",): 5,
        ("see", 0): 6,
        ("see", 1, "say"): 8,
    }


def test_a_path_that_is_not_there_gets_the_line_above_it() -> None:
    parsed = parse_yaml(TEXT, "corn.yml")
    assert parsed.line(("window", "until")) == 3
    assert parsed.line(("see", 1, "source", 0)) == 8


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("no", "no"),
        ("10.10", "10.10"),
        ("12:30", "12:30"),
        ("2026-11-25", "2026-11-25"),
        ("0x1f", "0x1f"),
        ("'07'", "07"),
        ("null", None),
        ("~", None),
        ("", None),
        ("'null'", "null"),
        ("[]", []),
        ("{}", {}),
    ],
)
def test_a_value_means_what_it_says(written: str, value: object) -> None:
    assert parse_yaml(f"key: {written}\n".encode(), "a.yml").value == {"key": value}


def test_byte_order_mark_and_line_ends_of_other_systems() -> None:
    parsed = parse_yaml(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n", "a.yml")
    assert parsed.value == {"a": "1", "b": "2"} and parsed.line(("b",)) == 2


def test_a_merge_key_is_an_ordinary_key() -> None:
    assert parse_yaml(b"<<: {a: b}\n", "a.yml").value == {"<<": {"a": "b"}}


def test_every_duplicate_key_is_told_and_the_first_is_kept() -> None:
    parsed = parse_yaml(b"a: 1\na: 2\nb: {c: 1, c: 2}\n", "a.yml")
    assert [(f.rule, f.line) for f in parsed.findings] == [("duplicate-key", 2), ("duplicate-key", 3)]
    assert parsed.value == {"a": "1", "b": {"c": "1"}}


def test_thirty_levels_are_read_and_one_more_is_not() -> None:
    assert parse_yaml(b"[" * 30 + b"]" * 30, "a.yml").findings == []
    assert [f.rule for f in parse_yaml(b"[" * 31 + b"]" * 31, "a.yml").findings] == ["too-deep"]


@pytest.mark.parametrize(
    "data",
    [
        b"\x00",
        b"\xff",
        b"[",
        b"]",
        b"{",
        b"a: b: c",
        b"'",
        b"? [a]\n: b\n",
        b"*a",
        b"&",
        b"!!x",
        b"%",
        b"\t",
        b"---\n---\n",
        b"- - -\n a",
        b"a:\n - b\n  c: d",
        b"@",
        b"`",
        b"[" * 100_000,
    ],
)
def test_nonsense_gives_a_finding_and_never_an_exception(data: bytes) -> None:
    parsed = parse_yaml(data, "a.yml")
    assert parsed.findings and all(f.file == "a.yml" and f.hint for f in parsed.findings)
