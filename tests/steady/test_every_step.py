"""Publishing that ends before any one of its steps on the disk: every step is tried, with no chance in it."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from tried import Tree, beside, difference, tree

from earleaf.model.feed_state import Event, FeedState
from earleaf.rendering.feed import next_state, read_state, write_feed, write_state
from earleaf.site import publish as publishing
from earleaf.site.feed_file import read_feeds, remembered
from earleaf.site.publish import MARK, publish, put, recover

HOST = "manual.example"
FEED = "calendars/corn.ics"
STEPS = {"os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.chmod", "ctypes.dlsym", "os.scandir", "os.listdir"}
KILLED = 9


def killed_before(step: int, work: Callable[[], object]) -> bool:
    """Do the work in a child that ends, with nothing tidied, right before that step; whether it got so far."""
    child = os.fork()
    if not child:
        count = 0

        def hook(event: str, args: tuple[object, ...]) -> None:
            nonlocal count
            writes = event == "open" and isinstance(args[2], int) and args[2] & (os.O_WRONLY | os.O_RDWR)
            if event in STEPS or writes:
                count += 1
                if count > step:
                    os._exit(KILLED)

        sys.addaudithook(hook)
        try:
            work()
        except BaseException:
            os._exit(1)
        os._exit(0)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert code in (0, KILLED), f"the work itself failed before step {step}"
    return code == KILLED


def event(first: date, changed: date) -> Event:
    return Event(
        uid_parts=("2027", "valley", "corn/early", "window"),
        first=first,
        last=first,
        summary="Corn",
        status="tentative",
        changed=changed,
    )


class Manual:
    """A site with a page, a picture in a folder and a calendar; a build of it is `build(day of June)`."""

    def __init__(self, folder: Path) -> None:
        (folder / "manual").mkdir()
        (folder / "www").mkdir()
        self.out, self.feeds = folder / "www/site", folder / "manual/feeds.json"

    def files(self, day: int, before: FeedState) -> tuple[Tree, FeedState]:
        moved = event(date(2027, 6, day), date(2027, 5, day))
        state, sent = next_state(before, [moved], on=moved.changed)
        feed = write_feed(sent, name="Corn", host=HOST)
        return {"index.html": b"<p>Day %d" % day, "a/b.svg": b"<svg/>" * day, FEED: feed}, state

    def build(self, day: int) -> None:
        before, damaged = read_feeds(self.feeds)
        assert not damaged
        files, state = self.files(day, before)
        publish(files, self.out, during=remembered(self.feeds, before, state))

    def put_back(self, site: Tree | None, state: bytes | None) -> None:
        """The site and the state as they were, whatever is there now."""
        for path in sorted([*self.out.parent.rglob("*"), *self.feeds.parent.rglob("*")], reverse=True):
            path.rmdir() if path.is_dir() else path.unlink()
        if site is not None:
            publishing.write(site, self.out)
        if state is not None:
            self.feeds.write_bytes(state)


def number(feed: bytes) -> int:
    return int(feed.split(b"SEQUENCE:")[1].split(b"\r")[0])


@pytest.fixture
def manual(tmp_path: Path) -> Manual:
    return Manual(tmp_path)


@pytest.mark.parametrize(
    ("in_one_step", "first"),
    [(True, True), (True, False), (False, False)],
    ids=["first build", "exchange", "two renames"],
)
def test_killed_before_any_step_the_site_is_the_old_or_the_new_one(
    manual: Manual, monkeypatch: pytest.MonkeyPatch, in_one_step: bool, first: bool
) -> None:
    """The next build makes the same site as one that was never stopped, and leaves nothing beside.

    With two renames there is a moment with no site; the next command puts the old one back, and only then.
    """
    if not in_one_step:
        monkeypatch.setattr(publishing, "exchange", lambda *_: False)
    old: Tree | None = None
    before: bytes | None = None
    if not first:
        manual.build(4)
        old, before = tree(manual.out), manual.feeds.read_bytes()
    manual.build(5)
    new, after = tree(manual.out), manual.feeds.read_bytes()
    step, gaps, kept_old, kept_new = 0, 0, 0, 0
    while True:
        manual.put_back(old, before)
        killed = killed_before(step, lambda: manual.build(5))
        if not manual.out.exists() and not first:
            gaps += 1
            recover(manual.out)
        now = tree(manual.out) if manual.out.exists() else None
        state = manual.feeds.read_bytes() if manual.feeds.exists() else None
        assert now in (old, new), f"before step {step} the site is neither the old nor the new one"
        assert state in (before, after), f"before step {step} the state is neither of the two"
        assert now != new or state == after, f"before step {step} the state is behind the site: numbers would be lost"
        kept_old, kept_new = kept_old + (now == old), kept_new + (now == new)
        manual.build(5)
        assert not difference(tree(manual.out), new) and manual.feeds.read_bytes() == after
        assert beside(manual.out) == beside(manual.feeds) == []
        if not killed:
            break
        step += 1
    assert step > 15 and kept_old > 5 and kept_new > (0 if first else 5)
    assert gaps == (0 if in_one_step or first else 1)


SLOW = [pytest.param(part, marks=pytest.mark.slow) for part in (0.3, 0.9)]


@pytest.mark.parametrize("part", [*SLOW, 0.6])
def test_the_build_after_a_kill_may_be_killed_too(manual: Manual, monkeypatch: pytest.MonkeyPatch, part: float) -> None:
    """The second one is killed before each of its steps, also while it sweeps away what the first one left."""
    monkeypatch.setattr(publishing, "exchange", lambda *_: False)
    manual.build(4)
    old, before = tree(manual.out), manual.feeds.read_bytes()
    steps = next(step for step in range(999) if not killed_before(step, lambda: manual.build(5)))
    new, after = tree(manual.out), manual.feeds.read_bytes()
    step = 0
    while True:
        manual.put_back(old, before)
        killed_before(int(part * steps), lambda: manual.build(5))
        killed = killed_before(step, lambda: manual.build(5))
        recover(manual.out)
        assert tree(manual.out) in (old, new) and manual.feeds.read_bytes() in (before, after)
        if not killed:
            break
        step += 3
    assert tree(manual.out) == new and beside(manual.out) == beside(manual.feeds) == []


def test_killed_before_any_step_no_number_of_a_calendar_is_sent_twice(manual: Manual) -> None:
    """What was moved to one day and then, after a kill, to another, has a higher number each time it was seen."""
    manual.build(4)
    old, before = tree(manual.out), manual.feeds.read_bytes()
    step = 0
    while True:
        manual.put_back(old, before)
        killed = killed_before(step, lambda: manual.build(5))
        seen = {number(old[FEED]): old[FEED].split(b"DTSTART")[1], number(tree(manual.out)[FEED]): b""}
        for day in (6, 4):
            manual.build(day)
            feed = tree(manual.out)[FEED]
            assert number(feed) > max(seen), f"killed before step {step}"
            seen[number(feed)] = b""
        if not killed:
            break
        step += 1
    assert step > 15


def test_a_private_folder_keeps_its_state_and_its_pages_together(tmp_path: Path) -> None:
    """The folder of a team's own season holds its state, so one swap moves both."""
    out, mark = tmp_path / "own", ".earleaf-private"
    publish({"index.html": b"1", "feed-state.json": b"1"}, out, mark)
    old = tree(out)
    new = {"index.html": b"2", "feed-state.json": b"2"}
    step = 0
    while killed_before(step, lambda: publish(new, out, mark)):
        now = tree(out)
        if now != old:
            assert now == {**new, mark: old[mark]}
            publish({"index.html": b"1", "feed-state.json": b"1"}, out, mark)
        step += 1
    publish(new, out, mark)
    assert step > 10 and beside(out) == []


