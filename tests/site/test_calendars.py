"""Calendars as they are published: pages, charts, feeds and data say the same, and nothing private is in them."""

from __future__ import annotations

import json
import re
from datetime import date
from typing import Any

import pytest
from site_tree import SiteTree

from earleaf.site.build import Prepared
from earleaf.views.words import MONTHS
from feed_check import faults

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


def test_dates_come_in_order_and_brackets_have_no_middle(calendars: dict[str, Any]) -> None:
    for crop, data in calendars.items():
        for s in spreads(data):
            days = [date.fromisoformat(s[k]) for k in ("p10", "p50", "p90") if s[k]]
            assert days == sorted(days), (crop, s)
            assert s["years"] >= 10


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
        charts = re.findall(r"<svg.*?</svg>", page, flags=re.S)
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
