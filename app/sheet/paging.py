"""Stand pieces on pages from above: whole, with their heads, in one column or folded into two."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from app.sheet.paper import Paper
from app.sheet.pieces import ColumnsPiece, Piece
from core.records import dataclass

BETWEEN_COLUMNS = 7.0
_STEP = 1.5  # by which two columns grow until they hold all [mm]


@dataclass(frozen=True, slots=True)
class Placed:
    """A piece on its page. [mm]"""

    piece: Piece
    top: float


class FoldedRun(Piece):
    """Pieces that run through two columns; as one piece it is as high as its first words."""

    def __init__(self, pieces: Sequence[Piece], width: float, gap: float) -> None:
        self.pieces, self.gap = tuple(pieces), gap
        self.right = width + BETWEEN_COLUMNS
        self.height = together(self.pieces) - self.pieces[0].gap


class Pages:
    """Fills pages from above."""

    def __init__(self, paper: Paper) -> None:
        self._height = paper.text_height
        self._pages: list[list[Placed]] = [[]]
        self._used = 0.0

    @property
    def count(self) -> int:
        """How many pages there are."""
        return len(self._pages)

    @property
    def last_top(self) -> float:
        """Where the last piece stands on its page. [mm]"""
        return self._pages[-1][-1].top if self._pages[-1] else 0.0

    def turn(self) -> None:
        """Go on at the top of a page."""
        if self._pages[-1]:
            self._pages.append([])
            self._used = 0.0

    def turn_unless_free(self, share: float) -> None:
        """Go on at the top of a page, unless so much of this one is free."""
        if self._used > (1.0 - share) * self._height:
            self.turn()

    def place(self, pieces: Sequence[Piece], before: Sequence[Piece] = ()) -> None:
        """Place pieces; the last of them may be kept with those it stands before."""
        following = [*pieces, *before]
        for number, piece in enumerate(pieces):
            if self._pages[-1] and self._used + _at_least(following[number:]) > self._height:
                self.turn()
            over = self._used + piece.gap + piece.height - self._height
            if self._pages[-1] and 0.0 < over <= piece.gives:
                piece.shrink(over)
            if isinstance(piece, FoldedRun):
                self._fold(piece)
                continue
            if not self._pages[-1] and piece.head is not None:
                self._put(piece.head)
            self._put(piece)

    def _fold(self, run: FoldedRun) -> None:
        left = list(run.pieces)
        while left:
            gap = run.gap if self._pages[-1] else 0.0
            first, second, left = _two_columns(left, self._height - self._used - gap)
            self._put(ColumnsPiece(((0.0, first), (run.right, second)), run.gap))
            if left:
                self.turn()

    def _put(self, piece: Piece) -> None:
        gap = piece.gap if self._pages[-1] else 0.0
        self._pages[-1].append(Placed(piece, self._used + gap))
        self._used += gap + piece.height

    def finished(self) -> tuple[tuple[Placed, ...], ...]:
        """Return all pages, without an empty last one."""
        pages = self._pages if self._pages[-1] or len(self._pages) == 1 else self._pages[:-1]
        return tuple(tuple(page) for page in pages)


_Column = tuple[tuple[Piece, float], ...]


def stacked(pieces: Sequence[Piece]) -> _Column:
    """Return all pieces below each other, with where each stands. [mm]"""
    return _filled(pieces, float("inf"))[0]


def _two_columns(pieces: Sequence[Piece], room: float) -> tuple[_Column, _Column, list[Piece]]:
    """Return two columns of one height that hold all, or as much as there is room for, and the rest."""
    height = min(0.5 * sum(piece.gap + piece.height for piece in pieces), room)
    while True:
        first, rest = _filled(pieces, height)
        second: _Column = ()
        if rest:
            second, rest = _filled(rest, height, at_least_one=False)
        if not rest or height >= room:
            return first, second, rest
        height = min(height + _STEP, room)


def _filled(pieces: Sequence[Piece], room: float, at_least_one: bool = True) -> tuple[_Column, list[Piece]]:
    """Return a column no higher than this and the pieces that are left. [mm]"""
    placed: list[tuple[Piece, float]] = []
    used = 0.0
    for number, piece in enumerate(pieces):
        head = piece.head if number == 0 else None  # repeated where a table goes on
        above = 0.0 if head is None else head.height + piece.gap
        if (placed or not at_least_one) and used + above + together(pieces[number:]) > room:
            return tuple(placed), list(pieces[number:])
        if head is not None:
            placed.append((head, 0.0))
            used = head.height
        gap = piece.gap if placed else 0.0
        placed.append((piece, used + gap))
        used += gap + piece.height
    return tuple(placed), []


def _at_least(pieces: Sequence[Piece]) -> float:
    """Return the height of what must stand together, with its last piece as small as it may be. [mm]"""
    last = 0
    while pieces[last].with_next and last + 1 < len(pieces):
        last += 1
    return together(pieces) - pieces[last].gives


def together(pieces: Sequence[Piece]) -> float:
    """Return the height of the first piece and of those that must stand with it. [mm]"""
    height = pieces[0].gap + pieces[0].height
    for before, piece in pairwise(pieces):
        if not before.with_next:
            break
        height += piece.gap + piece.height
    return height
