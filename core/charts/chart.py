"""One description of a chart, in SI units, for every painter.

The interactive plots and the painter in millimetres both take a `Chart`, so the picture in a
report shows what the window shows. A chart is made of panels (lanes) above one shared x axis; a
panel holds series, bands, a map, limit lines, points, time spans and notes. Nothing here knows
a colour: a style names a role, and the theme gives the role its colour and dash.
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from core.charts.ticks import nice_range
from core.errors import AmpturnError
from core.numeric import FloatArray
from core.records import dataclass

Role = Literal["candidate", "ink", "soft", "missed", "caution"]
Dash = Literal["own", "solid", "dashed", "dotted"]
Width = Literal["thin", "regular", "heavy"]
Hatch = Literal["plain", "rising", "falling", "dots", "level"]
Mark = Literal["numbered ring", "diamond"]
NoteAlign = Literal["left", "centre", "right"]

MOST_CANDIDATES = 4


class ChartError(AmpturnError, ValueError):
    """A chart cannot be drawn truly: a shape does not fit or a number is not finite."""


@dataclass(frozen=True, slots=True)
class Style:
    """How a mark is drawn, by role. `dash="own"` is the candidate's dash, solid for other roles."""

    role: Role = "ink"
    candidate: int = 0
    dash: Dash = "own"
    width: Width = "regular"

    def __post_init__(self) -> None:
        if not 0 <= self.candidate < MOST_CANDIDATES:
            raise ChartError(f"candidate must be 0 to {MOST_CANDIDATES - 1}, got {self.candidate}")


@dataclass(frozen=True, slots=True)
class Axis:
    """An axis: its words, its printed unit, and `shown = SI * scale + offset`.

    `range` and `ticks` are SI values; without a range the painter takes one from the data,
    without ticks it chooses round ones. `tick_words` are printed at `ticks` in place of numbers, as on
    an axis whose values are logarithms.
    """

    label: str
    unit: str = ""
    scale: float = 1.0
    offset: float = 0.0
    range: tuple[float, float] | None = None
    ticks: tuple[float, ...] | None = None
    tick_words: tuple[str, ...] | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.scale) and self.scale > 0.0 and math.isfinite(self.offset)):
            raise ChartError(f"axis {self.label}: scale must be > 0 and finite, got {self.scale:g}")
        if self.range is not None:
            low, high = self.range
            if not (math.isfinite(low) and math.isfinite(high) and low < high):
                raise ChartError(f"axis {self.label}: range must rise, got {low:g} to {high:g}")
        if self.tick_words is not None and len(self.tick_words) != len(self.ticks or ()):
            raise ChartError(f"axis {self.label}: needs one word for each tick")

    @property
    def title(self) -> str:
        """Return the words printed at the end of the axis."""
        return f"{self.label} {self.unit}".rstrip()

    def shown(self, value: float) -> float:
        """Return an SI value in the printed unit."""
        return value * self.scale + self.offset

    def si(self, shown: float) -> float:
        """Return a printed value in SI."""
        return (shown - self.offset) / self.scale

    def over(self, low: float, high: float) -> tuple[float, float]:
        """Return the axis range: the given one, else the data range widened to whole ticks."""
        if self.range is not None:
            return self.range
        bottom, top = nice_range(self.shown(low), self.shown(high))
        return self.si(bottom), self.si(top)


@dataclass(frozen=True, slots=True)
class Series:
    """A curve. NaN in y is a gap. `label` is printed at the curve, near `label_x` if given.

    `fill_to` shades the area between the curve and that y value.
    """

    id: str
    x: FloatArray
    y: FloatArray
    style: Style = Style()
    label: str = ""
    label_x: float | None = None
    fill_to: float | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "x", _frozen(f"series {self.id}: x", self.x))
        object.__setattr__(self, "y", _frozen(f"series {self.id}: y", self.y, gaps=True))
        _same_shape(f"series {self.id}", self.x, self.y)


@dataclass(frozen=True, slots=True)
class Band:
    """An area between two curves, such as a spread over tolerances. NaN is a gap.

    A `faint` one is a ground for what is drawn over it, like the area below a curve. A `hatch` tells
    areas apart without colour.
    """

    id: str
    x: FloatArray
    low: FloatArray
    high: FloatArray
    style: Style = Style()
    label: str = ""
    faint: bool = False
    hatch: Hatch = "plain"

    def __post_init__(self) -> None:
        object.__setattr__(self, "x", _frozen(f"band {self.id}: x", self.x))
        object.__setattr__(self, "low", _frozen(f"band {self.id}: low", self.low, gaps=True))
        object.__setattr__(self, "high", _frozen(f"band {self.id}: high", self.high, gaps=True))
        _same_shape(f"band {self.id}", self.x, self.low)
        _same_shape(f"band {self.id}", self.x, self.high)


@dataclass(frozen=True, slots=True)
class Point:
    """A load point (numbered ring with `text` inside) or the rms point (diamond)."""

    id: str
    x: float
    y: float
    mark: Mark = "numbered ring"
    text: str = ""
    label: str = ""
    selected: bool = False
    style: Style = Style()

    def __post_init__(self) -> None:
        _finite(f"point {self.id}", self.x, self.y)


