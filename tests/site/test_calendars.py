"""Calendars as they are published: pages, charts, feeds and data say the same, and nothing private is in them."""

from __future__ import annotations

import json
import re
from datetime import date
from typing import Any

import pytest
from lxml import html
from site_tree import SiteTree

from earleaf.database.manual import ManualDatabase
from earleaf.planning.working_days import MON_TO_FRI, weekday
from earleaf.rendering.pages import Pages
from earleaf.site.build import Prepared
from earleaf.site.calendars import crop_calendar
from earleaf.views.words import MONTHS, Words
from feed_check import faults, read
from paper import POINT_MM, Paper, bare

CHART_BYTES = 60_000
HOST = "manual.wrenfold.example"
NEVER = ("cotton", "rice", "peanut")
"""Crops with a published timing that the demonstration valley is too cool for."""


@pytest.fixture(scope="module")
def calendars(site: SiteTree) -> dict[str, Any]:
    """The calendar data of every crop."""
    return {
        name.split("/")[-1].removesuffix(".json"): json.loads(content)
        for name, content in site.files.items()
        if name.startswith("data/v1/calendars/")
    }


def spreads(data: dict[str, Any]) -> list[dict[str, Any]]:
    out = []
    for season in data["seasons"]:
        for planting in season["plantings"]:
            out += planting["stages"]
            out += [s for w in planting["windows"] for s in (w["opens"], w["closes"]) if s]
    return out


def test_every_crop_with_a_timing_has_a_calendar(calendars: dict[str, Any], demo: Prepared) -> None:
    timed = {name for name, crop in demo.db.crops.items() if crop.development}
    assert set(calendars) == timed - set(NEVER) and len(calendars) >= 10


@pytest.mark.parametrize("edition", ["site", "spanish"])
def test_published_timing_that_differs_is_on_the_page_with_its_source(
    request: pytest.FixtureRequest, demo: Prepared, edition: str
) -> None:
    """Every row that a model keeps as differing, and every other way to count it names, by the ids of their sources."""
    pages: SiteTree = request.getfixturevalue(edition)
    seen = 0
    for crop in demo.db.crops.values():
        page = pages.pages.get(f"calendars/{crop.crop}/")
        if page is None:
            continue
        lines = page.xpath("//section[h2/@id='others']//li")
        for model in crop.development:
            for row in (demo.db.timing[name] for name in model.differs):
                of_source = [
                    "".join(li.xpath("text()")) for li in lines if row.source in (li.get("data-source") or "").split()
                ]
                figure = row.amount if row.amount is not None else row.low
                assert any(re.search(rf"(?<![\d.]){figure:g}(?!\d|\.\d)", text) for text in of_source), (
                    crop.crop,
                    row.row,
                )
                seen += 1
            for other in model.alternatives:
                sources = {demo.db.timing[name].source for name in other.rows}
                assert any(sources & set((li.get("data-source") or "").split()) for li in lines), other.alternative
    assert seen > 15


def test_dates_come_in_order_and_brackets_have_no_middle(calendars: dict[str, Any]) -> None:
    for crop, data in calendars.items():
        for s in spreads(data):
            days = [date.fromisoformat(s[k]) for k in ("p10", "p50", "p90") if s[k]]
            assert days == sorted(days), (crop, s)
            assert s["years"] >= 10


def windows(data: dict[str, Any]) -> list[tuple[dict[str, Any], dict[str, Any], dict[str, Any]]]:
    """Season, planting and window of everything in the data of a crop."""
    return [(s, p, w) for s in data["seasons"] for p in s["plantings"] for w in p["windows"]]


def brief(day: date) -> str:
    """'Mon 28 Jun', by the standard library's own names."""
    return f"{day:%a} {day.day} {day:%b}"


