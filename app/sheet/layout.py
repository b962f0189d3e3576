"""Put a sheet on pages: blocks become pieces, pieces stand on pages."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from app.chart_canvas import Lettering
from app.heat_painter import height_on_paper, picture_on_paper
from app.sheet.paging import BETWEEN_COLUMNS, FoldedRun, Pages, Placed, stacked
from app.sheet.paper import (
    ANSWER_PT,
    BODY_PT,
    COMPACT_PT,
    PART_PT,
    SECTION_PT,
    SMALL_PT,
    TITLE_PT,
    Paper,
)
from app.sheet.pieces import (
    ColumnsPiece,
    ContentsPiece,
    PictureRow,
    Piece,
    PlacedFigure,
    TextPiece,
    WarnedPiece,
    row_height,
)
from app.sheet.setting import Setter
from app.sheet.tables import facts_pieces, table_pieces
from core.charts.heat_picture import HeatPicture
from core.records import dataclass
from core.sentences import as_text
from core.sheet.blocks import (
    Beside,
    Block,
    Bullets,
    Facts,
    Figure,
    FlowOfHeat,
    Folded,
    Paragraph,
    Section,
    Sheet,
    Table,
    Tone,
    Warned,
)
from core.units import DisplayUnits

_PARAGRAPH_GAP, _BULLET_GAP, _PICTURE_GAP, _SECTION_GAP = 1.7, 0.6, 2.5, 5.5
_BETWEEN_PICTURES = 6.0
_PART_GAP, _FREE_FOR_APPENDIX = 14.0, 0.5  # [mm], share of a page
_WHOLE_PARAGRAPH = 6  # rows; a longer one may go on on the next page
_INDENT = 5.0


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A sheet on pages.

    `sections` are the numbers of the pages on which the sections start, from 1, `tops` where they start
    there [mm], `titles` what they are called with their numbers. `appendix_from` is the first section of
    the appendix, from 0; None without one.
    """

    paper: Paper
    title: str
    running: str
    pages: tuple[tuple[Placed, ...], ...]
    sections: tuple[int, ...]
    tops: tuple[float, ...]
    titles: tuple[str, ...]
    appendix_from: int | None


def lay_out_sheet(sheet: Sheet, paper: Paper, units: DisplayUnits) -> LaidOut:
    """Return a sheet on pages of a paper, its numbers in these units."""
    setter, starts = Setter(Lettering()), list[tuple[int, float]]()
    blocks = _Blocks(paper.text_width, setter, units, paper.text_height)
    pages = Pages(paper)
    titles = tuple(section.title for section in sheet.sections)
    appendix = next((k for k, section in enumerate(sheet.sections) if section.in_appendix), None)
    contents = ContentsPiece(titles, starts.__getitem__, paper.text_width, COMPACT_PT, appendix)
    pages.place([*blocks.top(sheet), contents])
    if sheet.decision:
        pages.turn()
    for number, section in enumerate(sheet.sections):
        if section.new_page:
            pages.turn()
        if number == appendix:
            pages.turn_unless_free(_FREE_FOR_APPENDIX)
            pages.place(blocks.part("Appendix, to look things up"))
        pieces = list(blocks.section(number + 1, section))
        pages.place(pieces[:1], before=pieces[1:])
        starts.append((pages.count, pages.last_top))
        pages.place(pieces[1:])
    return LaidOut(
        paper, sheet.title, sheet.running, pages.finished(),
        tuple(page for page, _ in starts), tuple(top for _, top in starts), titles, appendix,
    )  # fmt: skip


