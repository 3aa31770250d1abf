"""Feeds from one build to the next: a number grows only where a day moved, what is dropped is sent as cancelled."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from earleaf.model.feed_state import FeedState, Gone
from earleaf.rendering.feed import read_state, write_state
from earleaf.site.build import build_plain, prepare
from earleaf.site.feed_file import read_feeds, remembered
from earleaf.site.publish import NotOurs
from feed_check import faults, read

HOST = "manual.wrenfold.example"
STATE = "feeds.json"
CORN = "calendars/corn.ics"
LARKMOOR = "calendars/labs/larkmoor.ics"
MANUAL = f"""\
title: Corn in two places
team: Wrenfold Crop Advice (invented)
invented: true
site_url: https://{HOST}/
edition: 2026-11-25
crops: [corn]
labs: [larkmoor, quillwater]
labs_folder: labs
sources_file: sources.yml
feeds_file: {STATE}
regions:
  - region: valley-floor
    name: Valley floor
    weather: weather/valley-floor.csv
    season: 2027
    plantings: {{corn: ["04-20", "05-05"]}}
  - region: hill-farms
    name: Hill farms
    weather: weather/hill-farms.csv
    season: 2027
    plantings: {{corn: ["05-01"]}}
"""


@pytest.fixture
def folder(tmp_path: Path, root: Path) -> Path:
    """A manual of corn with the labs and the weather of the demo, in a folder of its own."""
    own = tmp_path / "manual"
    shutil.copytree(root / "demo_scenario", own)
    (own / "manual.yml").write_text(MANUAL, "utf-8")
    return own


def change(folder: Path, old: str, new: str) -> None:
    path = folder / "manual.yml"
    text = path.read_text("utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), "utf-8")


def build(folder: Path, today: date) -> dict[str, bytes]:
    """The feeds of the built site, by name; each of them is sound."""
    prepared = prepare(folder / "manual.yml", today)
    assert not prepared.errors, prepared.errors
    out = folder.parent / "site"
    build_plain(prepared, out)
    feeds = {p.relative_to(out).as_posix(): p.read_bytes() for p in out.rglob("*.ics")}
    assert not {name: found for name, feed in feeds.items() if (found := faults(feed, HOST))}
    return feeds


def states(feed: bytes) -> dict[str, tuple[int, str]]:
    """Number and status of each event, by UID."""
    events = [part for part in read(feed).parts if part.name == "VEVENT"]
    return {e["UID"].value: (int(e["SEQUENCE"].value), e["STATUS"].value) for e in events}


def days(feed: bytes) -> dict[str, str]:
    return {e["UID"].value: e["DTSTART"].value + e["DTEND"].value for e in read(feed).parts if e.name == "VEVENT"}


def test_a_first_build_counts_from_nought_and_remembers(folder: Path, today: date) -> None:
    feeds = build(folder, today)
    assert set(feeds) == {CORN, LARKMOOR, "calendars/labs/quillwater.ics"}
    for feed in feeds.values():
        assert states(feed) and set(states(feed).values()) == {(0, "TENTATIVE")}
    held, damaged = read_feeds(folder / STATE)
    assert not damaged and len(held.events) == sum(len(states(feed)) for feed in feeds.values())


def test_nothing_changes_while_the_inputs_do_not(folder: Path, today: date) -> None:
    first, kept = build(folder, today), (folder / STATE).read_bytes()
    written = (folder / STATE).stat().st_mtime_ns
    assert build(folder, today) == first
    assert (folder / STATE).read_bytes() == kept and (folder / STATE).stat().st_mtime_ns == written


def test_only_what_moved_gets_the_next_number(folder: Path, today: date) -> None:
    """The hill's weather takes the place of the valley's: days of the valley move, those of the hill stay.

    What has no day any more in the cooler place, such as the end of the season, is cancelled.
    """
    before = build(folder, today)
    change(folder, "weather/valley-floor.csv", "weather/hill-farms.csv")
    change(folder, "edition: 2026-11-25", "edition: 2026-12-01")
    after = build(folder, today)
    moved = 0
    for name in after:
        assert set(states(after[name])) == set(states(before[name]))
        for uid, (number, status) in states(after[name]).items():
            changed = days(after[name])[uid] != days(before[name])[uid] or status == "CANCELLED"
            assert number == int(changed), uid
            assert not (changed and ".hill-farms." in uid)
            moved += changed
    assert moved >= 5


def test_a_dropped_planting_is_cancelled_and_comes_back_with_the_next_number(folder: Path, today: date) -> None:
    before = build(folder, today)
    change(folder, '["04-20", "05-05"]', '["04-20"]')
    change(folder, "edition: 2026-11-25", "edition: 2026-12-01")
    for name, feed in build(folder, today).items():
        gone = {uid: state for uid, state in states(feed).items() if "05-05" in uid}
        assert gone and set(gone.values()) == {(1, "CANCELLED")}
        assert {uid for uid, state in states(feed).items() if state[1] == "TENTATIVE"} == {
            uid for uid in states(before[name]) if "05-05" not in uid
        }
    change(folder, '["04-20"]', '["04-20", "05-05"]')
    assert {state for uid, state in states(build(folder, today)[CORN]).items() if "05-05" in uid} == {(2, "TENTATIVE")}


SPANISH = "edition: 2026-11-25\nlanguages: [en, es]\nchapters_folder: docs"


def said(folder: Path, name: str) -> dict[str, tuple[str, ...]]:
    """Status, summary, description and address of each event of a built feed."""
    events = read((folder.parent / "site" / name).read_bytes()).parts
    return {e["UID"].value: tuple(e[key].text for key in ("STATUS", "SUMMARY", "DESCRIPTION", "URL")) for e in events}


def test_a_dropped_event_is_said_in_the_language_of_its_feed(folder: Path, today: date) -> None:
    """The state is kept in the words of the first edition; the Spanish feeds speak Spanish all the same."""
    for name, text in (("docs/index.md", "# Start\n\nGo.\n"), ("docs/es/index.md", "# Inicio\n\nVaya.\n")):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, "utf-8")
    change(folder, "title: Corn in two places", "title: Wrenfold Valley sampling manual")
    change(folder, "edition: 2026-11-25", SPANISH)
    build(folder, today)
    change(folder, '["04-20", "05-05"]', '["04-20"]')
    build(folder, today)
    for name, ours, theirs in (
        (CORN, "Corn: tassel to silk", "Maíz: panoja a cabellos"),
        (LARKMOOR, "Visit for Larkmoor Plant Lab: Corn, tassel to silk", "Visita"),
    ):
        english, spanish = said(folder, name), said(folder, f"es/{name}")
        gone = {uid for uid in english if "05-05" in uid}
        assert gone and english.keys() == spanish.keys()
        (silk,) = (uid for uid in gone if "/tassel-to-silk." in uid)
        assert english[silk][:3] == ("CANCELLED", ours, "This day no longer holds.")
        assert spanish[silk][0] == "CANCELLED" and spanish[silk][1].startswith(theirs)
        assert "silk" not in spanish[silk][1] and spanish[silk][2] == "Este día ya no vale."
        assert spanish[silk][3] == english[silk][3].replace(f"{HOST}/", f"{HOST}/es/")
        for uid in gone:
            assert spanish[uid][1] != english[uid][1]


def test_a_crop_that_left_the_calendars_still_says_so(folder: Path, today: date) -> None:
    build(folder, today)
    text = (folder / "manual.yml").read_text("utf-8").replace("crops: [corn]", "crops: [corn, soybean]")
    (folder / "manual.yml").write_text(text.replace("{corn:", "{soybean:"), "utf-8")
    feeds = build(folder, today)
    assert set(states(feeds[CORN]).values()) == {(1, "CANCELLED")}
    assert set(states(feeds["calendars/soybean.ics"]).values()) == {(0, "TENTATIVE")}


def test_a_new_season_leaves_the_old_one_in_peoples_calendars(folder: Path, today: date) -> None:
    build(folder, today)
    text = (folder / "manual.yml").read_text("utf-8")
    (folder / "manual.yml").write_text(text.replace("season: 2027", "season: 2028"), "utf-8")
    for feed in build(folder, today).values():
        assert set(states(feed).values()) == {(0, "TENTATIVE")}
        assert all(uid.startswith("2028.") for uid in states(feed))


@pytest.mark.parametrize("content", [b"", b"{", b'{"version": 9}', b'{"version": 1, "events": [{}]}', b"\xff\xfe"])
def test_a_damaged_file_is_a_fault_with_its_name_and_what_to_do(folder: Path, today: date, content: bytes) -> None:
    (folder / STATE).write_bytes(content)
    (fault,) = [f for f in prepare(folder / "manual.yml", today).errors if f.rule == "feeds-file"]
    assert fault.file == STATE and "damaged" in fault.message and "last build" in fault.hint
    assert (folder / STATE).read_bytes() == content


@pytest.mark.parametrize("name", ["../feeds.json", "/etc/feeds.json", "feeds/state.json", "feeds.yml"])
def test_the_file_stands_beside_the_manual(folder: Path, today: date, name: str) -> None:
    change(folder, f"feeds_file: {STATE}", f"feeds_file: {name}")
    assert any("feeds_file" in str(f) for f in prepare(folder / "manual.yml", today).errors)


def test_nothing_is_remembered_of_a_site_that_was_not_published(folder: Path, today: date) -> None:
    out = folder.parent / "site"
    out.mkdir()
    (out / "letter.txt").write_text("not ours")
    with pytest.raises(NotOurs):
        build_plain(prepare(folder / "manual.yml", today), out)
    assert not [p for p in folder.iterdir() if "feeds" in p.name]


def test_the_old_state_stays_if_publishing_fails(tmp_path: Path) -> None:
    path = tmp_path / STATE
    before = write_state(FeedState(gone=(Gone(key="2027.valley.corn/early.window", sequence=3),)))
    path.write_bytes(before)
    with pytest.raises(OSError, match="disk"), remembered(path, read_state(before), FeedState()):
        assert read_feeds(path) == (FeedState(), [])
        raise OSError("disk full")
    assert path.read_bytes() == before and list(tmp_path.iterdir()) == [path]


def test_a_folder_that_cannot_be_written_is_noticed_before_publishing(tmp_path: Path) -> None:
    with pytest.raises(OSError), remembered(tmp_path / "gone" / STATE, FeedState(), FeedState()):
        pytest.fail("the site was published first")


def test_the_other_shell_remembers_too(folder: Path, today: date, root: Path) -> None:
    """`mkdocs build` writes straight into the site, so the state is kept at its end."""
    config = (root / "mkdocs.yml").read_text("utf-8")
    assert config.count("manual: demo_scenario/manual.yml") == 1
    config = config.replace("manual: demo_scenario/manual.yml", "manual: manual.yml\n      cards: false")
    (folder / "mkdocs.yml").write_text(config, "utf-8")
    (folder / "docs").mkdir()
    (folder / "docs/index.md").write_text("# Start here\n\nPick your crop.\n", "utf-8")
    change(folder, "labs_folder: labs", "labs_folder: labs\nchapters_folder: docs")
    done = subprocess.run(
        [sys.executable, "-m", "mkdocs", "build"],
        cwd=folder,
        capture_output=True,
        text=True,
        env={**os.environ, "NO_MKDOCS_2_WARNING": "1"},
    )
    assert done.returncode == 0, done.stderr[-2000:]
    theirs = (folder / STATE).read_bytes()
    (folder / STATE).unlink()
    build(folder, today)
    assert (folder / STATE).read_bytes() == theirs
