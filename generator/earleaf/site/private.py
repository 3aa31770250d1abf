"""The folder of a team's own season: a page, calendars and data that are never part of the public site."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from urllib.parse import urlsplit

from ..database.load import Database
from ..database.manual import ManualDatabase, shipped_protocols
from ..database.planting_list import ListFile, read_plantings
from ..model.feed_state import FeedState
from ..model.finding import Finding
from ..model.manual import Manual
from ..planning.own_season import OwnSeason, own_seasons, stages_now
from ..planning.season import Spread
from ..planning.visits import Visit
from ..rendering.data import to_bytes
from ..rendering.feed import next_state, read_state, write_feed, write_state
from ..rendering.pages import Pages
from ..views.common import Link
from ..views.own_season import own_page
from ..views.words import Words
from .own_feeds import own_events, own_feed_names
from .publish import MARK, NotOurs, publish

PRIVATE_MARK = ".earleaf-private"
STATE = "feed-state.json"


class BadLists(Exception):
    """The lists or the state of the feeds have errors; `findings` are all that was found."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        super().__init__("the lists have errors")
        self.findings = sorted(findings)


@dataclass(frozen=True)
class Asked:
    """What the command was asked for."""

    manual: Path
    plantings: Path
    seen: Path | None
    out: Path
    today: date


def make_season(db: Database, manual: Manual, asked: Asked) -> tuple[int, list[Finding]]:
    """Write the folder anew: how many plantings are in it, and the warnings.

    Raises OSError, NotOurs for a folder that is not fit, and BadLists. The folder then stays as it was.
    """
    assert isinstance(db, ManualDatabase)
    refuse_public(manual, asked)
    plantings = ListFile(asked.plantings.name, asked.plantings.read_bytes())
    seen = ListFile(asked.seen.name, asked.seen.read_bytes()) if asked.seen else None
    own, findings = read_plantings(plantings, seen, db, asked.today)
    before, damaged = _state(asked.out / STATE)
    findings += damaged
    if any(finding.level == "error" for finding in findings):
        raise BadLists(findings)
    seasons = own_seasons(db, own, asked.today)
    publish(season_files(db, manual, seasons, before, asked.today), asked.out, PRIVATE_MARK)
    return len(own), findings


def season_files(
    db: ManualDatabase, manual: Manual, seasons: tuple[OwnSeason, ...], before: FeedState, today: date
) -> dict[str, bytes]:
    """Every file of the folder, by name. `before` is what the calendars said last."""
    words = Words(units=db.units)
    events = own_events(words, manual, seasons)
    state, sent = next_state(_these_seasons(before, seasons), events, on=max([today, *(e.changed for e in events)]))
    names = own_feed_names(words, db, seasons, sent)
    host = urlsplit(str(manual.site_url)).hostname or "localhost"
    files = {
        f"{feed}.ics": write_feed([e for e in sent if feed in e.feeds], name=name, host=host)
        for feed, name in names.items()
    }
    feeds = [Link(name, f"{feed}.ics") for feed, name in names.items() if any(feed in e.feeds for e in events)]
    view = own_page(db, words, manual, seasons, feeds, today)
    page = Pages(words).environment.get_template("own_season.html")
    files["index.html"] = page.render(c=view, language=words.language, invented=manual.invented).encode("utf-8")
    files["season.json"] = to_bytes(season_data(seasons, today))
    files[STATE] = write_state(state)
    return files


def _state(path: Path) -> tuple[FeedState, list[Finding]]:
    """What the calendars said last; a damaged file is an error, so that no number is ever counted from 0 again."""
    try:
        return read_state(path.read_bytes()), []
    except FileNotFoundError:
        return FeedState(), []
    except ValueError:
        said = "this file is damaged: it holds what your calendars were told last"
        hint = "put back a copy of it; without one delete it, and add the calendars to your phones again"
        return FeedState(), [Finding(f"{path.parent.name}/{path.name}", 0, "feed-state", said, hint)]


