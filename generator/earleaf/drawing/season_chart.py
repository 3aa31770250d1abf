"""The season chart: when each stage and each sampling window of a planting comes, one row a planting, dark = sample.

Geometry only: words come from the view, dates from the forecast. Same input, same bytes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Literal

from ..planning.season import PlantingDates, Spread, WindowDates
from .season_bars import Scale
from .season_rows import Form, Place, draw_row
from .season_sheet import Sheet
from .season_text import Span, free, inside, widest, wrap

Mark = Literal["start", "stage", "sample", "perhaps", "bracket", "open", "visit", "weekend", "closed"]
KEY_LAYERS: dict[Mark, tuple[str, ...]] = {
    "start": ("start",),
    "stage": ("band", "loose"),
    "sample": ("bar",),
    "perhaps": ("fade1",),
    "bracket": ("hatched",),
    "open": ("arrow",),
    "visit": ("visit",),
    "weekend": ("weekend",),
    "closed": ("closed",),
}
"""The marks a key may explain, in its order, with the layers that show them."""
NARROW = Form(wide=360, left=10, right=350, room=(6, 354), gutter=None, size=12, bars=(11, 8, 5.5, 3.5), band=7)
WIDE = Form(wide=900, left=184, right=888, room=(180, 894), gutter=(6, 166), size=15, bars=(14, 10.5, 7, 4.5), band=9)
SHORT_SEASON = 100
"""Weekends are shown on charts of fewer days."""
SWATCH = 26.0


@dataclass(frozen=True)
class ChartRow:
    """One planting: its heading, its dates, the days proposed for a visit as (protocol, day), and a line under it.

    Codes of stages and titles of windows are printed as they stand.
    """

    label: str
    planting: PlantingDates
    visits: tuple[tuple[str, date], ...] = ()
    note: str = ""


@dataclass(frozen=True)
class ChartWords:
    """The words of one chart in one language. What is empty is left out.

    `months` are twelve names, short ones fit best. `today` names today, or the last day that is known, with its date.
    `watch` has a place {name} for the title of a window that no date is known for. `empty` is said where there is no
    row. `key` explains marks; only marks that the chart has are shown.
    """

    months: tuple[str, ...]
    today: str = ""
    watch: str = ""
    empty: str = ""
    key: Mapping[Mark, str] = field(default_factory=dict)


def season_chart(
    rows: Sequence[ChartRow],
    *,
    first: date,
    last: date,
    words: ChartWords,
    today: date | None = None,
    closed: Sequence[tuple[date, date]] = (),
    title: str,
    description: str,
    ident: str,
    wide: bool,
) -> str:
    """SVG of one chart from `first` to `last`, 900 units wide or 360 for a phone; letters of 15 or 12 units.

    `closed` are the days the lab takes nothing in, as (first, last). `ident` makes the ids of this chart its own. A bar
    runs from the start of its first day to the end of its last, a tick is in the middle of its day. What lies outside
    is cut, with an arrow: `span_of` tells which dates are needed.
    ValueError for dates that are not in order, for a visit to an unknown window, and if there are not twelve months.
    """
    _check(rows, first, last, words, closed)
    form = WIDE if wide else NARROW
    scale = Scale(first, last, form.left, form.right)
    sheet = Sheet(ident, form.size)
    shown = today if today is not None and first <= today <= last else None
    top = _head(sheet, form, scale, words, shown)
    y = top
    for n, row in enumerate(rows):
        if n:
            sheet.path("rule", "M", 0.0, y, "H", float(form.wide))
        watch = [words.watch.replace("{name}", w.title) for w in row.planting.windows] if words.watch else []
        y = draw_row(sheet, form, scale, Place(y, row.label, row.planting, row.visits, tuple(watch), row.note))
    if not rows:
        y = _empty(sheet, form, words.empty, y)
    _days(sheet, scale, closed, top, y)
    if shown is not None:
        sheet.down(("today-edge", "today"), scale.at(shown, 0.5), form.line + 2, y)
    y = _months(sheet, form, scale, words, y + 6 + form.size) + 6
    y = _key(sheet, form, words.key, y)
    return sheet.svg(form.wide, y + 4, title, description)


def _check(
    rows: Sequence[ChartRow], first: date, last: date, words: ChartWords, closed: Sequence[tuple[date, date]]
) -> None:
    if last < first:
        raise ValueError(f"the chart ends on {last}, before it begins on {first}")
    if len(words.months) != 12:
        raise ValueError(f"twelve months are needed, not {len(words.months)}")
    for a, b in closed:
        if b < a:
            raise ValueError(f"the lab opens on {b}, before it closes on {a}")
    for row in rows:
        known = {w.protocol for w in row.planting.windows}
        if unknown := sorted({p for p, _ in row.visits} - known):
            raise ValueError(f"a visit to a window that the row does not have: {', '.join(unknown)}")


def span_of(rows: Sequence[ChartRow]) -> tuple[date, date] | None:
    """The first and the last date of all rows, for the `first` and `last` of a chart; None if there is none."""
    spreads: list[Spread] = [s.spread for row in rows for s in row.planting.stages]
    windows: list[WindowDates] = [w for row in rows for w in row.planting.windows]
    spreads += [end for w in windows for end in (w.opens, w.closes) if end is not None]
    dates = [d for s in spreads for d in (s.p10, s.p50, s.p90) if d is not None]
    dates += [row.planting.start for row in rows if row.planting.start_event == "planting"]
    return (min(dates), max(dates)) if dates else None


def _head(sheet: Sheet, form: Form, scale: Scale, words: ChartWords, today: date | None) -> float:
    """Years and today, months, numbers of the Mondays, ticks of the weeks; returns where the rows begin."""
    y = _today(sheet, form, scale, words.today if today is not None else "", today)
    y = _months(sheet, form, scale, words, y + form.line)
    mondays = [d for d in _every(scale) if d.weekday() == 0]
    half = sheet.width("00") / 2
    if 7 * scale.unit >= 2 * half + 8:
        y += form.line
        for day in mondays:
            if scale.at(day) - half >= form.room[0] and scale.at(day) + half <= form.room[1]:
                sheet.text("quiet", scale.at(day), y, str(day.day), "middle")
    y += 10
    for day in mondays:
        sheet.path("week", "M", scale.at(day), y - 5, "v", 5.0)
    sheet.path("week", "M", scale.left, y, "H", scale.right)
    return y


def _today(sheet: Sheet, form: Form, scale: Scale, text: str, today: date | None) -> float:
    """Years, and today over its day: on one line where both fit; returns the foot of the last line."""
    y = form.line - 2
    years = [(d.year, scale.at(d), scale.at(d) + sheet.width(str(d.year))) for d in _years(scale)]
    years = [year for n, year in enumerate(years) if year[2] <= form.room[1] and (not n or year[1] > years[0][2] + 6)]
    if today is not None and text:
        lines = wrap(text, form.size, form.room[1] - form.room[0], bold=True)
        half = widest(lines, form.size, bold=True) / 2
        span = inside((scale.at(today, 0.5) - half, scale.at(today, 0.5) + half), form.room)
        sheet.lines("heading", (span[0] + span[1]) / 2, y, lines, form.line, "middle")
        clear = free(span, [(a, z) for _, a, z in years], 5)
        y += form.line * (len(lines) - (1 if clear else 0))
    for number, left, _ in years:
        sheet.text("quiet", left, y, str(number))
    return y


def _every(scale: Scale) -> Iterator[date]:
    return (scale.first + timedelta(days=n) for n in range(scale.days))


def _years(scale: Scale) -> list[date]:
    """Where a year is named: the first day of the chart, and each New Year's Day inside."""
    return [scale.first, *(d for d in _firsts(scale) if d.month == 1 and d != scale.first)]