def test_the_feed_holds_the_windows_of_the_data(site: SiteTree, calendars: dict[str, Any]) -> None:
    for crop, data in calendars.items():
        feed = site.files[f"calendars/{crop}.ics"]
        assert faults(feed, HOST) == [], crop
        dated = [
            w
            for season in data["seasons"]
            for planting in season["plantings"]
            for w in planting["windows"]
            if w["opens"] and (w["opens"]["p50"] or w["opens"]["p10"])
        ]
        assert feed.count(b"BEGIN:VEVENT") == len(dated), crop


def test_the_page_says_the_dates_of_the_data(site: SiteTree, calendars: dict[str, Any]) -> None:
    for crop, data in calendars.items():
        text = " ".join(site.pages[f"calendars/{crop}/"].text_content().split())
        for season in data["seasons"]:
            for planting in season["plantings"]:
                for w in planting["windows"]:
                    if w["opens"] and w["opens"]["p50"]:
                        day = date.fromisoformat(w["opens"]["p50"])
                        assert f"{day.day} {MONTHS[day.month - 1]}" in text, (crop, w)


def test_charts_are_light_and_described(site: SiteTree, calendars: dict[str, Any]) -> None:
    for crop in calendars:
        page = site.files[f"calendars/{crop}/index.html"].decode()
        charts = [svg for svg in re.findall(r"<svg.*?</svg>", page, flags=re.S) if 'aria-hidden="true"' not in svg]
        assert len(charts) >= 2 and all(len(c.encode()) <= CHART_BYTES for c in charts), crop
        assert all("<title" in c and "<desc" in c and 'role="img"' in c for c in charts)


def test_no_position_of_a_station(site: SiteTree, demo: Prepared) -> None:
    """Not even the tenth of a degree that the weather file gives."""
    for weather in demo.db.weather.values():  # type: ignore[attr-defined]
        latitude = f"{weather.latitude:.1f}"
        said = {a: page.text_content() for a, page in site.pages.items() if a.startswith("calendars/")}
        said |= {
            n: c.decode() for n, c in site.files.items() if n.endswith(".ics") or n.startswith("data/v1/calendars")
        }
        assert said and not [name for name, text in said.items() if latitude in text]


def test_crops_without_a_timing_say_so(site: SiteTree) -> None:
    text = site.pages["calendars/"].text_content()
    assert "Apple" in text and "no published timing found" in text


def test_visits_are_in_the_window_on_working_days_and_in_order(calendars: dict[str, Any], demo: Prepared) -> None:
    seen = 0
    for crop, data in calendars.items():
        for season, _, w in windows(data):
            assert [v["lab"] for v in w["visits"]] == list(demo.db.labs)
            region = demo.db.regions[season["region"]]  # type: ignore[attr-defined]
            for v in w["visits"]:
                assert (v["day"] is None) == (v["mailed"] is None) == (v["verdict"] is None), (crop, w)
                if v["day"] is None:
                    continue
                seen += 1
                day, mailed = date.fromisoformat(v["day"]), date.fromisoformat(v["mailed"])
                assert w["opens"]["p50"] <= v["day"] <= w["closes"]["p50"], (crop, v)
                assert weekday(day) in MON_TO_FRI and day not in region.holidays
                assert weekday(mailed) in region.mailing_days and mailed >= day
                assert v["result_last"] > v["mailed"]
                if v["decide_by"] is None:
                    assert v["verdict"] == "no decision date" and v["last_day_to_sample"] is None
                elif v["verdict"] == "can act":
                    assert v["result_last"] < v["decide_by"] and v["day"] <= v["last_day_to_sample"]
    assert seen > 200


def test_the_page_says_every_visit_with_mail_and_result(site: SiteTree, calendars: dict[str, Any]) -> None:
    for crop, data in calendars.items():
        rows = site.pages[f"calendars/{crop}/"].xpath("//table[contains(@class,'el-when')]/tbody/tr")
        cells = [tuple(" ".join(cell.text_content().split()) for cell in row.xpath("./td")) for row in rows]
        said = [row for row in cells if len(row) == 3]
        expected = []
        for _, _, w in windows(data):
            for v in w["visits"]:
                if v["day"]:
                    day, mailed, back = (date.fromisoformat(v[k]) for k in ("day", "mailed", "result_last"))
                    expected.append((brief(day), brief(mailed), f"{back.day} {back:%b}"))
        assert said == expected, crop