def test_killed_before_any_step_one_file_is_the_old_or_the_new_one(tmp_path: Path) -> None:
    path = tmp_path / "cards.pdf"
    path.write_bytes(b"old")
    step = 0
    while killed_before(step, lambda: put(b"new and longer", path)):
        assert path.read_bytes() in (b"old", b"new and longer")
        path.write_bytes(b"old")
        step += 1
    put(b"new", path)
    assert step > 2 and path.read_bytes() == b"new" and beside(path) == []


def test_a_half_written_state_is_never_read(tmp_path: Path) -> None:
    """A rest of a killed build beside the state is no state, and goes with the next build."""
    path = tmp_path / "feeds.json"
    state = FeedState(events=(event(date(2027, 6, 1), date(2027, 5, 1)),))
    (tmp_path / ".feeds.json-new-abcd0123").write_bytes(b'{"version"')
    (tmp_path / ".feeds.json-old-abcd0123").write_bytes(b"")
    (tmp_path / ".feeds.json-new-my-own").write_bytes(b"kept by someone")
    with remembered(path, FeedState(), state):
        pass
    assert read_state(path.read_bytes()) == state and path.read_bytes() == write_state(state)
    assert beside(path) == [".feeds.json-new-my-own"]


def test_what_others_put_beside_the_site_stays(tmp_path: Path) -> None:
    """Swept is only what has a name that builds give, is a folder, and holds the mark of a site or nothing."""
    for name in (".site-new-mine", ".site-old-abcd0123", ".site-new-abcd0124", ".other-new-abcd0125"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "thesis.html").write_bytes(b"mine")
    (tmp_path / ".other-new-abcd0125" / MARK).write_bytes(b"of another site")
    (tmp_path / ".site-new-abcd0126").write_bytes(b"a file")
    (tmp_path / ".site-new-abcd0127").symlink_to(tmp_path / ".other-new-abcd0125")
    before = tree(tmp_path)
    publish({"index.html": b"new"}, tmp_path / "site")
    assert {name: content for name, content in tree(tmp_path).items() if not name.startswith("site/")} == before
