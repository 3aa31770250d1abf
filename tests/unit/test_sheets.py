"""How cards lie on paper.

Outside authority: ISO 216 (A4, A6), ASME Y14.1 (US Letter, 8.5 x 11 in), the inch of 25.4 mm (NIST SP 811), and
arithmetic. An office printer leaves up to 5 mm white; a card is cut by hand, so 3 mm to the cut are asked for.
"""

from __future__ import annotations

from itertools import combinations, product

import pytest

from earleaf.rendering.paper.sheets import CARDS, PAPERS, Sheet, UnknownSize, imposed, single

INCH = 25.4
LIVE = (82.5, 127.0)
TO_THE_CUT, PRINTER_EDGE = 3.0, 5.0
HAIR = 1e-6

LETTER, A4 = (8.5 * INCH, 11 * INCH), (210.0, 297.0)
SIZES = {
    "4x5.25": (4 * INCH, 5.25 * INCH),
    "4x6": (4 * INCH, 6 * INCH),
    "3.5x5.5": (3.5 * INCH, 5.5 * INCH),
    "a6": (105.0, 148.0),
}
every_pair = pytest.mark.parametrize(("paper", "card"), list(product(["letter", "a4"], SIZES)))

Box = tuple[float, float, float, float]


def boxes(sheet: Sheet) -> list[Box]:
    """Left, top, right, bottom of every card on the sheet."""
    out = []
    for column, row in product(range(sheet.columns), range(sheet.rows)):
        left, top = sheet.left_mm + column * sheet.card_width_mm, sheet.top_mm + row * sheet.card_height_mm
        out.append((left, top, left + sheet.card_width_mm, top + sheet.card_height_mm))
    return out


def live(box: Box) -> Box:
    """What is printed on: the live area, in the middle of a card."""
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    return x - LIVE[0] / 2, y - LIVE[1] / 2, x + LIVE[0] / 2, y + LIVE[1] / 2


def room(inner: Box, outer: Box) -> float:
    """The least distance from an inner box to the edge of an outer one; negative where it sticks out."""
    return min(inner[0] - outer[0], inner[1] - outer[1], outer[2] - inner[2], outer[3] - inner[3])


def test_sizes_are_those_of_the_standards() -> None:
    for ours, standard in ((CARDS, SIZES), (PAPERS, {"letter": LETTER, "a4": A4})):
        assert ours.keys() == standard.keys()
        assert all(ours[name] == pytest.approx(size) for name, size in standard.items())


@pytest.mark.parametrize(
    ("paper", "card", "many"),
    [("letter", "4x6", 2), ("letter", "4x5.25", 4), ("a4", "a6", 4), ("letter", "3.5x5.5", 4), ("a4", "4x5.25", 4)],
)
def test_how_many_a_sheet_gives(paper: str, card: str, many: int) -> None:
    """Two cards of 4 in stand side by side on 8.5 in or 210 mm; two of 5.25 in fit on 11 in, two of 6 in do not."""
    assert imposed(paper, card).per_page == many


@pytest.mark.parametrize(("paper", "size"), [("letter", SIZES["4x5.25"]), ("a4", SIZES["a6"])])
def test_the_usual_card_goes_four_times(paper: str, size: tuple[float, float]) -> None:
    sheet = imposed(paper)
    assert (sheet.card_width_mm, sheet.card_height_mm) == pytest.approx(size)
    assert sheet.per_page == 4


@every_pair
def test_cards_lie_apart_and_inside_the_paper(paper: str, card: str) -> None:
    sheet = imposed(paper, card)
    width, height = {"letter": LETTER, "a4": A4}[paper]
    assert (sheet.width_mm, sheet.height_mm) == pytest.approx((width, height))
    assert (sheet.card_width_mm, sheet.card_height_mm) == pytest.approx(SIZES[card])
    assert len(boxes(sheet)) == sheet.per_page >= 1
    for box in boxes(sheet):
        assert room(box, (0, 0, width, height)) >= -HAIR
    for one, other in combinations(boxes(sheet), 2):
        across = min(one[2], other[2]) - max(one[0], other[0])
        down = min(one[3], other[3]) - max(one[1], other[1])
        assert min(across, down) <= HAIR, "two cards overlap"


