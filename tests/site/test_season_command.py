"""The command `earleaf season`: a folder that is whole, says the same everywhere, and stays out of the public site."""

from __future__ import annotations

import json
import re
import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from lxml import html

from earleaf import cli
from earleaf.database.manual import ManualDatabase
from earleaf.site import publish as publishing
from earleaf.site.build import Prepared
from earleaf.site.private import Asked, BadLists, make_season
from earleaf.site.publish import NotOurs
from feed_check import faults, read

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo_scenario"
TODAY = date(2027, 6, 14)
HOST = "manual.wrenfold.example"


class FixedDay(date):
    """A clock that stands still on a day of the demonstration's season."""

    @classmethod
    def today(cls) -> FixedDay:
        return cls(2027, 6, 14)


@pytest.fixture
def lists(tmp_path: Path) -> Path:
    """A folder with copies of the two lists, which a test may change."""
    for name in ("plantings.csv", "seen.csv"):
        shutil.copy(DEMO / name, tmp_path / name)
    return tmp_path


def make(
    demo: Prepared,
    lists: Path,
    today: date = TODAY,
    out: str = "private",
    seen: bool = True,
    language: str | None = None,
) -> Path:
    assert demo.manual is not None and isinstance(demo.db, ManualDatabase)
    sightings = lists / "seen.csv" if seen else None
    asked = Asked(DEMO / "manual.yml", lists / "plantings.csv", sightings, lists / out, today, language)
    make_season(demo.db, demo.manual, asked)
    return lists / out


