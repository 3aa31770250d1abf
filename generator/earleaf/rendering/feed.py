"""Calendar feeds as RFC 5545 wants them: all-day events as text, and their numbers from one build to the next.

Nothing here asks the clock: every stamp is the day on which the inputs changed, so the same inputs give the same bytes.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from datetime import date, timedelta

from ..model.feed_state import Event, FeedState, Gone, printable

PRODID = "-//Earleaf//Sampling calendars//EN"
CANCELLED_DAYS = 30
"""For so many days a dropped event is still sent, as cancelled."""

_FOLD_OCTETS = 75
_UID_OCTETS = 255
_HOST = re.compile(r"[a-z0-9]([a-z0-9.-]*[a-z0-9])?")
_ESCAPES = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"})

_UTC = (
    "BEGIN:VTIMEZONE",
    "TZID:UTC",
    "BEGIN:STANDARD",
    "DTSTART:19700101T000000",
    "TZOFFSETFROM:+0000",
    "TZOFFSETTO:+0000",
    "END:STANDARD",
    "END:VTIMEZONE",
)


def write_feed(events: Iterable[Event], *, name: str, host: str, refresh_hours: int = 12) -> bytes:
    """One calendar, UTF-8 with CRLF, in order of first day and identity, whatever the order given.

    `name` is what a calendar program shows, `host` the site's host name, the end of every UID; `refresh_hours` is a
    hint to programs that ask again (RFC 7986 section 5.7). A feed without events holds the time zone UTC instead:
    RFC 5545 section 3.6 wants one component or more, and the address of a feed shall stay.

    Raises ValueError for two events of one UID, a UID over 255 octets, a name with control characters or none at
    all, a host that is none, and hours below 1.

    >>> event = Event(uid_parts=("2027", "valley", "corn/early", "window"), first=date(2027, 6, 10),
    ...               last=date(2027, 6, 14), summary="Corn", status="tentative", changed=date(2027, 6, 1))
    >>> write_feed([event], name="Corn", host="manual.example").split(b"\\r\\n")[12]
    b'DTEND;VALUE=DATE:20270615'
    """
    if not _HOST.fullmatch(host):
        raise ValueError(f"{host!r} is no host name in small letters")
    if refresh_hours < 1:
        raise ValueError(f"refresh_hours is {refresh_hours}, must be 1 or more")
    if not name.strip():
        raise ValueError("a feed needs a name")
    title = printable(name).translate(_ESCAPES)
    ordered = sorted(_by_key(events).values(), key=lambda event: (event.first, event.uid_parts))
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{PRODID}",
        f"NAME:{title}",
        f"X-WR-CALNAME:{title}",
        f"REFRESH-INTERVAL;VALUE=DURATION:PT{refresh_hours}H",
        f"X-PUBLISHED-TTL:PT{refresh_hours}H",
        *(line for event in ordered for line in _event_lines(event, host)),
        *(() if ordered else _UTC),
        "END:VCALENDAR",
    ]
    return b"".join(fold(line) for line in lines)


def _event_lines(event: Event, host: str) -> list[str]:
    """The content lines of one event, not yet folded."""
    uid = f"{event.key}@{host}"
    if len(uid) > _UID_OCTETS:
        raise ValueError(f"the UID {uid!r} is longer than {_UID_OCTETS} octets")
    stamp = f"{_digits(event.changed)}T000000Z"
    lines = [
        "BEGIN:VEVENT",
        f"UID:{uid}",
        f"DTSTAMP:{stamp}",
        f"LAST-MODIFIED:{stamp}",
        f"DTSTART;VALUE=DATE:{_digits(event.first)}",
        f"DTEND;VALUE=DATE:{_digits(event.last + timedelta(days=1))}",
        f"SEQUENCE:{event.sequence}",
        f"STATUS:{event.status.upper()}",
        "TRANSP:TRANSPARENT",
        f"SUMMARY:{event.summary.translate(_ESCAPES)}",
    ]
    if event.description is not None:
        lines.append(f"DESCRIPTION:{event.description.translate(_ESCAPES)}")
    if event.url is not None:
        lines.append(f"URL:{event.url}")
    if event.categories:
        lines.append(f"CATEGORIES:{','.join(word.translate(_ESCAPES) for word in event.categories)}")
    return [*lines, "END:VEVENT"]


def _digits(day: date) -> str:
    return day.isoformat().replace("-", "")


def fold(line: str) -> bytes:
    """A content line as sent: pieces of 75 octets at most, never cut inside a character (RFC 5545 section 3.1).

    A piece after the first begins with the space that joins it to the one before; CRLF ends each.

    >>> fold("SUMMARY:" + "ñ" * 34).split(b"\\r\\n ")[1].decode()
    'ñ\\r\\n'
    """
    raw = line.encode("utf-8")
    pieces = []
    start, room = 0, _FOLD_OCTETS
    while len(raw) - start > room:
        end = start + room
        while raw[end] & 0b1100_0000 == 0b1000_0000:  # inside a character
            end -= 1
        pieces.append(raw[start:end])
        start, room = end, _FOLD_OCTETS - 1
    return b"\r\n ".join([*pieces, raw[start:]]) + b"\r\n"


def next_state(old: FeedState, events: Iterable[Event], *, on: date) -> tuple[FeedState, tuple[Event, ...]]:
    """What to remember and what to send: all events with their numbers, and the dropped ones as cancelled.

    `on` is the day on which the inputs changed last: the day of a cancellation, and the day from which the 30 days of
    a cancelled event are counted. `sequence` of the events given does not matter: a new event gets 0, one whose first
    day, last day or status moved gets the old number + 1 (RFC 5545 section 3.8.7.4), all others keep theirs.

    An event that is not given any more is cancelled on the day `on`, and so is one given as cancelled. From then on it
    stays as it is until it is given again as tentative or confirmed, or until day 31, when it leaves. Its number is
    kept: should it come back, the count goes on. A day that is past is no reason to leave an event out: give all of
    the season, and begin a new season with `FeedState()`.

    Same inputs, same result: `next_state(next_state(s, e, on=d)[0], e, on=d) == next_state(s, e, on=d)`.

    Raises ValueError for two events of one identity, and for an event that changed after `on`.

    >>> event = Event(uid_parts=("2027", "valley", "corn/early", "window"), first=date(2027, 6, 10),
    ...               last=date(2027, 6, 14), summary="Corn", status="tentative", changed=date(2027, 6, 1))
    >>> state, _ = next_state(FeedState(), [event], on=date(2027, 6, 1))
    >>> [(sent.status, sent.sequence) for sent in next_state(state, [], on=date(2027, 6, 3))[1]]
    [('cancelled', 1)]
    """
    given = _by_key(events)
    before = {event.key: event for event in old.events}
    gone = {left.key: left.sequence for left in old.gone}
    if late := [event for event in given.values() if event.changed > on]:
        raise ValueError(f"{late[0].key} changed on {late[0].changed}, after {on}")
    sent = []
    for key in sorted({*given, *before}):
        new = given.get(key)
        if new is not None and new.status == "cancelled":
            if key in gone:
                continue
            new = new.model_copy(update={"changed": on})
        event = _revised(new, before.get(key), gone.pop(key, -1), on)
        if event.status == "cancelled" and (on - event.changed).days > CANCELLED_DAYS:
            gone[key] = event.sequence
        else:
            sent.append(event)
    left = tuple(Gone(key=key, sequence=sequence) for key, sequence in sorted(gone.items()))
    return FeedState(events=tuple(sent), gone=left), tuple(sent)


def _revised(new: Event | None, old: Event | None, last_number: int, on: date) -> Event:
    """One event with its number; `last_number` is that of an event that had left, -1 if there was none."""
    if old is None:
        assert new is not None
        return new.model_copy(update={"sequence": last_number + 1})
    if old.status == "cancelled" and (new is None or new.status == "cancelled"):
        return old
    if new is None:
        return old.model_copy(update={"status": "cancelled", "changed": on, "sequence": old.sequence + 1})
    moved = (new.first, new.last, new.status) != (old.first, old.last, old.status)
    return new.model_copy(update={"sequence": old.sequence + moved})


def _by_key(events: Iterable[Event]) -> dict[str, Event]:
    found: dict[str, Event] = {}
    for event in events:
        if event.key in found:
            raise ValueError(f"two events have the UID {event.key}")
        found[event.key] = event
    return found


def write_state(state: FeedState) -> bytes:
    """The state as kept in a file: JSON, sorted keys, one newline at the end."""
    return (json.dumps(state.model_dump(mode="json"), ensure_ascii=False, sort_keys=True, indent=1) + "\n").encode()


def read_state(content: bytes) -> FeedState:
    """The state out of its file; ValueError if it is damaged, so that no number is ever counted from 0 by accident."""
    return FeedState.model_validate_json(content)