def test_every_row_without_a_day_says_why(site: SiteTree, calendars: dict[str, Any]) -> None:
    found = []
    for crop in calendars:
        found += site.pages[f"calendars/{crop}/"].xpath("//table[contains(@class,'el-when')]//td[@colspan='3']")
    texts = [" ".join(cell.text_content().split()) for cell in found]
    assert texts and all(len(text.split()) >= 4 and text.endswith(".") for text in texts)


def test_the_last_day_for_a_decision_is_on_the_page(site: SiteTree, calendars: dict[str, Any]) -> None:
    seen = 0
    for crop, data in calendars.items():
        text = " ".join(site.pages[f"calendars/{crop}/"].text_content().split())
        for _, _, w in windows(data):
            for v in w["visits"]:
                if v["last_day_to_sample"]:
                    seen += 1
                    assert brief(date.fromisoformat(v["last_day_to_sample"])) in text, (crop, v)
    assert seen >= 9


def test_lab_feeds_hold_the_visits_of_all_crops(site: SiteTree, calendars: dict[str, Any], demo: Prepared) -> None:
    for lab in demo.db.labs:
        feed = site.files[f"calendars/labs/{lab}.ics"]
        assert faults(feed, HOST) == [], lab
        events = [part for part in read(feed).parts if part.name == "VEVENT"]
        sent = sorted(e["DTSTART"].value for e in events)
        visits = [v for data in calendars.values() for _, _, w in windows(data) for v in w["visits"]]
        assert sent == sorted(v["day"].replace("-", "") for v in visits if v["lab"] == lab and v["day"])
        assert all(f"/labs/{lab}/" in e["URL"].value for e in events)
        pages = {e["URL"].value.split(f"{HOST}/")[1] for e in events}
        assert pages <= set(site.pages)


def test_lab_feeds_are_linked(site: SiteTree, demo: Prepared) -> None:
    for lab in demo.db.labs:
        for page, href in (
            ("calendars/", f"../calendars/labs/{lab}.ics"),
            (f"labs/{lab}/", f"calendars/labs/{lab}.ics"),
        ):
            links = site.pages[page].xpath("//a/@href")
            assert any(link.endswith(href.removeprefix("../")) for link in links), (page, lab)


def test_the_chart_tells_up_to_which_day_the_weather_is_known(site: SiteTree, calendars: dict[str, Any]) -> None:
    """A line at the last day of this season's weather, where that day lies in the chart; nothing knows today."""
    for crop, data in calendars.items():
        charts = site.pages[f"calendars/{crop}/"].xpath("//figure[contains(@class,'el-chart')]")
        assert len(charts) == len(data["seasons"])
        for season, chart in zip(data["seasons"], charts, strict=True):
            until, text = season["observed_until"], chart.text_content()
            days = [
                d for p in season["plantings"] for s in p["stages"] for d in (s["p10"], s["p50"], s["p90"]) if d
            ] + [p["day"] for p in season["plantings"] if p["event"] == "planting"]
            if until and min(days) <= until <= max(days):
                day = date.fromisoformat(until)
                assert text.count(f"weather known to {day.day} {MONTHS[day.month - 1]}") == 2, crop
            if not until:
                assert "weather known" not in text, crop


@pytest.fixture(scope="module")
def sheets(site: SiteTree) -> dict[str, Paper]:
    """The printed calendars, by name."""
    return {n: Paper(c) for n, c in site.files.items() if n.startswith("calendars/sheets/")}


def test_one_page_a_season_on_each_paper(sheets: dict[str, Paper], calendars: dict[str, Any]) -> None:
    """US Letter is 8.5 x 11 in, A4 210 x 297 mm (ISO 216)."""
    sizes = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
    assert set(sheets) == {f"calendars/sheets/{crop}-{paper}.pdf" for crop in calendars for paper in sizes}
    for name, paper in sheets.items():
        crop, _, size = name.split("/")[-1].removesuffix(".pdf").rpartition("-")
        assert len(paper) == len(calendars[crop]["seasons"]), name
        assert all(page == pytest.approx(sizes[size], abs=0.2) for page in paper.pages_mm), name


