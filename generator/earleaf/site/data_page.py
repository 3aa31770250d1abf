"""The page about the data that other programs may use, and what it says to them."""

from __future__ import annotations

from urllib.parse import urljoin

from ..model.manual import Manual
from ..rendering.jsonld import Download, dataset, script
from ..rendering.pages import Pages
from ..views.data_page import ADDRESS, data_page
from .page import Page


def data_about(manual: Manual, pages: Pages, *, calendars: bool) -> Page:
    """The page of one edition; the files are those at the root of the whole site."""
    words = pages.words
    view = data_page(words, calendars=calendars)
    title = words.say("Data for other programs")
    about = words.say("Which plant part to take, how many and when, and who says so: for each crop and lab.")
    root = f"{str(manual.site_url).rstrip('/')}/"
    files = [
        Download(f"{row.name} ({kind})", urljoin(root, f"{pages.home}{file}"), media)
        for row in view.rows
        for kind, file, media in (("JSON", row.json, "application/json"), ("CSV", row.csv, "text/csv"))
        if file and "<" not in file
    ]
    name = words.say("{title}: {what}", title=manual.title, what=title)
    said = script(dataset(manual, words, ADDRESS, name, about, manual.edition, files))
    body = pages.body("data.html", ADDRESS, here=title, about=about, d=view, team=manual.team)
    return Page(ADDRESS, title, body, about, title, linked=said, modified=manual.edition)