def content(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text("utf-8")
    assert text.count(old) == 1, old
    path.write_text(text.replace(old, new), "utf-8")


def events(folder: Path, feed: str = "all.ics") -> dict[str, dict[str, str]]:
    """By UID, what each event says."""
    found = {}
    for event in read((folder / feed).read_bytes()).parts:
        found[event["UID"].value] = {p.name: p.text for p in event.properties}
    return found


def data(folder: Path) -> dict[str, dict[str, Any]]:
    loaded = json.loads((folder / "season.json").read_text("utf-8"))
    return {planting["id"]: planting for planting in loaded["plantings"]}


def test_the_folder_holds_a_page_data_and_a_calendar_for_all_labs_and_scouts(demo: Prepared, lists: Path) -> None:
    out = make(demo, lists)
    labs = [f"lab-{lab}.ics" for lab in ("larkmoor", "pebblecross", "quillwater")]
    scouts = [f"scout-{scout}-invented.ics" for scout in ("fern", "moss", "reed")]
    assert sorted(content(out)) == sorted(
        [".earleaf-private", "index.html", "season.json", "feed-state.json", "all.ics", *labs, *scouts]
    )


def test_same_lists_same_bytes(demo: Prepared, lists: Path) -> None:
    first = content(make(demo, lists))
    assert content(make(demo, lists)) == first
    assert content(make(demo, lists, out="elsewhere")) == first


def test_every_calendar_is_sound(demo: Prepared, lists: Path) -> None:
    out = make(demo, lists)
    every = events(out)
    assert len(every) > 30
    for feed in out.glob("*.ics"):
        assert faults(feed.read_bytes(), HOST) == [], feed.name
        assert set(events(out, feed.name)) <= set(every)
    assert not [uid for uid in every if re.search(r"(19|20)\d\d-?\d\d-?\d\d", uid)]
    for kind in ("lab", "scout"):
        parts = [set(events(out, feed.name)) for feed in out.glob(f"{kind}-*.ics")]
        assert sum(map(len, parts)) == len(set().union(*parts)), kind


def test_page_calendars_and_data_say_the_same_visits(demo: Prepared, lists: Path) -> None:
    """On the first day of the season no visit is past, so the best day is the same everywhere."""
    out = make(demo, lists, today=date(2027, 1, 1), seen=False)
    every, rows = events(out), html.document_fromstring((out / "index.html").read_text("utf-8"))
    checked = 0
    for name, planting in data(out).items():
        text = " ".join(rows.get_element_by_id(name).text_content().split())
        dated = [w for w in planting["windows"] if w["opens"] and (w["opens"]["p50"] or w["opens"]["p10"])]
        for window in planting["windows"]:
            uid = f"2027.{name}.{planting['crop'].split('/')[0]}/{window['protocol']}.visit@{HOST}"
            if not window["visits"]:
                assert uid not in every
                continue
            best = window["visits"][0]
            assert every[uid]["DTSTART"] == best["day"].replace("-", "")
            checked += 1
            if window is dated[0]:
                day = date.fromisoformat(best["day"])
                assert f"{day:%A} {day.day} {day:%B}" in text
    assert checked > 20


def test_the_page_stands_alone_and_names_the_sources_of_its_dates(demo: Prepared, lists: Path) -> None:
    page = html.document_fromstring((make(demo, lists) / "index.html").read_text("utf-8"))
    assert page.xpath("//script|//link|//img|//iframe") == []
    for link in page.xpath("//a/@href"):
        assert link.startswith((f"https://{HOST}/labs/", "#")) or (lists / "private" / link).is_file(), link
    for row in page.xpath("//tbody/tr"):
        dated = data(lists / "private")[row.get("id")]["stages"]
        assert bool(dated) <= bool((row.get("data-source") or "").split()), row.get("id")
    named = {s for value in page.xpath("//@data-source") for s in value.split()}
    assert named and named <= set(demo.db.sources)


def test_rows_stand_in_order_of_the_next_visit(demo: Prepared, lists: Path) -> None:
    out = make(demo, lists)
    rows = html.document_fromstring((out / "index.html").read_text("utf-8")).xpath("//tbody/tr/@id")
    visits = []
    for name in rows:
        dated = [w for w in data(out)[name]["windows"] if not w["over"] and w["opens"]]
        visits.append(dated[0]["visits"][0]["day"] if dated and dated[0]["visits"] else None)
    days = [day for day in visits if day]
    assert days == sorted(days) and len(days) > 4 and all(day >= "2027-06-14" for day in days)


def test_a_sighting_moves_only_its_own_planting(demo: Prepared, lists: Path) -> None:
    """Otterpond south was expected at six collars about 22 June. Seen on 14 June: its windows move, by one number."""
    before = events(make(demo, lists))
    (lists / "seen.csv").write_text((lists / "seen.csv").read_text() + "otter-2,V6,2027-06-14,Fern Invented\n")
    after = events(make(demo, lists))
    changed = {uid for uid in before if before[uid] != after.get(uid)}
    assert changed and all(".otter-2." in uid for uid in changed)
    moved = {uid for uid in changed if before[uid]["DTSTART"] != after[uid]["DTSTART"]}
    silk = f"2027.otter-2.corn/tassel-to-silk.window@{HOST}"
    assert silk in moved and after[silk]["DTSTART"] < before[silk]["DTSTART"]
    for uid in after:
        same = all(before[uid][key] == after[uid][key] for key in ("DTSTART", "DTEND", "STATUS"))
        assert int(after[uid]["SEQUENCE"]) == int(before[uid]["SEQUENCE"]) + (not same), uid
    young = f"2027.otter-2.corn/young-plants.window@{HOST}"
    assert after[young]["STATUS"] == "CANCELLED"


def test_a_planting_that_is_dropped_is_cancelled_in_every_calendar_that_held_it(demo: Prepared, lists: Path) -> None:
    before = events(make(demo, lists))
    rows = (lists / "plantings.csv").read_text().splitlines(keepends=True)
    (lists / "plantings.csv").write_text("".join(row for row in rows if not row.startswith("crow-1,")))
    out = make(demo, lists)
    for feed in ("all.ics", "lab-pebblecross.ics", "scout-fern-invented.ics"):
        gone = {uid: e for uid, e in events(out, feed).items() if ".crow-1." in uid}
        assert gone and all(e["STATUS"] == "CANCELLED" for e in gone.values()), feed
        assert all(int(e["SEQUENCE"]) == int(before[uid]["SEQUENCE"]) + 1 for uid, e in gone.items())
    assert "crow-1" not in data(out)


def test_another_day_moves_no_calendar(demo: Prepared, lists: Path) -> None:
    """That a day is past is no reason to move a visit or to take it away."""
    first = events(make(demo, lists))
    assert events(make(demo, lists, today=date(2027, 7, 20))) == first


def test_a_new_season_begins_without_the_old_one(demo: Prepared, lists: Path) -> None:
    out = make(demo, lists)
    state = json.loads((out / "feed-state.json").read_text())
    state["events"][0]["uid_parts"][0] = "2026"
    state["events"].sort(key=lambda event: ".".join(event["uid_parts"]))
    (out / "feed-state.json").write_text(json.dumps(state))
    assert not [uid for uid in events(make(demo, lists)) if uid.startswith("2026.")]


def test_a_damaged_state_is_told_and_kept(demo: Prepared, lists: Path) -> None:
    out = make(demo, lists)
    (out / "feed-state.json").write_bytes(b"{}}")
    before = content(out)
    with pytest.raises(BadLists) as told:
        make(demo, lists)
    (finding,) = [f for f in told.value.findings if f.level == "error"]
    assert finding.file == "private/feed-state.json" and "copy" in finding.hint
    assert content(out) == before


def test_a_fault_in_a_list_leaves_the_folder_as_it_was(demo: Prepared, lists: Path) -> None:
    before = content(make(demo, lists))
    edit(lists / "plantings.csv", "soybean,2027-05-18", "soybeen,2027-05-18")
    with pytest.raises(BadLists):
        make(demo, lists)
    assert content(lists / "private") == before


def test_half_written_leaves_the_folder_as_it_was(demo: Prepared, lists: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = content(make(demo, lists))
    names = sorted(p.name for p in lists.iterdir())

    def full(files: object, folder: Path) -> None:
        (folder / "index.html").write_bytes(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(publishing, "write", full)
    with pytest.raises(OSError, match="No space"):
        make(demo, lists, today=date(2027, 6, 15))
    assert content(lists / "private") == before and sorted(p.name for p in lists.iterdir()) == names


PROSE = re.compile(r"\b(the|of|and|by|look|crop|day|sample|opens?|closes|planted|seen|then|mail|result|lab)\b", re.I)
"""Words of the English page that Spanish does not have."""


def without_names(text: str) -> str:
    """What a folder says, without the labs, which are called in English, and without citations."""
    return re.sub(r"Larkmoor Plant Lab|Quillwater Crop Clinic|Wrenfold Crop Advice", "", text)


def test_the_folder_speaks_another_language_of_the_manual(demo: Prepared, lists: Path) -> None:
    """Page, calendars and links. The data holds no words, and identities stay, so that a phone sees no new event."""
    english, out = make(demo, lists, out="english"), make(demo, lists, language="es")
    page = html.document_fromstring((out / "index.html").read_text("utf-8"))
    assert page.get("lang") == "es-US"
    for citation in page.xpath("//*[@class='el-sources']//li|//style"):
        citation.drop_tree()
    assert PROSE.findall(without_names(page.text_content())) == []
    assert "Envíe el" in page.text_content() and "Sembrado el 28 de abril" in page.text_content()
    links = [link for link in page.xpath("//a/@href") if link.startswith("https:")]
    assert links and all(link.startswith(f"https://{HOST}/es/labs/") for link in links)
    ours, theirs = events(out), events(english)
    assert ours.keys() == theirs.keys()
    for uid, event in ours.items():
        assert PROSE.findall(without_names(f"{event['SUMMARY']} {event['DESCRIPTION']}")) == [], uid
        assert event["URL"] == theirs[uid]["URL"].replace(f"{HOST}/", f"{HOST}/es/")
        assert all(event[key] == theirs[uid][key] for key in ("DTSTART", "DTEND", "SEQUENCE", "STATUS"))
    assert faults((out / "all.ics").read_bytes(), HOST) == []
    assert (out / "season.json").read_bytes() == (english / "season.json").read_bytes()


def test_without_a_language_it_is_the_first_of_the_manual(demo: Prepared, lists: Path) -> None:
    assert demo.manual is not None
    assert content(make(demo, lists)) == content(make(demo, lists, out="named", language="en"))
    spanish = replace(demo, manual=demo.manual.model_copy(update={"languages": ("es-US", "en")}))
    page = (make(spanish, lists, out="es") / "index.html").read_text("utf-8")
    assert '<html lang="es-US">' in page and f"https://{HOST}/labs/" in page


def test_a_dropped_event_is_said_again_in_the_language_that_is_asked_for(demo: Prepared, lists: Path) -> None:
    """The state was kept by an English run; the field is still called what the team calls it."""
    make(demo, lists)
    rows = (lists / "plantings.csv").read_text().splitlines(keepends=True)
    (lists / "plantings.csv").write_text("".join(row for row in rows if not row.startswith("crow-1,")))
    every = events(make(demo, lists, language="es"))
    gone = {uid: event for uid, event in every.items() if ".crow-1." in uid}
    assert gone and all(event["STATUS"] == "CANCELLED" for event in gone.values())
    for uid, event in gone.items():
        assert "Crowfoot strip: Soya, " in event["SUMMARY"].replace("Visita a ", "").replace("Visita ", ""), uid
        assert PROSE.findall(event["SUMMARY"]) == [] and event["DESCRIPTION"] == "Este día ya no vale."


def test_a_sentence_that_lacks_is_told_and_no_field_is_left_out(
    demo: Prepared, lists: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One of the page, and one of a crop: the edition has no page of soybean then, so its links lead to the English."""
    assert demo.manual is not None and isinstance(demo.db, ManualDatabase)
    known = demo.db.languages["es-US"]
    lost = ("Flowers open, no pods at the top?", "No pods yet at the top of the plant.", "In time to act.")
    assert set(lost) <= known.sentences.keys()
    rest = {s: t for s, t in known.sentences.items() if s not in lost}
    lacking = replace(demo.db, languages={**demo.db.languages, "es-US": replace(known, sentences=rest)})
    asked = Asked(DEMO / "manual.yml", lists / "plantings.csv", lists / "seen.csv", lists / "own", TODAY, "es")
    count, findings = make_season(lacking, demo.manual, asked)
    told = [f for f in findings if f.rule == "not-translated"]
    assert count == 13 and {f.level for f in told} == {"warning"}
    assert [re.findall("soybean|In time to act", f.message) for f in told] == [["In time to act"], ["soybean"]]
    page = html.document_fromstring((lists / "own/index.html").read_text("utf-8"))
    for row, site in (("crow-1", f"https://{HOST}/labs/"), ("otter-1", f"https://{HOST}/es/labs/")):
        (link,) = page.get_element_by_id(row).xpath(".//a/@href")
        assert link.startswith(site)
    assert len(page.xpath("//tbody/tr")) == 13


@pytest.mark.parametrize("where", ["site", "site/crops/own", "web"])
def test_never_in_or_round_a_public_site(demo: Prepared, lists: Path, where: str) -> None:
    for site in ("site", "web/public"):
        publishing.publish({"index.html": b"public", "crops/index.html": b"public"}, lists / site)
    before = content(lists)
    with pytest.raises(NotOurs, match="the public site"):
        make(demo, lists, out=where)
    assert content(lists) == before


def test_a_site_inside_the_folder_is_not_replaced(demo: Prepared, lists: Path) -> None:
    out = make(demo, lists)
    publishing.publish({"index.html": b"public"}, out / "site")
    with pytest.raises(NotOurs, match="public site"):
        make(demo, lists)


@pytest.mark.parametrize(
    "where", ["protocols", "protocols/private", "docs", "docs/private", "demo_scenario/labs/x", "."]
)
def test_never_in_the_database_or_the_chapters(demo: Prepared, lists: Path, where: str) -> None:
    assert demo.manual is not None
    asked = Asked(DEMO / "manual.yml", lists / "plantings.csv", None, ROOT / where, TODAY)
    with pytest.raises(NotOurs, match="choose another --out"):
        make_season(demo.db, demo.manual, asked)
    assert where == "." or not (ROOT / where / "season.json").exists()


def test_lists_inside_the_folder_would_be_lost(demo: Prepared, lists: Path) -> None:
    with pytest.raises(NotOurs, match="keep your lists elsewhere"):
        make(demo, lists, out=".")


def test_other_peoples_files_stay(demo: Prepared, lists: Path) -> None:
    (lists / "private").mkdir()
    (lists / "private/notes.txt").write_text("mine")
    with pytest.raises(NotOurs, match="did not make"):
        make(demo, lists)
    assert content(lists / "private") == {"notes.txt": b"mine"}


def test_the_public_build_never_takes_the_folder(demo: Prepared, lists: Path) -> None:
    """A build publishes with the mark of a site, and so does not know this folder as one of its own."""
    out = make(demo, lists)
    before = content(out)
    with pytest.raises(NotOurs, match="did not make"):
        publishing.publish({"index.html": b"public"}, out)
    assert content(out) == before


def command(lists: Path, *more: str) -> int:
    return cli.main(
        [
            "season",
            "--manual",
            str(DEMO),
            "--plantings",
            str(lists / "plantings.csv"),
            "--out",
            str(lists / "own"),
            *more,
        ]
    )


def test_the_command(lists: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cli, "date", FixedDay)
    assert command(lists, "--seen", str(lists / "seen.csv")) == 0
    told = capsys.readouterr().out
    assert "13 plantings" in told and "off the public site" in told and "warning" in told
    assert command(lists, "--seen", str(lists / "seen.csv"), "--today", "2027-06-01") == 1
    told_all = capsys.readouterr()
    assert "seen.csv:3  error planting-list: day is 2027-06-10, and today is 2027-06-01" in told_all.out
    assert "Not written" in told_all.err
    assert command(lists, "--seen", str(lists / "saw.csv")) == 2
    assert "there is no file" in capsys.readouterr().err
    assert command(lists, "--language", "fr") == 2
    assert "there is no language 'fr' in this manual; known: en, es, es-US" in capsys.readouterr().err
    assert command(lists, "--language", "es") == 0
    assert "not-translated" not in capsys.readouterr().out
    (lists / "own/.earleaf-private").unlink()
    assert command(lists) == 3
    assert "not written" in capsys.readouterr().err


def test_a_day_that_is_none_is_wrong_usage(lists: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        command(lists, "--today", "14/06/2027")
    assert stopped.value.code == 2 and "year first" in capsys.readouterr().err