def _firsts(scale: Scale) -> list[date]:
    """The first days of months inside the chart."""
    return [d for d in _every(scale) if d.day == 1]


def _months(sheet: Sheet, form: Form, scale: Scale, words: ChartWords, y: float) -> float:
    """Names of the months, each from its first day on; a piece of a month is named only where there is room."""
    firsts = _firsts(scale)
    taken: list[Span] = []
    for day in [*firsts, *([] if scale.first in firsts else [scale.first])]:
        name = words.months[day.month - 1]
        span = (scale.at(day) + 2, scale.at(day) + 2 + sheet.width(name, "heading"))
        if free(span, taken, 2) and span[1] <= form.room[1]:
            sheet.text("heading", span[0], y, name)
            taken.append(span)
    return y


def _days(sheet: Sheet, scale: Scale, closed: Sequence[tuple[date, date]], top: float, bottom: float) -> None:
    """What runs through all rows: weekends of a short season, days the lab is closed, lines between months."""
    if scale.days < SHORT_SEASON:
        for day in _every(scale):
            if day.weekday() == 5 or (day == scale.first and day.weekday() == 6):
                end = min(day + timedelta(days=6 - day.weekday()), scale.last)
                sheet.rect("weekend", (scale.at(day), scale.at(end, 1)), top, bottom - top)
    for a, b in sorted(closed):
        if a <= scale.last and b >= scale.first:
            sheet.rect("closed", (scale.clip(scale.at(a)), scale.clip(scale.at(b, 1))), top, bottom - top)
    for day in _firsts(scale):
        sheet.path("rule", "M", scale.at(day), top, "V", bottom + 6)
    sheet.path("week", "M", scale.left, bottom, "H", scale.right)


