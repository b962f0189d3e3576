"""Pieces in two columns: in order, within the page, with the head of a table where it goes on."""

from itertools import pairwise

import pytest

from app.chart_canvas import Canvas
from app.sheet.paging import FoldedRun, Pages, stacked
from app.sheet.paper import A4
from app.sheet.pieces import ColumnsPiece, Piece


class Plate(Piece):
    """A piece that is only as high as it is."""

    def __init__(self, height: float, name: str = "", head: Piece | None = None) -> None:
        self.height, self.name, self.head = height, name, head

    def paint(self, canvas: Canvas, left: float, top: float) -> None:
        raise AssertionError("nothing is painted here")


def columns_of(pages: Pages) -> list[list[list[tuple[Piece, float]]]]:
    """Return what stands in the columns, page by page."""
    return [
        [list(column) for placed in page if isinstance(placed.piece, ColumnsPiece)
         for _, column in placed.piece._columns]
        for page in pages.finished()
    ]  # fmt: skip


@pytest.mark.parametrize("count", [1, 2, 7, 40, 200])
def test_all_pieces_stand_once_and_in_order(count: int) -> None:
    pages = Pages(A4)
    plates = [Plate(5.0 + k % 3, f"{k}") for k in range(count)]
    pages.place([Plate(100.0), FoldedRun(plates, 80.0, 2.0)])
    found = [piece for page in columns_of(pages) for column in page for piece, _ in column]
    assert found == plates
    for page in pages.finished():
        assert all(one.top + one.piece.height <= A4.text_height + 1e-6 for one in page)
    for page_columns in columns_of(pages):
        for column in page_columns:
            for (piece, top), (_, later) in pairwise(column):
                assert later >= top + piece.height - 1e-9


def test_columns_that_end_on_a_page_are_of_one_height() -> None:
    pages = Pages(A4)
    pages.place([FoldedRun([Plate(6.0) for _ in range(21)], 80.0, 0.0)])
    ((first, second),) = columns_of(pages)
    assert (len(first), len(second)) == (11, 10)


def test_a_table_that_goes_on_has_its_head_again() -> None:
    head = Plate(8.0, "head")
    rows = [Plate(5.0, f"{k}", head) for k in range(150)]
    for row in rows[:1]:
        row.head = None
    pages = Pages(A4)
    pages.place([FoldedRun([head, *rows], 80.0, 0.0)])
    filled = [column for page in columns_of(pages) for column in page]
    assert len(filled) >= 3
    assert all(column[0][0] is head for column in filled)
    for column in filled:
        assert column[-1][1] + column[-1][0].height <= A4.text_height + 1e-6


def test_what_must_stand_together_is_not_parted() -> None:
    pieces = [Plate(9.0, f"{k}") for k in range(60)]
    for piece in pieces[::2]:
        piece.with_next = True
    pages = Pages(A4)
    pages.place([FoldedRun(pieces, 80.0, 0.0)])
    for page in columns_of(pages):
        assert all(not column[-1][0].with_next for column in page if column)


def test_pieces_below_each_other_start_at_the_top() -> None:
    late = Plate(3.0)
    late.gap = 2.0
    assert [top for _, top in stacked([late, Plate(4.0), late])] == [0.0, 3.0, 9.0]
