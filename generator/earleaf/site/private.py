"""The folder of a team's own season: a page, calendars and data that are never part of the public site."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from urllib.parse import urlsplit

from ..database.files import read_bytes, real
from ..database.languages import is_source, subtag
from ..database.load import Database
from ..database.manual import ManualDatabase, shipped_protocols
from ..database.planting_list import ListFile, read_plantings
from ..database.tables import MAX_BYTES
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
from .alone import Busy, alone
from .editions import Edition, edition_in, editions
from .feed_file import MAX_BYTES as STATE_BYTES
from .handouts import all_handouts
from .own_feeds import own_dropped, own_events, own_feed_names
from .publish import MARK, NotOurs, publish, recover
from .tree import without

PRIVATE_MARK = ".earleaf-private"
STATE = "feed-state.json"


class BadLists(Exception):
    """The lists or the state of the feeds have errors; `findings` are all that was found."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        super().__init__("the lists have errors")
        self.findings = sorted(findings)


@dataclass(frozen=True)
class Asked:
    """What the command was asked for; no language is the manual's first."""

    manual: Path
    plantings: Path
    seen: Path | None
    out: Path
    today: date
    language: str | None = None


def make_season(db: Database, manual: Manual, asked: Asked) -> tuple[int, list[Finding]]:
    """Write the folder anew: how many plantings are in it, and the warnings.

    Raises OSError, NotOurs for a folder that is not fit, NotInManual and BadLists. The folder then stays as it was.
    """
    assert isinstance(db, ManualDatabase)
    edition = edition_in(manual, db, asked.language)
    refuse_public(manual, asked)
    recover(asked.out, PRIVATE_MARK)
    plantings = ListFile(asked.plantings.name, read_bytes(asked.plantings, MAX_BYTES))
    seen = ListFile(asked.seen.name, read_bytes(asked.seen, MAX_BYTES)) if asked.seen else None
    own, findings = read_plantings(plantings, seen, db, asked.today)
    before, damaged = _state(asked.out / STATE)
    findings += damaged
    if any(finding.level == "error" for finding in findings):
        raise BadLists(findings)
    seasons = own_seasons(db, own, asked.today)
    sites, told = _sites(db, manual, edition, {planting.crop.crop for planting in own})
    files = season_files(db, edition, sites, seasons, before, asked.today)
    publish(files, asked.out, PRIVATE_MARK, during=_unchanged(asked.out, before))
    return len(own), sorted([*findings, *told, *_in_english(edition)])


def season_files(
    db: ManualDatabase,
    edition: Edition,
    sites: Mapping[str, str],
    seasons: tuple[OwnSeason, ...],
    before: FeedState,
    today: date,
) -> dict[str, bytes]:
    """Every file of the folder, by name. `sites` is where the pages of each crop are, `before` what was said last."""
    manual, words = edition.manual, edition.words
    events = own_events(words, manual, sites, seasons)
    state, kept = next_state(_these_seasons(before, seasons), events, on=max([today, *(e.changed for e in events)]))
    keys = {event.key for event in events}
    sent = [event if event.key in keys else own_dropped(db, words, event) for event in kept]
    names = own_feed_names(words, db, seasons, sent)
    host = urlsplit(str(manual.site_url)).hostname or "localhost"
    files = {
        f"{feed}.ics": write_feed([e for e in sent if feed in e.feeds], name=name, host=host)
        for feed, name in names.items()
    }
    feeds = [Link(name, f"{feed}.ics") for feed, name in names.items() if any(feed in e.feeds for e in events)]
    view = own_page(db, words, manual, sites, seasons, feeds, today)
    page = Pages(words).environment.get_template("own_season.html")
    head = {"tag": words.language, "direction": words.about.direction}
    text = page.render(c=view, **head, invented=manual.invented)
    files["index.html"] = text.encode("utf-8")
    files["season.json"] = to_bytes(season_data(seasons, today))
    files[STATE] = write_state(state)
    return files


def _sites(db: Database, manual: Manual, edition: Edition, crops: set[str]) -> tuple[dict[str, str], list[Finding]]:
    """Where the pages of each crop are: in this edition; in English where a sentence of the crop lacks in this one."""
    every = {e.tag: str(e.manual.site_url) for e in editions(manual, db, {})}
    sites = dict.fromkeys(crops, every[edition.tag])
    english = next((site for tag, site in every.items() if is_source(tag)), None)
    if is_source(edition.tag) or english is None:
        return sites, []
    ours = without(db, db.crops.keys() - crops)
    done = zip(ours.crops, all_handouts(ours, edition.manual, Pages(edition.words), None), strict=True)
    away = [crop for crop, handouts in done if handouts.missing]
    said = "the edition in {} lacks {}: its links lead to the page in English"
    hint = f"`earleaf catalogue {subtag(edition.tag)}` lists what is to be translated"
    where = f"languages/{subtag(edition.tag)}"
    told = [Finding(where, 0, "not-translated", said.format(edition.name, c), hint, "warning") for c in away]
    return sites | dict.fromkeys(away, english), told


def _in_english(edition: Edition) -> list[Finding]:
    """A warning for each sentence of the folder that the language lacks: a field is never left out for want of one."""
    where = f"languages/{subtag(edition.tag)}"
    hint = f"`earleaf catalogue {subtag(edition.tag)}` writes it into the catalogue; translate it there"
    said = "{!r} has no translation; your season says it in English"
    missing = sorted(edition.words.missing)
    return [Finding(where, 0, "not-translated", said.format(text), hint, "warning") for text in missing]


@contextmanager
def _unchanged(out: Path, before: FeedState) -> Iterator[None]:
    """No other run publishes while this one does; Busy if one has since this one read the state."""
    with alone(out.resolve().parent):
        if _state(out / STATE) != (before, []):
            raise Busy(f"another run has changed {out} since this one began; run it again")
        yield


def _state(path: Path) -> tuple[FeedState, list[Finding]]:
    """What the calendars said last; a damaged file is an error, so that no number is ever counted from 0 again."""
    try:
        return read_state(read_bytes(path, STATE_BYTES)), []
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
        if out in real(list_file).parents:
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
