"""Paint the picture of a heat network in millimetres: on the sheet and in exported files."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from app.chart_canvas import MM_PER_PT, Canvas
from app.chart_export import Painting
from app.sheet.setting import Setter
from app.theme import LIGHT, Tokens
from app.views.heat_strokes import arrow_head, rounded, shortened
from core.charts.heat_picture import (
    TITLE,
    HeatBox,
    HeatLine,
    HeatPicture,
    balance_words,
    heat_picture,
    node_limits,
    when_words,
)
from core.charts.label_placement import Box
from core.notices import name_of
from core.results import CandidateResult, HeatFlows, Result
from core.units import DisplayUnits

SMALL_PT: Final = 7.0
TITLE_PT: Final = 8.5
_BOLD: Final = 8.0 / 7.0  # size of the temperature over that of the rest
_ROW = 1.3 * SMALL_PT * MM_PER_PT  # of small type [mm]
_THINNEST, _THICKEST = 0.10, 0.52  # of a line [rows]
_CORNER, _ROUND = 0.45, 0.3  # radius of a line's corners and of a box's [rows]
_HALO = 0.3  # of ground beside a line, which parts it from one that it crosses [rows]


def picture_on_paper(
    flows: HeatFlows,
    limits: dict[str, float],
    units: DisplayUnits,
    width: float,
    height: float,
    share: float = 0.4,
) -> HeatPicture:
    """Return the picture of the mean flow for a rectangle of paper. [mm]

    It is offered a share of the height and takes more where it must: boxes stand close then.
    """
    return heat_picture(flows, units, (width / _ROW, share * height / _ROW), None, limits)


def height_on_paper(picture: HeatPicture, width: float) -> float:
    """Return how high a picture is where only its width is given. [mm]"""
    return picture.height * min(_ROW, width / picture.width)


def paint_heat(
    painter: QPainter, picture: HeatPicture, rect_mm: QRectF, tokens: Tokens, candidate: int
) -> None:
    """Paint a picture into the rectangle, whole; the painter's unit must be one millimetre."""
    painter.save()
    colour = tokens.candidates[candidate % len(tokens.candidates)].colour
    _HeatPainter(Canvas(painter, tokens), picture, rect_mm, colour).paint()
    painter.restore()


def heat_painting(
    result: Result, candidate: CandidateResult, flows: HeatFlows, units: DisplayUnits
) -> Painting:
    """Return the mean flow of heat of a candidate as it is written to a file, with its title above."""
    limits = node_limits(result, candidate)
    title = f"{TITLE}, {name_of(candidate, candidate.index)}, {when_words(flows, None, units)}"

    def paint(painter: QPainter, rect: QRectF) -> None:
        canvas, top = Canvas(painter, LIGHT), rect.top() + 0.5 * _ROW
        setter = Setter(canvas.lettering)
        for text, pt, ink, bold in (
            (title, TITLE_PT, LIGHT.ink, True),
            (balance_words(flows, units), SMALL_PT, LIGHT.soft_ink, False),
        ):
            for row in setter.rows(text, pt, rect.width(), bold):
                canvas.text(row, rect.left(), top, pt, ink, bold=bold)
                top += _ROW * pt / SMALL_PT
        room = QRectF(rect.left(), top, rect.width(), max(rect.bottom() - top, _ROW))
        picture = picture_on_paper(flows, limits, units, room.width(), room.height(), 1.0)
        paint_heat(painter, picture, room, LIGHT, candidate.index)

    words = heat_picture(flows, units, (60.0, 30.0), None, limits).words
    return Painting(title, words, paint)


