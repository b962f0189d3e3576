"""Pieces of a page: each has a height and paints itself; no piece is ever split."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QRectF

from app.chart_canvas import MM_PER_PT, Canvas
from app.chart_painter import paint_chart
from app.views.load_sketch import paint_sketch
from core.charts.heat_picture import HeatPicture
from core.records import dataclass
from core.sheet.blocks import Drawing, Figure, FlowOfHeat, Picture, Tone

CAPTION_GAP = 1.2
MARK_MM = 7.0
BAR_MM, BAR_HEIGHT = 14.0, 1.8
PAD = 1.6  # on both sides of the text of a cell
ROW_PAD = 0.9  # above and below
_CONTENTS_COLUMNS = 3
_GIVES = 0.2  # of the height of a chart, which stays legible
_LEADING = 1.28


def row_height(pt: float) -> float:
    """Return the height of a row of running text. [mm]"""
    return _LEADING * pt * MM_PER_PT


def colour_of(canvas: Canvas, tone: Tone) -> str:
    """Return the ink of a tone; what it says always stands there in words too."""
    tokens = canvas.tokens
    return {
        "soft": tokens.soft_ink,
        "missed": tokens.missed,
        "caution": tokens.caution_ink,
    }.get(tone, tokens.ink)


def elided(text: str, room: float, pt: float, canvas: Canvas) -> str:
    """Return a text that fits, cut with an ellipsis where it must be. [mm]"""
    while text and canvas.lettering.width(text, pt) > room:
        text = text[:-2].rstrip() + "…"
    return text


class Piece:
    """Something of a height that stands on one page.

    `gap` is the room above it, left out at the top of a page; `with_next` keeps it with the piece after it;
    `head` is repeated above it at the top of a page; by `gives` it may be made less high, so that a page is
    not left empty for the last bit of it. [mm]
    """

    height: float
    gap: float = 0.0
    with_next: bool = False
    head: Piece | None = None
    gives: float = 0.0

    def shrink(self, by: float) -> None:
        """Make it less high, by no more than it gives. [mm]"""
        self.height -= by
        self.gives -= by

    def paint(self, canvas: Canvas, left: float, top: float) -> None:
        """Paint it with its upper left corner here. [mm]"""
        raise NotImplementedError


class TextPiece(Piece):
    """Rows of text, with a mark before the first."""

    def __init__(
        self,
        rows: tuple[str, ...],
        pt: float,
        tone: Tone = "plain",
        *,
        bold: bool = False,
        indent: float = 0.0,
        mark: str = "",
        gap: float = 0.0,
        with_next: bool = False,
    ) -> None:
        self._rows, self._pt, self._tone = rows, pt, tone
        self._bold, self._indent, self._mark = bold or tone in ("strong", "missed"), indent, mark
        self.gap, self.with_next = gap, with_next
        self.height = len(rows) * row_height(pt)

    def paint(self, canvas: Canvas, left: float, top: float) -> None:
        colour, step = colour_of(canvas, self._tone), row_height(self._pt)
        middle = top + 0.5 * step
        if self._mark == "box":
            _box(canvas, left + 0.4, middle, canvas.tokens.ink)
        elif self._mark:
            canvas.text(self._mark, left, middle, self._pt, canvas.tokens.soft_ink)
        for row in self._rows:
            canvas.text(row, left + self._indent, middle, self._pt, colour, bold=self._bold)
            middle += step


def _box(canvas: Canvas, left: float, middle: float, colour: str) -> None:
    half = 1.2
    right, top, bottom = left + 2.0 * half, middle - half, middle + half
    for x1, y1, x2, y2 in (
        (left, top, right, top),
        (right, top, right, bottom),
        (right, bottom, left, bottom),
        (left, bottom, left, top),
    ):
        canvas.line(x1, y1, x2, y2, colour, 0.2)


@dataclass(frozen=True, slots=True)
class Entry:
    """A text in a column: its rows, where it starts, how it is set."""

    rows: tuple[str, ...]
    left: float
    width: float
    tone: Tone = "plain"
    bold: bool = False
    right_aligned: bool = False
    candidate: int | None = None
    bar: float | None = None
    tick: float | None = None


class RowPiece(Piece):
    """Entries beside each other: a row of a table or of facts, its head, or the words before a group."""

    def __init__(
        self,
        entries: tuple[Entry, ...],
        pt: float,
        *,
        pad: float = ROW_PAD,
        rule: float = 0.0,
        width: float = 0.0,
        strong_rule: bool = False,
        gap: float = 0.0,
        with_next: bool = False,
        head: Piece | None = None,
    ) -> None:
        self._entries, self._pt, self._pad = entries, pt, pad
        self._rule, self._width, self._strong = rule, width, strong_rule
        self.gap, self.with_next, self.head = gap, with_next, head
        rows = max((len(entry.rows) for entry in entries), default=1)
        self.height = max(rows, 1) * row_height(pt) + 2.0 * pad

    def paint(self, canvas: Canvas, left: float, top: float) -> None:
        for entry in self._entries:
            self._paint_entry(canvas, entry, left, top + self._pad)
        if self._rule:
            y = top + self.height
            colour = canvas.tokens.ink if self._strong else canvas.tokens.hairline
            canvas.line(left, y, left + self._width, y, colour, self._rule)

    def _paint_entry(self, canvas: Canvas, entry: Entry, left: float, top: float) -> None:
        step = row_height(self._pt)
        middle, start = top + 0.5 * step, left + entry.left
        end = start + entry.width
        if entry.candidate is not None:
            look = canvas.tokens.candidates[entry.candidate % len(canvas.tokens.candidates)]
            canvas.line(start, middle, start + MARK_MM - 1.5, middle, look.colour, 0.7, look.dashes)
            start += MARK_MM
        if entry.bar is not None:
            end -= BAR_MM + PAD
            self._paint_bar(canvas, entry, end + PAD, middle)
        for row in entry.rows:
            x = end if entry.right_aligned else start
            align = "right" if entry.right_aligned else "left"
            bold = entry.bold or entry.tone in ("strong", "missed")
            canvas.text(row, x, middle, self._pt, colour_of(canvas, entry.tone), align, bold)  # type: ignore[arg-type]
            middle += step

    def _paint_bar(self, canvas: Canvas, entry: Entry, left: float, middle: float) -> None:
        tokens, top, bottom = canvas.tokens, middle - 0.5 * BAR_HEIGHT, middle + 0.5 * BAR_HEIGHT
        share = min(max(entry.bar or 0.0, 0.0), 1.0)
        _plate(canvas, left, top, BAR_MM, tokens.grid)
        _plate(
            canvas, left, top, BAR_MM * share, tokens.missed if entry.tone == "missed" else tokens.soft_ink
        )
        if entry.tick is not None:
            x = left + BAR_MM * min(max(entry.tick, 0.0), 1.0)
            canvas.line(x, top - 0.7, x, bottom + 0.7, tokens.ink, 0.3)


def _plate(canvas: Canvas, left: float, top: float, width: float, colour: str) -> None:
    from core.charts.label_placement import Box

    if width > 0.0:
        canvas.plate(Box(left, top, width, BAR_HEIGHT), colour)


@dataclass(frozen=True, slots=True)
class PlacedFigure:
    """A figure in its row: where it starts, how wide and high it is, the rows of its caption. [mm]

    `drawn` is what a flow of heat looks like in this room.
    """

    figure: Figure
    left: float
    width: float
    height: float
    caption: tuple[str, ...]
    drawn: HeatPicture | None = None


class PictureRow(Piece):
    """Charts, sketches, heat networks beside each other, each with its caption below."""

    def __init__(self, figures: tuple[PlacedFigure, ...], pt: float, gap: float) -> None:
        self._figures, self._pt, self.gap = figures, pt, gap
        self._less = 0.0  # than the figures are high
        # a chart of several lanes would be drawn smaller, letters and all
        if all(isinstance(one.figure, Picture) and len(one.figure.chart.panels) == 1 for one in figures):
            self.gives = _GIVES * min(one.height for one in figures)
        self.height = max(one.height + CAPTION_GAP + len(one.caption) * row_height(pt) for one in figures)

    def shrink(self, by: float) -> None:
        super().shrink(by)
        self._less += by

    def paint(self, canvas: Canvas, left: float, top: float) -> None:
        for one in self._figures:
            rect = QRectF(left + one.left, top, one.width, one.height - self._less)
            canvas.painter.save()
            _paint_figure(canvas, one, rect)
            canvas.painter.restore()
            middle = rect.bottom() + CAPTION_GAP + 0.5 * row_height(self._pt)
            for row in one.caption:
                canvas.text(row, rect.left(), middle, self._pt, canvas.tokens.soft_ink)
                middle += row_height(self._pt)


def _paint_figure(canvas: Canvas, one: PlacedFigure, rect: QRectF) -> None:
    figure, painter, tokens = one.figure, canvas.painter, canvas.tokens
    if isinstance(figure, Drawing):
        paint_sketch(painter, figure.sketch, rect, tokens)
    elif not isinstance(figure, FlowOfHeat):
        paint_chart(painter, figure.chart, rect, tokens)
    elif one.drawn is not None:
        from app.heat_painter import paint_heat

        paint_heat(painter, one.drawn, rect, tokens, figure.candidate)


class ColumnsPiece(Piece):
    """Pieces in columns beside each other, each with where it stands. [mm]"""

    def __init__(
        self, columns: tuple[tuple[float, tuple[tuple[Piece, float], ...]], ...], gap: float
    ) -> None:
        self._columns, self.gap = columns, gap
        ends = [top + piece.height for _, placed in columns for piece, top in placed]
        self.height = max(ends, default=0.0)

    def paint(self, canvas: Canvas, left: float, top: float) -> None:
        for at, placed in self._columns:
            for piece, down in placed:
                piece.paint(canvas, left + at, top + down)


class WarnedPiece(Piece):
    """A caution on a ground of its own, with a heavy line at its side."""

    def __init__(
        self, title: tuple[str, ...], rows: tuple[str, ...], pt: float, width: float, gap: float
    ) -> None:
        self._title, self._rows, self._pt, self._width, self.gap = title, rows, pt, width, gap
        self.height = (len(title) + len(rows)) * row_height(pt) + 3.2

    def paint(self, canvas: Canvas, left: float, top: float) -> None:
        from core.charts.label_placement import Box

        tokens = canvas.tokens
        canvas.plate(Box(left, top, self._width, self.height), tokens.caution_ground)
        canvas.plate(Box(left, top, 1.0, self.height), tokens.caution_ink)
        step = row_height(self._pt)
        middle = top + 1.6 + 0.5 * step
        for rows, colour, bold in (
            (self._title, tokens.caution_ink, True),
            (self._rows, tokens.ink, False),
        ):
            for row in rows:
                canvas.text(row, left + 3.5, middle, self._pt, colour, bold=bold)
                middle += step


class ContentsPiece(Piece):
    """The list of sections with their pages, which are known when all is laid out."""

    def __init__(
        self,
        titles: tuple[str, ...],
        place_of: Callable[[int], tuple[int, float]],
        width: float,
        pt: float,
        appendix_from: int | None,
    ) -> None:
        self._titles, self._place_of, self._width, self._pt = titles, place_of, width, pt
        self._appendix_from = appendix_from
        lines = len(titles) + (appendix_from is not None)
        self._rows = -(-lines // _CONTENTS_COLUMNS)
        self.gap = 3.0
        self.height = self._rows * row_height(pt) + 2.0

    def entries(self) -> list[tuple[int | None, float, float]]:
        """Return section (None for the words before the appendix), left end and top of each line. [mm]"""
        numbers: list[int | None] = list(range(len(self._titles)))
        if self._appendix_from is not None:
            numbers.insert(self._appendix_from, None)
        step, wide = row_height(self._pt), self._width / _CONTENTS_COLUMNS
        return [
            (number, (line // self._rows) * wide, 2.0 + (line % self._rows) * step)
            for line, number in enumerate(numbers)
        ]

    @property
    def entry_size(self) -> tuple[float, float]:
        """Width and height of a line. [mm]"""
        return self._width / _CONTENTS_COLUMNS - 4.0, row_height(self._pt)

    def paint(self, canvas: Canvas, left: float, top: float) -> None:
        canvas.line(left, top, left + self._width, top, canvas.tokens.hairline, 0.2)
        wide, step = self.entry_size
        for number, at, down in self.entries():
            start, middle, ink = left + at, top + down + 0.5 * step, canvas.tokens.soft_ink
            if number is None:
                canvas.text("Appendix, to look things up", start + 7.0, middle, self._pt, ink, bold=True)
                continue
            canvas.text(f"{number + 1}", start + 4.5, middle, self._pt, ink, "right")
            title = elided(self._titles[number], wide - 11.5, self._pt, canvas)
            canvas.text(title, start + 7.0, middle, self._pt, canvas.tokens.ink)
            canvas.text(f"{self._place_of(number)[0]}", start + wide, middle, self._pt, ink, "right")
