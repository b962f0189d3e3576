"""A small plot of a trace before it is imported: torque over speed, every extreme kept."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.preferences import Preferences
from core.numeric import FloatArray
from core.trace_picture import Band, TracePicture
from core.units import Kind

_GAP, _HEAD = 10, 18


class TracePlot(QWidget):
    """Draws two lanes above one time axis; each says its range in words."""

    def __init__(self, preferences: Preferences) -> None:
        super().__init__()
        self._preferences = preferences
        self.picture: TracePicture | None = None
        self.lines: tuple[str, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Preview of the trace")

    def sizeHint(self) -> QSize:
        return QSize(420, 220)

    def minimumSizeHint(self) -> QSize:
        return QSize(240, 150)

    def show_picture(self, picture: TracePicture | None) -> None:
        """Draw a trace, or nothing."""
        self.picture = picture
        self.lines = () if picture is None else self._words(picture)
        self.setAccessibleDescription(", ".join(self.lines))
        self.update()

    def _words(self, picture: TracePicture) -> tuple[str, ...]:
        units = self._preferences.display_units
        lines = []
        for name, band, kind in (
            ("torque", picture.torque, Kind.TORQUE),
            ("speed", picture.speed, Kind.SPEED),
        ):
            low, high = float(band.low.min()), float(band.high.max())
            lines.append(
                f"{name} from {units.format_quantity(low, kind)} to {units.format_quantity(high, kind)}"
            )
        return (*lines, f"time to {units.format_quantity(float(picture.time[-1]), Kind.TIME, 4)}")

    def paintEvent(self, _event: QPaintEvent) -> None:
        tokens = self._preferences.tokens
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(tokens.pane))
        painter.setPen(QColor(tokens.soft_ink))
        if self.picture is None:
            middle = Qt.AlignmentFlag.AlignCenter
            painter.drawText(self.rect(), int(middle), "the trace is drawn here when it has been read")
        else:
            lane = (self.height() - _HEAD - _GAP) / 2.0
            for place, band in enumerate((self.picture.torque, self.picture.speed)):
                top = place * (lane + _GAP / 2.0)
                frame = QRectF(_GAP, top + _HEAD, self.width() - 2.0 * _GAP, lane - _HEAD)
                painter.setPen(QColor(tokens.soft_ink))
                painter.drawText(QPointF(_GAP, top + _HEAD - 5.0), self.lines[place])
                self._draw(painter, frame, band, tokens.candidates[0].colour)
            painter.setPen(QColor(tokens.soft_ink))
            right = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom)
            painter.drawText(QRectF(self.rect()).adjusted(0, 0, -_GAP, -3), right, self.lines[2])
        painter.end()

    def _draw(self, painter: QPainter, frame: QRectF, band: Band, colour: str) -> None:
        assert self.picture is not None
        low, high = min(float(band.low.min()), 0.0), max(float(band.high.max()), 0.0)
        span = (high - low) or 1.0
        time = self.picture.time
        whole = float(time[-1] - time[0]) or 1.0

        def heights(values: FloatArray) -> FloatArray:
            level: FloatArray = frame.bottom() - (values - low) / span * frame.height()
            return level

        zero = float(heights(np.zeros(1))[0])
        painter.setPen(QPen(QColor(self._preferences.tokens.edge), 1.0))
        painter.drawLine(QPointF(frame.left(), zero), QPointF(frame.right(), zero))
        x = frame.left() + (time[:-1] - time[0]) / whole * frame.width()
        # down and up in each bucket: a line that fills where the trace is denser than the pixels
        points = np.column_stack(
            (np.repeat(x, 2), np.column_stack((heights(band.low), heights(band.high))).ravel())
        )
        painter.setPen(QPen(QColor(colour), 1.2))
        painter.drawPolyline(QPolygonF([QPointF(float(a), float(b)) for a, b in points]))
