"""What can be dragged in the lanes of the cycle: torque levels, speed corners, edges in time.

Each function finds the nearest handle to a place and says what the project becomes when it is moved.
`Base` is the project before the gesture, with segments even where the duty is derived.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from app.theme import Tokens
from app.views.plot_axes import Lane
from app.views.plot_gesture import Grip
from core.charts.ticks import nice_step
from core.project import edits
from core.project.project import Project
from core.results import DutyTrace
from core.segment_columns import Field

Base = Callable[[], Project]

LEVEL_PX, CORNER_PX, EDGE_PX = 10.0, 12.0, 7.0
# The last edge may be pulled out of the picture, up to this many cycle times.
_LONGEST_CYCLES = 4.0
_STEPS = 200
_PILL = QRectF(-4.0, -8.0, 8.0, 16.0)
_AROUND = 10.0  # what a handle covers beyond the lane


def segment_at(duty: DutyTrace, time: float) -> int | None:
    """Return the segment at a time of the cycle."""
    for segment in range(len(duty.edges) - 1):
        if duty.edges[segment] <= time < duty.edges[segment + 1]:
            return segment
    return None


def ends_of(duty: DutyTrace) -> list[tuple[int, int]]:
    """Return for each segment the places of its start and its end among the corner points of a duty."""
    first = np.flatnonzero(np.diff(duty.segment, prepend=-1))
    last = np.append(first, duty.segment.size)[1:] - 1
    return [(int(start), int(end)) for start, end in zip(first, last, strict=True)]


def torque_at(duty: DutyTrace, segment: int, time: float) -> float:
    """Return the shaft torque at a time within a segment. [N m]"""
    start, end = ends_of(duty)[segment]
    stretch = slice(start, end + 1)
    return float(np.interp(time, duty.time[stretch], duty.shaft_torque[stretch]))


def round_step(lane: Lane, along_x: bool) -> float:
    """Return a round step of the printed unit, about a two-hundredth of the axis, in SI."""
    axis, bounds = (lane.x_axis, lane.x_range) if along_x else (lane.chart_panel.y, lane.y_range)
    return nice_step((bounds[1] - bounds[0]) * axis.scale, _STEPS) / axis.scale


def level_grip(lane: Lane, duty: DutyTrace, base: Base, place: QPointF) -> Grip | None:
    """Return the torque level under the cursor."""
    time = lane.from_px(place.x(), place.y())[0]
    segment = segment_at(duty, time)
    if segment is None or not lane.frame.contains(place):
        return None
    level = lane.to_px(0.0, torque_at(duty, segment, time))
    if abs(level.y() - place.y()) > LEVEL_PX:
        return None
    moved = _vertical(
        lane, base, lambda before, torque: edits.change_segment(before, segment, shaft_torque=torque)
    )
    return Grip(segment, "change torque", QPointF(place.x(), level.y()), moved, "shaft_torque", across=False)


def corner_grip(lane: Lane, duty: DutyTrace, base: Base, place: QPointF) -> Grip | None:
    """Return the speed corner under the cursor, else the level of a segment of constant speed."""
    if not lane.frame.adjusted(-CORNER_PX, -CORNER_PX, CORNER_PX, CORNER_PX).contains(place):
        return None
    ends = ends_of(duty)
    flat = [corner for pair in ends for corner in pair]
    corners = [lane.to_px(float(duty.time[k]), float(duty.speed[k])) for k in flat]
    distances = [math.hypot(c.x() - place.x(), c.y() - place.y()) for c in corners]
    # An end before a start: of two corners at one place the end of the earlier segment is meant.
    order = sorted(range(len(corners)), key=lambda k: (round(distances[k], 3), k % 2 == 0))
    if order and distances[order[0]] <= CORNER_PX:
        return _corner(lane, base, order[0], corners[order[0]])
    segment = segment_at(duty, lane.from_px(place.x(), place.y())[0])
    if segment is None:
        return None
    speeds = duty.speed[ends[segment][0] : ends[segment][1] + 1]
    level = lane.to_px(0.0, float(speeds[0]))
    if float(np.ptp(speeds)) > edits.SAME_SPEED or abs(level.y() - place.y()) > LEVEL_PX:
        return None
    moved = _vertical(
        lane,
        base,
        lambda before, speed: edits.change_segment(before, segment, speed_start=speed, speed_end=speed),
    )
    spot = QPointF(place.x(), level.y())
    return Grip(segment, "change speed", spot, moved, "speed_start", across=False)


def _corner(lane: Lane, base: Base, corner: int, place: QPointF) -> Grip:
    segment = corner // 2
    field: Field = "speed_end" if corner % 2 else "speed_start"
    moved = _vertical(
        lane, base, lambda before, speed: edits.change_segment(before, segment, **{field: speed})
    )
    return Grip(segment, "change speed", place, moved, field, across=False)


def edge_grip(lane: Lane, duty: DutyTrace, base: Base, place: QPointF) -> Grip | None:
    """Return the edge in time under the cursor; the last one changes the cycle time."""
    count = len(duty.edges) - 1
    near = [(abs(lane.to_px(float(duty.edges[k + 1]), 0.0).x() - place.x()), -k) for k in range(count)]
    if not near or min(near)[0] > EDGE_PX:
        return None
    segment = -min(near)[1]
    last = segment == count - 1

    def moved(x: float, _y: float, snap: bool) -> Project:
        low, high = lane.x_range
        time = low + (x - lane.frame.left()) / max(1.0, lane.frame.width()) * (high - low)
        step = round_step(lane, along_x=True)
        time = round(time / step) * step if snap and step > 0.0 else time
        longest = _LONGEST_CYCLES * float(duty.edges[-1]) if last else float(duty.edges[-1])
        return edits.move_edge(base(), segment, min(max(time, 0.0), longest))

    spot = QPointF(lane.to_px(float(duty.edges[segment + 1]), 0.0).x(), place.y())
    text = "change cycle time" if last else "move edge"
    return Grip(segment, text, spot, moved, "duration", along=False)


def _vertical(
    lane: Lane, base: Base, change: Callable[[Project, float], Project]
) -> Callable[[float, float, bool], Project]:
    """Return the move of a handle that only goes up and down."""

    def moved(x: float, y: float, snap: bool) -> Project:
        value = lane.from_px(x, y)[1]
        step = round_step(lane, along_x=False)
        return change(base(), round(value / step) * step if snap and step > 0.0 else value)

    return moved


class HandlesItem(QGraphicsItem):
    """Draws the handles of the cycle: pills at the edges, dots at the speed corners."""

    def __init__(self) -> None:
        super().__init__()
        self._rect = QRectF()
        self._pills: list[QPointF] = []
        self._dots: list[tuple[QPointF, bool]] = []
        self._tokens: Tokens | None = None
        self.setZValue(15.0)

    def show_handles(self, lane: Lane, duty: DutyTrace, tokens: Tokens, selected: int | None) -> None:
        """Place the handles of a speed lane."""
        area = lane.frame.adjusted(-_AROUND, -_AROUND, _AROUND, _AROUND)
        if area != self._rect:
            self.prepareGeometryChange()
            self._rect = area
        seen = lane.frame.adjusted(-1.0, -1.0, 1.0, 1.0)
        middle = lane.frame.center().y()
        pills = [QPointF(lane.to_px(float(t), 0.0).x(), middle) for t in duty.edges[1:]]
        pills = [pill for pill in pills if seen.contains(pill)]
        dots = [
            (lane.to_px(float(duty.time[k]), float(duty.speed[k])), segment == selected)
            for segment, pair in enumerate(ends_of(duty))
            for k in pair
        ]
        dots = [dot for dot in dots if seen.contains(dot[0])]
        if (pills, dots, tokens) != (self._pills, self._dots, self._tokens):
            self._pills, self._dots, self._tokens = pills, dots, tokens
            self.update()

    def boundingRect(self) -> QRectF:
        return self._rect

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        tokens = self._tokens
        if tokens is None:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(QColor(tokens.pane))
        painter.setPen(QPen(QColor(tokens.soft_ink), 1.0))
        for place in self._pills:
            painter.drawRoundedRect(_PILL.translated(round(place.x()), round(place.y())), 3.0, 3.0)
        for place, selected in self._dots:
            painter.setPen(QPen(QColor(tokens.ink), 2.2 if selected else 1.2))
            painter.drawEllipse(place, 3.2, 3.2)