class _HeatPainter:
    """Places the picture's frame of rows in a rectangle and draws it there."""

    def __init__(self, canvas: Canvas, picture: HeatPicture, rect: QRectF, colour: str) -> None:
        self._canvas, self._picture, self._colour = canvas, picture, colour
        self._row = min(_ROW, rect.width() / picture.width, rect.height() / picture.height)
        self._pt = SMALL_PT * self._row / _ROW
        self._left = rect.center().x() - 0.5 * self._row * picture.width
        self._top = rect.center().y() - 0.5 * self._row * picture.height

    def paint(self) -> None:
        for line in self._picture.lines:
            self._line(line)
        for box in self._picture.boxes:
            self._box(box)
        for line in self._picture.lines:
            self._label(line)

    def _place(self, box: Box) -> QRectF:
        row = self._row
        return QRectF(
            self._left + row * box.left, self._top + row * box.top, row * box.width, row * box.height
        )

    def _line(self, line: HeatLine) -> None:
        painter, tokens, row = self._canvas.painter, self._canvas.tokens, self._row
        width = (_THINNEST + (_THICKEST - _THINNEST) * line.width) * row
        points = [QPointF(self._left + row * x, self._top + row * y) for x, y in line.path]
        colour = QColor(self._colour if line.flows else tokens.soft_ink)
        head = 0.4 * row + 1.1 * width if line.flows else 0.0
        path = rounded(shortened(points, 0.8 * head), _CORNER * row)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for ink, wide in ((QColor(tokens.pane), width + _HALO * row), (colour, width)):
            painter.setPen(QPen(ink, wide, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
            painter.drawPath(path)
        if line.flows:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(colour)
            painter.drawPolygon(arrow_head(points, head, 0.5 * width + 0.2 * row))

    def _label(self, line: HeatLine) -> None:
        place, down = self._place(line.label), line.path[0][0] == line.path[-1][0]
        ink = self._canvas.tokens.ink if line.flows else self._canvas.tokens.soft_ink
        x = place.left() if down else place.center().x()
        middle = place.center().y()
        self._canvas.text(line.watts, x, middle, self._pt, ink, "left" if down else "centre")

    def _box(self, box: HeatBox) -> None:
        canvas, tokens, place = self._canvas, self._canvas.tokens, self._place(box.place)
        canvas.painter.setPen(QPen(QColor(tokens.hairline), 0.25))
        canvas.painter.setBrush(QColor(tokens.ground if box.is_sink else tokens.pane))
        canvas.painter.drawRoundedRect(place, _ROUND * self._row, _ROUND * self._row)
        canvas.painter.setBrush(Qt.BrushStyle.NoBrush)
        rows: list[tuple[str, bool]] = []
        if box.is_sink and place.width() > 2.0 * place.height():  # the rail has one row
            rows.append((f"{' '.join(box.name)}  {box.temp}", False))
        else:
            rows += [*((name, False) for name in box.name), (box.temp, True)]
        if box.heat:
            rows.append((box.heat, False))
        heights = [self._row * (1.3 if bold else 1.0) for _, bold in rows]
        free = place.height() - (0.6 * self._row if box.share is not None else 0.0)
        top = place.top() + 0.5 * (free - sum(heights))
        for (words, bold), height in zip(rows, heights, strict=True):
            pt = self._pt * (_BOLD if bold else 1.0)
            ink = tokens.ink if bold else tokens.soft_ink
            canvas.text(words, place.center().x(), top + 0.5 * height, pt, ink, "centre", bold)
            top += height
        if box.share is not None:
            self._share(place, box.share)

    def _share(self, place: QRectF, share: float) -> None:
        """Draw how much of the rise up to the limit is used, as a bar in the foot of the box."""
        tokens, margin, thickness = self._canvas.tokens, 0.6 * self._row, 0.25 * self._row
        top, width = place.bottom() - 2.4 * thickness, place.width() - 2.0 * margin
        self._canvas.plate(Box(place.left() + margin, top, width, thickness), tokens.hairline)
        used = Box(place.left() + margin, top, width * min(max(share, 0.0), 1.0), thickness)
        self._canvas.plate(used, self._colour if share <= 1.0 else tokens.missed)
