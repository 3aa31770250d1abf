"""One row of the season chart: heading, stage bands with their codes, sampling bars with their names."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from ..planning.season import PlantingDates, Spread, StageDates, WindowDates
from .season_bars import Band, Bar, Scale, band, bar
from .season_sheet import SHIFT, Anchor, Sheet
from .season_text import Span, free, inside, pack, widest, wrap

LANES, MOST_LANES = 3, 4
"""Bands of all stages lie on so many lanes at most; else only those with a code are shown, on one lane more."""
CODE_LINES = 2
THIN = 3.0
"""A bar is never thinner than this, however short the window."""


@dataclass(frozen=True)
class Form:
    """Measures of one size of chart. `gutter` is where headings stand; None: above their row."""

    wide: int
    left: float
    right: float
    room: Span
    gutter: Span | None
    size: float
    bars: tuple[float, ...]
    band: float

    @property
    def line(self) -> float:
        """From one line of text to the next."""
        return self.size + 2.5

    def diamond(self, x: float, y: float) -> tuple[float | str, ...]:
        """The mark of a visit about a point."""
        half = self.bars[0] / 2 - 0.5
        return ("M", x, y - half, "l", half, half, -half, half, -half, -half, "Z")


@dataclass(frozen=True)
class Place:
    """What stands in one row whose top is at y. `watch` is said of a window that has no bar; in order of windows."""

    y: float
    label: str
    planting: PlantingDates
    visits: tuple[tuple[str, date], ...]
    watch: tuple[str, ...]
    note: str


@dataclass(frozen=True)
class _Named:
    """A bar with the lines of its name, and where these may stand: (span of both, x, anchor, under the bar)."""

    window: WindowDates
    bar: Bar
    lines: list[str]
    places: list[tuple[Span, float, Anchor, bool]]


def draw_row(sheet: Sheet, form: Form, scale: Scale, row: Place) -> float:
    """Draw one row; returns its foot."""
    room = form.gutter or form.room
    heading = wrap(row.label, form.size, room[1] - room[0], bold=True)
    y = row.y + 7
    sheet.lines("heading", room[0], y + form.size - 1, heading, form.line)
    foot = y + form.line * len(heading)
    if form.gutter is None:
        y = foot + 1
    y = _stages(sheet, form, scale, row.planting, y)
    found = [(window, bar(window, scale, THIN)) for window in row.planting.windows]
    y = _windows(sheet, form, scale, [(w, b) for w, b in found if b is not None], row.visits, y)
    watch = [text for text, (_, b) in zip(row.watch, found, strict=False) if b is None]
    for text in [*watch, *([row.note] if row.note else [])]:
        lines = wrap(text, form.size, form.room[1] - form.room[0])
        sheet.lines("words", form.room[0], y + form.size, lines, form.line)
        y += form.line * len(lines) + 2
    return max(y, foot) + 7


def _stages(sheet: Sheet, form: Form, scale: Scale, planting: PlantingDates, y: float) -> float:
    """Bands of the stages over a line of time, codes above them; returns the foot.

    Where bands would need more than three lanes, a stage whose code does not fit is a short tick on the line only.
    """
    bands = [(s, b) for s in planting.stages if (b := band(s.spread, scale)) is not None]
    begun = planting.start_event == "planting" and scale.first <= planting.start <= scale.last
    if not bands and not begun:
        return y
    codes = _codes(sheet, form, bands, _ends(planting))
    shown = list(range(len(bands)))
    lanes = pack([[bands[k][1].span] for k in shown], 1)
    if max((n for n, _ in lanes), default=0) >= LANES:
        shown = sorted(codes)
        lanes = pack([[bands[k][1].span] for k in shown], 1)
    top = y + form.line * (max((line for line, *_ in codes.values()), default=-1) + 1) + 2
    step = form.band + 2.5
    for k, (lane, _) in zip(shown, lanes, strict=True):
        here = top + lane % MOST_LANES * step
        _band(sheet, form, bands[k][1], here)
        if k in codes:
            _code(sheet, form, codes[k], bands[k][1].tick, top - 2, here - 1.5)
    ground = top + (max((lane % MOST_LANES for lane, _ in lanes), default=-1) + 1) * step + 1.5
    for k, (_, b) in enumerate(bands):
        if k not in shown and b.tick is not None:
            sheet.path("tick", "M", b.tick, ground - 3, "v", 3.0)
    spots = [x for _, b in bands for x in b.span] + ([scale.at(planting.start, 0.5)] if begun else [])
    sheet.path("ground", "M", min(spots), ground, "H", max(spots))
    if begun:
        sheet.circle("start", scale.at(planting.start, 0.5), ground, 3.2)
    return ground + 7


def _dates(spread: Spread | None, days: int = 0) -> tuple[date | None, ...]:
    """The three dates of a spread, so many days later."""
    found = (spread.p10, spread.p50, spread.p90) if spread else ()
    return tuple(day + timedelta(days=days) if day else None for day in found)


def _ends(planting: PlantingDates) -> set[tuple[date | None, ...]]:
    """The dates of stages with which windows open, or before which they close: their codes come before others."""
    opens = {_dates(w.opens) for w in planting.windows}
    return opens | {_dates(w.closes, 0 if w.open_end else 1) for w in planting.windows}


def _code(sheet: Sheet, form: Form, code: tuple[int, float, str], tick: float | None, foot: float, to: float) -> None:
    """A code above the bands, with a thin line down to its tick where that is not next to it."""
    line, x, text = code
    base = foot - 2 - line * form.line
    sheet.text("words", x, base, text, "middle")
    if tick is not None and to > foot - line * form.line + 2:
        sheet.path("leader", "M", tick, base + form.size * 0.25, "V", to)


def _band(sheet: Sheet, form: Form, b: Band, y: float) -> None:
    """One stage: a pale box, a tick at its likely day; dashed where no day is likely; an arrow where it may go on."""
    sheet.rect("loose" if b.tick is None else "band", b.span, y, form.band)
    if b.tick is not None:
        sheet.path("tick", "M", b.tick, y - 1.5, "v", form.band + 3)
    if b.open:
        sheet.path("later", "M", b.span[1] + 1, y, "l", form.band / 2, form.band / 2, -form.band / 2, form.band / 2)


def _codes(
    sheet: Sheet, form: Form, bands: list[tuple[StageDates, Band]], ends: set[tuple[date | None, ...]]
) -> dict[int, tuple[int, float, str]]:
    """Codes that fit, by place in `bands`: (line above the bands, middle, code). First, last and `ends` come first.

    A code on the second line has a thin line down to its tick. Without a tick there is no such line: it stays on the
    first.
    """
    taken: list[list[Span]] = [[] for _ in range(CODE_LINES)]
    out: dict[int, tuple[int, float, str]] = {}
    first = [k for k, (stage, _) in enumerate(bands) if k in (0, len(bands) - 1) or _dates(stage.spread) in ends]
    order = list(dict.fromkeys([*first, *range(len(bands))]))
    for k in order:
        stage, b = bands[k]
        middle = (b.span[0] + b.span[1]) / 2 if b.tick is None else b.tick
        half = sheet.width(stage.code) / 2
        if 2 * half > form.room[1] - form.room[0]:
            continue
        span = inside((middle - half, middle + half), form.room)
        for line in range(1 if b.tick is None else CODE_LINES):
            stem = (middle - 1, middle + 1)
            if free(span, taken[line], 5) and all(free(stem, taken[n], 2) for n in range(line)):
                taken[line].append(span)
                for n in range(line):
                    taken[n].append(stem)
                out[k] = (line, (span[0] + span[1]) / 2, stage.code)
                break
    return out


def _windows(
    sheet: Sheet,
    form: Form,
    scale: Scale,
    found: list[tuple[WindowDates, Bar]],
    visits: tuple[tuple[str, date], ...],
    y: float,
) -> float:
    """Sampling bars on as few lanes as keep bars and names apart; returns the foot."""
    named = [_named(form, w, b) for w, b in found]
    lanes = pack([[span for span, *_ in item.places] for item in named], 9)
    for lane in range(max((n + 1 for n, _ in lanes), default=0)):
        here = [(item, item.places[k]) for item, (n, k) in zip(named, lanes, strict=True) if n == lane]
        foot = y + max(form.bars[0], form.size)
        middle = y + form.bars[0] / 2
        for item, (_, x, anchor, under) in here:
            _bar(sheet, form, item.bar, middle)
            first = y + form.bars[0] + form.size if under else middle + form.size * 0.35
            sheet.lines("words", x, first, item.lines, form.line, anchor)
            foot = max(foot, first + form.line * (len(item.lines) - 1) + 3)
            for day in sorted({d for p, d in visits if p == item.window.protocol}):
                if scale.first <= day <= scale.last:
                    sheet.path("visit", *form.diamond(scale.at(day, 0.5), middle))
        y = foot + 5
    return y


def _named(form: Form, window: WindowDates, b: Bar) -> _Named:
    """A bar and the places of its name: beside it where headings stand aside and one line fits, else under it."""
    room = form.room
    lines = wrap(window.title, form.size, room[1] - room[0])
    wide = widest(lines, form.size)
    places: list[tuple[Span, float, Anchor, bool]] = []

    def add(x: float, anchor: Anchor, under: bool) -> None:
        left = x - wide * SHIFT[anchor]
        if left >= room[0] - 0.01 and left + wide <= room[1] + 0.01:
            places.append(((min(left, b.span[0]), max(left + wide, b.span[1])), x, anchor, under))

    if form.gutter is not None and len(lines) == 1:
        add(b.span[1] + 7, "start", False)
        add(b.span[0] - 7, "end", False)
    if not places:
        dark = b.steps[0] if b.steps else b.span
        add(dark[0], "start", True)
        add(b.span[1], "end", True)
        add(inside((dark[0], dark[0] + wide), room)[0], "start", True)
    return _Named(window, b, lines, places)


def _bar(sheet: Sheet, form: Form, b: Bar, middle: float) -> None:
    """One bar about a height: the steps from the palest, the dark part over them, hatching, arrows."""
    for k, span in reversed(list(enumerate(b.steps))):
        sheet.rect(f"fade{k}" if k else "bar", span, middle - form.bars[k] / 2, form.bars[k])
    for a, z in b.hatched:
        sheet.rect("hatched", (a + 0.6, max(a + 1.2, z - 0.6)), middle - form.bars[0] / 2 + 0.6, form.bars[0] - 1.2)
    for x, way in b.arrows:
        sheet.path("arrow", "M", x, middle - 4.5, "l", 4.5 * way, 4.5, -4.5 * way, 4.5)