def _these_seasons(state: FeedState, seasons: Iterable[OwnSeason]) -> FeedState:
    """The state without past seasons: what was in them stays in people's calendars as it was."""
    current = {str(season.own.region.season) for season in seasons}
    return FeedState(
        events=tuple(event for event in state.events if event.uid_parts[0] in current),
        gone=tuple(left for left in state.gone if left.key.partition(".")[0] in current),
    )


def refuse_public(manual: Manual, asked: Asked) -> None:
    """NotOurs where the folder could get into the public site, or where the lists would be lost with it."""
    out, home = asked.out.resolve(), asked.manual.resolve().parent
    shown = asked.out
    for list_file in filter(None, (asked.plantings, asked.seen)):
        if out in list_file.resolve().parents:
            raise NotOurs(f"{list_file} lies inside {shown}, which is replaced each time; keep your lists elsewhere")
    site = next((folder for folder in (out, *out.parents) if (folder / MARK).exists()), None)
    if site is None and out.is_dir():
        site = next((mark.parent for mark in sorted(out.rglob(MARK))), None)
    if site is not None:
        raise NotOurs(f"{shown} is, holds or lies inside the public site {site}; choose another --out")
    chosen = home / manual.protocols_folder if manual.protocols_folder else shipped_protocols()
    folders = {"the protocols": chosen, "the labs": home / manual.labs_folder}
    if manual.chapters_folder:
        folders["the chapters of the manual"] = home / manual.chapters_folder
    for what, folder in folders.items():
        inside = folder.resolve()
        if out == inside or inside in out.parents or out in inside.parents:
            raise NotOurs(f"{shown} is, holds or lies inside the folder of {what}; choose another --out")


def season_data(seasons: Iterable[OwnSeason], today: date) -> dict[str, object]:
    """All dates and visits of the team's plantings as data."""
    return {"data_version": 1, "today": today.isoformat(), "plantings": [_planting(s, today) for s in seasons]}


def _planting(season: OwnSeason, today: date) -> dict[str, object]:
    own, dates = season.own, season.dates
    now = stages_now(dates, today) if dates else (None, None)
    return {
        **own.planting.model_dump(mode="json"),
        "region": own.region.region,
        "model": own.model.model if own.model else None,
        "seen": [sighting.model_dump(mode="json") for sighting in own.sightings],
        "counts_from": season.counts_from.stage if season.counts_from else None,
        "stage_now": [stage.code if stage else None for stage in now],
        "stages": [{"stage": s.code, **_dates(s.spread)} for s in dates.stages] if dates else [],
        "windows": [
            {
                "protocol": w.dates.protocol,
                "part": w.dates.part or None,
                "opens": _dates(w.dates.opens) if w.dates.opens else None,
                "closes": _dates(w.dates.closes) if w.dates.closes else None,
                "open_end": w.dates.open_end,
                "over": w.over,
                "moved_by_sighting": season.counts_from is not None and w.dates.protocol not in season.unmoved,
                "visits": [_visit(visit) for visit in w.now.plan.visits],
                "missing": [str(reason.why) for reason in w.now.plan.missing],
            }
            for w in season.windows
        ],
    }


def _visit(visit: Visit) -> dict[str, object]:
    return {
        "day": visit.day.isoformat(),
        "mailed": visit.mailed.isoformat(),
        "result_last": visit.result_last.isoformat() if visit.result_last else None,
        "verdict": visit.verdict,
        "reasons": [str(reason.why) for reason in visit.reasons],
    }


def _dates(spread: Spread) -> dict[str, object]:
    bounds = {"p10": spread.p10, "p50": spread.p50, "p90": spread.p90}
    out: dict[str, object] = {key: day.isoformat() if day else None for key, day in bounds.items()}
    return {**out, "years": spread.years, "years_not_reached": spread.not_reached}
