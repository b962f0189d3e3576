"""Lanes of a plot and everything behind their curves: spans, grid, numbers and titles of the axes.

A lane is a clipped frame with fixed ranges, so mapping between SI values and pixels is plain arithmetic.
One item paints the background of all lanes below everything that moves, from a picture while it stays.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPixmap
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from app.theme import BODY_PT, FONT_FAMILY, SMALL_PT, Tokens
from core.charts.chart import Axis, Panel
from core.charts.ticks import level_label, tick_labels, tick_values
from core.numeric import FloatArray

Range = tuple[float, float]

_TICK_GAP = 8.0
_TITLE_LEFT = 4.0
_X_TICK_PX, _Y_TICK_PX = 76.0, 34.0
_FEWEST_TICKS, _Y_LEAST_PX = 3, 16.0
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_CENTRE = Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignVCenter
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


@lru_cache(maxsize=64)
def plot_font(points: float = SMALL_PT, bold: bool = False) -> QFont:
    """Return the type of a plot, the shipped face, small unless asked otherwise; nobody changes it."""
    font = QFont(FONT_FAMILY)
    font.setPointSizeF(points)
    font.setBold(bold)
    return font


class Lane(QGraphicsItem):
    """One panel on screen: a clipped area with SI coordinates, and its place in pixels.

    What it holds stands in pixels of the canvas; `layout` counts up when they must be mapped anew.
    """

    def __init__(self, panel: Panel, x_axis: Axis) -> None:
        super().__init__()
        self.chart_panel, self.x_axis = panel, x_axis
        self.frame = QRectF(0.0, 0.0, 100.0, 100.0)
        self.x_range: Range = (0.0, 1.0)
        self.y_range: Range = (0.0, 1.0)
        self.x_ticks: tuple[tuple[float, str], ...] = ()
        self.y_ticks: tuple[tuple[float, str], ...] = ()
        self._ticks_of: object = None  # axes, ranges and room
        self.layout = 0
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemClipsChildrenToShape)
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemHasNoContents)

    def boundingRect(self) -> QRectF:
        return self.frame

    def paint(
        self, _painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        """Paint nothing: the lane only holds and clips its curves."""

    def set_frame(self, frame: QRectF) -> None:
        """Give the lane its place on the canvas."""
        if frame != self.frame:
            self.prepareGeometryChange()
            self.frame = frame
            self.layout += 1
        self.refresh_ticks()

    def set_ranges(self, x_range: Range, y_range: Range) -> None:
        """Give the lane its ranges in SI."""
        if (x_range, y_range) != (self.x_range, self.y_range):
            self.x_range, self.y_range = x_range, y_range
            self.layout += 1

    def refresh_ticks(self) -> None:
        """Choose the ticks for ranges, room and axes as they are now."""
        across = (self.x_axis, self.x_range, self.frame.width())
        up = (self.chart_panel.y, self.y_range, self.frame.height())
        if (across, up) == self._ticks_of:
            return  # as in a drag, which asks with every frame
        self._ticks_of = (across, up)
        self.x_ticks = _ticks(self.x_axis, self.x_range, self.frame.width() / _X_TICK_PX, 0.0)
        height = self.frame.height()
        self.y_ticks = _ticks(self.chart_panel.y, self.y_range, height / _Y_TICK_PX, height / _Y_LEAST_PX)

    @property
    def ground(self) -> tuple[object, ...]:
        """All that is painted behind the curves."""
        panel = self.chart_panel
        titles = (panel.y.title, panel.y.unit, self.x_axis.title)
        ranges = (QRectF(self.frame), self.x_range, self.y_range)
        return (*ranges, self.x_ticks, self.y_ticks, panel.spans, titles)

    def to_px(self, x: float, y: float) -> QPointF:
        """Return where SI values stand on the canvas."""
        (x0, x1), (y0, y1), frame = self.x_range, self.y_range, self.frame
        return QPointF(
            frame.left() + (x - x0) / (x1 - x0) * frame.width(),
            frame.bottom() - (y - y0) / (y1 - y0) * frame.height(),
        )

    def from_px(self, x: float, y: float) -> tuple[float, float]:
        """Return the SI values at a place of the canvas, kept inside the frame."""
        (x0, x1), (y0, y1), frame = self.x_range, self.y_range, self.frame
        across = (min(max(x, frame.left()), frame.right()) - frame.left()) / max(1.0, frame.width())
        up = (frame.bottom() - min(max(y, frame.top()), frame.bottom())) / max(1.0, frame.height())
        return x0 + across * (x1 - x0), y0 + up * (y1 - y0)

    def curve_px(self, x: FloatArray, y: FloatArray) -> FloatArray:
        """Return a curve on the canvas, shape (n, 2)."""
        (x0, x1), (y0, y1), frame = self.x_range, self.y_range, self.frame
        across = frame.left() + (x - x0) / (x1 - x0) * frame.width()
        down = frame.bottom() - (y - y0) / (y1 - y0) * frame.height()
        return np.column_stack([across, down])


def _ticks(axis: Axis, bounds: Range, most: float, room: float) -> tuple[tuple[float, str], ...]:
    """Return places and numbers: no more than `most`, but three in a low lane that has `room` for them."""
    low, high = bounds
    slack = 1e-9 * (high - low)
    if axis.ticks is not None and axis.tick_words is not None:
        said = zip(axis.ticks, axis.tick_words, strict=True)
        return tuple((place, words) for place, words in said if low - slack <= place <= high + slack)
    if axis.ticks is not None:
        own = (place for place in axis.ticks if low - slack <= place <= high + slack)
        return tuple((place, level_label(axis.shown(place))) for place in own)
    intervals = max(2, int(most))
    shown = tick_values(axis.shown(low), axis.shown(high), intervals)
    while len(shown) < _FEWEST_TICKS and intervals < room:
        intervals += 1
        shown = tick_values(axis.shown(low), axis.shown(high), intervals)
    return tuple(zip((axis.si(value) for value in shown), tick_labels(shown), strict=True))


class AxesItem(QGraphicsItem):
    """Paints what lies behind the curves of all lanes, in pixels of the canvas."""

    def __init__(self, tokens: Tokens) -> None:
        super().__init__()
        self.lanes: list[Lane] = []
        self.tokens = tokens
        self.hovered_span: int | None = None
        self.focus_shown = False
        self.titles_beside = False  # left of the numbers instead of above the lane
        self._rect = QRectF()
        self._asked: tuple[object, ...] = ()  # what was to be painted when it last asked for it
        self._painted: tuple[object, ...] = ()  # what was painted last
        self._picture: QPixmap | None = None  # of it
        self._font = plot_font()
        self._row = QFontMetricsF(self._font).height()
        self.setZValue(-10.0)
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemUsesExtendedStyleOption)

    def set_rect(self, rect: QRectF) -> None:
        """Cover the canvas."""
        self.prepareGeometryChange()
        self._rect = rect

    def refresh(self) -> None:
        """Paint anew if a lane or the colours have changed: the ground of a whole canvas costs much."""
        ground = self._ground()
        if ground != self._asked:
            self._asked = ground
            self.update()

    def _ground(self) -> tuple[object, ...]:
        """Return all that its looks depend on."""
        return (self.tokens, self.hovered_span, self.focus_shown, *(lane.ground for lane in self.lanes))

    def boundingRect(self) -> QRectF:
        return self._rect

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        """Paint the ground, or copy its picture where nothing of it changed, as in most frames of a drag."""
        ratio = painter.device().devicePixelRatioF()
        ground = (ratio, QRectF(self._rect), *self._ground())
        if ground != self._painted:
            self._painted, self._picture = ground, None
            self._paint_ground(painter, option.exposedRect)
            return
        if self._picture is None:
            self._picture = self._pictured(ratio)
        painter.drawPixmap(self._rect.topLeft(), self._picture)

    def _pictured(self, ratio: float) -> QPixmap:
        size = self._rect.size() * ratio
        picture = QPixmap(math.ceil(size.width()), math.ceil(size.height()))
        picture.setDevicePixelRatio(ratio)
        picture.fill(QColor(self.tokens.pane))
        painter = QPainter(picture)
        painter.translate(-self._rect.topLeft())
        self._paint_ground(painter, self._rect)
        painter.end()
        return picture

    def _paint_ground(self, painter: QPainter, exposed: QRectF) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setFont(self._font)
        for lane in self.lanes:
            if lane.frame.adjusted(-200.0, -40.0, 60.0, 60.0).intersects(exposed):
                self._paint_spans(painter, lane)
                self._paint_grid(painter, lane)
                self._paint_numbers(painter, lane, lane is self.lanes[-1])
        if self.focus_shown:
            painter.setPen(QColor(self.tokens.focus))
            painter.drawRect(self._rect.adjusted(2.0, 0.0, -3.0, -1.0))

    def _paint_spans(self, painter: QPainter, lane: Lane) -> None:
        frame, tokens = lane.frame, self.tokens
        dashed = QPen(QColor(tokens.soft_ink), 1.0)
        dashed.setDashPattern([3.0, 3.0])
        taken_until = 0.0
        if not self.titles_beside:
            taken_until = _TITLE_LEFT + painter.fontMetrics().horizontalAdvance(self._title(lane)) + 4.0
        for number, span in enumerate(lane.chart_panel.spans):
            left = min(max(lane.to_px(span.start, 0.0).x(), frame.left()), frame.right())
            right = min(max(lane.to_px(span.end, 0.0).x(), frame.left()), frame.right())
            if span.shaded or number == self.hovered_span:
                shade = QColor(tokens.selection)
                shade.setAlphaF(1.0 if span.shaded else 0.55)
                painter.fillRect(QRectF(left, frame.top(), right - left, frame.height()), shade)
            if frame.left() + 1.0 < right < frame.right() - 1.0:
                painter.setPen(dashed)
                painter.drawLine(QLineF(right, frame.top(), right, frame.bottom()))
            half = 0.5 * painter.fontMetrics().horizontalAdvance(span.label)
            # A narrow first segment has its number beside the title of the axis.
            centre = max(0.5 * (left + right), taken_until + half)
            if span.label and right > left and centre + half <= max(right, left + 2.0 * half):
                painter.setPen(QColor(tokens.ink if span.shaded else tokens.soft_ink))
                room = QRectF(centre - 40.0, frame.top() - self._row - 1.0, 80.0, self._row)
                painter.drawText(room, _CENTRE, span.label)
                taken_until = centre + half + 3.0

    def _title(self, lane: Lane) -> str:
        """Return the title of the y axis; its unit alone where a narrow first segment has its number."""
        title, spans = lane.chart_panel.y.title, lane.chart_panel.spans
        if not spans or not spans[0].label:
            return title
        middle = lane.to_px(0.5 * (spans[0].start + spans[0].end), 0.0).x()
        width = QFontMetricsF(self._font).horizontalAdvance(title)
        return title if _TITLE_LEFT + width + 6.0 < middle else lane.chart_panel.y.unit

    def _paint_grid(self, painter: QPainter, lane: Lane) -> None:
        frame = lane.frame
        lines = []
        for place, _ in lane.x_ticks:
            x = round(lane.to_px(place, 0.0).x()) + 0.5
            lines.append(QLineF(x, frame.top(), x, frame.bottom()))
        for place, _ in lane.y_ticks:
            y = round(lane.to_px(0.0, place).y()) + 0.5
            lines.append(QLineF(frame.left(), y, frame.right(), y))
        painter.setPen(QColor(self.tokens.grid))
        painter.drawLines(lines)
        low, high = lane.y_range
        zero = round(lane.to_px(0.0, 0.0).y()) + 0.5 if low < 0.0 < high else frame.bottom()
        painter.setPen(QColor(self.tokens.soft_ink))
        painter.drawLine(QLineF(frame.left(), frame.top(), frame.left(), frame.bottom()))
        painter.drawLine(QLineF(frame.left(), zero, frame.right(), zero))

    def _paint_numbers(self, painter: QPainter, lane: Lane, lowest: bool) -> None:
        frame, row = lane.frame, self._row
        painter.setPen(QColor(self.tokens.soft_ink))
        taken: list[float] = []
        for place, words in lane.y_ticks:
            y = lane.to_px(0.0, place).y()
            if all(abs(y - other) >= row for other in taken):
                room = QRectF(frame.left() - 100.0 - _TICK_GAP, y - row, 100.0, 2.0 * row)
                painter.drawText(room, _RIGHT, words)
                taken.append(y)
        if self.titles_beside:
            room = QRectF(_TITLE_LEFT + 8.0, frame.center().y() - row, frame.left() - 62.0, 2.0 * row)
            painter.drawText(room, int(_LEFT | Qt.TextFlag.TextWordWrap), lane.chart_panel.y.title)
        else:
            title = QRectF(_TITLE_LEFT, frame.top() - row - 4.0, frame.left() + 150.0, row)
            painter.drawText(title, _LEFT, self._title(lane))
        if not lowest:
            return
        for place, words in lane.x_ticks:
            x = lane.to_px(place, 0.0).x()
            painter.drawText(QRectF(x - 50.0, frame.bottom() + 4.0, 100.0, row), _CENTRE, words)
        under = frame.bottom() + 4.0 + row
        painter.drawText(QRectF(frame.right() - 200.0, under, 200.0, row), _RIGHT, lane.x_axis.title)


def text_size(words: str, bold: bool = False) -> tuple[float, float]:
    """Return width and height of a label in pixels."""
    metrics = QFontMetricsF(plot_font(BODY_PT if bold else SMALL_PT, bold))
    return metrics.horizontalAdvance(words), metrics.height()
