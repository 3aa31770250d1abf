"""A calendar feed as the tests read it: taken apart by the letter of RFC 5545, with every fault a reader may overlook.

Written from the RFC and apart from the writer. Libraries read almost anything; this reader asks for what our feeds
promise, which is narrower than the RFC: one kind of event, all-day, no METHOD.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime

TEXT = re.compile(r"(\\[\\;,nN]|[^\\;,])*")
"""RFC 5545 3.3.11: a backslash, a semicolon, a comma and a new line stand behind a backslash."""
CONTENT_LINE = re.compile(r"([A-Z-]+)((?:;[A-Z-]+=[A-Z-]+)*):(.*)", re.DOTALL)
"""RFC 5545 3.1, with the few plain parameters that we write."""

ONCE = ("UID", "DTSTAMP", "LAST-MODIFIED", "DTSTART", "DTEND", "SEQUENCE", "STATUS", "TRANSP", "SUMMARY")
AT_MOST_ONCE = ("DESCRIPTION", "URL", "CATEGORIES")
ONCE_A_CALENDAR = ("VERSION", "PRODID", "NAME", "X-WR-CALNAME", "REFRESH-INTERVAL", "X-PUBLISHED-TTL")


@dataclass(frozen=True)
class Property:
    """One unfolded content line."""

    name: str
    parameters: str
    value: str

    @property
    def text(self) -> str:
        """The value of type TEXT as it was meant."""
        return re.sub(r"\\(.)", lambda found: {"n": "\n", "N": "\n"}.get(found[1], found[1]), self.value)


@dataclass
class Component:
    """What stands between BEGIN and END."""

    name: str
    properties: list[Property] = field(default_factory=list)
    parts: list[Component] = field(default_factory=list)

    def all(self, name: str) -> list[Property]:
        return [p for p in self.properties if p.name == name]

    def __getitem__(self, name: str) -> Property:
        (only,) = self.all(name)
        return only


def unfold(feed: bytes) -> list[str]:
    """The content lines. Only for feeds without faults of form."""
    return feed.replace(b"\r\n ", b"").decode("utf-8").removesuffix("\r\n").split("\r\n")


def read(feed: bytes) -> Component:
    """The calendar as a tree; ValueError where lines cannot be read or BEGIN and END do not pair."""
    top = Component("")
    open_ = [top]
    for line in unfold(feed):
        found = CONTENT_LINE.fullmatch(line)
        if found is None:
            raise ValueError(f"no content line: {line!r}")
        name, parameters, value = found.groups()
        if name == "BEGIN":
            open_.append(Component(value))
            open_[-2].parts.append(open_[-1])
        elif name == "END":
            if open_.pop().name != value:
                raise ValueError(f"END:{value} without its BEGIN")
        else:
            open_[-1].properties.append(Property(name, parameters, value))
    if open_ != [top] or len(top.parts) != 1 or top.properties or top.parts[0].name != "VCALENDAR":
        raise ValueError("not one VCALENDAR")
    return top.parts[0]


def faults(feed: bytes, host: str) -> list[str]:
    """Everything that is wrong with a feed of ours; empty is good."""
    if form := list(_form(feed)):
        return form
    try:
        calendar = read(feed)
    except ValueError as error:
        return [str(error)]
    return [*_calendar(calendar), *(f for event in calendar.parts for f in _component(event, host))]


def _form(feed: bytes) -> Iterator[str]:
    """RFC 5545 3.1: octets and line ends."""
    if not feed.endswith(b"\r\n"):
        yield "does not end with CRLF"
    for line in feed.removesuffix(b"\r\n").split(b"\r\n"):
        if len(line) > 75:
            yield f"{len(line)} octets in a line: {line!r}"
        if not line.strip():
            yield "empty line"
        if re.search(rb"[\x00-\x08\x0a-\x1f\x7f]", line):
            yield f"control character or lone line end: {line!r}"
        try:
            line.decode("utf-8")
        except UnicodeDecodeError:
            yield f"cut inside a character, or not UTF-8: {line!r}"


def _calendar(calendar: Component) -> Iterator[str]:
    """RFC 5545 3.6 and 3.7, RFC 7986 5.1 and 5.7."""
    for name, number in Counter(p.name for p in calendar.properties).items():
        if name not in ONCE_A_CALENDAR or number > 1:
            yield f"{number} x {name} in the calendar"
    if missing := [name for name in ONCE_A_CALENDAR if not calendar.all(name)]:
        yield f"calendar without {missing}"
        return
    if calendar["VERSION"].value != "2.0":
        yield "not version 2.0"
    if calendar["NAME"].value != calendar["X-WR-CALNAME"].value or not TEXT.fullmatch(calendar["NAME"].value):
        yield "two names, or a name not escaped"
    refresh, hint = calendar["REFRESH-INTERVAL"], calendar["X-PUBLISHED-TTL"]
    if refresh.parameters != ";VALUE=DURATION" or not re.fullmatch(r"PT[1-9][0-9]*H", refresh.value):
        yield f"REFRESH-INTERVAL is no positive duration: {refresh}"
    if refresh.value != hint.value:
        yield "two refresh intervals"
    if not calendar.parts:
        yield "no component"
    uids = Counter(p.value for event in calendar.parts for p in event.all("UID"))
    yield from (f"UID twice: {uid}" for uid, number in uids.items() if number > 1)


def _component(event: Component, host: str) -> Iterator[str]:
    """RFC 5545 3.6.1: what an event must have, and may have."""
    if event.name == "VTIMEZONE":
        if not event.all("TZID") or not event.parts:
            yield "time zone without name or offset"
        return
    if event.name != "VEVENT" or event.parts:
        yield f"{event.name} with {event.parts}"
    numbers = Counter(p.name for p in event.properties)
    wrong = [n for n in ONCE if numbers[n] != 1] + [n for n in AT_MOST_ONCE if numbers[n] > 1]
    if wrong or set(numbers) - {*ONCE, *AT_MOST_ONCE}:
        yield f"not once, or not known: {wrong}, {sorted(set(numbers) - {*ONCE, *AT_MOST_ONCE})}"
    else:
        yield from _values(event, host)


def _values(event: Component, host: str) -> Iterator[str]:
    """The value types of RFC 5545 3.3, and the sets of values of 3.8."""
    uid = event["UID"].value
    if not re.fullmatch(r"[a-z0-9/-]+(\.[a-z0-9/-]+){3}@" + re.escape(host), uid) or re.search(r"[0-9]{8}", uid):
        yield f"UID is not season.place.protocol.kind@{host}: {uid}"
    for name in ("DTSTAMP", "LAST-MODIFIED"):
        if event[name].parameters or not _is_moment(event[name].value):
            yield f"{name} is no moment in UTC: {event[name]}"
    days = [_day(event[name].value) for name in ("DTSTART", "DTEND")]
    if None in days or any(event[name].parameters != ";VALUE=DATE" for name in ("DTSTART", "DTEND")):
        yield f"DTSTART or DTEND is not of type DATE: {event['DTSTART']}, {event['DTEND']}"
    elif days[0] >= days[1]:  # type: ignore[operator]
        yield f"DTEND not after DTSTART: {days}"
    if not re.fullmatch(r"[0-9]+", event["SEQUENCE"].value):
        yield f"SEQUENCE is no number: {event['SEQUENCE']}"
    if event["STATUS"].value not in ("TENTATIVE", "CONFIRMED", "CANCELLED"):
        yield f"unknown STATUS: {event['STATUS']}"
    if event["TRANSP"].value != "TRANSPARENT":
        yield "the day would show as busy"
    for name in ("SUMMARY", "DESCRIPTION"):
        if any(not TEXT.fullmatch(p.value) or not p.value for p in event.all(name)):
            yield f"{name} is empty or not escaped: {event[name]}"
    if any(not re.fullmatch(r"(\\[\\;,nN]|[^\\;])+", p.value) for p in event.all("CATEGORIES")):
        yield f"CATEGORIES is empty or not escaped: {event['CATEGORIES']}"
    if any(not re.fullmatch(r"https?://[!-~]+", p.value) for p in event.all("URL")):
        yield f"URL is no address: {event['URL']}"


def _day(value: str) -> date | None:
    try:
        return datetime.strptime(value, "%Y%m%d").date() if re.fullmatch(r"[0-9]{8}", value) else None
    except ValueError:
        return None


def _is_moment(value: str) -> bool:
    found = re.fullmatch(r"([0-9]{8})T([01][0-9]|2[0-3])[0-5][0-9][0-5][0-9]Z", value)
    return found is not None and _day(found[1]) is not None