@dataclass(frozen=True, slots=True)
class Rule:
    """A horizontal limit line, over the whole panel or from `start` to `end` of the x axis."""

    y: float
    label: str = ""
    style: Style = Style(role="soft", dash="dashed", width="thin")
    start: float | None = None
    end: float | None = None

    def __post_init__(self) -> None:
        _finite(f"rule {self.label}", self.y, self.start or 0.0, self.end or 0.0)


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of the x axis with thin edges, such as a segment of the cycle."""

    start: float
    end: float
    label: str = ""
    shaded: bool = False

    def __post_init__(self) -> None:
        _finite(f"span {self.label}", self.start, self.end)
        if self.end < self.start:
            raise ChartError(f"span {self.label}: must not end ({self.end:g}) before it starts")


@dataclass(frozen=True, slots=True)
class Note:
    """A few quiet words at a place in the panel; the text starts, centres or ends at x."""

    text: str
    x: float
    y: float
    align: NoteAlign = "left"

    def __post_init__(self) -> None:
        _finite(f"note {self.text}", self.x, self.y)


@dataclass(frozen=True, slots=True)
class Map:
    """A quantity over the panel, drawn as contour lines at `levels`, each with its own words.

    `values[row, column]` belongs to `y[row]` and `x[column]`; NaN is outside the area.
    """

    id: str
    x: FloatArray
    y: FloatArray
    values: FloatArray
    levels: tuple[float, ...]
    level_labels: tuple[str, ...]

    def __post_init__(self) -> None:
        for name in ("x", "y"):
            grid = _frozen(f"map {self.id}: {name}", getattr(self, name))
            if len(grid) < 2 or not bool(np.all(np.diff(grid) > 0.0)):
                raise ChartError(f"map {self.id}: {name} must rise over at least two values")
            object.__setattr__(self, name, grid)
        values = np.array(self.values, dtype=np.float64)
        if values.shape != (len(self.y), len(self.x)):
            raise ChartError(
                f"map {self.id}: values must be {len(self.y)} rows by {len(self.x)} columns, "
                f"got shape {values.shape}"
            )
        values.setflags(write=False)
        object.__setattr__(self, "values", values)
        if len(self.levels) != len(self.level_labels):
            raise ChartError(f"map {self.id}: {len(self.levels)} levels need as many labels")


@dataclass(frozen=True, slots=True)
class Panel:
    """One lane with its own y axis. `weight` is its share of the height."""

    y: Axis
    series: tuple[Series, ...] = ()
    bands: tuple[Band, ...] = ()
    points: tuple[Point, ...] = ()
    rules: tuple[Rule, ...] = ()
    spans: tuple[Span, ...] = ()
    notes: tuple[Note, ...] = ()
    map: Map | None = None
    weight: float = 1.0

    def __post_init__(self) -> None:
        if not (self.weight > 0.0 and math.isfinite(self.weight)):
            raise ChartError(f"panel {self.y.label}: weight must be > 0, got {self.weight:g}")

    def y_range(self) -> tuple[float, float]:
        """Return the range of the y axis in SI, taken from the data where none is given."""
        values = [s.y for s in self.series]
        values += [edge for band in self.bands for edge in (band.low, band.high)]
        values.append(np.array([p.y for p in self.points] + [r.y for r in self.rules]))
        values += [np.array([s.fill_to]) for s in self.series if s.fill_to is not None]
        if self.map is not None:
            values.append(self.map.y)
        return self.y.over(*_extent(values))


@dataclass(frozen=True, slots=True)
class Chart:
    """A whole chart. `headline` states the conditions; `summary` says the result in one sentence."""

    title: str
    headline: str
    x: Axis
    panels: tuple[Panel, ...]
    summary: str

    def __post_init__(self) -> None:
        if not self.panels:
            raise ChartError(f"chart {self.title}: needs at least one panel")
        if not self.summary.strip():
            raise ChartError(f"chart {self.title}: needs a one-sentence summary for people who cannot see it")

    def x_range(self) -> tuple[float, float]:
        """Return the shared range of the x axis in SI, taken from the data where none is given."""
        values: list[FloatArray] = []
        for panel in self.panels:
            values += [s.x for s in panel.series] + [b.x for b in panel.bands]
            values.append(np.array([p.x for p in panel.points]))
            values.append(np.array([edge for s in panel.spans for edge in (s.start, s.end)]))
            if panel.map is not None:
                values.append(panel.map.x)
        return self.x.over(*_extent(values))


def _frozen(name: str, values: FloatArray, gaps: bool = False) -> FloatArray:
    """Return the values as a read-only row of finite numbers, NaN allowed where it means a gap."""
    row = np.array(values, dtype=np.float64)
    if row.ndim != 1:
        raise ChartError(f"{name} must be one row of numbers, got shape {row.shape}")
    bad = np.isinf(row) if gaps else ~np.isfinite(row)
    if bool(bad.any()):
        place = int(np.argmax(bad))
        raise ChartError(f"{name}[{place}] must be finite, got {row[place]:g}")
    row.setflags(write=False)
    return row


def _same_shape(name: str, first: FloatArray, second: FloatArray) -> None:
    if first.shape != second.shape:
        raise ChartError(f"{name}: needs as many y as x values, got {len(second)} for {len(first)}")


def _finite(name: str, *values: float) -> None:
    for value in values:
        if not math.isfinite(value):
            raise ChartError(f"{name}: must be finite, got {value:g}")


def _extent(values: list[FloatArray]) -> tuple[float, float]:
    """Return the smallest and largest number, NaN left out; (0, 1) when there is none."""
    numbers = np.concatenate([np.zeros(0), *values])
    numbers = numbers[np.isfinite(numbers)]
    return (float(numbers.min()), float(numbers.max())) if len(numbers) else (0.0, 1.0)
