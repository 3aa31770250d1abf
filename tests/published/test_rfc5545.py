"""Feeds against RFC 5545 and RFC 7986: read by a library that is not ours, and by the letter of the RFC.

The library is `icalendar`. It also reads feeds that the RFC forbids; what it overlooks, `feed_check` finds.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earleaf.model.feed_state import Event
from earleaf.rendering.feed import write_feed
from feed_check import faults, read, unfold

HOST = "manual.example"
UID = ("2027", "north-9", "corn/tassel-to-silk", "window")


def event(**other: Any) -> Event:
    values: dict[str, Any] = {
        "uid_parts": UID,
        "first": date(2027, 6, 10),
        "last": date(2027, 6, 14),
        "summary": "Corn, tassel to silk",
        "description": "Take the ear leaf.",
        "url": "https://manual.example/crops/corn/tassel-to-silk/?a=1,2;b=3",
        "status": "tentative",
        "changed": date(2027, 6, 1),
        "categories": ("Corn", "Lab; one, two"),
    }
    return Event(**{**values, **other})


def feed(*events: Event, name: str = "Corn") -> bytes:
    return write_feed(events, name=name, host=HOST)


def by_library(content: bytes) -> list[Any]:
    """The events as the library reads them; it may not have met a line that it could not read."""
    calendar = icalendar.Calendar.from_ical(content)
    events = list(calendar.walk("VEVENT"))
    assert not calendar.errors and all(not e.errors for e in events)
    return events


def test_window_of_five_days() -> None:
    """10 to 14 June: DTEND is the day after the last (RFC 5545 3.6.1: DTEND is the non-inclusive end)."""
    lines = unfold(feed(event()))
    assert "DTSTART;VALUE=DATE:20270610" in lines and "DTEND;VALUE=DATE:20270615" in lines


def test_example_of_several_days() -> None:
    """RFC 5545 3.6.1, the festival from 28 June to 8 July 2007 inclusively: every line of it that is of our kind."""
    lines = unfold(
        feed(
            event(
                first=date(2007, 6, 28),
                last=date(2007, 7, 8),
                summary="Festival International de Jazz de Montreal",
                changed=date(2007, 4, 23),
            )
        )
    )
    assert {
        "DTSTART;VALUE=DATE:20070628",
        "DTEND;VALUE=DATE:20070709",
        "SUMMARY:Festival International de Jazz de Montreal",
        "TRANSP:TRANSPARENT",
    } <= set(lines)


@pytest.mark.parametrize(
    ("meant", "written"),
    [
        # 3.3.11
        (
            "Project XYZ Final Review\nConference Room - 3B\nCome Prepared.",
            r"Project XYZ Final Review\nConference Room - 3B\nCome Prepared.",
        ),
        # 3.8.1.7
        ("Conference Room - F123, Bldg. 002", r"Conference Room - F123\, Bldg. 002"),
        # 3.3.11 by its words: backslash, semicolon; a colon is not escaped
        (r"a\n: b; c", r"a\\n: b\; c"),
    ],
)
def test_examples_of_text(meant: str, written: str) -> None:
    """RFC 5545 3.3.11 and 3.8.1.7."""
    assert f"DESCRIPTION:{written}" in unfold(feed(event(description=meant)))


@pytest.mark.parametrize(
    ("first", "last", "end"),
    [
        (date(2027, 6, 10), date(2027, 6, 10), "20270611"),
        (date(2027, 12, 30), date(2027, 12, 31), "20280101"),
        (date(2028, 2, 27), date(2028, 2, 28), "20280229"),
        (date(2028, 2, 29), date(2028, 2, 29), "20280301"),
        (date(2027, 2, 28), date(2027, 2, 28), "20270301"),
    ],
)
def test_the_day_after(first: date, last: date, end: str) -> None:
    """The calendar: one day, the end of a year, leap days."""
    assert f"DTEND;VALUE=DATE:{end}" in unfold(feed(event(first=first, last=last)))


def test_read_by_a_library() -> None:
    sent = event(sequence=3, status="confirmed")
    (seen,) = by_library(feed(sent))
    assert str(seen["UID"]) == "2027.north-9.corn/tassel-to-silk.window@manual.example"
    assert seen.decoded("DTSTART") == sent.first and seen.decoded("DTEND") == date(2027, 6, 15)
    assert not isinstance(seen.decoded("DTSTART"), datetime) and seen["DTSTART"].params["VALUE"] == "DATE"
    assert seen.decoded("DTSTAMP") == seen.decoded("LAST-MODIFIED") == datetime(2027, 6, 1, tzinfo=UTC)
    assert (seen["SEQUENCE"], seen["STATUS"], seen["TRANSP"]) == (3, "CONFIRMED", "TRANSPARENT")
    assert (str(seen["SUMMARY"]), str(seen["DESCRIPTION"])) == (sent.summary, sent.description)
    assert str(seen["URL"]) == sent.url
    assert tuple(str(word) for word in seen["CATEGORIES"].cats) == sent.categories


def test_the_calendar_read_by_a_library() -> None:
    """RFC 5545 3.7, RFC 7986 5.1 and 5.7; without METHOD a feed is no message (RFC 5545 3.7.2)."""
    calendar = icalendar.Calendar.from_ical(feed(event(), name="Maíz; sur, 2027"))
    assert (calendar["VERSION"], calendar["PRODID"]) == ("2.0", "-//Earleaf//Sampling calendars//EN")
    assert calendar["NAME"] == calendar["X-WR-CALNAME"] == r"Maíz\; sur\, 2027"
    assert read(feed(event(), name="Maíz; sur, 2027"))["NAME"].text == "Maíz; sur, 2027", (
        "the library leaves it as it is"
    )
    assert calendar.decoded("REFRESH-INTERVAL") == timedelta(hours=12)
    assert calendar["REFRESH-INTERVAL"].params["VALUE"] == "DURATION"
    assert str(calendar["X-PUBLISHED-TTL"]) == "PT12H"
    assert "METHOD" not in calendar


def test_a_feed_without_events_is_one_too() -> None:
    """RFC 5545 3.6: a calendar holds at least one component."""
    assert faults(feed(), HOST) == [] and by_library(feed()) == []
    assert [part.name for part in read(feed()).parts] == ["VTIMEZONE"]


SPANISH = "Tome 4 hojas en cada uno de 5 sitios, mañana por la mañana; ¿están secas? ¡Ojalá! Señale el envío: año 2027."


@pytest.mark.parametrize(
    "text",
    [
        SPANISH,
        SPANISH * 3,
        "🌽" * 60,
        "👩🏽‍🌾 recoge 🍃\n→ sobre de papel\\bolsa",
        "ñ" * 34,
        "x" + "ñ" * 40,
        "日本語のテキスト" * 9,
        "e\u0301" * 50,
    ],
    ids=["spanish", "long", "emoji", "joined", "74-octets", "odd", "japanese", "combining"],
)
def test_round_trip(text: str) -> None:
    """RFC 5545 3.1: a line folds at 75 octets, and a reader sees nothing of it."""
    content = feed(event(summary=text, description=text, categories=(text,)), name=text)
    (seen,) = by_library(content)
    assert faults(content, HOST) == []
    assert str(seen["SUMMARY"]) == str(seen["DESCRIPTION"]) == text
    assert [str(word) for word in seen["CATEGORIES"].cats] == [text]
    assert read(content)["NAME"].text == text


WORDS = (
    st.text(st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp"), include_characters='\n\t\\;,:"ñ🌽'), min_size=1)
    .map(str.strip)
    .filter(bool)
)
DAYS = st.dates(date(1900, 1, 1), date(2200, 1, 1))


@given(summary=WORDS, description=WORDS | st.none(), category=WORDS, first=DAYS, length=st.integers(0, 400))
def test_any_event_is_read_as_meant(
    summary: str, description: str | None, category: str, first: date, length: int
) -> None:
    sent = event(
        summary=summary,
        description=description,
        categories=(category, "Corn"),
        first=first,
        last=first + timedelta(days=length),
    )
    content = feed(sent)
    assert faults(content, HOST) == []
    (seen,) = by_library(content)
    mine = read(content).parts[0]
    assert str(seen["SUMMARY"]) == mine["SUMMARY"].text == sent.summary
    assert (str(seen["DESCRIPTION"]) if "DESCRIPTION" in seen else None) == sent.description
    assert tuple(str(word) for word in seen["CATEGORIES"].cats) == sent.categories
    assert seen.decoded("DTEND") - seen.decoded("DTSTART") == timedelta(days=length + 1)


def test_the_library_alone_is_not_enough() -> None:
    """The library reads an event that has no stamp and ends before it begins, and a UID twice."""
    content = feed(event()).replace(b"DTEND;VALUE=DATE:20270615", b"DTEND;VALUE=DATE:20270601")
    content = content.replace(b"DTSTAMP:20270601T000000Z\r\n", b"")
    start, end = content.index(b"BEGIN:VEVENT"), content.index(b"END:VCALENDAR")
    doubled = content[:end] + content[start:]
    assert len(by_library(doubled)) == 2 and len(faults(doubled, HOST)) >= 2


def test_many_events_are_one_good_feed() -> None:
    many = [event(uid_parts=("2027", f"north-{n}", "corn/early", "window")) for n in range(200)]
    assert faults(feed(*many), HOST) == [] and len(by_library(feed(*many))) == 200


@pytest.mark.parametrize(
    ("good", "bad", "told"),
    [
        (b"\r\n", b"\n", "CRLF"),
        (b"SUMMARY:", b"SUMMARY:a\rb", "lone line end"),
        (b"SUMMARY:", b"SUMMARY:" + b"x" * 60, "octets in a line"),
        (b"SUMMARY:", b"SUMMARY:\xc3\r\n \xb1", "cut inside a character"),
        (b"SUMMARY:", b"SUMMARY:a\x07", "control character"),
        (b"SUMMARY:Corn\\,", b"SUMMARY:Corn,", "not escaped"),
        (b"SUMMARY:Corn\\,", b"SUMMARY:Corn\\x", "not escaped"),
        (b"Lab\\; one", b"Lab; one", "not escaped"),
        (b"\r\nDTSTAMP:20270601T000000Z", b"", "not once"),
        (b"\r\nUID:2027.north-9.corn/tassel-to-silk.window@manual.example", b"", "not once"),
        (b"DTSTAMP:20270601T000000Z", b"DTSTAMP:20270601T000000", "no moment"),
        (b"DTSTAMP:20270601T000000Z", b"DTSTAMP:20270631T000000Z", "no moment"),
        (b"DTSTART;VALUE=DATE:", b"DTSTART:", "not of type DATE"),
        (b"DTSTART;VALUE=DATE:20270610", b"DTSTART;VALUE=DATE:20270610T000000", "not of type DATE"),
        (b"DTEND;VALUE=DATE:20270615", b"DTEND;VALUE=DATE:20270610", "not after"),
        (b"DTEND;VALUE=DATE:20270615", b"DTEND;VALUE=DATE:20270631", "not of type DATE"),
        (b"DTEND;VALUE=DATE:20270615", b"DURATION:P5D", "not once"),
        (b"STATUS:TENTATIVE", b"STATUS:MAYBE", "STATUS"),
        (b"TRANSP:TRANSPARENT", b"TRANSP:OPAQUE", "busy"),
        (b"SEQUENCE:0", b"SEQUENCE:-1", "SEQUENCE"),
        (b"URL:https://", b"URL:", "URL"),
        (b"UID:2027.north-9", b"UID:2027.20270610", "UID"),
        (b"@manual.example\r\n", b"@other.example\r\n", "UID"),
        (b"VERSION:2.0", b"VERSION:2.0\r\nMETHOD:PUBLISH", "METHOD"),
        (b"VERSION:2.0\r\n", b"", "VERSION"),
        (b"REFRESH-INTERVAL;VALUE=DURATION:PT12H", b"REFRESH-INTERVAL:PT12H", "REFRESH"),
        (b"END:VEVENT\r\n", b"", "END"),
    ],
)
def test_the_reader_finds_faults(good: bytes, bad: bytes, told: str) -> None:
    """The reader by the letter of the RFC is not blind: every fault put into a good feed is told."""
    content = feed(event())
    assert good in content and faults(content, HOST) == []
    assert any(told in fault for fault in faults(content.replace(good, bad), HOST))


def test_the_reader_finds_two_of_one_uid() -> None:
    content = feed(event())
    start, end = content.index(b"BEGIN:VEVENT"), content.index(b"END:VCALENDAR")
    assert any("twice" in f for f in faults(content[:end] + content[start:], HOST))