class _Blocks:
    """Turns blocks into pieces of one width."""

    def __init__(self, width: float, setter: Setter, units: DisplayUnits, height: float) -> None:
        self._width, self._setter, self._units, self._height = width, setter, units, height

    def top(self, sheet: Sheet) -> Iterator[Piece]:
        """Return title, facts and answer of the first page."""
        pt = TITLE_PT if self._setter.lettering.width(sheet.title, TITLE_PT, True) <= self._width else PART_PT
        yield TextPiece(self._rows(sheet.title, pt, self._width, True), pt, bold=True, with_next=True)
        yield from self._facts(sheet.head)
        words = as_text(sheet.answer.text, self._units)
        tone: Tone = "missed" if sheet.answer.tone == "missed" else "strong"
        rows = self._setter.rows(words, ANSWER_PT, self._width, bold=True)
        yield TextPiece(rows, ANSWER_PT, tone, gap=3.5)
        yield from self._all(sheet.decision)

    def part(self, title: str) -> list[Piece]:
        """Return the words that stand before a part of several sections."""
        rows = self._rows(title, PART_PT, self._width, True)
        return [TextPiece(rows, PART_PT, bold=True, gap=_PART_GAP, with_next=True)]

    def section(self, number: int, section: Section) -> Iterator[Piece]:
        """Return the heading of a section and its blocks."""
        rows = self._setter.rows(f"{number}  {section.title}", SECTION_PT, self._width, bold=True)
        yield TextPiece(rows, SECTION_PT, bold=True, gap=_SECTION_GAP, with_next=True)
        pieces = list(self._all(section.blocks))
        if len(pieces) > 1 and isinstance(pieces[0], TextPiece) and pieces[0].height <= row_height(BODY_PT):
            pieces[0].with_next = True  # a heading and one line under it are no beginning of a section
        yield from pieces

    def _all(self, blocks: Iterable[Block]) -> Iterator[Piece]:
        """Return blocks as pieces, figures beside each other as their shares of the width allow."""
        waiting: list[Figure] = []
        for block in blocks:
            if isinstance(block, Figure):
                if waiting and sum(one.share for one in [*waiting, block]) > 1.0 + 1e-9:
                    yield self._figures(waiting)
                    waiting = []
                waiting.append(block)
                continue
            if waiting:
                yield self._figures(waiting)
                waiting = []
            yield from self._block(block)
        if waiting:
            yield self._figures(waiting)

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
        if isinstance(block, Beside):
            return self._beside(block)
        if isinstance(block, Folded):
            return self._folded(block)
        return ()

    def _narrow(self, columns: int) -> _Blocks:
        width = (self._width - BETWEEN_COLUMNS * (columns - 1)) / columns
        return _Blocks(width, self._setter, self._units, self._height)

    def _beside(self, block: Beside) -> Iterator[Piece]:
        narrow = self._narrow(len(block.columns))
        step = narrow._width + BETWEEN_COLUMNS
        columns = tuple(
            (step * k, stacked(list(narrow._all(blocks)))) for k, blocks in enumerate(block.columns)
        )
        piece = ColumnsPiece(columns, _PICTURE_GAP)
        if piece.height <= self._height:
            yield piece
            return
        for blocks in block.columns:  # higher than a page: one after the other
            yield from self._all(blocks)

    def _folded(self, block: Folded) -> Iterator[Piece]:
        narrow = self._narrow(2)
        pieces = list(narrow._all(block.blocks))
        if pieces:
            yield FoldedRun(pieces, narrow._width, _PARAGRAPH_GAP)

    def _rows(self, text: str, pt: float, width: float, bold: bool = False) -> tuple[str, ...]:
        return self._setter.rows(text, pt, width, bold)

    def _paragraph(self, block: Paragraph) -> Iterator[Piece]:
        bold, pt = block.tone in ("strong", "missed"), _size(block.compact)
        rows = self._rows(as_text(block.text, self._units), pt, self._width, bold)
        heads = block.heads or (block.tone == "strong" and len(rows) == 1)
        for part, start in _parts(rows):
            gap = _PARAGRAPH_GAP * (1.6 if heads else 1.0) if start else 0.0
            yield TextPiece(part, pt, block.tone, gap=gap, with_next=heads)

    def _bullets(self, block: Bullets) -> Iterator[Piece]:
        mark, pt = "box" if block.to_tick else "–", _size(block.compact)
        indent = _INDENT * (0.7 if block.compact else 1.0)
        for entry in block.entries:
            rows = self._rows(as_text(entry, self._units), pt, self._width - indent)
            for part, start in _parts(rows):
                yield TextPiece(
                    part,
                    pt,
                    indent=indent,
                    mark=mark if start else "",
                    gap=_BULLET_GAP if start else 0.0,
                )

    def _facts(self, block: Facts) -> Iterator[Piece]:
        pt = _size(block.compact)
        for number, piece in enumerate(facts_pieces(block, self._width, self._setter, self._units, pt)):
            if number == 0:
                piece.gap = _PARAGRAPH_GAP
            yield piece

    def _table(self, block: Table) -> Iterator[Piece]:
        words = as_text(block.caption, self._units)
        if words:
            pt = COMPACT_PT + 0.4 if block.compact else BODY_PT
            rows = self._rows(words, pt, self._width, bold=True)
            yield TextPiece(rows, pt, bold=True, gap=_PICTURE_GAP, with_next=True)
        yield from table_pieces(block, self._width, self._setter, self._units)

    def _warned(self, block: Warned) -> Iterator[Piece]:
        inner = self._width - 6.0
        title = self._rows(as_text(block.title, self._units), BODY_PT, inner, bold=True)
        rows = self._rows(as_text(block.text, self._units), BODY_PT, inner)
        yield WarnedPiece(title, rows, BODY_PT, self._width, _PARAGRAPH_GAP)

    def _figures(self, figures: Sequence[Figure]) -> Piece:
        room = self._width - _BETWEEN_PICTURES * (len(figures) - 1)
        total = max(sum(figure.share for figure in figures), 1.0)
        placed, left = [], 0.0
        for figure in figures:
            width = room * figure.share / total
            caption = self._rows(as_text(figure.caption, self._units), SMALL_PT, width)
            drawn = self._drawn(figure, width)
            high = figure.height_mm if drawn is None else min(height_on_paper(drawn, width), figure.height_mm)
            placed.append(PlacedFigure(figure, left, width, high, caption, drawn))
            left += width + _BETWEEN_PICTURES
        return PictureRow(tuple(placed), SMALL_PT, _PICTURE_GAP)

    def _drawn(self, figure: Figure, width: float) -> HeatPicture | None:
        """Return the picture of a flow of heat, which is arranged for the room it gets."""
        if not isinstance(figure, FlowOfHeat):
            return None
        return picture_on_paper(figure.flows, figure.limits, self._units, width, figure.height_mm)


def _size(compact: bool) -> float:
    return COMPACT_PT if compact else BODY_PT


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
