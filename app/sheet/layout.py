"""Put a sheet on pages: blocks become pieces, pieces stand on pages."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from app.chart_canvas import Lettering
from app.sheet.paper import ANSWER_PT, BODY_PT, SECTION_PT, SMALL_PT, TITLE_PT, Paper
from app.sheet.pieces import ContentsPiece, PictureRow, Piece, TextPiece, WarnedPiece
from app.sheet.setting import Setter
from app.sheet.tables import facts_pieces, table_pieces
from core.records import dataclass
from core.sentences import as_text
from core.sheet.blocks import (
    Block,
    Bullets,
    Drawing,
    Facts,
    Paragraph,
    Picture,
    Section,
    Sheet,
    Table,
    Tone,
    Warned,
)
from core.units import DisplayUnits

_PARAGRAPH_GAP, _BULLET_GAP, _PICTURE_GAP, _SECTION_GAP = 2.2, 0.9, 3.5, 8.5
_BETWEEN_PICTURES = 6.0
_WHOLE_PARAGRAPH = 6  # rows; a longer one may go on on the next page
_INDENT = 5.0


@dataclass(frozen=True, slots=True)
class Placed:
    """A piece on its page. [mm]"""

    piece: Piece
    top: float


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A sheet on pages; `sections` are the numbers of the pages on which the sections start, from 1."""

    paper: Paper
    title: str
    running: str
    pages: tuple[tuple[Placed, ...], ...]
    sections: tuple[int, ...]


def lay_out_sheet(sheet: Sheet, paper: Paper, units: DisplayUnits) -> LaidOut:
    """Return a sheet on pages of a paper, its numbers in these units."""
    setter, starts = Setter(Lettering()), list[int]()
    blocks = _Blocks(paper.text_width, setter, units)
    pages = _Pages(paper)
    titles = tuple(section.title for section in sheet.sections)
    contents = ContentsPiece(titles, starts.__getitem__, paper.text_width, BODY_PT)
    pages.place([*blocks.top(sheet), contents])
    for number, section in enumerate(sheet.sections, start=1):
        if section.new_page:
            pages.turn()
        pieces = list(blocks.section(number, section))
        pages.place(pieces[:1], before=pieces[1:])
        starts.append(pages.count)
        pages.place(pieces[1:])
    return LaidOut(paper, sheet.title, sheet.running, pages.finished(), tuple(starts))


class _Pages:
    """Fills pages from above."""

    def __init__(self, paper: Paper) -> None:
        self._height = paper.text_height
        self._pages: list[list[Placed]] = [[]]
        self._used = 0.0

    @property
    def count(self) -> int:
        return len(self._pages)

    def turn(self) -> None:
        """Go on at the top of a page."""
        if self._pages[-1]:
            self._pages.append([])
            self._used = 0.0

    def place(self, pieces: Sequence[Piece], before: Sequence[Piece] = ()) -> None:
        """Place pieces; the last of them may be kept with those it stands before."""
        following = [*pieces, *before]
        for number, piece in enumerate(pieces):
            if self._pages[-1] and self._used + _together(following[number:]) > self._height:
                self.turn()
            if not self._pages[-1] and piece.head is not None:
                self._put(piece.head)
            self._put(piece)

    def _put(self, piece: Piece) -> None:
        gap = piece.gap if self._pages[-1] else 0.0
        self._pages[-1].append(Placed(piece, self._used + gap))
        self._used += gap + piece.height

    def finished(self) -> tuple[tuple[Placed, ...], ...]:
        pages = self._pages if self._pages[-1] or len(self._pages) == 1 else self._pages[:-1]
        return tuple(tuple(page) for page in pages)


def _together(pieces: Sequence[Piece]) -> float:
    """Return the height of the first piece and of those that must stand with it. [mm]"""
    height = pieces[0].gap + pieces[0].height
    for before, piece in pairwise(pieces):
        if not before.with_next:
            break
        height += piece.gap + piece.height
    return height


