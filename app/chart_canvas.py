"""Draw in millimetres: lines, areas and text of true size on any device Qt can paint on.

The painter handed in has one millimetre as its unit. Pens have their width in millimetres
too (never cosmetic, or a printed line would be one dot wide). Type is set at 100 units and
scaled down to its size, since a pixel size is a whole number and its metrics would round.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from app.theme import Dashes, Tokens, register_fonts
from core.charts.label_placement import Box
from core.numeric import FloatArray

MM_PER_PT = 25.4 / 72.0
_TYPE_UNITS = 100
_LINE_UNITS = 100.0

Align = Literal["left", "centre", "right"]


class Lettering:
    """Measures and sets type given in points, in millimetres."""

    def __init__(self) -> None:
        family = register_fonts()
        self._fonts = {bold: _type(family, bold) for bold in (False, True)}
        self._metrics = {bold: QFontMetricsF(font) for bold, font in self._fonts.items()}

    def width(self, text: str, pt: float, bold: bool = False) -> float:
        """Return the width of a text. [mm]"""
        return self._metrics[bold].horizontalAdvance(text) * _scale(pt)

    def row(self, pt: float) -> float:
        """Return the height that one row of text occupies. [mm]"""
        return 1.25 * pt * MM_PER_PT

    def size(self, text: str, pt: float, bold: bool = False) -> tuple[float, float]:
        """Return width and height of a one-row text. [mm]"""
        return self.width(text, pt, bold), self.row(pt)

    def wrapped(self, text: str, pt: float, width: float, bold: bool = False) -> list[str]:
        """Break a text at spaces into rows no wider than `width`; a longer word keeps its own row."""
        rows: list[str] = []
        for word in text.split():
            if rows and self.width(f"{rows[-1]} {word}", pt, bold) <= width:
                rows[-1] = f"{rows[-1]} {word}"
            else:
                rows.append(word)
        return rows

    def draw(self, painter: QPainter, text: str, x: float, middle: float, pt: float, bold: bool) -> None:
        """Set a text with its left end at x and the middle of its capitals at `middle`."""
        factor = _scale(pt)
        painter.save()
        painter.translate(x, middle + 0.5 * self._metrics[bold].capHeight() * factor)
        painter.scale(factor, factor)
        painter.setFont(self._fonts[bold])
        painter.drawText(QPointF(0.0, 0.0), text)
        painter.restore()


class Canvas:
    """A painter in millimetres with the tokens it draws with."""

    def __init__(self, painter: QPainter, tokens: Tokens) -> None:
        painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
        self.painter, self.tokens, self.lettering = painter, tokens, Lettering()

    def text(
        self,
        text: str,
        x: float,
        middle: float,
        pt: float,
        colour: str,
        align: Align = "left",
        bold: bool = False,
    ) -> None:
        """Set one row of text; x is its left end, centre or right end."""
        if not text:
            return
        share = {"left": 0.0, "centre": 0.5, "right": 1.0}[align]
        self.painter.setPen(QColor(colour))
        left = x - share * self.lettering.width(text, pt, bold)
        self.lettering.draw(self.painter, text, left, middle, pt, bold)

    def line(
        self, x1: float, y1: float, x2: float, y2: float, colour: str, width: float, dashes: Dashes = ()
    ) -> None:
        """Draw one straight line."""
        self.polyline(np.array([[x1, y1], [x2, y2]]), colour, width, dashes)

    def polyline(self, points: FloatArray, colour: str, width: float, dashes: Dashes = ()) -> None:
        """Draw connected lines through points, shape (n, 2)."""
        # Qt's SVG writer takes the dashes of a pen below half a unit as those of a pen of width 1,
        # so lines are drawn in a finer unit than the millimetre.
        self.painter.save()
        self.painter.scale(1.0 / _LINE_UNITS, 1.0 / _LINE_UNITS)
        self.painter.setPen(_pen(colour, width * _LINE_UNITS, dashes))
        self.painter.drawPolyline(_polygon(points * _LINE_UNITS))
        self.painter.restore()

    def area(self, points: FloatArray, colour: str, opacity: float = 1.0) -> None:
        """Fill a polygon, shape (n, 2), without an outline."""
        if len(points) < 3:
            return
        self._fill(colour, opacity)
        self.painter.drawPolygon(_polygon(points))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)

    def plate(self, box: Box, colour: str, opacity: float = 1.0) -> None:
        """Fill a rectangle, as the quiet ground under a label."""
        self._fill(colour, opacity)
        self.painter.drawRect(QRectF(box.left, box.top, box.width, box.height))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)

    def ring(self, x: float, y: float, radius: float, ground: str, colour: str, width: float) -> None:
        """Draw a circle with a ground of its own, none where its colour is empty."""
        self.painter.setPen(_pen(colour, width))
        self.painter.setBrush(QColor(ground) if ground else Qt.BrushStyle.NoBrush)
        self.painter.drawEllipse(QPointF(x, y), radius, radius)
        self.painter.setBrush(Qt.BrushStyle.NoBrush)

    def diamond(self, x: float, y: float, half: float, ground: str, colour: str, width: float) -> None:
        """Draw a square standing on its corner."""
        corners = [QPointF(x, y - half), QPointF(x + half, y), QPointF(x, y + half), QPointF(x - half, y)]
        self.painter.setPen(_pen(colour, width))
        self.painter.setBrush(QColor(ground))
        self.painter.drawPolygon(QPolygonF(corners))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)

    def _fill(self, colour: str, opacity: float) -> None:
        fill = QColor(colour)
        fill.setAlphaF(opacity)
        self.painter.setPen(Qt.PenStyle.NoPen)
        self.painter.setBrush(fill)


def _type(family: str, bold: bool) -> QFont:
    font = QFont(family)
    font.setPixelSize(_TYPE_UNITS)
    font.setBold(bold)
    # Hinting would move the letters to the pixels of a screen that is not there.
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    # A joined "fi" would not be found by who searches the paper for a word.
    font.setFeature(QFont.Tag("liga"), 0)
    return font


def _scale(pt: float) -> float:
    return pt * MM_PER_PT / _TYPE_UNITS


def _pen(colour: str, width: float, dashes: Dashes = ()) -> QPen:
    pen = QPen(QColor(colour), width)
    # Round joins leave specks on a curve of many points when it is turned into pixels.
    pen.setJoinStyle(Qt.PenJoinStyle.SvgMiterJoin)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if dashes:
        pen.setDashPattern(list(dashes))
    return pen


def _polygon(points: FloatArray) -> QPolygonF:
    rows: Sequence[Sequence[float]] = np.asarray(points).tolist()
    return QPolygonF([QPointF(x, y) for x, y in rows])
