"""From dates to places along the season chart: stage bands, sampling bars with their fading ends, open ends."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import inf

from ..planning.season import Spread, WindowDates
from .season_text import Span

STEPS = 3
"""Steps of lightness between the likely dates of a window and the far ones."""
STUB = (6.0, 12.0, 18.0, 24.0)
"""How far a bar goes on where its end is not known: its dark part and each step. No date is meant."""
TIP = 4.0
"""Room of the arrow after the stub."""


@dataclass(frozen=True)
class Scale:
    """Days along a line. A day takes `unit`; its place is where it begins."""

    first: date
    last: date
    left: float
    right: float

    @property
    def unit(self) -> float:
        return (self.right - self.left) / self.days

    @property
    def days(self) -> int:
        return (self.last - self.first).days + 1

    def at(self, day: date, part: float = 0.0) -> float:
        """Where a day begins; with part 0.5 its middle, with 1 its end. Not held inside the chart."""
        return self.left + ((day - self.first).days + part) * self.unit

    def holds(self, x: float) -> bool:
        return self.left <= x <= self.right

    def clip(self, x: float) -> float:
        return max(self.left, min(self.right, x))


@dataclass(frozen=True)
class Band:
    """One stage: from p10 to p90, `tick` at the middle of the day of p50 (None: no such date). `open`: p90 unknown."""

    span: Span
    tick: float | None
    open: bool


@dataclass(frozen=True)
class Bar:
    """One sampling window. `steps` lie on each other, dark first; `hatched` is what no date is known for.

    `arrows` are the places and directions (-1 left, 1 right) of ends that are not known or lie outside the chart.
    """

    span: Span
    steps: tuple[Span, ...] = ()
    hatched: tuple[Span, ...] = ()
    arrows: tuple[tuple[float, int], ...] = ()


@dataclass(frozen=True)
class _End:
    """One end of a window: `edges` of the dark part and of each step, outwards; `bracket` where there is no p50."""

    edges: tuple[float, ...]
    bracket: Span | None = None
    open: bool = False


def check(spread: Spread) -> None:
    """ValueError if the dates of a spread are not in order."""
    dates = [d for d in (spread.p10, spread.p50, spread.p90) if d is not None]
    if dates != sorted(dates):
        raise ValueError(f"p10, p50 and p90 are not in order: {', '.join(map(str, dates))}")


def band(spread: Spread, scale: Scale) -> Band | None:
    """The band of a stage, or None where no date is known or all lie outside the chart."""
    check(spread)
    dates = [d for d in (spread.p10, spread.p50, spread.p90) if d is not None]
    if not dates or dates[0] > scale.last or dates[-1] < scale.first:
        return None
    left, right = scale.at(dates[0]), scale.at(dates[-1], 1)
    is_open = spread.p90 is None
    tick = scale.at(spread.p50, 0.5) if spread.p50 else None
    if is_open:
        right += STUB[1]
    return Band(
        (scale.clip(left), scale.clip(right)),
        tick if tick is not None and scale.holds(tick) else None,
        is_open or right > scale.right + 0.01,
    )


def bar(window: WindowDates, scale: Scale, thin: float) -> Bar | None:
    """The bar of a window, at least `thin` wide, or None where neither end is known."""
    opens, closes = _end(window.opens, scale, -1), _end(window.closes, scale, 1)
    if window.open_end and closes is not None:
        closes = _stays_open(closes)
    if opens is None and closes is None:
        return None
    if opens is None:
        opens = _unknown(closes, -1)
    elif closes is None:
        closes = _unknown(opens, 1)
    assert opens is not None and closes is not None
    spans, hatched = _parts(opens, closes, thin)
    every = [*spans, *hatched]
    left, right = min(a for a, _ in every), max(b for _, b in every)
    arrows = _arrows((left, right), opens.open, closes.open, scale)
    outer = (scale.clip(left), scale.clip(right))
    for x, way in arrows:
        outer = (min(outer[0], x - TIP), outer[1]) if way < 0 else (outer[0], max(outer[1], x + TIP))
    return Bar(outer, _clipped(spans, scale), _clipped(hatched, scale), tuple(arrows))


def _arrows(span: Span, open_left: bool, open_right: bool, scale: Scale) -> list[tuple[float, int]]:
    """Arrows at the ends that are not known, and where a bar leaves the chart."""
    left, right = span
    if left >= scale.right:
        return [(scale.right, 1)]
    if right <= scale.left:
        return [(scale.left, -1)]
    arrows = []
    if open_left or left < scale.left - 0.01:
        arrows.append((max(scale.left, left), -1))
    if open_right or right > scale.right + 0.01:
        arrows.append((min(scale.right, right), 1))
    return arrows


def _end(spread: Spread | None, scale: Scale, way: int) -> _End | None:
    """One end; `way` is -1 for the opening and 1 for the closing."""
    if spread is None or spread.p10 is None:
        return None
    check(spread)
    part = 1.0 if way > 0 else 0.0
    p10 = scale.at(spread.p10, part)
    p90 = scale.at(spread.p90, part) if spread.p90 else None
    if spread.p50 is None:
        far = p10 + STUB[-1] if p90 is None else p90
        inner = p10 if way > 0 else inf if p90 is None else far
        return _End((inner,) * (STEPS + 1), (p10, far), way > 0 and p90 is None)
    p50 = scale.at(spread.p50, part)
    outer = p10 if way < 0 else p90
    if outer is None:
        return _End(tuple(p50 + s for s in (0.0, *STUB[:STEPS])), None, True)
    return _End(tuple(p50 + (outer - p50) * k / STEPS for k in range(STEPS + 1)))


def _stays_open(closes: _End) -> _End:
    """The closing of a window that stays open for some time after its last date."""
    if closes.open:
        return closes
    if closes.bracket is not None:
        return _End(closes.edges, (closes.bracket[0], closes.bracket[1] + STUB[1]), True)
    return _End(tuple(e + s for e, s in zip(closes.edges, (0.0, *STUB), strict=False)), None, True)


def _unknown(other: _End | None, way: int) -> _End:
    """The end nothing is known of: a short open piece from the end that is known."""
    assert other is not None
    start = other.edges[0] if other.bracket is None else other.bracket[1 if way > 0 else 0]
    edges = tuple(start + way * s for s in STUB)
    if other.bracket is None:
        return _End(edges, None, True)
    span = (start, edges[1]) if way > 0 else (edges[1], start)
    return _End(edges, span, True)


def _parts(opens: _End, closes: _End, thin: float) -> tuple[list[Span], list[Span]]:
    """The dark part with its steps, and the hatched parts."""
    brackets = [end.bracket for end in (opens, closes) if end.bracket is not None]
    dark = (opens.edges[0], closes.edges[0])
    if len(brackets) == 2 or dark[0] >= dark[1]:
        ends = [x for end in (opens, closes) for x in (end.bracket or end.edges)]
        return [], [_wide((min(ends), max(ends)), thin)]
    steps = [(opens.edges[k], closes.edges[k]) for k in range(STEPS + 1)]
    return [_wide(span, thin) for span in steps], [_wide(b, thin) for b in brackets]


def _wide(span: Span, thin: float) -> Span:
    """The span about its middle, at least `thin` wide."""
    more = max(0.0, thin - (span[1] - span[0])) / 2
    return span[0] - more, span[1] + more


def _clipped(spans: list[Span], scale: Scale) -> tuple[Span, ...]:
    """What of the spans lies inside the chart."""
    return tuple((scale.clip(a), scale.clip(b)) for a, b in spans if b > scale.left and a < scale.right)
