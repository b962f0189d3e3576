"""Where the parts of a chart stand on the page, in millimetres, before anything is drawn."""

from __future__ import annotations

from typing import TypeVar

import numpy as np

from app.chart_canvas import Lettering
from core.charts.chart import Axis, Chart, Panel
from core.charts.label_placement import Box
from core.charts.ticks import level_label, tick_labels, tick_values
from core.numeric import FloatArray
from core.records import dataclass

_Place = TypeVar("_Place", float, FloatArray)

# Type on paper, in points: small, body and title by the width of the chart.
_SMALL_CHART_MM, _LARGE_CHART_MM = 95.0, 260.0

TICK_GAP = 1.4
_LANE_GAP = 2.6
_TITLE_GAP = 1.5
_MOST_TICKS = 12
# Below these heights the type gives way, down to the last factor; the lanes are never lower than that.
_LEAST_SINGLE, _LEAST_LANE, _LAST_LANE = 26.0, 8.0, 3.0
_FACTORS = (1.0, 0.9, 0.8, 0.72)


@dataclass(frozen=True, slots=True)
class TypeSizes:
    """The three sizes of type in one chart. [pt]"""

    tick: float
    body: float
    title: float


@dataclass(frozen=True, slots=True)
class Ticks:
    """The tick marks of one axis: SI places and printed numbers."""

    places: tuple[float, ...]
    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Frame:
    """One panel on the page: its box and the SI ranges that fill it exactly."""

    panel: Panel
    box: Box
    x_range: tuple[float, float]
    y_range: tuple[float, float]
    x_ticks: Ticks
    y_ticks: Ticks
    title_left: float
    title_middle: float
    span_middle: float

    def x_mm(self, x: _Place) -> _Place:
        """Return where SI values of the x axis stand. [mm]"""
        low, high = self.x_range
        return self.box.left + (x - low) / (high - low) * self.box.width

    def y_mm(self, y: _Place) -> _Place:
        """Return where SI values of the y axis stand. [mm]"""
        low, high = self.y_range
        return self.box.bottom - (y - low) / (high - low) * self.box.height

    def points_mm(self, x: FloatArray, y: FloatArray) -> FloatArray:
        """Return a curve on the page, shape (n, 2). [mm]"""
        return np.column_stack([self.x_mm(x), self.y_mm(y)])


@dataclass(frozen=True, slots=True)
class Heading:
    """The rows of title and headline; the headline may stand beside the title."""

    title_rows: tuple[str, ...]
    headline_rows: tuple[str, ...]
    beside: bool
    height: float


@dataclass(frozen=True, slots=True)
class Layout:
    """A chart laid out: its heading and one frame per panel."""

    sizes: TypeSizes
    heading: Heading
    frames: tuple[Frame, ...]
    x_title_middle: float


def lay_out(chart: Chart, rect: Box, lettering: Lettering) -> Layout:
    """Divide the rectangle: heading, lanes with their titles, tick numbers, title of the x axis."""
    sizes, heading, heights, top = _rows(chart, rect, lettering)
    row = lettering.row(sizes.tick)
    y_ticks = [
        _ticks(panel.y, panel.y_range(), min(_MOST_TICKS, max(2, int(height / (2.4 * row)))))
        for panel, height in zip(chart.panels, heights, strict=True)
    ]
    widths = [lettering.width(text, sizes.tick) for ticks in y_ticks for text in ticks.labels]
    gutter = TICK_GAP + max(widths, default=0.0)
    x_range = chart.x_range()
    x_ticks, overhang = _x_ticks(chart.x, x_range, rect.width - gutter, sizes.tick, lettering)
    width = max(10.0, rect.width - gutter - overhang)
    frames = []
    for panel, height, ticks in zip(chart.panels, heights, y_ticks, strict=True):
        title_middle = top + 0.5 * row
        top += _above_lane(panel, row)
        box = Box(rect.left + gutter, top, width, height)
        span_middle = top - 0.5 * row
        frames.append(
            Frame(panel, box, x_range, panel.y_range(), x_ticks, ticks, rect.left, title_middle, span_middle)
        )
        top += height + _LANE_GAP
    return Layout(sizes, heading, tuple(frames), frames[-1].box.bottom + TICK_GAP + 1.5 * row)


