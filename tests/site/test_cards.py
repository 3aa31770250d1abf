"""Every pocket card, sheet, deck and field record of the demo manual, measured in the PDF itself.

Outside authority: ISO 216 and the inch for sizes; PDF/UA-1 (ISO 14289-1) for tags; WCAG 2.2 for contrast (7:1, level
AAA, for cards are read in glare); ISO/IEC 18004 with zxing-cpp as reader for codes; CIE L* for what grey printers keep.
The sizes of type and of fields to write on are those of docs/decisions: 9 pt at least, steps 11, title 16, count 18;
fields 12 mm high, because a pencil in the field needs it.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from itertools import pairwise

import pikepdf
import pytest
import zxingcpp
from PIL import Image, ImageChops, ImageFilter
from site_tree import SiteTree, report, words_of

from earleaf.database.load import Database
from earleaf.model.crop import Crop, Protocol
from earleaf.model.lab import Lab
from earleaf.planning.localise import localise
from earleaf.site.build import Prepared
from earleaf.views.card import Card, card
from earleaf.views.words import Words
from paper import POINT_MM, Letter, Paper, bare, contrast, joined, lightness

INCH = 25.4
SINGLE = (4 * INCH, 5.25 * INCH)
PAPERS = {"letter": (8.5 * INCH, 11 * INCH), "a4": (210.0, 297.0)}
PER_PAGE = {"letter": 4, "a4": 4}
LIVE = (82.5, 127.0)
HEAVIEST_CARD, HEAVIEST_PREVIEW = 150_000, 60_000
SMALLEST, STEP, TITLE, COUNT = 9.0, 11.0, 16.0, 18.0
CONTRAST = 7.0
DARKER = 20.0  # L*, between what is to be seen and what is round it
FIELD_MM = 12.0
FONTS = {"AtkinsonHyperlegibleNext-Regular", "AtkinsonHyperlegibleNext-Bold"}
HAIR_MM = 0.05
Box = tuple[float, float, float, float]
LABS = ("larkmoor", "pebblecross", "quillwater")


@dataclass(frozen=True)
class Case:
    """A card as it is printed, and as the view says it."""

    crop: Crop
    protocol: Protocol
    lab: Lab | None
    said: Card
    paper: Paper

    @property
    def handout(self) -> str:
        inside = f"{self.crop.crop}/{self.protocol.protocol}/"
        return f"labs/{self.lab.lab}/{inside}" if self.lab else f"crops/{inside}"

    @property
    def short(self) -> str:
        return f"c/{self.protocol.short_id}/" + (f"{self.lab.lab}/" if self.lab else "")


def file_name(crop: Crop, protocol: Protocol, lab: Lab | None) -> str:
    return f"cards/{crop.crop}-{protocol.protocol}" + (f"-{lab.lab}" if lab else "")


def all_of(db: Database) -> Iterator[tuple[Crop, Protocol, Lab | None]]:
    for crop in db.crops.values():
        for protocol in crop.protocols:
            for lab in (None, *db.labs.values()):
                yield crop, protocol, lab


@pytest.fixture(scope="module")
def cases(site: SiteTree, demo: Prepared) -> dict[str, Case]:
    """Every single card by file name."""
    assert demo.manual is not None
    db, words = demo.db, Words(units=demo.db.units)
    out = {}
    for crop, protocol, lab in all_of(db):
        name = file_name(crop, protocol, lab)
        said = card(db, words, demo.manual, localise(db, crop, protocol, lab))
        out[name] = Case(crop, protocol, lab, said, Paper(site.files[f"{name}.pdf"]))
    return out


@pytest.fixture(scope="module")
def some(cases: dict[str, Case], manual_db: Database) -> dict[str, Case]:
    """One card of every crop, and all cards of corn and wheat for every lab."""
    first = {file_name(c, c.protocols[0], None) for c in manual_db.crops.values() if c.protocols}
    return {n: c for n, c in cases.items() if n in first or c.crop.crop in ("corn", "wheat")}


# Files


def test_every_protocol_and_lab_has_a_card_and_a_picture(site: SiteTree, manual_db: Database) -> None:
    wanted = {f"{file_name(*one)}.{ending}" for one in all_of(manual_db) for ending in ("pdf", "png")}
    found = {n for n in site.files if re.fullmatch(r"cards/[^/]+\.(pdf|png)", n)}
    assert len(wanted) > 1200 and found == wanted


def test_a_card_is_one_page_of_its_size_and_light(cases: dict[str, Case]) -> None:
    wrong = []
    for name, c in cases.items():
        fits = len(c.paper) == 1 and c.paper.pages_mm[0] == pytest.approx(SINGLE, abs=HAIR_MM)
        wrong += [(name, c.paper.pages_mm, len(c.paper.content))] * (not fits or len(c.paper.content) > HEAVIEST_CARD)
    assert not wrong, report(wrong)


def test_a_preview_is_the_card_and_light(site: SiteTree, cases: dict[str, Case]) -> None:
    """The picture has the size that the page announces, or the page would jump while it loads."""
    wrong = []
    for name, c in cases.items():
        content = site.files[f"{name}.png"]
        picture = Image.open(BytesIO(content))
        shown = site.pages[c.handout].xpath("//img[contains(@src, '/cards/')]")
        announced = [(int(i.get("width")), int(i.get("height"))) for i in shown]
        if len(content) > HEAVIEST_PREVIEW or announced != [picture.size]:
            wrong.append((name, len(content), picture.size, announced))
        assert picture.height / picture.width == pytest.approx(SINGLE[1] / SINGLE[0], rel=0.005)
    assert not wrong, report(wrong)


def test_no_path_of_the_building_machine_in_paper(site: SiteTree, root: object, cases: dict[str, Case]) -> None:
    """Neither in the description of a file nor anywhere uncompressed in it; no time of making either."""
    for name in [n for n in site.files if n.endswith(".pdf")]:
        assert str(root).encode() not in site.files[name] and b"CreationDate" not in site.files[name], name
    for c in list(cases.values())[::50]:
        described = bytes(c.paper.pdf.Root.Metadata.read_bytes()).decode()
        assert not re.search(r"/(?:home|root|work|tmp|usr|Users)/|CreateDate|ModifyDate", described)


# Type


def told(said: Card) -> Iterator[tuple[str, str]]:
    """(kind, text) in the order in which a card is read."""
    take = said.take
    yield from (("title", said.title), ("code", said.stage_code), ("label", take.label), ("part", take.part))
    yield from (("stalk", take.stalk), ("count", take.count), ("where", take.where), ("bag", take.bag))
    yield from (("also", line) for line in said.also)
    for pause in said.pauses:
        yield ("pause", pause.title)
        yield from (("step", step) for step in pause.steps)
    yield from (("field", name) for name in ("Field", "Date", "Stage seen", "Initials"))
    yield from (("ruined", said.ruined), ("lab", said.lab), ("checked", f"{said.checked}, {said.version}"))
    yield ("address", said.short_text)


def printed(c: Case) -> dict[str, list[list[Letter]]]:
    """The letters of every text by kind. A text that is not printed, or not in order, fails here."""
    letters, out, at = c.paper.letters, dict[str, list[list[Letter]]](), 0
    text = joined(letters)
    assert len(text) == len(letters), "a ligature would shift the count"
    for kind, said in told(c.said):
        wanted = bare(said)
        found = text.find(wanted, at)
        assert found >= 0, f"{c.said.name}: {kind} {said!r} is not printed after {text[:at][-30:]!r}"
        out.setdefault(kind, []).append(letters[found : found + len(wanted)])
        at = found + len(wanted)
    return out


def sizes(found: list[list[Letter]]) -> set[float]:
    return {letter.size for letters in found for letter in letters}


def test_everything_the_card_says_can_be_selected_in_reading_order(cases: dict[str, Case]) -> None:
    for c in cases.values():
        printed(c)


def test_no_text_is_smaller_than_9_pt(cases: dict[str, Case]) -> None:
    wrong = []
    for name, c in cases.items():
        small = [letter for letter in c.paper.letters if letter.size < SMALLEST - 0.001]
        wrong += [(name, joined(small), min(x.size for x in small))] if small else []
    assert not wrong, report(wrong)


def test_steps_and_title_are_large_enough(cases: dict[str, Case]) -> None:
    wrong = []
    for name, c in cases.items():
        found = printed(c)
        if min(sizes(found["step"])) < STEP or min(sizes(found["title"])) < TITLE:
            wrong.append((name, sizes(found["step"]), sizes(found["title"])))
    assert not wrong, report(wrong)


def test_part_and_count_are_the_largest_words(cases: dict[str, Case]) -> None:
    """What makes a sample right or worthless is read first: nothing else on the card is as large."""
    wrong = []
    for name, c in cases.items():
        found = printed(c)
        loud = [letter for kind in ("part", "count") for letters in found[kind] for letter in letters]
        least = min(letter.size for letter in loud)
        others = [letter.size for letter in c.paper.letters if letter not in set(loud)]
        if max(others) >= least or min(sizes(found["count"])) < COUNT:
            wrong.append((name, max(others), least, sizes(found["count"])))
    assert not wrong, report(wrong)


def test_all_text_lies_in_the_live_area(cases: dict[str, Case]) -> None:
    wrong = []
    for name, c in cases.items():
        width, height = c.paper.pages_mm[0]
        edge_x, edge_y = (width - LIVE[0]) / 2 - HAIR_MM, (height - LIVE[1]) / 2 - HAIR_MM
        out = [
            letter
            for letter in c.paper.letters
            if min(letter.left, width / POINT_MM - letter.right) * POINT_MM < edge_x
            or min(letter.bottom, height / POINT_MM - letter.top) * POINT_MM < edge_y
        ]
        wrong += [(name, joined(out))] if out else []
    assert not wrong, report(wrong)


def test_no_two_texts_lie_on_each_other(cases: dict[str, Case]) -> None:
    """Letters of different texts never share a place, so none is hidden."""
    wrong = []
    for name, c in cases.items():
        texts = [letters for many in printed(c).values() for letters in many if letters]
        for i, one in enumerate(texts):
            for other in texts[i + 1 :]:
                if shared(box(one), box(other)) and any(shared(box([a]), box([b])) for a in one for b in other):
                    wrong.append((name, joined(one), joined(other)))
    assert not wrong, report(wrong)


def shared(one: Box, other: Box) -> bool:
    """Whether two boxes overlap by more than a hair in both directions."""
    across, down = min(one[2], other[2]) - max(one[0], other[0]), min(one[3], other[3]) - max(one[1], other[1])
    return min(across, down) > HAIR_MM / POINT_MM


def box(letters: list[Letter]) -> Box:
    """Left, bottom, right, top of some letters, in points."""
    return (
        min(x.left for x in letters),
        min(x.bottom for x in letters),
        max(x.right for x in letters),
        max(x.top for x in letters),
    )


def pixels(paper: Paper, box_pt: Box, dpi: int) -> tuple[int, int, int, int]:
    """A box of points as left, top, right, bottom of a raster."""
    height = paper.pages_mm[0][1] / POINT_MM
    left, bottom, right, top = box_pt
    scale = dpi / 72
    return (
        int(left * scale),
        int((height - top) * scale),
        math.ceil(right * scale),
        math.ceil((height - bottom) * scale),
    )


def grounds(c: Case) -> Iterator[tuple[Letter, tuple[int, int, int]]]:
    """The first letter of every line in one colour, and the colour that it stands on in the raster."""
    dpi, groups = 200, dict[tuple[int, tuple[int, int, int], float], list[Letter]]()
    raster = c.paper.raster(dpi)
    for letter in c.paper.letters:
        groups.setdefault((letter.line, letter.colour, letter.size), []).append(letter)
    for letters in groups.values():
        left, top, right, bottom = pixels(c.paper, box(letters), dpi)
        patch = raster.crop((left - 2, top - 2, right + 2, bottom + 2))
        found = sorted(((n, v) for n, v in patch.getcolors(1 << 16) or [] if v != letters[0].colour), reverse=True)
        yield letters[0], found[0][1]


def test_every_colour_of_text_stands_out_from_its_ground(cases: dict[str, Case], some: dict[str, Case]) -> None:
    seen, wrong = set(), []
    for name, c in some.items():
        for letter, ground in grounds(c):
            seen.add(letter.colour)
            if contrast(letter.colour, ground) < CONTRAST:
                wrong.append((name, letter.text, letter.colour, ground, round(contrast(letter.colour, ground), 1)))
    assert not wrong, report(wrong)
    assert seen == {x.colour for c in cases.values() for x in c.paper.letters}, "a colour was not measured"
    assert (255, 255, 255) in seen, "the title is white on its bar"


def test_fonts_are_ours_and_embedded(cases: dict[str, Case]) -> None:
    wrong = []
    for name, c in cases.items():
        fonts = {re.sub(r"^/(?:[A-Z]{6}\+)?", "", str(f.BaseFont)): f.FontDescriptor for f in c.paper.fonts}
        embedded = all({"/FontFile2", "/FontFile3"} & set(d.keys()) for d in fonts.values())
        wrong += [(name, fonts.keys())] * (not embedded or not fonts.keys() <= FONTS or not fonts)
    assert not wrong, report(wrong)


# Tags (PDF/UA-1)


def tag_faults(paper: Paper) -> Iterator[str]:
    """What a screen reader would miss (ISO 14289-1, clauses 5, 7.1, 7.2, 7.3, 7.4)."""
    root = paper.pdf.Root
    marks = root.get("/MarkInfo", pikepdf.Dictionary())
    if marks.get("/Marked") is not True or marks.get("/Suspects", False):
        yield "not marked"
    if str(root.get("/Lang", "")) != "en":
        yield "no language"
    with paper.pdf.open_metadata() as meta:
        if meta.get("pdfuaid:part") != "1":
            yield "does not say it is PDF/UA-1"
        if not meta.get("dc:title"):
            yield "no title"
    if root.get("/ViewerPreferences", pikepdf.Dictionary()).get("/DisplayDocTitle") is not True:
        yield "shows the file name instead of the title"
    if "/StructTreeRoot" not in root or "/ParentTree" not in root.StructTreeRoot:
        yield "no tree of tags"
    yield from (f"a figure says nothing: {e}" for kind, e in paper.tags if kind == "Figure" and not said_by(e))
    found = paper.headings
    if not found or found[0] != 1:
        yield f"headings begin with {found[:1]}"
    if any(b > a + 1 for a, b in pairwise(found)):
        yield f"a heading level is skipped: {found}"


def said_by(figure: pikepdf.Dictionary) -> str:
    return str(figure.get("/Alt", "")).strip()


def test_every_card_is_tagged(cases: dict[str, Case]) -> None:
    wrong = [(name, fault) for name, c in cases.items() for fault in tag_faults(c.paper)]
    assert not wrong, report(wrong)


def test_a_card_has_one_title_a_heading_for_each_pause_and_a_list_of_steps(cases: dict[str, Case]) -> None:
    wrong = []
    for name, c in cases.items():
        kinds = Counter(kind for kind, _ in c.paper.tags)
        steps = sum(len(pause.steps) for pause in c.said.pauses)
        told = (kinds["H1"], kinds["H2"], kinds["L"], kinds["LI"], kinds["LBody"])
        wrong += [(name, told)] * (told != (1, 1 + len(c.said.pauses), len(c.said.pauses), steps, steps))
    assert not wrong, report(wrong)


def test_figures_are_the_plant_and_the_code(cases: dict[str, Case], demo: Prepared) -> None:
    assert demo.manual is not None
    for name, c in cases.items():
        texts = [said_by(e) for kind, e in c.paper.tags if kind == "Figure"]
        assert len(texts) in (1, 2), name
        assert str(demo.manual.site_url).rstrip("/") + f"/{c.short}" in texts[-1]
    assert sum(len([1 for kind, _ in c.paper.tags if kind == "Figure"]) == 2 for c in cases.values()) > 550


def test_nothing_is_printed_outside_the_tags(some: dict[str, Case]) -> None:
    """All content is tagged or marked as an artifact (ISO 14289-1, 7.1)."""
    shows = {"Tj", "TJ", "'", '"', "f", "f*", "F", "S", "s", "B", "B*", "b", "b*", "sh", "Do"}
    for name, c in list(some.items())[::4]:
        depth, loose, shown = 0, [], 0
        for operands, operator in pikepdf.parse_content_stream(c.paper.pdf.pages[0]):
            verb = str(operator)
            depth += {"BDC": 1, "BMC": 1, "EMC": -1}.get(verb, 0)
            shown += verb in shows
            loose += [(verb, operands)] if verb in shows and depth == 0 else []
        assert shown > 20 and not loose, name


# Decks and sheets


def addresses(paper: Paper, host: str) -> Counter[str]:
    """The short addresses printed as text, without the host. A line may break after a slash."""
    text = "".join(paper.texts).replace(" ", "")
    labs = "|".join(LABS)
    return Counter(re.findall(rf"{re.escape(host)}(/c/[a-z2-9]{{4}}(?:/(?:{labs}))?)", text))


def short_texts(cases: dict[str, Case], lab: Lab | None, crop: str | None = None) -> Counter[str]:
    wanted = [c for c in cases.values() if c.lab is lab and crop in (None, c.crop.crop)]
    return Counter(f"/{c.short}".rstrip("/") for c in wanted)


@pytest.fixture(scope="module")
def host(demo: Prepared) -> str:
    assert demo.manual is not None
    return str(demo.manual.site_url).rstrip("/").split("://")[1]


@pytest.mark.parametrize("paper", ["", "letter", "a4"])
def test_a_deck_holds_every_card_once(
    paper: str, site: SiteTree, cases: dict[str, Case], manual_db: Database, host: str
) -> None:
    for lab in (None, *manual_db.labs.values()):
        name = "-".join(filter(None, [lab.lab if lab else "any-lab", paper]))
        deck, wanted = Paper(site.files[f"cards/decks/{name}.pdf"]), short_texts(cases, lab)
        assert len(deck) == math.ceil(wanted.total() / (PER_PAGE[paper] if paper else 1))
        size = PAPERS[paper] if paper else SINGLE
        assert all(page == pytest.approx(size, abs=HAIR_MM) for page in deck.pages_mm)
        assert addresses(deck, host) == wanted
        assert deck.headings.count(1) == wanted.total()
        assert not list(tag_faults(deck))


def test_sheets_of_a_crop_hold_its_cards_and_no_other(
    site: SiteTree, cases: dict[str, Case], manual_db: Database, host: str
) -> None:
    wanted_files, wrong = set(), []
    for crop in manual_db.crops.values():
        for lab in (None, *manual_db.labs.values()):
            for paper in PAPERS if crop.protocols else ():
                name = f"cards/sheets/{'-'.join(filter(None, [crop.crop, lab.lab if lab else '', paper]))}.pdf"
                wanted_files.add(name)
                sheet, wanted = Paper(site.files[name]), short_texts(cases, lab, crop.crop)
                pages = math.ceil(wanted.total() / PER_PAGE[paper])
                fits = all(page == pytest.approx(PAPERS[paper], abs=HAIR_MM) for page in sheet.pages_mm)
                if addresses(sheet, host) != wanted or len(sheet) != pages or not fits:
                    wrong.append((name, addresses(sheet, host), len(sheet), pages))
    assert not wrong, report(wrong)
    assert {n for n in site.files if n.startswith("cards/sheets/")} == wanted_files


# Codes


def read_codes(paper: Paper, page: int = 0) -> list[str]:
    """What a phone reads of a page as a 300-dpi printer makes it."""
    found = zxingcpp.read_barcodes(paper.raster(300, page), formats=zxingcpp.BarcodeFormat.QRCode)
    return [code.text for code in found]


def sample(cases: dict[str, Case], many: int) -> list[Case]:
    """Spread over crops and labs: the step has no factor in common with the number of labs."""
    step = max(1, len(cases) // many) | 1
    return list(cases.values())[::step]


def test_the_code_of_a_card_leads_to_its_handout(site: SiteTree, cases: dict[str, Case], demo: Prepared) -> None:
    assert demo.manual is not None
    base = str(demo.manual.site_url).rstrip("/") + "/"
    chosen = sample(cases, 32)
    assert len(chosen) >= 30 and {c.lab.lab if c.lab else "" for c in chosen} == {"", *demo.db.labs}
    for c in chosen:
        assert read_codes(c.paper) == [base + c.short], c.said.name
        file = f"{c.short}index.html"
        (leads,) = site.redirects[file].xpath("//meta[@http-equiv='refresh']/@content")
        assert site.resolve(file, leads.split("url=", 1)[1])[0] == f"{c.handout}index.html"
        assert f"{c.handout}index.html" in site.files


def test_every_address_is_printed_as_text_too(cases: dict[str, Case], host: str) -> None:
    """For phones that read no codes, and for hands."""
    wrong = [n for n, c in cases.items() if addresses(c.paper, host) != Counter([f"/{c.short}".rstrip("/")])]
    assert not wrong, report(wrong)


def test_codes_on_a_sheet_can_be_read_as_well(site: SiteTree, cases: dict[str, Case], demo: Prepared) -> None:
    assert demo.manual is not None
    base = str(demo.manual.site_url).rstrip("/")
    for paper in PAPERS:
        sheet = Paper(site.files[f"cards/sheets/corn-larkmoor-{paper}.pdf"])
        wanted = short_texts(cases, demo.db.labs["larkmoor"], "corn")
        found = Counter(code for page in range(len(sheet)) for code in read_codes(sheet, page))
        assert found == Counter(f"{base}{a}/" for a in wanted.elements())


# To write on, and in grey


def longest_dark(raster: Image.Image, x: int, through: int) -> tuple[int, int]:
    """First and last row of the dark line in a column that passes a row; equal where there is none."""
    top = bottom = through
    while top > 0 and raster.getpixel((x, top - 1)) < 140:
        top -= 1
    while bottom < raster.height - 1 and raster.getpixel((x, bottom + 1)) < 140:
        bottom += 1
    return top, bottom


def test_fields_to_write_on_are_12_mm_high(cases: dict[str, Case]) -> None:
    dpi = 600
    for c in sample(cases, 12):
        raster = c.paper.raster(dpi).convert("L")
        fields = printed(c)["field"]
        assert len(fields) == 4
        for letters in fields:
            left, top, right, bottom = pixels(c.paper, box(letters), dpi)
            row = (top + bottom) // 2
            near = range(left - round(2 / INCH * dpi), left)
            high, low = max((longest_dark(raster, x, row) for x in near), key=lambda run: run[1] - run[0])
            assert (low - high) / dpi * INCH == pytest.approx(FIELD_MM, abs=0.4), (c.said.name, joined(letters))
            under = [raster.getpixel((right + dpi // 25, y)) for y in range(low - dpi // 50, low + dpi // 50)]
            assert min(under) < 140, "no line to write on"


DARK = (0x17, 0x32, 0x4D)


def grey_of(picture: Image.Image, mask: Image.Image, part: float) -> float:
    """L* of the grey that this share of the masked pixels does not exceed."""
    counts = picture.histogram(mask)
    left = part * sum(counts)
    for grey, many in enumerate(counts):
        left -= many
        if left <= 0:
            return lightness(grey)
    raise AssertionError("nothing is masked")


def only(picture: Image.Image, colour: tuple[int, int, int]) -> Image.Image:
    """White where the picture has exactly this colour."""
    bands = [
        band.point([255 if v == w else 0 for v in range(256)]) for band, w in zip(picture.split(), colour, strict=True)
    ]
    return ImageChops.multiply(ImageChops.multiply(bands[0], bands[1]), bands[2])


def darker_than_round_it(raster: Image.Image, area: tuple[int, int, int, int]) -> float | None:
    """By how many L* the dark pixels of an area are darker in grey than what lies 1 mm round them; None without any."""
    dark = only(raster.crop(area), DARK)
    found = dark.getbbox()
    if found is None:
        return None
    rim = 10
    around = (found[0] - rim, found[1] - rim, found[2] + rim, found[3] + rim)
    mask, grey = dark.crop(around), raster.convert("L").crop(area).crop(around)
    inside = Image.new("L", dark.size, 255).crop(around)  # what crop adds outside the page is no ground
    near = ImageChops.subtract(mask.filter(ImageFilter.MaxFilter(13)), mask.filter(ImageFilter.MaxFilter(5)))
    return grey_of(grey, ImageChops.multiply(near, inside), 0.5) - grey_of(grey, mask, 0.95)


def test_bar_and_target_stay_dark_in_grey(some: dict[str, Case]) -> None:
    """Black ink is enough: the bar and the part to take stay 20 L* darker than what is round them."""
    dpi, seen, wrong = 150, 0, []
    for name, c in some.items():
        raster = c.paper.raster(dpi)
        end = pixels(c.paper, box(printed(c)["title"][0]), dpi)[3] + dpi // 8
        bar = darker_than_round_it(raster, (0, 0, raster.width, end))
        assert bar is not None, f"{name}: no bar"
        wrong += [(name, "bar", round(bar, 1))] * (bar < DARKER)
        target = darker_than_round_it(raster, (0, end, raster.width, raster.height))
        if target is not None:  # where no source names the part, nothing is drawn
            seen += 1
            wrong += [(name, "target", round(target, 1))] * (target < DARKER)
    assert not wrong, report(wrong)
    assert seen > 0.9 * len(some)


# Field records


def cells(paper: Paper) -> int:
    """Boxes for single letters beside the words 'Sample name': uprights 8 mm apart, at half the height of the boxes."""
    dpi = 200
    text, letters = joined(paper.letters), paper.letters
    start = text.index("samplename")
    raster = paper.raster(dpi).convert("L")
    row = pixels(paper, box(letters[start : start + 10]), dpi)[1] + round(4.5 / INCH * dpi)
    dark = [x for x in range(raster.width) if raster.getpixel((x, row)) < 160]
    lines = [x for x in dark if x - 1 not in dark]
    return sum((b - a) / dpi * INCH == pytest.approx(8, abs=0.3) for a, b in pairwise(lines))


@pytest.mark.parametrize("paper", PAPERS)
def test_field_record(paper: str, site: SiteTree, manual_db: Database) -> None:
    """One tagged page; as many boxes for the sample name as the lab reads characters."""
    for lab in (None, *manual_db.labs.values()):
        sheet = Paper(site.files[f"cards/record/{lab.lab if lab else 'any-lab'}-{paper}.pdf"])
        assert len(sheet) == 1 and sheet.pages_mm[0] == pytest.approx(PAPERS[paper], abs=HAIR_MM)
        assert not list(tag_faults(sheet))
        assert min(x.size for x in sheet.letters) >= SMALLEST
        limit = lab.sample_id.max_length if lab and lab.sample_id else 0
        assert cells(sheet) == limit
        assert (lab.name if lab else "Any lab") in sheet.texts[0]
        assert not [other for other in manual_db.labs.values() if other is not lab and other.name in sheet.texts[0]]
        if limit:
            assert f"{limit} characters at most" in sheet.texts[0]
    assert {lab.sample_id.max_length for lab in manual_db.labs.values() if lab.sample_id} == {6, 12, 10}


def test_a_field_record_asks_for_what_gives_a_result_its_meaning(site: SiteTree) -> None:
    """Stage, part, date and hour, sprays and weather: what university guides ask to be noted with each sample."""
    said = Paper(site.files["cards/record/any-lab-letter.pdf"]).texts[0].lower()
    for asked in (
        "sample name",
        "soil sample",
        "field",
        "date",
        "hour",
        "stage",
        "part",
        "spray",
        "weather",
        "variety",
    ):
        assert asked in said, asked


# Links


def test_a_handout_offers_its_own_card_and_the_sheets_of_its_crop(site: SiteTree, cases: dict[str, Case]) -> None:
    wrong = []
    for name, c in cases.items():
        file = f"{c.handout}index.html"
        section = site.pages[c.handout].xpath("//section[h2/@id='card']")
        found = {site.resolve(file, a)[0] for s in section for a in (*s.xpath(".//@href"), *s.xpath(".//@src"))}
        stem = "-".join(filter(None, [c.crop.crop, c.lab.lab if c.lab else ""]))
        wanted = {f"{name}.pdf", f"{name}.png", *(f"cards/sheets/{stem}-{paper}.pdf" for paper in PAPERS)}
        wanted |= {f"cards/{c.lab.lab}/index.html" if c.lab else "cards/index.html"}
        wrong += [(c.handout, found ^ wanted)] * (found != wanted or not wanted <= site.files.keys())
    assert not wrong, report(wrong)


def test_the_pages_of_cards_lead_to_every_file(site: SiteTree, manual_db: Database) -> None:
    """Each page holds all files of its lab and none of another's; all files are reached."""
    reached: Counter[str] = Counter()
    for lab in (None, *manual_db.labs.values()):
        address = f"cards/{lab.lab}/" if lab else "cards/"
        links = [site.resolve(f"{address}index.html", a)[0] for a in site.main(address).xpath(".//a/@href")]
        files = [n for n in links if n.endswith(".pdf")]
        assert set(links) <= site.files.keys()
        reached.update(set(files))
        others = [other.lab for other in manual_db.labs.values() if other is not lab]
        assert not [n for n in files if any(f"-{o}." in n or f"-{o}-" in n or f"/{o}" in n for o in others)]
        assert (lab.name if lab else "Pocket cards") in words_of(site.main(address).xpath(".//h1")[0])
    assert set(reached) == {n for n in site.files if n.endswith(".pdf") and n.startswith("cards/")}
    assert set(reached.values()) == {1}, "a file is offered for two labs"
