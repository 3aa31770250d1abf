"""The square code of a card, read back by a reader that did not make it.

Outside authority: ISO/IEC 18004 (side of 17 + 4 x version modules, 4 white modules all round, error levels, capacity of
each version) and zxing-cpp as the reader.
"""

from __future__ import annotations

import re

import pytest
import zxingcpp
from lxml import etree
from PIL import Image, ImageDraw

from earleaf.planning.localise import localise
from earleaf.rendering.paper.codes import code
from earleaf.site.build import Prepared
from earleaf.views.card import card
from earleaf.views.words import Words

QUIET_MODULES, MODULE_MM, PIXELS = 4, 0.5, 6
BYTES_4M = 62  # what a version 4 code of level M holds in byte mode (ISO/IEC 18004, table 7)
ADDRESSES = [
    "https://manual.wrenfold.example/c/c8ts/",
    "https://manual.wrenfold.example/c/c8ts/pebblecross/",
    "https://a.example/c/aaaa/",
    "http://hof-mühle.example/führer/c/zz99/labor-süd/",
    "https://a-rather-long-name-of-a-team.extension.university.example/manuals/tissue/c/c8ts/a-lab-with-a-name/",
]
every_address = pytest.mark.parametrize("address", ADDRESSES)
SVG = "{http://www.w3.org/2000/svg}"


def drawn(svg: str) -> Image.Image:
    """The picture as its own lines say it: a white square, and dark runs one module high."""
    root = etree.fromstring(svg.encode())
    side = int(root.get("viewBox").split()[2])
    picture = Image.new("L", (side * PIXELS, side * PIXELS), 255)
    pen = ImageDraw.Draw(picture)
    (path,) = [p for p in root.iter(f"{SVG}path") if p.get("stroke")]
    x = y = 0.0
    for verb, numbers in re.findall(r"([Mmh])([-\d. ]+)", path.get("d")):
        given = [float(n) for n in re.findall(r"-?\d*\.?\d+", numbers)]
        if verb == "h":
            left, top = x * PIXELS, (y - 0.5) * PIXELS
            pen.rectangle((left, top, left + given[0] * PIXELS - 1, top + PIXELS - 1), fill=0)
            x += given[0]
        else:
            x, y = (given[0], given[1]) if verb == "M" else (x + given[0], y + given[1])
    return picture


def read(picture: Image.Image) -> zxingcpp.Barcode:
    (found,) = zxingcpp.read_barcodes(picture)
    return found


@every_address
def test_a_reader_finds_the_address(address: str) -> None:
    assert read(drawn(code(address).svg)).text == address


@every_address
def test_error_level_is_m(address: str) -> None:
    """Level M: 15 % of the code may be dirty (ISO/IEC 18004, 7.5)."""
    found = read(drawn(code(address).svg))
    assert found.ec_level == "M" and found.symbology == zxingcpp.BarcodeFormat.QRCode


@every_address
def test_four_modules_stay_white_all_round(address: str) -> None:
    picture = drawn(code(address).svg)
    rim = QUIET_MODULES * PIXELS
    dark = picture.point(lambda v: 255 - v).getbbox()
    assert dark == (rim, rim, picture.width - rim, picture.height - rim)


@every_address
def test_a_module_is_half_a_millimetre(address: str) -> None:
    made = code(address)
    version = int(read(drawn(made.svg)).extra["Version"])
    assert made.width_mm == pytest.approx((17 + 4 * version + 2 * QUIET_MODULES) * MODULE_MM)


def test_it_is_a_picture_that_stands_alone() -> None:
    assert etree.fromstring(code(ADDRESSES[0]).svg.encode()).tag == f"{SVG}svg"


def test_codes_of_the_demo_are_small_enough(demo: Prepared) -> None:
    """Version 4 at most: 33 modules, 16.5 mm. Its capacity says the same of the longest address."""
    assert demo.manual is not None
    db, words = demo.db, Words(units=demo.db.units)
    addresses = {
        card(db, words, demo.manual, localise(db, crop, protocol, lab)).short_url
        for crop in db.crops.values()
        for protocol in crop.protocols
        for lab in (None, *db.labs.values())
    }
    assert len(addresses) == sum(len(c.protocols) for c in db.crops.values()) * (1 + len(db.labs))
    longest = max(addresses, key=len)
    assert len(longest.encode()) <= BYTES_4M
    assert int(read(drawn(code(longest).svg)).extra["Version"]) <= 4
