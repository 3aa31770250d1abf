"""The page of cool hours: one for the manual, a section for each region, a picture in each."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from ..database.manual import ManualDatabase
from ..drawing.day_hours import HoursWords, day_hours
from ..model.manual import Manual
from ..planning.cool_hours import region_hours
from ..rendering.pages import Pages, safe_svg
from ..views.common import Link
from ..views.cool_hours import ADDRESS, RegionView, cool_hours_view
from ..views.words import Words
from .page import Page


@dataclass(frozen=True)
class CoolHours:
    """The page, the sources it uses, and the link to it."""

    page: Page
    used: frozenset[str]
    link: Link


def cool_hours_page(db: ManualDatabase, manual: Manual, pages: Pages, guide: Link | None = None) -> CoolHours | None:
    """The page of a manual, None where it has no region. `guide` is its chapter on the time of day, if there is one."""
    if not db.regions:
        return None
    words = pages.words
    view = cool_hours_view(db, words, manual, [region_hours(db, region) for region in db.regions.values()], guide)
    trail = [Link(words.say("Calendars"), "calendars/")]
    pictures = [_pictures(words, region) for region in view.regions]
    body = pages.body("cool_hours.html", ADDRESS, c=view, pictures=pictures, trail=trail, here=view.title)
    lines = [*view.meaning, *view.advice]
    used = (
        {e.id for e in view.sources} | {s for line in lines for s in line.sources} | {s for _, s, _ in view.published}
    )
    page = Page(
        ADDRESS,
        view.title,
        body,
        words.say("Sunrise, sunset and cool hours of the day, for each half month of the season."),
        f"{view.title} {words.say('sunrise sunset hour of the day')}",
        (view.footer.source_file, view.footer.source_line),
    )
    return CoolHours(page, frozenset(used), Link(view.title, ADDRESS))


def _pictures(words: Words, region: RegionView) -> tuple[Markup, Markup] | None:
    """The picture for a wide screen and for a phone; None where there are no hours."""
    if not region.hours:
        return None
    said = HoursWords(
        months=tuple(map(words.short_month, range(1, 13))),
        night=words.say("night"),
        cool=words.say("cool by all three curves"),
        perhaps=words.say("cool by one or two"),
        warm=words.say("warmer half of the day"),
    )
    both = [
        day_hours(
            region.hours,
            words=said,
            title=region.title,
            description=region.description,
            ident=f"{region.id}-{'w' if wide else 'n'}",
            wide=wide,
        )
        for wide in (True, False)
    ]
    return safe_svg(both[0]), safe_svg(both[1])
