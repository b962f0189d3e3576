"""Two objectives of the candidates of a list against each other, with the set that nobody beats in both."""

from __future__ import annotations

from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt, Signal, Slot
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.preferences import Preferences
from app.theme import current_tokens
from core.charts.ticks import nice_range, tick_labels, tick_values
from core.numeric import BoolArray, FloatArray, IntArray
from core.shortlist.chunk_result import MET
from core.shortlist.listing import Listing
from core.shortlist.pareto import pareto_set
from core.units import Kind

# Words, kind, and whether more is better.
AXES: Final[dict[str, tuple[str, Kind, bool]]] = {
    "mass": ("mass", Kind.MASS, False),
    "mean_losses": ("losses", Kind.POWER, False),
    "smallest_margin": ("margin above target", Kind.RATIO, True),
    "length": ("length", Kind.LENGTH, False),
    "rotor_inertia": ("inertia", Kind.INERTIA, False),
    "mean_supply_current": ("supply current", Kind.CURRENT, False),
    "outside_temperature": ("outside temperature", Kind.TEMPERATURE, False),
}
_NEAR: Final = 9.0  # px from a point within which a click means it
_LEFT, _TOP, _RIGHT, _BOTTOM = 54.0, 10.0, 12.0, 22.0


class ShortlistScatter(QWidget):
    """The candidates that pass as points: full ones meet all, rings do not; a line joins the Pareto set."""

    picked = Signal(int)  # number of the candidate whose point was clicked

    def __init__(self, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self.across, self.up = QComboBox(), QComboBox()
        for box, name, usual in ((self.across, "Across", "mass"), (self.up, "Upward", "mean_losses")):
            box.setAccessibleName(name)
            for key, (words, _, _) in AXES.items():
                box.addItem(words, key)
            box.setCurrentIndex(box.findData(usual))
            box.currentIndexChanged.connect(self._again)
        self.plot = _Points(self)
        head = QHBoxLayout()
        head.addWidget(self.up)
        head.addWidget(QLabel("over"))
        head.addWidget(self.across)
        head.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(head)
        column.addWidget(self.plot, 1)
        self._listing: Listing | None = None
        self._passing: BoolArray = np.zeros(0, dtype=bool)

    def show_listing(self, listing: Listing, passing: BoolArray) -> None:
        """Show those of a listing that pass."""
        self._listing, self._passing = listing, passing
        self._again()

    def mark(self, numbers: list[int]) -> None:
        """Mark the candidates that are selected in the list."""
        self.plot.marked = set(numbers)
        self.plot.update()

    @Slot()
    def _again(self) -> None:
        listing = self._listing
        if listing is None:
            return
        keys = (str(self.across.currentData()), str(self.up.currentData()))
        units = self._preferences.display_units
        values = [listing.objectives[key] for key in keys]
        known = self._passing & np.isfinite(values[0]) & np.isfinite(values[1])
        numbers = np.flatnonzero(known)
        met = listing.verdict[numbers] == MET
        best = np.zeros(numbers.size, dtype=bool)
        signs = [-1.0 if AXES[key][2] else 1.0 for key in keys]
        candidates = np.flatnonzero(met) if met.any() else np.arange(numbers.size)
        best[candidates] = pareto_set(
            *(sign * value[numbers][candidates] for sign, value in zip(signs, values, strict=True))
        )
        shown = [
            np.asarray(units.to_display(value[numbers], AXES[key][1]), dtype=np.float64)
            for key, value in zip(keys, values, strict=True)
        ]
        titles = [f"{AXES[key][0]} {units.symbol(AXES[key][1])}".rstrip() for key in keys]
        self.plot.show_points(numbers, shown[0], shown[1], met, best, titles)
        self.plot.setAccessibleDescription(
            f"{titles[1]} over {titles[0]}: {numbers.size} candidates, {int(best.sum())} in the Pareto set"
        )


class _Points(QWidget):
    def __init__(self, owner: ShortlistScatter) -> None:
        super().__init__(owner)
        self._owner = owner
        self._numbers: IntArray = np.zeros(0, dtype=np.int64)
        self._x: FloatArray = np.zeros(0)
        self._y: FloatArray = np.zeros(0)
        self._met: BoolArray = np.zeros(0, dtype=bool)
        self._best: BoolArray = np.zeros(0, dtype=bool)
        self._titles = ["", ""]
        self.marked: set[int] = set()
        self.setMinimumSize(220, 120)
        self.setAccessibleName("Two objectives of the candidates")

    def show_points(
        self,
        numbers: IntArray,
        x: FloatArray,
        y: FloatArray,
        met: BoolArray,
        best: BoolArray,
        titles: list[str],
    ) -> None:
        self._numbers, self._x, self._y, self._met, self._best = numbers, x, y, met, best
        self._titles = titles
        self.update()

    def places(self) -> FloatArray:
        """Return where the points stand, shape (candidates, 2). [px]"""
        area = self._area()
        columns = []
        for values, low_px, high_px in (
            (self._x, area.left(), area.right()),
            (self._y, area.bottom(), area.top()),
        ):
            low, high = _range_of(values)
            columns.append(low_px + (values - low) / (high - low) * (high_px - low_px))
        return np.column_stack(columns)

    def _area(self) -> QRectF:
        return QRectF(self.rect()).adjusted(_LEFT, _TOP, -_RIGHT, -_BOTTOM)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if not self._numbers.size:
            return
        place = event.position()
        distance = np.hypot(*(self.places() - [place.x(), place.y()]).T)
        nearest = int(np.argmin(distance))
        if distance[nearest] <= _NEAR:
            self._owner.picked.emit(int(self._numbers[nearest]))

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(tokens.pane))
        self._paint_axes(painter)
        if self._numbers.size:
            self._paint_points(painter)
        painter.end()

    def _paint_axes(self, painter: QPainter) -> None:
        tokens, area = current_tokens(), self._area()
        side, top = Qt.AlignmentFlag.AlignRight, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
        painter.setPen(QPen(QColor(tokens.hairline), 1.0))
        painter.drawRect(area)
        if not self._numbers.size:
            return
        for values, across in ((self._x, True), (self._y, False)):
            low, high = _range_of(values)
            ticks = tick_values(low, high, 5)
            for tick, words in zip(ticks, tick_labels(ticks), strict=True):
                share = (tick - low) / (high - low)
                painter.setPen(QColor(tokens.soft_ink))
                if across:
                    x = area.left() + share * area.width()
                    box = QRectF(x - 30.0, area.bottom() + 2.0, 60.0, 16.0)
                    painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, words)
                else:
                    y = area.bottom() - share * area.height()
                    painter.drawText(QRectF(0.0, y - 8.0, _LEFT - 5.0, 16.0), side, words)
        painter.setPen(QColor(tokens.ink))
        painter.drawText(area.adjusted(6.0, 2.0, 0.0, 0.0), top, self._titles[1])
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom
        painter.drawText(area.adjusted(0.0, 0.0, -6.0, -2.0), right, self._titles[0])

    def _paint_points(self, painter: QPainter) -> None:
        tokens, places = current_tokens(), self.places()
        best = places[self._best]
        painter.setPen(QPen(QColor(tokens.focus), 1.2))
        painter.drawPolyline([QPointF(x, y) for x, y in best[np.argsort(best[:, 0])].tolist()])
        # of many on one pixel one is drawn: the best, else one that meets all
        first = np.lexsort((~self._met, ~self._best))
        _, seen = np.unique(places[first].round().astype(np.int64), axis=0, return_index=True)
        for k in np.sort(first[seen])[::-1].tolist():
            (x, y), number = places[k].tolist(), int(self._numbers[k])
            met, of_best = bool(self._met[k]), bool(self._best[k])
            painter.setPen(QPen(QColor(tokens.focus if of_best else tokens.soft_ink), 1.2))
            painter.setBrush(
                QColor(tokens.focus if of_best else tokens.soft_ink) if met else QColor(tokens.pane)
            )
            radius = 4.0 if of_best else 2.6
            painter.drawEllipse(QPointF(x, y), radius, radius)
            if number in self.marked:
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.setPen(QPen(QColor(tokens.ink), 2.0))
                painter.drawEllipse(QPointF(x, y), 7.0, 7.0)


def _range_of(values: FloatArray) -> tuple[float, float]:
    low, high = float(values.min()), float(values.max())
    if high - low <= 1e-9 * max(abs(high), 1e-30):
        spread = max(0.1 * abs(high), 1e-6)
        return low - spread, high + spread
    return nice_range(low, high)
