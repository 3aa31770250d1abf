"""Feeds from build to build: numbers, cancellations, equal bytes; and the folding of lines, whatever stands in them.

Outside authority: RFC 5545 section 3.1 for lines, 3.8.7.4 for SEQUENCE; arithmetic for the days.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from earleaf.model.feed_state import Event, FeedState
from earleaf.rendering.feed import fold, next_state, read_state, write_feed, write_state
from feed_check import faults, read

HOST = "manual.example"
JUNE = date(2027, 6, 1)


def day(number: int) -> date:
    """Day 1 is 1 June 2027."""
    return JUNE + timedelta(days=number - 1)


def event(place: str = "north", **other: Any) -> Event:
    values: dict[str, Any] = {
        "uid_parts": ("2027", place, "corn/early", "window"),
        "first": date(2027, 7, 10),
        "last": date(2027, 7, 14),
        "summary": "Corn",
        "status": "tentative",
        "changed": JUNE,
    }
    return Event(**{**values, **other})


def later(**other: Any) -> Event:
    return event(first=date(2027, 7, 12), last=date(2027, 7, 16), **other)


def feed(events: Any, **other: Any) -> bytes:
    return write_feed(events, **{"name": "Corn", "host": HOST, **other})


Step = tuple[int, list[Event]]


def play(*steps: Step) -> tuple[FeedState, list[list[tuple[str, int]]]]:
    """Builds on the days given. After each: status and number of every event sent. The state goes through its file."""
    state, seen = FeedState(), []
    for on, events in steps:
        state, sent = next_state(read_state(write_state(state)), events, on=day(on))
        assert faults(feed(sent), HOST) == []
        seen.append([(e.status, e.sequence) for e in sent])
    return state, seen


# Lines


@given(st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\r\n")))
def test_folding_loses_nothing(text: str) -> None:
    """RFC 5545 3.1: 75 octets without the line end; unfolded, the line is the same."""
    folded = fold(text)
    pieces = folded.removesuffix(b"\r\n").split(b"\r\n ")
    assert folded.endswith(b"\r\n") and b"".join(pieces).decode("utf-8") == text
    assert all(len(line) <= 75 for line in folded.split(b"\r\n"))
    for piece in pieces:
        piece.decode("utf-8")
    assert len(pieces) <= 1 + len(text.encode()) // 71


@pytest.mark.parametrize(
    ("octets", "lines"), [(0, 1), (74, 1), (75, 1), (76, 2), (149, 2), (150, 3), (223, 3), (224, 4)]
)
def test_lines_are_filled(octets: int, lines: int) -> None:
    """75 octets in the first line, 74 and a space in each other: 75 + 74 = 149, 149 + 74 = 223."""
    assert fold("x" * octets).count(b"\r\n") == lines


@pytest.mark.parametrize("wide", ["ñ", "→", "🌽"])
@pytest.mark.parametrize("before", range(70, 78))
def test_a_character_is_never_cut(wide: str, before: int) -> None:
    lines = fold("x" * before + wide + "y" * 80).split(b"\r\n")
    assert sum(wide.encode() in line for line in lines) == 1 and max(map(len, lines)) <= 75


@given(st.text(st.sampled_from('\\;,\nnN:" ñ🌽'), min_size=1).map(str.strip).filter(bool))
def test_escaping_can_be_undone(text: str) -> None:
    """RFC 5545 3.3.11, with texts of nothing but what is escaped."""
    content = feed([event(summary=text, description=text)], name=text)
    assert faults(content, HOST) == []
    assert read(content).parts[0]["SUMMARY"].text == text == read(content)["NAME"].text


def test_line_ends_of_other_systems() -> None:
    assert event(description="one\r\ntwo").description == "one\ntwo"


def test_what_is_missing_has_no_line() -> None:
    names = {p.name for p in read(feed([event()])).parts[0].properties}
    assert names.isdisjoint({"DESCRIPTION", "URL", "CATEGORIES"})


def test_order_given_does_not_matter() -> None:
    events = [event(f"field-{n}", first=day(n % 5 + 1)) for n in range(30)]
    mixed = random.Random(4).sample(events, 30)
    assert feed(events) == feed(mixed)
    assert next_state(FeedState(), events, on=JUNE) == next_state(FeedState(), mixed, on=JUNE)


# Refused


@pytest.mark.parametrize(
    ("other", "told"),
    [
        ({"last": date(2027, 7, 9)}, "ends on 2027-07-09, before it begins on 2027-07-10"),
        ({"summary": "a\x00b"}, r"control character U\+0000"),
        ({"summary": "a\x1bb"}, r"U\+001B"),
        ({"summary": "a\x7fb"}, r"U\+007F"),
        ({"summary": "a\rb"}, r"U\+000D"),
        ({"description": "a\x85b"}, r"U\+0085"),
        ({"description": "a\u2028b"}, r"U\+2028"),
        ({"categories": ("a\x0bb",)}, r"U\+000B"),
        ({"summary": " "}, "summary"),
        ({"status": "maybe"}, "status"),
        ({"sequence": -1}, "sequence"),
        ({"url": "manual.example/x"}, "url"),
        ({"url": "https://manual.example/a b"}, "url"),
        ({"url": "https://manual.example/ñ"}, "url"),
        ({"url": "https://manual.example/\r\nX:1"}, "url"),
        ({"uid_parts": ("2027", "North 40", "corn", "window")}, "uid_parts"),
        ({"uid_parts": ("2027", "41.9", "corn", "window")}, "uid_parts"),
        ({"uid_parts": ("2027", "north\n", "corn", "win dow")}, "uid_parts"),
        ({"uid_parts": ("2027", "", "corn", "window")}, "uid_parts"),
        ({"uid_parts": ("2027", "corn", "window")}, "uid_parts"),
        ({"uid_parts": ("2027", "north-2027-04-20", "corn", "window")}, "holds a date"),
        ({"uid_parts": ("2027", "20270420", "corn", "window")}, "holds a date"),
        ({"first": "soon"}, "first"),
    ],
)
def test_events_that_cannot_be_published(other: dict[str, Any], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        event(**other)


def test_a_lone_surrogate_is_no_text() -> None:
    with pytest.raises(ValueError):
        event(summary="a\ud800b")


@pytest.mark.parametrize("part", ["2026-27", "valley-04-20", "field-20279", "n1234567890"])
def test_ids_that_are_no_dates(part: str) -> None:
    assert event(part).key == f"2027.{part}.corn/early.window"


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: feed([event(), later()]), "two events have the UID 2027.north.corn/early.window"),
        (lambda: feed([event()] * 2), "two events have the UID"),
        (lambda: next_state(FeedState(), [event(), later()], on=JUNE), "two events have the UID"),
        (
            lambda: next_state(FeedState(), [event(changed=day(2))], on=day(1)),
            "changed on 2027-06-02, after 2027-06-01",
        ),
        (lambda: feed([event()], name="a\x00b"), r"U\+0000"),
        (lambda: feed([event()], name="a\ud800b"), r"control character U\+D800"),
        (lambda: feed([event()], name=" "), "needs a name"),
        (lambda: feed([event()], host="https://manual.example"), "no host name"),
        (lambda: feed([event()], host=""), "no host name"),
        (lambda: feed([event()], host="manual.example\n"), "no host name"),
        (lambda: feed([event()], refresh_hours=0), "must be 1 or more"),
        (lambda: feed([event("n" * 121)], host="x" * 200), "longer than 255 octets"),
        (lambda: read_state(b"{"), "Invalid JSON"),
        (lambda: read_state(b'{"version": 2}'), "version"),
        (lambda: read_state(b'{"event": []}'), "event"),
    ],
)
def test_feeds_that_cannot_be_published(make: Callable[[], object], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        make()


# From build to build


def test_new_events_have_number_0() -> None:
    assert play((1, [event(sequence=7)]))[1] == [[("tentative", 0)]]


def test_a_move_counts_once_and_so_does_the_way_back() -> None:
    _, seen = play((1, [event()]), (2, [later(changed=day(2))]), (3, [later(changed=day(2))]), (4, [event()]))
    assert seen == [[("tentative", n)] for n in (0, 1, 1, 2)]


@pytest.mark.parametrize(
    ("other", "number"),
    [
        ({"first": date(2027, 7, 9)}, 1),
        ({"last": date(2027, 7, 15)}, 1),
        ({"status": "confirmed"}, 1),
        ({"first": date(2027, 7, 9), "last": date(2027, 7, 15), "status": "confirmed"}, 1),
        ({"summary": "Maize"}, 0),
        ({"description": "New words"}, 0),
        ({"url": "https://manual.example/"}, 0),
        ({"categories": ("Corn",)}, 0),
        ({"feeds": ("lab-one",)}, 0),
        ({"changed": day(2)}, 0),
    ],
)
def test_what_counts_as_a_move(other: dict[str, Any], number: int) -> None:
    state, _ = next_state(FeedState(), [event()], on=day(1))
    new = event(**{"changed": day(2), **other})
    _, (sent,) = next_state(state, [new], on=day(2))
    assert sent == new.model_copy(update={"sequence": number})


def test_dropped_cancelled_and_gone_after_30_days() -> None:
    """Dropped on day 5: cancelled with that stamp up to day 35, which is 30 days later; gone on day 36."""
    other = event("south")
    state, seen = play((1, [event(), other]), *((n, [other]) for n in (5, 6, 35, 36, 37)))
    assert seen[1:] == [[("cancelled", 1), ("tentative", 0)]] * 3 + [[("tentative", 0)]] * 2
    assert [(g.key, g.sequence) for g in state.gone] == [("2027.north.corn/early.window", 1)]


def test_a_cancelled_event_is_the_old_one_with_a_new_stamp() -> None:
    old = event(description="Take the ear leaf.", categories=("Corn",), feeds=("corn", "lab-one"))
    state, _ = next_state(FeedState(), [old], on=day(1))
    _, (sent,) = next_state(state, [], on=day(5))
    assert sent == old.model_copy(update={"status": "cancelled", "sequence": 1, "changed": day(5)})
    lines = feed([sent]).split(b"\r\n")
    assert {b"STATUS:CANCELLED", b"DTSTAMP:20270605T000000Z", b"LAST-MODIFIED:20270605T000000Z"} <= set(lines)


def test_back_within_30_days() -> None:
    assert play((1, [event()]), (5, []), (6, [event()]))[1] == [
        [("tentative", 0)],
        [("cancelled", 1)],
        [("tentative", 2)],
    ]


def test_back_after_it_had_gone() -> None:
    """RFC 5545 3.8.7.4: the number only grows; one that began again at 0 would lose against the cancelled one."""
    state, seen = play(
        (1, [event()]), (5, []), (36, []), (40, [event()]), (41, [event()]), (42, []), (72, []), (73, [])
    )
    numbers = [
        ("tentative", 0),
        ("cancelled", 1),
        None,
        ("tentative", 2),
        ("tentative", 2),
        *[("cancelled", 3)] * 2,
        None,
    ]
    assert seen == [[] if n is None else [n] for n in numbers]
    assert [g.sequence for g in state.gone] == [3]


def test_given_as_cancelled_is_like_dropped_with_new_words() -> None:
    off = event(status="cancelled", summary="Corn: no visit")
    state, seen = play((1, [event()]), (5, [off]), (6, [off]), (35, [off]), (36, [off]), (37, [off]))
    assert seen == [[("tentative", 0)], *[[("cancelled", 1)]] * 3, [], []]
    assert [g.sequence for g in state.gone] == [1]
    _, (sent,) = next_state(next_state(FeedState(), [event()], on=day(1))[0], [off], on=day(5))
    assert (sent.summary, sent.changed) == ("Corn: no visit", day(5))


def test_all_dropped_leaves_a_good_feed() -> None:
    _, seen = play((1, [event("a"), event("b")]), (2, []), (40, []))
    assert seen[-1] == []


def test_same_inputs_same_bytes() -> None:
    """The third build has the inputs of the second: state and feed do not change by an octet."""
    steps = [event("a"), event("b")], [later(), event("b", status="confirmed")]
    state, _ = next_state(FeedState(), steps[0], on=day(1))
    state, sent = next_state(state, steps[1], on=day(2))
    for _ in range(3):
        again, sent_again = next_state(read_state(write_state(state)), steps[1], on=day(2))
        assert write_state(again) == write_state(state) and feed(sent_again) == feed(sent)


def test_the_state_as_a_file() -> None:
    """JSON with sorted keys and one newline at the end, and the same after reading."""
    state, _ = play((1, [event("a"), event("b", summary="Maíz 🌽", feeds=("corn",))]), (2, [event("a")]))
    content = write_state(state)
    assert read_state(content) == state and content.endswith(b"}\n") and "Maíz 🌽".encode() in content
    as_read = json.loads(content)
    assert json.dumps(as_read, sort_keys=True, indent=1, ensure_ascii=False) + "\n" == content.decode()


PLANS = st.dictionaries(
    st.sampled_from("abc"),
    st.tuples(st.integers(0, 2), st.integers(0, 2), st.sampled_from(["tentative", "confirmed", "cancelled"])),
)
"""Place to first day, length and status."""


class Season(RuleBasedStateMachine):
    """Any season of moves, drops and returns, watched by a subscriber who never forgets what was sent."""

    def __init__(self) -> None:
        super().__init__()
        self.on = JUNE
        self.state = FeedState()
        self.last_sent: dict[str, Event] = {}
        self.numbers: dict[str, int] = {}
        self.cancelled_on: dict[str, date] = {}

    @rule(days=st.sampled_from([0, 1, 5, 29, 30, 31, 60]), plan=PLANS)
    def build(self, days: int, plan: dict[str, tuple[int, int, str]]) -> None:
        self.on += timedelta(days=days)
        events = [
            event(place, first=day(start), last=day(start + length), status=status, changed=self.on)
            for place, (start, length, status) in plan.items()
        ]
        before = self.state
        self.state, sent = next_state(before, events, on=self.on)
        assert next_state(self.state, events, on=self.on) == (self.state, sent)
        assert faults(feed(sent), HOST) == []
        self.check(sent, {e.key: e for e in events})
        self.last_sent = {e.key: e for e in sent}

    def check(self, sent: tuple[Event, ...], given_: dict[str, Event]) -> None:
        assert [e.key for e in sent] == sorted({e.key for e in sent})
        for e in sent:
            old = self.last_sent.get(e.key)
            if old is None:
                assert e.sequence == self.numbers.get(e.key, -1) + 1
            else:
                moved = (old.first, old.last, old.status) != (e.first, e.last, e.status)
                assert e.sequence == old.sequence + moved
            self.numbers[e.key] = e.sequence
            if e.status != "cancelled":
                assert given_[e.key].status == e.status
                self.cancelled_on.pop(e.key, None)
            else:
                assert self.on - self.cancelled_on.setdefault(e.key, self.on) <= timedelta(days=30)
                assert e.changed == self.cancelled_on[e.key]
        live = {key for key, e in given_.items() if e.status != "cancelled"}
        kept = {key for key, since in self.cancelled_on.items() if self.on - since <= timedelta(days=30)}
        assert {e.key for e in sent} == live | kept
        assert set(self.last_sent) - live <= kept | set(self.cancelled_on)

    @invariant()
    def nothing_is_forgotten(self) -> None:
        assert {e.key for e in self.state.events} | {g.key for g in self.state.gone} == set(self.numbers)
        assert [g.key for g in self.state.gone] == sorted({g.key for g in self.state.gone})
        assert read_state(write_state(self.state)) == self.state


Season.TestCase.settings = settings(max_examples=60, stateful_step_count=15, deadline=None)
TestSeason = Season.TestCase