class _Blocks:
    """Turns blocks into pieces of one width."""

    def __init__(self, width: float, setter: Setter, units: DisplayUnits) -> None:
        self._width, self._setter, self._units = width, setter, units

    def top(self, sheet: Sheet) -> Iterator[Piece]:
        """Return title, facts and answer of the first page."""
        rows = self._setter.rows(sheet.title, TITLE_PT, self._width, bold=True)
        yield TextPiece(rows, TITLE_PT, bold=True, with_next=True)
        yield from self._facts(sheet.head)
        words = as_text(sheet.answer.text, self._units)
        tone: Tone = "missed" if sheet.answer.tone == "missed" else "strong"
        rows = self._setter.rows(words, ANSWER_PT, self._width, bold=True)
        yield TextPiece(rows, ANSWER_PT, tone, gap=5.0)

    def section(self, number: int, section: Section) -> Iterator[Piece]:
        """Return the heading of a section and its blocks."""
        rows = self._setter.rows(f"{number}  {section.title}", SECTION_PT, self._width, bold=True)
        yield TextPiece(rows, SECTION_PT, bold=True, gap=_SECTION_GAP, with_next=True)
        waiting: list[Picture | Drawing] = []
        for block in section.blocks:
            if isinstance(block, Picture | Drawing):
                if waiting and sum(one.share for one in [*waiting, block]) > 1.0 + 1e-9:
                    yield self._pictures(waiting)
                    waiting = []
                waiting.append(block)
                continue
            if waiting:
                yield self._pictures(waiting)
                waiting = []
            yield from self._block(block)
        if waiting:
            yield self._pictures(waiting)

    def _block(self, block: Block) -> Iterable[Piece]:
        if isinstance(block, Paragraph):
            return self._paragraph(block)
        if isinstance(block, Bullets):
            return self._bullets(block)
        if isinstance(block, Facts):
            return self._facts(block)
        if isinstance(block, Table):
            return self._table(block)
        if isinstance(block, Warned):
            return self._warned(block)
        return ()

    def _rows(self, text: str, pt: float, width: float, bold: bool = False) -> tuple[str, ...]:
        return self._setter.rows(text, pt, width, bold)

    def _paragraph(self, block: Paragraph) -> Iterator[Piece]:
        bold = block.tone in ("strong", "missed")
        rows = self._rows(as_text(block.text, self._units), BODY_PT, self._width, bold)
        heads = block.tone == "strong" and len(rows) == 1  # a strong line stands over what follows it
        for part, start in _parts(rows):
            gap = _PARAGRAPH_GAP * (1.6 if heads else 1.0) if start else 0.0
            yield TextPiece(part, BODY_PT, block.tone, gap=gap, with_next=heads)

    def _bullets(self, block: Bullets) -> Iterator[Piece]:
        mark = "box" if block.to_tick else "–"
        for entry in block.entries:
            rows = self._rows(as_text(entry, self._units), BODY_PT, self._width - _INDENT)
            for part, start in _parts(rows):
                yield TextPiece(
                    part,
                    BODY_PT,
                    indent=_INDENT,
                    mark=mark if start else "",
                    gap=_BULLET_GAP if start else 0.0,
                )

    def _facts(self, block: Facts) -> Iterator[Piece]:
        for number, piece in enumerate(facts_pieces(block, self._width, self._setter, self._units, BODY_PT)):
            if number == 0:
                piece.gap = _PARAGRAPH_GAP
            yield piece

    def _table(self, block: Table) -> Iterator[Piece]:
        words = as_text(block.caption, self._units)
        if words:
            rows = self._rows(words, BODY_PT, self._width, bold=True)
            yield TextPiece(rows, BODY_PT, bold=True, gap=_PICTURE_GAP, with_next=True)
        yield from table_pieces(block, self._width, self._setter, self._units)

    def _warned(self, block: Warned) -> Iterator[Piece]:
        inner = self._width - 6.0
        title = self._rows(as_text(block.title, self._units), BODY_PT, inner, bold=True)
        rows = self._rows(as_text(block.text, self._units), BODY_PT, inner)
        yield WarnedPiece(title, rows, BODY_PT, self._width, _PARAGRAPH_GAP)

    def _pictures(self, pictures: Sequence[Picture | Drawing]) -> Piece:
        room = self._width - _BETWEEN_PICTURES * (len(pictures) - 1)
        total = max(sum(picture.share for picture in pictures), 1.0)
        placed, left = [], 0.0
        for picture in pictures:
            width = room * picture.share / total
            caption = as_text(picture.caption, self._units)
            placed.append((picture, left, width, self._rows(caption, SMALL_PT, width)))
            left += width + _BETWEEN_PICTURES
        return PictureRow(tuple(placed), SMALL_PT, _PICTURE_GAP)


def _parts(rows: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], bool]]:
    """Return rows in parts that stay whole, with whether it is the first; no part is a single row."""
    if len(rows) <= _WHOLE_PARAGRAPH:
        yield rows, True
        return
    for start in range(0, len(rows), 3):
        end = len(rows) if len(rows) - start <= 5 else start + 3
        yield rows[start:end], start == 0
        if end == len(rows):
            return