def _rows(chart: Chart, rect: Box, lettering: Lettering) -> tuple[TypeSizes, Heading, list[float], float]:
    """Choose type small enough for lanes of a useful height; return it with heading, heights and top."""
    least = _LEAST_SINGLE if len(chart.panels) == 1 else _LEAST_LANE
    for factor in _FACTORS:
        sizes = _type_sizes(rect.width, factor)
        heading = _heading(chart, rect.width, sizes, lettering)
        top = rect.top + heading.height
        row = lettering.row(sizes.tick)
        bottom = rect.bottom - 2.0 * row - TICK_GAP
        heights = _lane_heights(chart.panels, bottom - top, row)
        if min(heights) >= least:
            break
    return sizes, heading, heights, top


def _type_sizes(width: float, factor: float) -> TypeSizes:
    tick, body, title = 7.5, 8.0, 10.0
    if width < _SMALL_CHART_MM:
        tick, body, title = 7.0, 7.0, 8.5
    elif width > _LARGE_CHART_MM:
        tick, body, title = 9.0, 9.0, 12.0
    return TypeSizes(tick * factor, body * factor, title * factor)


def _heading(chart: Chart, width: float, sizes: TypeSizes, lettering: Lettering) -> Heading:
    """Set the headline beside the title where it fits, else in rows below it; both may stand elsewhere."""
    if not chart.title and not chart.headline:
        return Heading(("",), ("",), True, 0.0)
    both = lettering.width(chart.title, sizes.title, bold=True) + 3.0
    both += lettering.width(chart.headline, sizes.body)
    if both <= width:
        return Heading((chart.title,), (chart.headline,), True, lettering.row(sizes.title) + 1.2)
    title = lettering.wrapped(chart.title, sizes.title, width, bold=True)
    headline = lettering.wrapped(chart.headline, sizes.body, width)
    height = len(title) * lettering.row(sizes.title) + len(headline) * lettering.row(sizes.body)
    return Heading(tuple(title), tuple(headline), False, height + 1.2)


def _has_span_labels(panel: Panel) -> bool:
    return any(span.label for span in panel.spans)


def _above_lane(panel: Panel, row: float) -> float:
    """Return the room for the title of a lane and the numbers of its spans."""
    return row + (row if _has_span_labels(panel) else _TITLE_GAP)


def _lane_heights(panels: tuple[Panel, ...], room: float, row: float) -> list[float]:
    """Share the height that titles and gaps leave, by weight."""
    titles = sum(_above_lane(panel, row) for panel in panels)
    free = room - titles - _LANE_GAP * (len(panels) - 1)
    total = sum(panel.weight for panel in panels)
    return [max(_LAST_LANE, free * panel.weight / total) for panel in panels]


def _ticks(axis: Axis, bounds: tuple[float, float], most: int) -> Ticks:
    """Return the ticks of an axis: its own within the range, else round ones."""
    low, high = bounds
    if axis.ticks is not None and axis.tick_words is not None:
        said = [pair for pair in zip(axis.ticks, axis.tick_words, strict=True) if low <= pair[0] <= high]
        return Ticks(tuple(place for place, _ in said), tuple(words for _, words in said))
    if axis.ticks is not None:
        own = tuple(place for place in axis.ticks if low <= place <= high)
        return Ticks(own, tuple(level_label(axis.shown(place)) for place in own))
    shown = tick_values(axis.shown(low), axis.shown(high), most)
    return Ticks(tuple(axis.si(value) for value in shown), tick_labels(shown))


def _x_ticks(
    axis: Axis, bounds: tuple[float, float], room: float, pt: float, lettering: Lettering
) -> tuple[Ticks, float]:
    """Return the x ticks, as many as their numbers leave air for, and how far the last sticks out."""
    most = min(_MOST_TICKS, max(2, int(room / 15.0)))
    while True:
        ticks = _ticks(axis, bounds, most)
        widest = max((lettering.width(text, pt) for text in ticks.labels), default=0.0)
        if most <= 1 or axis.ticks is not None or len(ticks.labels) * (widest + 3.0) <= room + widest:
            return ticks, 0.5 * widest + 0.5
        most -= 1
