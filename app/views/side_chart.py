"""A chart to look at, drawn by the painter in millimetres as on paper, in the colours of the theme."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.chart_painter import paint_chart
from app.theme import Tokens
from core.charts.chart import Chart

# So many pixels are a millimetre: the smallest type of a chart is then that of the window.
_PX_PER_MM: Final = 4.25


class ChartPicture(QWidget):
    """Paints a chart once for each size and theme; it is read to those who cannot see it."""

    def __init__(self, name: str, height: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._name = name
        self.chart: Chart | None = None
        self._tokens: Tokens | None = None
        self._kept: QPixmap | None = None
        self.setFixedHeight(height)
        self.setMinimumWidth(100)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(name)

    def show_chart(self, chart: Chart, tokens: Tokens) -> None:
        """Show a chart without its heading, which stands above the picture."""
        self.chart = replace(chart, title="", headline="")
        self._tokens, self._kept = tokens, None
        self.setAccessibleDescription(chart.summary)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self.chart is None or self._tokens is None:
            return
        ratio = self.devicePixelRatioF()
        if self._kept is None or self._kept.size() != self.size() * ratio:
            self._kept = self._painted(self.chart, self._tokens, ratio)
        painter = QPainter(self)
        painter.drawPixmap(0, 0, self._kept)
        painter.end()

    def _painted(self, chart: Chart, tokens: Tokens, ratio: float) -> QPixmap:
        picture = QPixmap(self.size() * ratio)
        picture.setDevicePixelRatio(ratio)
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        painter.scale(_PX_PER_MM, _PX_PER_MM)
        room = QRectF(0.0, 0.0, self.width() / _PX_PER_MM, self.height() / _PX_PER_MM)
        try:
            paint_chart(painter, chart, room, tokens)
        finally:
            painter.end()  # Qt aborts when a picture goes away while a painter still works on it
        return picture
