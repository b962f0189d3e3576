"""Paint the pages of a sheet, on paper and as a preview alike."""

from __future__ import annotations

from PySide6.QtGui import QPainter

from app.chart_canvas import Canvas
from app.sheet.layout import LaidOut
from app.sheet.paper import SMALL_PT
from app.sheet.pieces import elided
from app.theme import LIGHT

_FOOT_RULE, _FOOT_TEXT = 12.0, 8.5  # above the lower edge [mm]


def paint_page(painter: QPainter, laid_out: LaidOut, number: int) -> None:
    """Paint a page, counted from 0; the painter's unit must be one millimetre."""
    canvas, paper = Canvas(painter, LIGHT), laid_out.paper
    for placed in laid_out.pages[number]:
        placed.piece.paint(canvas, paper.left, paper.top + placed.top)
    right, rule = paper.width - paper.right, paper.height - _FOOT_RULE
    canvas.line(paper.left, rule, right, rule, LIGHT.hairline, 0.2)
    middle, page = paper.height - _FOOT_TEXT, f"page {number + 1} of {len(laid_out.pages)}"
    canvas.text(page, right, middle, SMALL_PT, LIGHT.soft_ink, "right")
    room = paper.text_width - canvas.lettering.width(page, SMALL_PT) - 4.0
    running = elided(laid_out.running, room, SMALL_PT, canvas)
    canvas.text(running, paper.left, middle, SMALL_PT, LIGHT.soft_ink)