@every_pair
def test_what_is_printed_stays_clear_of_cut_and_edge(paper: str, card: str) -> None:
    sheet = imposed(paper, card)
    for box in boxes(sheet):
        assert room(live(box), box) >= TO_THE_CUT
        assert room(live(box), (0, 0, sheet.width_mm, sheet.height_mm)) >= PRINTER_EDGE - HAIR


@every_pair
def test_cards_lie_in_the_middle(paper: str, card: str) -> None:
    sheet = imposed(paper, card)
    right = sheet.width_mm - sheet.left_mm - sheet.columns * sheet.card_width_mm
    below = sheet.height_mm - sheet.top_mm - sheet.rows * sheet.card_height_mm
    assert (right, below) == pytest.approx((sheet.left_mm, sheet.top_mm), abs=HAIR)


@every_pair
def test_one_more_column_or_row_would_not_fit(paper: str, card: str) -> None:
    sheet = imposed(paper, card)
    for paper_mm, card_mm, live_mm, count in (
        (sheet.width_mm, sheet.card_width_mm, LIVE[0], sheet.columns + 1),
        (sheet.height_mm, sheet.card_height_mm, LIVE[1], sheet.rows + 1),
    ):
        spare = paper_mm - count * card_mm
        edge = spare / 2 + (card_mm - live_mm) / 2
        assert spare < -HAIR or edge < PRINTER_EDGE, f"{count} would have fitted"


def test_a_column_less_where_print_would_touch_the_edge(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two cards of 90 mm fill 180 mm, but what is printed would begin (90 - 82.5) / 2 = 3.75 mm from the edge."""
    monkeypatch.setitem(PAPERS, "narrow", (180.0, 297.0))
    monkeypatch.setitem(CARDS, "slim", (90.0, 148.0))
    sheet = imposed("narrow", "slim")
    assert (sheet.columns, sheet.rows, sheet.left_mm) == (1, 2, pytest.approx(45))


@pytest.mark.parametrize("card", SIZES)
def test_a_single_card_fills_its_page(card: str) -> None:
    sheet = single(card)
    assert (sheet.width_mm, sheet.height_mm) == pytest.approx(SIZES[card])
    assert (sheet.per_page, sheet.left_mm, sheet.top_mm, sheet.marks) == (1, 0, 0, False)


@pytest.mark.parametrize("card", SIZES)
def test_bleed_is_an_eighth_of_an_inch_all_round(card: str) -> None:
    """1/8 in is what print shops ask for; 25.4 / 8 = 3.175 mm."""
    sheet, (width, height) = single(card, bleed=True), SIZES[card]
    assert (sheet.width_mm, sheet.height_mm) == pytest.approx((width + 6.35, height + 6.35))
    assert (sheet.left_mm, sheet.top_mm) == pytest.approx((3.175, 3.175))
    assert sheet.marks and (sheet.card_width_mm, sheet.card_height_mm) == pytest.approx((width, height))


@pytest.mark.parametrize("name", ["a5", "", "4X6", "4 x 6", "letter"])
def test_an_unknown_card_names_all_there_are(name: str) -> None:
    for ask in (lambda: single(name), lambda: imposed("letter", name or "?")):
        with pytest.raises(UnknownSize) as told:
            ask()
        assert "card size" in str(told.value)
        assert all(known in str(told.value) for known in SIZES)


@pytest.mark.parametrize("name", ["legal", "", "A4", "a6"])
def test_an_unknown_paper_names_all_there_are(name: str) -> None:
    with pytest.raises(UnknownSize) as told:
        imposed(name)
    assert repr(name) in str(told.value) and "paper size" in str(told.value)
    assert "letter" in str(told.value) and "a4" in str(told.value)
