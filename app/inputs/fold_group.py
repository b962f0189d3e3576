"""A group of inputs under its question; folded it is one line that sums it up."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QVBoxLayout, QWidget

from app.plain_tip import plain_tip
from app.preferences import Preferences
from app.theme import SMALL_PT, current_tokens
from app.widgets.steady_label import SteadyLabel


class FoldHeader(QAbstractButton):
    """The question of a group; pressing it folds or opens the group."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setText(title)
        self.setCheckable(True)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        bold = QFont(self.font())
        bold.setBold(True)
        metrics = QFontMetrics(bold)
        return QSize(metrics.horizontalAdvance(self.text()) + 60, metrics.height() + 10)

    def minimumSizeHint(self) -> QSize:
        return QSize(60, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        area = QRectF(self.rect())
        painter.setPen(QPen(QColor(tokens.focus if self.hasFocus() else tokens.hairline), 1.0))
        base = QPointF(0.0, area.height() - 0.5)
        painter.drawLine(base, base + QPointF(area.width(), 0.0))
        bold = QFont(self.font())
        bold.setBold(True)
        painter.setFont(bold)
        painter.setPen(QColor(tokens.ink))
        sides = Qt.AlignmentFlag.AlignVCenter
        painter.drawText(area, sides | Qt.AlignmentFlag.AlignLeft, self.text())
        small = QFont(self.font())
        small.setPointSizeF(SMALL_PT)
        painter.setFont(small)
        painter.setPen(QColor(tokens.ink if self.underMouse() else tokens.soft_ink))
        word = "fold" if self.isChecked() else "open"
        painter.drawText(area, sides | Qt.AlignmentFlag.AlignRight, word)
        painter.end()


class FoldGroup(QWidget):
    """Header, the line that sums it up, and a body that can be folded away.

    The body is made by `fill` when it is first opened: half of all fields are never looked at.
    """

    def __init__(
        self, title: str, key: str, preferences: Preferences, open_at_first: bool, fill: Callable[[], None]
    ) -> None:
        super().__init__()
        self._key, self._preferences, self._fill = key, preferences, fill
        self.is_filled = False
        self.header = FoldHeader(title)
        self.header.setChecked(preferences.flag(f"open_{key}", open_at_first))
        self.header.toggled.connect(self._on_toggled)
        self.summary = SteadyLabel()
        self.summary.setProperty("type", "small")
        self.summary.setTextFormat(Qt.TextFormat.PlainText)
        self.body = QWidget()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(5)
        for part in (self.header, self.summary, self.body):
            column.addWidget(part)
        self._lay_open(self.header.isChecked())

    @property
    def is_open(self) -> bool:
        """Whether the body is on show."""
        return self.header.isChecked()

    def sum_up(self, text: str) -> None:
        """Set the line that stands for the group while it is folded."""
        if text != self.summary.text():
            self.summary.setText(text)
            self.header.setAccessibleDescription(text)
            self.header.setToolTip(plain_tip(text))

    def set_open(self, is_open: bool) -> None:
        """Open or fold the group."""
        self.header.setChecked(is_open)

    def _on_toggled(self, is_open: bool) -> None:
        self._preferences.keep_flag(f"open_{self._key}", is_open)
        self._lay_open(is_open)

    def _lay_open(self, is_open: bool) -> None:
        if is_open and not self.is_filled:
            self.is_filled = True
            self._fill()
        self.body.setVisible(is_open)
        self.summary.setVisible(not is_open)
