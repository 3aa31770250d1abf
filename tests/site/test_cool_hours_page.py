"""The page of cool hours as it is built: it says what the curves and the sun say, names its sources, tells no place."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from lxml import html
from lxml.html import HtmlElement

from earleaf.database.manual import ManualDatabase
from earleaf.planning.cool_hours import region_hours
from earleaf.rendering.pages import Pages
from earleaf.site.build import Prepared
from earleaf.site.cool_hours import CoolHours, cool_hours_page
from earleaf.views.common import Link
from earleaf.views.cool_hours import CURVES, SUN
from earleaf.views.words import Words

SVG_BYTES = 60_000


@pytest.fixture(scope="module")
def db(demo: Prepared) -> ManualDatabase:
    assert isinstance(demo.db, ManualDatabase)
    return demo.db


def build(demo: Prepared, db: ManualDatabase) -> CoolHours:
    assert demo.manual is not None
    made = cool_hours_page(db, demo.manual, Pages(Words(units=db.units)), Link("Time of day", "time-of-day/"))
    assert made is not None
    return made


@pytest.fixture(scope="module")
def page(demo: Prepared, db: ManualDatabase) -> HtmlElement:
    return html.fromstring(build(demo, db).page.body)


def cells(row: HtmlElement) -> list[str]:
    return [" ".join(cell.text_content().split()) for cell in row]


def minutes(text: str) -> int:
    hours, _, rest = text.partition(":")
    return int(hours) * 60 + int(rest)


def test_every_row_says_what_was_worked_out(page: HtmlElement, db: ManualDatabase) -> None:
    """Sunrise and sunset to 5 minutes, the cool hours to 15, lows and highs to a degree, in both units."""
    for region in db.regions.values():
        halves = region_hours(db, region).halves
        rows = page.get_element_by_id(f"region-{region.region}").getparent().xpath(".//tbody/tr")
        assert len(rows) == len(halves) >= 25  # one more where clocks change inside a half month
        for row, half in zip(rows, halves, strict=True):
            head, rise, cool, sets = cells(row)
            assert head.startswith(f"{half.first.day} to {half.last.day} ") and half.sunrise_h and half.sunset_h
            assert abs(minutes(rise) - half.sunrise_h * 60) <= 2.5 and abs(minutes(sets) - half.sunset_h * 60) <= 2.5
            ends = [minutes(end) for end in cool.split(" to ")]
            assert abs(ends[0] - half.warm_h[0] * 60) <= 7.5 and abs(ends[-1] - half.warm_h[-1] * 60) <= 7.5
            low_f, high_f, low_c, high_c = (
                int(n.replace("−", "-")) for n in re.findall(r"−?\d+", head.split(" ", 4)[4].replace("\xa0", " "))
            )
            assert abs(low_c - half.low_c) <= 0.5 and abs(high_c - half.high_c) <= 0.5
            assert abs(low_f - (half.low_c * 1.8 + 32)) <= 0.5 and abs(high_f - (half.high_c * 1.8 + 32)) <= 0.5


def test_each_region_has_one_picture_in_two_forms(page: HtmlElement, db: ManualDatabase) -> None:
    drawn = [html.tostring(svg) for svg in page.iter("svg")]
    assert len(drawn) == 2 * len(db.regions) and all(len(svg) <= SVG_BYTES for svg in drawn)
    for svg in page.iter("svg"):
        assert svg.get("role") == "img" and "sunrise" in svg.findtext("desc")
    ids = page.xpath("//@id")
    assert len(ids) == len(set(ids))


def test_figures_name_their_sources_and_the_sources_are_listed(page: HtmlElement, db: ManualDatabase) -> None:
    for body in page.xpath("//figure | //tbody[not(tr/@data-source)]"):
        assert set(body.get("data-source").split()) == {*CURVES, SUN}
    listed = set(page.xpath("//ol[@class='el-sources']/li/@id"))
    assert {f"s-{name}" for name in (*CURVES, SUN)} <= listed
    assert all(name in db.sources for name in (*CURVES, SUN))


def test_every_published_row_on_the_hour_is_shown_with_its_source(page: HtmlElement, db: ManualDatabase) -> None:
    """The sources disagree; the page shows each, and says that the lab decides."""
    shown = [(tr.get("data-source"), cells(tr)[0]) for tr in page.xpath("//section[h2/@id='published']//tbody/tr")]
    rows = [row for row in db.handling_rows.values() if row.topic == "hour"]
    assert len(shown) == len(rows) >= 6
    assert all(any(s == row.source and text.startswith(row.rule) for s, text in shown) for row in rows)
    text = page.text_content()
    assert "Your lab decides the hour" in text and "lab that reads your sample decides" in text
    assert "psu-heat" in " ".join(page.xpath("//li/@data-source"))


def test_labs_are_told_apart_by_whether_they_name_an_hour(page: HtmlElement, db: ManualDatabase) -> None:
    said = {li.find("a").text: " ".join(li.text_content().split()) for li in page.xpath("//ul[@class='el-lablist']/li")}
    assert {lab.name for lab in db.labs.values()} == set(said)
    for lab in db.labs.values():
        assert ("an hour of its own" in said[lab.name]) == ("hour" in lab.handling)


def test_no_place_of_a_station_is_told(demo: Prepared, db: ManualDatabase) -> None:
    body = build(demo, db).page.body
    degrees = {f"{abs(n):.1f}" for r in db.regions.values() for n in (r.longitude, db.weather[r.region].latitude) if n}
    assert degrees and not [n for n in degrees if n in re.sub(r"<svg.*?</svg>", "", body, flags=re.S)]
    assert "America/Chicago" not in body


def test_a_region_without_a_place_is_left_out_and_says_so(demo: Prepared, db: ManualDatabase) -> None:
    hills = db.regions["hill-farms"].model_copy(update={"longitude": None, "time_zone": None})
    lacking = replace(db, regions={**db.regions, "hill-farms": hills})
    page = html.fromstring(build(demo, lacking).page.body)
    text = page.get_element_by_id("region-hill-farms").getparent().text_content()
    assert "no hours for this region" in text and "its longitude and its time zone" in text
    assert not page.get_element_by_id("region-hill-farms").getparent().xpath(".//table | .//svg")
    assert len(list(page.iter("svg"))) == 4


def test_no_regions_are_no_page(demo: Prepared, db: ManualDatabase) -> None:
    assert demo.manual is not None
    assert cool_hours_page(replace(db, regions={}), demo.manual, Pages(Words(units=db.units))) is None