def test_sheets_are_large_enough_and_inside_the_page(sheets: dict[str, Paper]) -> None:
    """9 pt and more, the letters of the chart too; 5 mm clear of the edge, as office printers need."""
    for name, paper in sheets.items():
        width, height = paper.pages_mm[0]
        edge = 5 / POINT_MM
        assert min(letter.size for letter in paper.letters) >= 9, name
        for letter in paper.letters:
            assert edge <= letter.left and letter.right <= width / POINT_MM - edge, (name, letter)
            assert edge <= letter.bottom and letter.top <= height / POINT_MM - edge, (name, letter)


def test_sheets_are_tagged_and_described(sheets: dict[str, Paper]) -> None:
    """ISO 14289-1: language, title, structure, text for figures, heads of tables."""
    for name, paper in sheets.items():
        assert str(paper.pdf.Root.Lang) == "en" and paper.pdf.Root.MarkInfo.Marked, name
        figures = [element for kind, element in paper.tags if kind == "Figure"]
        assert len(figures) == len(paper) and all(len(str(f.Alt)) > 20 for f in figures), name
        assert paper.headings == [1, 2] * len(paper), name


def test_sheets_say_the_days_of_the_data(sheets: dict[str, Paper], calendars: dict[str, Any], demo: Prepared) -> None:
    for name, paper in sheets.items():
        crop = name.split("/")[-1].removesuffix(".pdf").rpartition("-")[0]
        for page, season in zip(paper.texts, calendars[crop]["seasons"], strict=True):
            text = bare(page)
            assert "lookbeforeyoucut" in text and bare(f"Edition {demo.manual.edition.day}") in text  # type: ignore[union-attr]
            for p in season["plantings"]:
                for v in (v for w in p["windows"] for v in w["visits"] if v["day"]):
                    assert bare(brief(date.fromisoformat(v["day"]))) in text, (name, v)
                    assert bare(brief(date.fromisoformat(v["mailed"]))) in text, (name, v)


def test_the_page_links_its_sheets(site: SiteTree, calendars: dict[str, Any]) -> None:
    for crop in calendars:
        links = site.pages[f"calendars/{crop}/"].xpath("//a/@href")
        assert {link.split("/")[-1] for link in links if "sheets/" in link} == {f"{crop}-letter.pdf", f"{crop}-a4.pdf"}


class _Marked(dict[str, str]):
    """Translates any sentence by putting marks round it; of a month, whose start is cut off, one letter is enough."""

    def get(self, key: str, default: str | None = None) -> str:  # type: ignore[override]
        return f"«{key[0]}»" if key in MONTHS else f"«{key}»"


@pytest.mark.parametrize("crop", ["corn", "wheat", "sugar-beet"])
def test_charts_and_tables_speak_the_language_of_the_page(demo: Prepared, crop: str) -> None:
    """Sugar beet has stages whose codes are words. Names of labs are not translated; codes are not either."""
    db, manual = demo.db, demo.manual
    assert isinstance(db, ManualDatabase) and manual is not None
    made = crop_calendar(db, manual, Pages(Words("qq", _Marked(), db.units)), db.crops[crop], None)
    assert made is not None
    body = html.fromstring(made.page.body)
    for skipped in body.xpath("//*[contains(@class,'el-sources') or contains(@class,'el-foot')]"):
        skipped.drop_tree()
    text, shorter = "", " ".join(body.xpath("//text()"))
    while text != shorter:
        text, shorter = shorter, re.sub(r"«[^«»]*»", " ", shorter)
    names = {word for lab in db.labs.values() for word in lab.name.split()}
    assert set(re.findall(r"[A-Za-z]{4,}", text)) <= names
