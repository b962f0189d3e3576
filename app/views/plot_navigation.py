"""Which part of a chart its lanes show: all of it, or what wheel, pinch and hand have chosen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QPointF

from app.views.plot_axes import Lane, Range

MOST_ZOOM: Final = 200.0
Ranges = list[tuple[Range, Range]]


class PlotNavigation:
    """Zooms and moves the ranges of lanes within `home`, the ranges of the whole chart.

    All lanes share the x axis. Values keep their range unless `pans_y` holds.
    """

    def __init__(self, pans_y: bool) -> None:
        self._pans_y = pans_y
        self.home: Ranges = []
        self.zoomed = False

    def zoom(self, lanes: Sequence[Lane], factor: float, place: QPointF) -> Ranges:
        """Return the ranges grown by a factor, what is under a place staying there."""
        ranges: Ranges = []
        for lane, (home_x, home_y) in zip(lanes, self.home, strict=True):
            x, y = lane.from_px(place.x(), place.y())
            new_x = _scaled(lane.x_range, x, factor, home_x)
            ranges.append((new_x, _scaled(lane.y_range, y, factor, home_y) if self._pans_y else lane.y_range))
        return self._noted(ranges)

    def pan(self, lanes: Sequence[Lane], step: QPointF) -> Ranges:
        """Return the ranges after the chart was pushed by some pixels."""
        ranges: Ranges = []
        for lane, (home_x, home_y) in zip(lanes, self.home, strict=True):
            dx = -step.x() / lane.frame.width() * (lane.x_range[1] - lane.x_range[0])
            dy = step.y() / lane.frame.height() * (lane.y_range[1] - lane.y_range[0]) if self._pans_y else 0.0
            ranges.append((_moved(lane.x_range, dx, home_x), _moved(lane.y_range, dy, home_y)))
        return self._noted(ranges)

    def _noted(self, ranges: Ranges) -> Ranges:
        self.zoomed = ranges != self.home
        return ranges


def _scaled(now: Range, about: float, factor: float, home: Range) -> Range:
    """Return a range scaled about a value, between a small part of the home range and all of it."""
    low, high = about + (now[0] - about) * factor, about + (now[1] - about) * factor
    whole = home[1] - home[0]
    if high - low >= whole:
        return home
    if high - low < whole / MOST_ZOOM:
        return now
    return _moved((low, high), 0.0, home)


def _moved(now: Range, step: float, home: Range) -> Range:
    """Return a range moved by a step, but not beyond the home range."""
    step = max(step, home[0] - now[0]) if step < 0.0 else min(step, home[1] - now[1])
    low, high = now[0] + step, now[1] + step
    if low < home[0]:
        low, high = home[0], high + home[0] - low
    if high > home[1]:
        low, high = low - high + home[1], home[1]
    return max(low, home[0]), high
