"""The season chart: marks stand on their dates, dark is what to do, what nobody dates is not drawn as dated."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

import earleaf
from earleaf.drawing.season_chart import KEY_LAYERS, ChartRow, ChartWords, season_chart, span_of
from earleaf.drawing.season_sheet import FADES, LAYERS, NOTE, RULE
from earleaf.drawing.season_text import pack, width, wrap
from earleaf.planning.season import PlantingDates, Spread, StageDates, WindowDates

FONTS = Path(earleaf.__file__).parent / "rendering/paper/fonts"
SVG = "{http://www.w3.org/2000/svg}"
FIRST, LAST = date(2027, 4, 1), date(2027, 10, 20)
PLOT = {False: (10.0, 350.0), True: (184.0, 888.0)}
"""Where the first day begins and the last day ends, on a phone and wide."""
KEY: dict[Any, str] = {mark: f"what {mark} means" for mark in KEY_LAYERS}
ENGLISH = ChartWords(
    ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
    "today, 25 May",
    "Watch the crop: {name}",
    "No planting dates yet.",
    KEY,
)
LONG = ChartWords(
    (
        *("enero", "febrero", "marzo", "abril", "mayo", "junio"),
        *("julio", "agosto", "septiembre", "octubre", "noviembre", "diciembre"),
    ),
    "hoy, martes 25 de mayo de 2027",
    "Vigile el cultivo, nadie publica una fecha para esto: {name}",
    "Todavía no hay ninguna fecha de siembra para este cultivo en esta región.",
    {mark: f"{text}, dicho en un idioma que necesita muchas más palabras" for mark, text in KEY.items()},
)
Box = tuple[float, float, float, float]


def spread(p50: date, before: int = 5, after: int = 6) -> Spread:
    return Spread(p50 - timedelta(before), p50, p50 + timedelta(after), 0, 17)


def bracket(p10: date, p90: date) -> Spread:
    return Spread(p10, None, p90, 0, 17)


def window(name: str, opens: Spread | None, closes: Spread | None, *, open_end: bool = False) -> WindowDates:
    return WindowDates(name.split()[0], name, "", opens, closes, "yes", open_end)


def planting(
    start: date, stages: Sequence[tuple[str, Spread]] = (), windows: Sequence[WindowDates] = ()
) -> PlantingDates:
    found = tuple(StageDates(code, code, s) for code, s in stages)
    return PlantingDates("corn", "m", "", start, "planting", found, tuple(windows))


def corn(start: date, *, longer: bool = False) -> ChartRow:
    def on(days: int) -> date:
        return start + timedelta(days)

    codes = (("VE", 12), ("V2", 24), ("V5", 38), ("V6", 44), ("V10", 58), ("V18", 72), ("VT", 78), ("R1", 82))
    codes += (("R2", 94), ("R6", 140))
    more = ", y además con muchas palabras" if longer else ""
    windows = (
        window(f"young plants{more}", spread(on(12), 3, 4), spread(on(43))),
        window(f"before tassel{more}", spread(on(44)), spread(on(77), 6, 7)),
        window(f"tassel to silk{more}", spread(on(78), 6, 7), spread(on(93), 7, 8)),
        window(f"end of season, stalk nitrate{more}", spread(on(140), 9, 14), spread(on(140), 9, 14), open_end=True),
        window(f"nobody dates this one{more}", None, None),
    )
    label = f"Planted {start.day} {ENGLISH.months[start.month - 1]}" + (", en el fondo del valle" if longer else "")
    visits = (("tassel", on(83)), ("tassel", on(87)), ("before", on(58)))
    dates = planting(start, [(code, spread(on(days))) for code, days in codes], windows)
    return ChartRow(label, dates, visits, "One table only." * longer)


def ladder(n: int, *, longer: bool = False) -> list[ChartRow]:
    return [corn(date(2027, 4, 10) + timedelta(10 * i), longer=longer) for i in range(n)]


def chart(rows: Sequence[ChartRow], *, wide: bool = False, **changes: Any) -> str:
    given = dict(first=FIRST, last=LAST, words=ENGLISH, today=None, title="Corn & co", description="All <dates>.")
    return season_chart(rows, **{**given, "ident": "c1", "wide": wide, **changes})  # type: ignore[arg-type]


def one(*windows: WindowDates, stages: Sequence[tuple[str, Spread]] = (), wide: bool = False, **changes: Any) -> str:
    """A chart of one row without a key, so that every mark on it is a date."""
    row = ChartRow("Planted", planting(date(2027, 4, 10), stages, windows))
    return chart([row], wide=wide, words=replace(ENGLISH, key={}), **changes)


def layer(svg: str, name: str) -> ElementTree.Element | None:
    found = re.search(r'class="([^"]+)"', LAYERS[name])
    assert found
    return ElementTree.fromstring(svg).find(f".//*[@class='{found[1]}']")


def rects(svg: str, name: str) -> list[Box]:
    """Boxes of a layer as (left, top, right, foot), in the order they are drawn."""
    group = layer(svg, name)
    found = [] if group is None else group.findall(f"{SVG}rect")
    sides = [[float(r.get(k, "")) for k in ("x", "y", "width", "height")] for r in found]
    return [(x, y, x + w, y + h) for x, y, w, h in sides]


def starts(svg: str, name: str) -> list[float]:
    """Where the lines of a layer start, from left."""
    line = layer(svg, name)
    return [] if line is None else [float(x) for x in re.findall(r"M(-?[\d.]+)", line.get("d", ""))]


def place(day: date, part: float = 0.0, *, wide: bool = False, first: date = FIRST, last: date = LAST) -> float:
    """Where a day stands, worked out apart from the drawing."""
    left, right = PLOT[wide]
    return left + (right - left) * (day.toordinal() - first.toordinal() + part) / (
        last.toordinal() - first.toordinal() + 1
    )


@cache
def advances(weight: str) -> tuple[dict[int, int], int]:
    font = TTFont(FONTS / f"AtkinsonHyperlegibleNext_{weight}.ttf")
    return {c: font["hmtx"][n][0] for c, n in font.getBestCmap().items()}, font["head"].unitsPerEm


def true_width(text: str, size: float, *, bold: bool = False) -> float:
    """Width in the font of the site, from the font itself."""
    letters, em = advances("700Bold" if bold else "400Regular")
    return sum(letters[ord(c)] for c in text) * size / em


def texts(svg: str) -> list[tuple[Box, str]]:
    """Every text with the box it takes."""
    root = ElementTree.fromstring(svg)
    holder = root.find(f"{SVG}g[@class='el-season-texts']")
    assert holder is not None
    size = float(holder.get("font-size", ""))
    out = []
    for group in holder:
        for text in group:
            assert text.text
            wide = true_width(text.text, size, bold=group.get("font-weight") == "700")
            x, y = float(text.get("x", "")), float(text.get("y", ""))
            left = x - wide * {"middle": 0.5, "end": 1.0}.get(text.get("text-anchor", ""), 0.0)
            out.append(((left, y - 0.7 * size, left + wide, y + 0.22 * size), text.text))
    return out


def meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def assert_clear(svg: str) -> None:
    """No text on another, none on a mark that carries a date, none outside."""
    _, _, wide, high = map(float, (ElementTree.fromstring(svg).get("viewBox") or "").split())
    found = texts(svg)
    for (a, one_text), (b, other) in combinations(found, 2):
        assert not meet(a, b), (one_text, other)
    marks = [box for name in ("band", "loose", "fade3", "bar", "hatched") for box in rects(svg, name)]
    leaders = layer(svg, "leader")
    lines = re.findall(r"M([\d.]+) ([\d.]+)V([\d.]+)", "" if leaders is None else leaders.get("d", ""))
    marks += [(float(x), float(top), float(x) + 0.1, float(foot)) for x, top, foot in lines]
    for box, text in found:
        assert box[0] >= 0 and box[1] >= 0 and box[2] <= wide and box[3] <= high, text
        assert not any(meet(box, mark) for mark in marks), text


def lightness(colour: str) -> float:
    """CIE L* of a hex colour."""
    r, g, b = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    y = sum(
        k * (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4)
        for k, c in zip((0.2126, 0.7152, 0.0722), (r, g, b), strict=True)
    )
    return 116 * y ** (1 / 3) - 16 if y > 0.008856 else 903.3 * y


@pytest.mark.parametrize("wide", [False, True])
def test_it_is_one_picture_with_title_and_description(wide: bool) -> None:
    svg = chart(ladder(3), wide=wide, today=date(2027, 5, 25), closed=[(date(2027, 7, 3), date(2027, 7, 11))])
    root = ElementTree.fromstring(svg)
    assert root.get("role") == "img" and root.get("aria-labelledby") == "c1-t c1-d"
    assert [(e.tag, e.text) for e in root[:2]] == [(SVG + "title", "Corn & co"), (SVG + "desc", "All <dates>.")]
    assert all(i.startswith("c1-") for i in re.findall(r' id="([^"]+)"', svg))
    assert set(re.findall(r"url\(#([^)]+)\)", svg)) <= set(re.findall(r' id="([^"]+)"', svg))
    assert (root.get("viewBox") or "").split()[2] == ("900" if wide else "360")
    assert all(c.startswith("el-season") for names in re.findall(r'class="([^"]+)"', svg) for c in names.split())


@pytest.mark.parametrize("wide", [False, True])
def test_letters_are_large_enough_for_a_phone_of_360_pixels_and_for_print(wide: bool) -> None:
    sizes = [float(s) for s in re.findall(r'font-size="([\d.]+)"', chart(ladder(2), wide=wide))]
    assert sizes and min(sizes) >= (15 if wide else 11)


@pytest.mark.parametrize("wide", [False, True])
def test_a_stage_stands_on_its_dates(wide: bool) -> None:
    dates = Spread(date(2027, 7, 1), date(2027, 7, 8), date(2027, 7, 20), 0, 17)
    svg = one(stages=[("VT", dates)], wide=wide)
    ((left, _, right, _),) = rects(svg, "band")
    (tick,) = starts(svg, "tick")
    assert left == pytest.approx(place(date(2027, 7, 1), wide=wide), abs=0.06)
    assert tick == pytest.approx(place(date(2027, 7, 8), 0.5, wide=wide), abs=0.06)
    assert right == pytest.approx(place(date(2027, 7, 21), wide=wide), abs=0.12)
    assert "VT" in [text for _, text in texts(svg)]


@pytest.mark.parametrize("wide", [False, True])
def test_a_window_is_dark_between_its_likely_dates_and_fades_to_the_far_ones(wide: bool) -> None:
    opens = Spread(date(2027, 6, 1), date(2027, 6, 10), date(2027, 6, 22), 0, 17)
    closes = Spread(date(2027, 6, 28), date(2027, 7, 4), date(2027, 7, 16), 0, 17)
    svg = one(window("silk", opens, closes), wide=wide)
    found = [rects(svg, name) for name in ("bar", "fade1", "fade2", "fade3")]
    assert all(len(boxes) == 1 for boxes in found)
    steps = [boxes[0] for boxes in found]
    assert steps[0][0] == pytest.approx(place(date(2027, 6, 10), wide=wide), abs=0.06)
    assert steps[0][2] == pytest.approx(place(date(2027, 7, 5), wide=wide), abs=0.12)
    assert steps[3][0] == pytest.approx(place(date(2027, 6, 1), wide=wide), abs=0.06)
    assert steps[3][2] == pytest.approx(place(date(2027, 7, 17), wide=wide), abs=0.12)
    for inner, outer in pairwise(steps):
        assert outer[0] < inner[0] and inner[2] < outer[2], "each step reaches further"
        assert outer[1] > inner[1] and inner[3] > outer[3], "and is thinner: seen without colour"
    assert svg.index("el-season-fade-3") < svg.index("el-season-fade-1") < svg.index('"el-season-bar"')
    assert layer(svg, "arrow") is None and layer(svg, "hatched") is None


def test_dark_is_what_to_do_in_grey_too() -> None:
    svg = chart(ladder(1), today=date(2027, 5, 25))
    bar = re.search(r'class="el-season-bar" fill="(#[0-9A-F]{6})"', svg)
    assert bar
    dark = lightness(bar[1])
    pale = {c for c in re.findall(r'class="el-season-(?:band|loose|weekend|fade[^"]*)" fill="(#[0-9A-F]{6})"', svg)}
    assert len(pale) >= 4
    assert min(map(lightness, [*pale, NOTE, RULE])) - dark >= 20
    steps = [dark, *map(lightness, FADES), 100.0]
    assert min(b - a for a, b in pairwise(steps)) >= 19.7, "four steps up to white, as even as eight bits allow"
    assert "opacity" not in svg


def test_a_bracket_is_hatched_and_has_no_likely_day() -> None:
    between = bracket(date(2027, 6, 1), date(2027, 6, 20)), bracket(date(2027, 6, 25), date(2027, 7, 9))
    svg = one(window("boot", *between), stages=[("boot", between[0])])
    ((left, _, right, _),) = rects(svg, "hatched")
    assert left == pytest.approx(place(date(2027, 6, 1)), abs=0.8)
    assert right == pytest.approx(place(date(2027, 7, 10)), abs=0.8)
    assert rects(svg, "bar") == rects(svg, "fade1") == []
    assert layer(svg, "tick") is None and layer(svg, "leader") is None and len(rects(svg, "loose")) == 1
    assert "boot" in [text for _, text in texts(svg)]


def test_one_end_as_a_bracket_is_hatched_and_the_rest_dark() -> None:
    svg = one(window("joints", spread(date(2027, 5, 10)), bracket(date(2027, 6, 1), date(2027, 6, 12))))
    ((left, _, right, _),) = rects(svg, "bar")
    assert (left, right) == pytest.approx((place(date(2027, 5, 10)), place(date(2027, 6, 2))), abs=0.12)
    ((begin, _, end, _),) = rects(svg, "hatched")
    assert (begin, end) == pytest.approx((place(date(2027, 6, 2)), place(date(2027, 6, 13))), abs=0.8)
    svg = one(window("boot", bracket(date(2027, 5, 10), date(2027, 5, 20)), spread(date(2027, 6, 12))))
    assert rects(svg, "hatched")[0][2] <= rects(svg, "bar")[0][0] + 0.1 < place(date(2027, 5, 21))


def test_an_opening_that_may_never_come_is_not_dark() -> None:
    svg = one(window("boot", Spread(date(2027, 5, 10), None, None, 5, 17), spread(date(2027, 6, 12))))
    assert rects(svg, "bar") == [] and len(rects(svg, "hatched")) == 1


def test_a_window_that_closes_before_it_opens_in_the_middle_is_not_dark() -> None:
    svg = one(window("boot", spread(date(2027, 6, 12)), spread(date(2027, 6, 10))))
    assert rects(svg, "bar") == [] and len(rects(svg, "hatched")) == 1


@pytest.mark.parametrize(
    ("opens", "closes", "open_end", "ways"),
    [
        (spread(date(2027, 6, 1)), None, False, [1]),
        (None, spread(date(2027, 6, 1)), False, [-1]),
        (spread(date(2027, 6, 1)), spread(date(2027, 6, 1)), True, [1]),
        (spread(date(2027, 6, 1)), Spread(date(2027, 6, 20), date(2027, 6, 25), None, 4, 17), False, [1]),
        (bracket(date(2027, 6, 1), date(2027, 6, 9)), None, False, [1]),
        (bracket(date(2027, 6, 1), date(2027, 6, 9)), bracket(date(2027, 6, 20), date(2027, 6, 22)), True, [1]),
        (spread(date(2027, 6, 1)), spread(date(2027, 6, 20)), False, []),
    ],
)
def test_an_end_nobody_dates_is_open_with_an_arrow(
    opens: Spread | None, closes: Spread | None, open_end: bool, ways: list[int]
) -> None:
    svg = one(window("end", opens, closes, open_end=open_end))
    arrow = layer(svg, "arrow")
    found = [] if arrow is None else re.findall(r"l(-?)4\.5", arrow.get("d", ""))
    assert [-1 if sign else 1 for sign in found] == ways
    dark = rects(svg, "bar")
    if dark and ways == [1]:
        known = opens.p50 if closes is None and opens else closes.p50 if closes else None
        assert known and dark[0][2] <= place(known, 1) + 7, "little is dark where no end is known"


def test_a_window_of_one_day_can_be_seen() -> None:
    day = Spread(date(2027, 6, 15), date(2027, 6, 15), date(2027, 6, 15), 0, 17)
    for wide in (False, True):
        ((left, _, right, _),) = rects(one(window("short", day, day), wide=wide), "bar")
        assert right - left >= 3 - 0.1
        assert left <= place(date(2027, 6, 15), 0.5, wide=wide) <= right


def test_a_window_nobody_dates_is_said_in_words_and_not_drawn() -> None:
    svg = one(window("stalk nitrate", None, None), window("boot", Spread(None, None, None, 17, 17), None))
    assert rects(svg, "bar") == rects(svg, "fade1") == rects(svg, "hatched") == []
    said = [text for _, text in texts(svg)]
    assert "Watch the crop: stalk nitrate" in said and "Watch the crop: boot" in said


def test_what_lies_outside_the_chart_is_cut_and_pointed_at() -> None:
    later = window("late", spread(date(2027, 12, 1)), spread(date(2027, 12, 9)))
    half = window("half", spread(date(2027, 10, 10)), spread(date(2027, 11, 9)))
    early = window("early", spread(date(2027, 3, 1)), spread(date(2027, 4, 20)))
    svg = one(later, half, early, stages=[("R9", spread(date(2027, 12, 1))), ("R6", spread(date(2027, 10, 18)))])
    assert sorted((round(a), round(b)) for a, _, b, _ in rects(svg, "bar")) == [
        (10, round(place(date(2027, 4, 21)) + 0.1)),
        (round(place(date(2027, 10, 10))), 350),
    ]
    assert len(starts(svg, "arrow")) == 3
    assert len(rects(svg, "band")) == 1
    assert_clear(svg)


def test_visits_stand_on_their_days() -> None:
    opens, closes = spread(date(2027, 7, 1)), spread(date(2027, 7, 20))
    dates = planting(date(2027, 4, 10), windows=[window("silk", opens, closes)])
    row = ChartRow("Planted", dates, (("silk", date(2027, 7, 12)), ("silk", date(2027, 7, 6))))
    svg = chart([row], words=replace(ENGLISH, key={}))
    expected = [place(date(2027, 7, 6), 0.5), place(date(2027, 7, 12), 0.5)]
    assert starts(svg, "visit") == pytest.approx(expected, abs=0.06)
    with pytest.raises(ValueError, match="does not have: tassel"):
        chart([replace(row, visits=(("tassel", date(2027, 7, 6)),))])


def test_today_is_a_line_with_its_date_and_passes_no_text() -> None:
    svg = chart(ladder(3), today=date(2027, 5, 25))
    line = layer(svg, "today")
    assert line is not None
    pieces = re.findall(r"M([\d.]+) ([\d.]+)V([\d.]+)", line.get("d", ""))
    for x, top, foot in pieces:
        assert float(x) == pytest.approx(place(date(2027, 5, 25), 0.5), abs=0.06)
        assert not any(meet((float(x), float(top), float(x) + 0.1, float(foot)), box) for box, _ in texts(svg))
    assert "today, 25 May" in [text for _, text in texts(svg)]
    for day in (None, date(2027, 3, 31), date(2028, 5, 25)):
        outside = chart(ladder(3), today=day)
        assert layer(outside, "today") is None and "today, 25 May" not in outside


def test_weekends_show_on_short_charts_only_and_closures_where_they_are() -> None:
    short = one(first=date(2027, 6, 6), last=date(2027, 8, 31), closed=[(date(2027, 7, 3), date(2027, 7, 11))])
    at = {"first": date(2027, 6, 6), "last": date(2027, 8, 31)}
    weekends = rects(short, "weekend")
    assert weekends[0][2] == pytest.approx(place(date(2027, 6, 7), **at), abs=0.12), "a Sunday alone"
    assert weekends[1][0] == pytest.approx(place(date(2027, 6, 12), **at), abs=0.06)
    assert len(weekends) == 13
    ((left, _, right, _),) = rects(short, "closed")
    assert (left, right) == pytest.approx((place(date(2027, 7, 3), **at), place(date(2027, 7, 12), **at)), abs=0.12)
    long = one(closed=[(date(2026, 7, 3), date(2026, 7, 11))])
    assert rects(long, "weekend") == rects(long, "closed") == []


def test_weeks_begin_on_mondays() -> None:
    mondays = [FIRST + timedelta(n) for n in range((LAST - FIRST).days + 1) if (FIRST + timedelta(n)).weekday() == 0]
    ticks = [x for x in starts(one(), "week") if x > PLOT[False][0]]
    assert ticks == pytest.approx([place(d) for d in mondays], abs=0.06)


@pytest.mark.parametrize("wide", [False, True])
@pytest.mark.parametrize("longer", [False, True])
@pytest.mark.parametrize("rows", [1, 6])
def test_texts_keep_clear_of_each_other(wide: bool, longer: bool, rows: int) -> None:
    for first, last in ((FIRST, LAST), (date(2027, 4, 20), date(2027, 7, 10)), (date(2027, 1, 3), date(2028, 1, 20))):
        svg = chart(
            ladder(rows, longer=longer),
            wide=wide,
            first=first,
            last=last,
            words=LONG if longer else ENGLISH,
            today=date(2027, 5, 25),
            closed=[(date(2027, 7, 3), date(2027, 7, 11))],
        )
        assert_clear(svg)
        assert len(svg.encode()) <= 60_000
    assert len(chart(ladder(3)).encode()) <= 15_000


def test_every_window_is_named_in_every_row() -> None:
    rows = ladder(6)
    for wide in (False, True):
        said = [text for _, text in texts(chart(rows, wide=wide))]
        for name in ("young plants", "before tassel", "tassel to silk", "end of season, stalk nitrate"):
            assert said.count(name) == 6
        assert said.count("Watch the crop: nobody dates this one") == 6


@given(
    days=st.lists(
        st.tuples(st.integers(0, 190), st.integers(0, 30), st.integers(0, 30), st.integers(0, 40), st.booleans()),
        max_size=7,
    ),
    today=st.integers(-5, 220),
    wide=st.booleans(),
)
@settings(max_examples=60, deadline=None)
def test_any_season_is_drawn_in_order(days: list[tuple[int, int, int, int, bool]], today: int, wide: bool) -> None:
    stages, windows = [], []
    for n, (at, before, after, lasts, likely) in enumerate(days):
        opens = spread(FIRST + timedelta(at), before, after)
        closes = spread(FIRST + timedelta(at + lasts), before, after)
        opens = opens if likely else replace(opens, p50=None)
        stages.append((f"stage {n}", opens))
        windows.append(window(f"w{n} of the season", opens, closes))
    row = ChartRow("Planted 10 April", planting(FIRST + timedelta(9), stages, windows))
    svg = chart([row], wide=wide, today=FIRST + timedelta(today))
    assert_clear(svg)
    svg = chart([row], wide=wide, words=replace(ENGLISH, key={}))
    likely_days = sorted(FIRST + timedelta(at) for at, *_, likely in days if likely)
    ticks = sorted(starts(svg, "tick"))
    assert ticks == pytest.approx([place(d, 0.5, wide=wide) for d in likely_days], abs=0.06)
    spans = [
        (place(FIRST + timedelta(max(0, at - b)), wide=wide), place(FIRST + timedelta(at + a), 1, wide=wide))
        for at, b, a, *_ in days
    ]
    for left, _, right, _ in rects(svg, "band"):
        assert any(abs(left - a) < 0.1 and abs(right - min(b, PLOT[wide][1])) < 0.15 for a, b in spans)
        assert any(left <= tick <= right for tick in ticks)


def test_many_stages_show_bands_only_where_their_code_fits_and_ticks_for_all() -> None:
    many = [(f"V{n}", spread(date(2027, 5, 1) + timedelta(4 * n), 9, 9)) for n in range(20)]
    silk = window("silk", many[11][1], spread(date(2027, 7, 10)))
    svg = one(silk, stages=many)
    assert len(starts(svg, "tick")) == 20
    said = [text for _, text in texts(svg)]
    named = [code for code, _ in many if code in said]
    assert 4 <= len(named) < 20 and len(rects(svg, "band")) == len(named)
    assert {"V0", "V11", "V19"} <= set(named), "the first, the last, and where a window opens"
    assert_clear(svg)


def test_a_season_without_a_planting_has_no_mark_of_planting() -> None:
    dates = replace(planting(date(2027, 1, 1), [("boot", spread(date(2027, 5, 9)))]), start_event="season")
    row = ChartRow("This season", dates)
    assert "el-season-start" not in chart([row], first=date(2027, 1, 1))
    assert span_of([row]) == (date(2027, 5, 4), date(2027, 5, 15))


def test_a_season_that_crosses_the_year() -> None:
    start = date(2026, 11, 5)
    at = {"first": date(2026, 10, 25), "last": date(2027, 5, 10)}
    bloom = window("bloom", spread(date(2026, 12, 25)), spread(date(2027, 1, 11)))
    for wide in (False, True):
        svg = chart([ChartRow("Sown", planting(start, [("R1", spread(date(2026, 12, 25)))], [bloom]))], wide=wide, **at)
        ((left, _, right, _),) = rects(svg, "bar") if not KEY else [rects(svg, "bar")[0]]
        assert left == pytest.approx(place(date(2026, 12, 25), wide=wide, **at), abs=0.06)
        assert right == pytest.approx(place(date(2027, 1, 12), wide=wide, **at), abs=0.12)
        said = {text: box[0] for box, text in texts(svg)}
        assert said["2027"] == pytest.approx(place(date(2027, 1, 1), wide=wide, **at), abs=0.06)
        assert said["2026"] < said["2027"] and said["Nov"] < said["Jan"]
        assert_clear(svg)


def test_leap_day_is_a_day() -> None:
    at = {"first": date(2028, 2, 1), "last": date(2028, 3, 31)}
    svg = one(stages=[("E", Spread(date(2028, 2, 28), date(2028, 2, 29), date(2028, 3, 1), 0, 9))], **at)
    assert starts(svg, "tick") == pytest.approx([10 + 340 * 28.5 / 60], abs=0.06)


def test_no_rows_say_so_and_rows_without_dates_are_no_fault() -> None:
    for wide in (False, True):
        svg = chart([], wide=wide, today=date(2027, 5, 25))
        assert "No planting dates yet." in [text for _, text in texts(svg)]
        assert_clear(svg)
        assert_clear(chart([ChartRow("Planted 1 March", planting(date(2027, 3, 1)))], wide=wide))
    assert span_of([]) is None


def test_the_span_of_rows_holds_all_their_dates() -> None:
    assert span_of(ladder(2)) == (date(2027, 4, 10), date(2027, 4, 20) + timedelta(154))
    svg = chart(ladder(1), first=date(2027, 4, 10), last=date(2027, 4, 10) + timedelta(154))
    assert len(rects(svg, "band")) == 10 + 1, "all stages, and the key"


def test_the_key_explains_what_is_there_and_nothing_else() -> None:
    said = " ".join(text for _, text in texts(chart(ladder(1))))
    for mark in ("start", "stage", "sample", "perhaps", "open", "visit"):
        assert f"what {mark} means" in said
    for mark in ("bracket", "closed", "weekend"):
        assert f"what {mark} means" not in said
    assert "means" not in chart(ladder(1), words=replace(ENGLISH, key={}))


def test_codes_that_do_not_fit_are_left_out_the_first_and_the_last_come_first() -> None:
    close = [(f"V{n}", spread(date(2027, 6, 1) + timedelta(5 * n), 1, 1)) for n in range(12)]
    said = {text for _, text in texts(one(stages=close))}
    shown = [code for code, _ in close if code in said]
    assert {"V0", "V11"} <= set(shown) and 4 <= len(shown) < 12


def test_words_are_escaped() -> None:
    row = ChartRow("<b>&", planting(date(2027, 4, 10), windows=[window("a<b", None, None)]))
    svg = chart([row], title="<script>", description='"&')
    assert "<script>" not in svg and "&lt;b&gt;&amp;" in svg and "a&lt;b" in svg


def test_same_input_same_bytes() -> None:
    assert chart(ladder(3), today=date(2027, 5, 25)) == chart(ladder(3), today=date(2027, 5, 25))
    text = chart(ladder(3))
    assert not re.search(r"\d\.\d{2,}", text), "places have one decimal"
    assert "-0 " not in text and "nan" not in text and "inf" not in text


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"last": date(2027, 3, 1)}, "ends on 2027-03-01, before it begins"),
        ({"words": ChartWords(("Jan",))}, "twelve months"),
        ({"closed": [(date(2027, 7, 9), date(2027, 7, 1))]}, "opens on 2027-07-01"),
    ],
)
def test_faulty_dates_are_refused(changes: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        chart(ladder(1), **changes)


def test_a_spread_out_of_order_is_refused() -> None:
    wrong = Spread(date(2027, 6, 5), date(2027, 6, 1), date(2027, 6, 9), 0, 17)
    with pytest.raises(ValueError, match="not in order"):
        one(stages=[("VT", wrong)])
    with pytest.raises(ValueError, match="not in order"):
        one(window("silk", wrong, None))


def test_texts_are_never_wider_than_they_are_taken_for() -> None:
    samples = ["Planted 20 April", "end of season, stalk nitrate", "MMM WWW @@", "illi 1111", "0123456789", "Æß ñ ü é"]
    samples += ["Todavía no hay fechas", "ÁÉÍÓÚÑ", "Größe · mögliche Wörter", "()[]{}/-—;:'\"!?"]
    for text in [*samples, *(chr(c) for c in range(33, 127))]:
        for bold in (False, True):
            assert width(text, 12, bold=bold) >= true_width(text, 12, bold=bold) - 0.01, text
    assert width("收获", 10) >= 20


def test_wrapping_keeps_every_letter_and_the_room() -> None:
    text = "Pflanzenanalysenprobenahmezeitpunkt im Tal, zweite Aussaat"
    lines = wrap(text, 12, 90)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(width(line, 12) <= 90 for line in lines)
    assert wrap("", 12, 90) == []


def test_things_that_meet_go_on_lanes_of_their_own() -> None:
    assert pack([[(0, 10)], [(5, 20)], [(30, 40)], [(8, 12), (50, 60)]], 2) == [(0, 0), (1, 0), (0, 0), (0, 1)]
