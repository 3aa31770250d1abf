"""Addresses are for ever: each one that the demo manual ever published still leads somewhere."""

from __future__ import annotations

from pathlib import Path

from lxml import html
from site_tree import report

from earleaf.site.addresses import is_there, published, read
from earleaf.site.build import Prepared

LIST = "demo_scenario/published-addresses.txt"


def test_no_published_address_is_lost(built: Path, root: Path) -> None:
    listed = read(root / LIST)
    assert len(listed) > 1000
    lost = sorted(address for address in listed if not is_there(built, address))
    assert not lost, f"never take an address away; lead on from it. {report(lost)}"


def test_every_new_address_is_on_the_list(built: Path, root: Path, demo: Prepared) -> None:
    new = sorted(published(built, demo.db.labs) - read(root / LIST))
    assert not new, f"`make addresses` writes them. {report(new)}"


def test_the_list_holds_every_published_id(root: Path) -> None:
    """protocols/published-ids.txt is the older list: its handouts and codes must be among these, in both languages."""
    lines = (root / "protocols/published-ids.txt").read_text("utf-8").splitlines()
    ids = [line.split() for line in lines if line and not line.startswith("#")]
    listed = read(root / LIST)
    wanted = {a for name, short, *_ in ids for a in (f"crops/{name}/", f"c/{short}/", f"crops/{name.split('/')[0]}/")}
    lost = sorted(a for a in wanted | {f"es/{a}" for a in wanted} if a not in listed)
    assert ids and not lost, report(lost)


def test_a_redirect_on_the_list_leads_to_a_page(built: Path, root: Path) -> None:
    lost = []
    for address in read(root / LIST):
        if not address.endswith("/"):
            continue
        file = built / address / "index.html"
        to = html.fromstring(file.read_bytes()).xpath("string(//meta[@http-equiv='refresh']/@content)")
        if to and not (file.parent / to.split("url=", 1)[1] / "index.html").resolve().is_file():
            lost.append((address, to))
    assert not lost, report(lost)