def _empty(sheet: Sheet, form: Form, text: str, y: float) -> float:
    """What is said where there is no row."""
    lines = wrap(text, form.size, form.room[1] - form.room[0])
    sheet.lines("words", form.room[0], y + form.line, lines, form.line)
    return y + form.line * (len(lines) + 1)


def _key(sheet: Sheet, form: Form, key: Mapping[Mark, str], y: float) -> float:
    """What the marks on the chart mean, in as few lines as they fit; returns the foot."""
    used = [m for m, layers in KEY_LAYERS.items() if key.get(m) and any(sheet.marks[name] for name in layers)]
    left, right = 6.0, form.room[1]
    x, high = left, 0
    for mark in used:
        lines = wrap(key[mark], form.size, right - left - SWATCH - 6)
        wide = SWATCH + 6 + widest(lines, form.size)
        if x > left and x + wide > right:
            x, y, high = left, y + high * form.line + 4, 0
        _swatch(sheet, form, mark, x, y)
        sheet.lines("words", x + SWATCH + 6, y + form.size, lines, form.line)
        x, high = x + wide + 16, max(high, len(lines))
    return y + high * form.line


def _swatch(sheet: Sheet, form: Form, mark: Mark, x: float, y: float) -> None:
    """A small picture of one mark, its top at y."""
    middle, span = y + form.size * 0.62, (x, x + SWATCH)
    high = form.bars[0]
    if mark == "start":
        sheet.circle("start", x + SWATCH / 2, middle, 3.2)
    elif mark == "stage":
        sheet.rect("band", span, middle - form.band / 2, form.band)
        sheet.path("tick", "M", x + SWATCH / 2, middle - form.band / 2 - 1.5, "v", form.band + 3)
    elif mark == "sample":
        sheet.rect("bar", span, middle - high / 2, high)
    elif mark == "perhaps":
        for k in (3, 2, 1):
            sheet.rect(f"fade{k}", (x + SWATCH * (1 - k / 3), x + SWATCH), middle - form.bars[k] / 2, form.bars[k])
    elif mark == "bracket":
        sheet.rect("hatched", (x + 0.7, x + SWATCH - 0.7), middle - high / 2, high)
    elif mark == "open":
        sheet.path("arrow", "M", x + SWATCH / 2, middle - 4.5, "l", 4.5, 4.5, "l", -4.5, 4.5)
    elif mark == "visit":
        sheet.path("visit", *form.diamond(x + SWATCH / 2, middle))
    else:
        sheet.rect(mark, span, middle - high / 2, high)
        sheet.path("rule", "M", x, middle - high / 2, "h", SWATCH, "v", high, "h", -SWATCH, "Z")
