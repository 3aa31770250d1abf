"""CSV to rows: lines, empty cells, and which ids were lost."""

from __future__ import annotations

from earleaf.database.tables import read_rows
from earleaf.model.evidence import HandlingRow, SamplingRow

HEAD = "row,topic,rule,value,unit,source\n"
GOOD = 'bag.1,bag,"Paper, not\nplastic.",,,uni-a\n'


def test_a_row_keeps_its_line_and_empty_cells_are_none() -> None:
    rows, found, lost = read_rows(HandlingRow, (HEAD + "\n" + GOOD + " bag.2 ,bag,Dry.,a,b,uni-a\n").encode(), "h.csv")
    assert not found and not lost
    assert [(line, row.row, row.value) for line, row in rows] == [(4, "bag.1", None), (5, "bag.2", "a")]
    assert rows[0][1].rule == "Paper, not\nplastic."


def test_column_order_is_free_and_columns_may_be_left_out() -> None:
    rows, found, _ = read_rows(SamplingRow, b"crop,stage_text,source,row\ncorn,silk,uni-a,corn.a.1\n", "s.csv")
    assert not found and rows[0][1].crop == "corn" and rows[0][1].part is None


def test_byte_order_mark_and_line_ends_of_other_systems() -> None:
    data = b"\xef\xbb\xbf" + (HEAD + "bag.1,bag,Dry.,,,uni-a\n").replace("\n", "\r\n").encode()
    rows, found, _ = read_rows(HandlingRow, data, "h.csv")
    assert not found and [line for line, _ in rows] == [2]


def test_a_bad_row_does_not_lose_the_good_ones() -> None:
    data = (HEAD + "bag.1,bag,Dry.,,,uni-a\nbag.2,bagg,Dry.,,,uni-a\nbag.3,bag\nbag.4,bag,Dry.,,,uni-a\n").encode()
    rows, found, lost = read_rows(HandlingRow, data, "h.csv")
    assert [row.row for _, row in rows] == ["bag.1", "bag.4"]
    assert [(f.line, f.rule) for f in found] == [(3, "bad-cell"), (4, "wrong-length")]
    assert lost == {"bag.2", "bag.3"}


def test_a_table_that_cannot_be_read_to_its_end_loses_more_than_can_be_told() -> None:
    for data in (b"", b"\xff", b"rows\n", HEAD.encode() + b'bag.1,bag,"Dry,,,uni-a\n'):
        rows, found, lost = read_rows(HandlingRow, data, "h.csv")
        assert not rows and found and "" in lost
