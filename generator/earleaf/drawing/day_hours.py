"""The hours of the day over a season: night hatched, cool mornings dark, one column for each half month.

Geometry only: words come from the view, hours from the planning. Same input, same bytes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from ..planning.cool_hours import HalfMonth
from .season_sheet import Sheet
from .season_text import Span, widest, wrap

DAY_H = 24
SWATCH = 26.0


@dataclass(frozen=True)
class HoursWords:
    """The words of one picture: twelve short names of months, and what the marks mean."""

    months: tuple[str, ...]
    night: str
    cool: str
    perhaps: str
    warm: str


@dataclass(frozen=True)
class _Form:
    """The places of one picture: its width, the box of the hours, the height of letters and of an hour."""

    wide: int
    left: float
    right: float
    size: float
    hour: float
    every: int

    @property
    def top(self) -> float:
        return self.size * 1.6


NARROW = _Form(wide=360, left=34, right=354, size=12, hour=11, every=3)
WIDE = _Form(wide=720, left=42, right=712, size=14, hour=13, every=2)


def day_hours(
    halves: Sequence[HalfMonth], *, words: HoursWords, title: str, description: str, ident: str, wide: bool
) -> str:
    """SVG of one season, 720 units wide or 360 for a phone. `ident` makes the ids of this picture its own.

    ValueError without a half month. Where the sun stays up or down a column is all day or all night.
    """
    if not halves:
        raise ValueError("a picture of no days cannot be drawn")
    form = WIDE if wide else NARROW
    sheet = Sheet(ident, form.size)
    first, days = halves[0].first, (halves[-1].last - halves[0].first).days + 1

    def at(day: date) -> float:
        return form.left + (day - first).days / days * (form.right - form.left)

    for half in halves:
        span = (at(half.first), at(half.last + timedelta(days=1)))
        for mark, start, end in _spans(half):
            sheet.rect(mark, span, form.top + start * form.hour, (end - start) * form.hour)
    foot = form.top + DAY_H * form.hour
    _hours(sheet, form)
    _months(sheet, form, words, [(at(day), day) for day in _firsts(first, days)], foot)
    y = _key(sheet, form, words, foot + form.size)
    return sheet.svg(form.wide, y + 4, title, description)


def _spans(half: HalfMonth) -> Iterator[tuple[str, float, float]]:
    """(layer, from, to) of one day, in hours of its clocks from 0 to 24; a night may begin after midnight."""
    if half.sunrise_h is None or half.sunset_h is None:
        if half.day_length_h == 0:
            yield "closed", 0.0, float(DAY_H)
        return
    rise, sets = half.sunrise_h, half.sunset_h
    yield from _pieces("closed", sets - DAY_H, rise)
    if half.warm_h:
        yield from _pieces("bar", rise, half.warm_h[0])
        yield from _pieces("fade2", half.warm_h[0], half.warm_h[-1])
    yield from _pieces("closed", sets, rise + DAY_H)


def _pieces(layer: str, start: float, end: float) -> Iterator[tuple[str, float, float]]:
    """A span cut to the day."""
    first, last = max(0.0, start), min(float(DAY_H), end)
    if last > first:
        yield layer, first, last


def _firsts(first: date, days: int) -> list[date]:
    """The first days of months in the season."""
    return [day for n in range(days) if (day := first + timedelta(days=n)).day == 1]


def _hours(sheet: Sheet, form: _Form) -> None:
    """Lines across and the numbers of the hours."""
    for hour in range(0, DAY_H + 1, form.every):
        y = form.top + hour * form.hour
        sheet.path("rule", "M", form.left, y, "H", form.right)
        sheet.text("quiet", form.left - 5, y + form.size * 0.35, f"{hour}", "end")
    for side in (form.left, form.right):
        sheet.path("week", "M", side, form.top, "V", form.top + DAY_H * form.hour)


def _months(sheet: Sheet, form: _Form, words: HoursWords, firsts: list[tuple[float, date]], foot: float) -> None:
    """Names of the months over their days, first letters where a name is too long, and a line where each begins."""
    ends = [*(x for x, _ in firsts), form.right][1:] if firsts else []
    widths = [sheet.width(words.months[day.month - 1], "heading") for _, day in firsts]
    short = any(width > end - x for (x, _), end, width in zip(firsts, ends, widths, strict=True) if end < form.right)
    for (x, day), end in zip(firsts, ends, strict=True):
        if x > form.left:
            sheet.path("rule", "M", x, form.top, "V", foot)
        name = words.months[day.month - 1][: 1 if short else None]
        if sheet.width(name, "heading") <= end - x:
            sheet.text("heading", (x + end) / 2, form.top - form.size * 0.5, name, "middle")


def _key(sheet: Sheet, form: _Form, words: HoursWords, y: float) -> float:
    """What the marks mean, in as few lines as they fit; returns the foot."""
    line = form.size * 1.3
    x, high = 6.0, 0
    for mark, text in (("closed", words.night), ("bar", words.cool), ("fade2", words.perhaps), ("", words.warm)):
        lines = wrap(text, form.size, form.right - 6 - SWATCH - 6)
        wide = SWATCH + 6 + widest(lines, form.size)
        if x > 6.0 and x + wide > form.right:
            x, y, high = 6.0, y + high * line + 4, 0
        span: Span = (x, x + SWATCH)
        if mark:
            sheet.rect(mark, span, y, form.size)
        sheet.path("week", "M", x, y, "h", SWATCH, "v", form.size, "h", -SWATCH, "Z")
        sheet.lines("words", x + SWATCH + 6, y + form.size * 0.85, lines, line)
        x, high = x + wide + 16, max(high, len(lines))
    return y + high * line
