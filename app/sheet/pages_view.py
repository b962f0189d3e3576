"""The pages of a sheet as they will be printed, one below the other."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPixmap, QResizeEvent
from PySide6.QtWidgets import QScrollArea, QSizePolicy, QWidget

from app.sheet.layout import LaidOut
from app.sheet.painter import paint_page
from app.theme import LIGHT, current_tokens

_GAP: Final = 14
_MOST_WIDE: Final = 900  # px; wider pages would be read with a turning head
_KEPT: Final = 12  # pages kept as pictures


class PagesView(QScrollArea):
    """Shows a laid out sheet, as wide as there is room; pages are painted when they come into sight."""

    def __init__(self) -> None:
        super().__init__()
        self._paper = _Paper()
        self.setWidget(self._paper)
        self.setWidgetResizable(False)
        self.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        self.setAccessibleName("Pages of the sheet")

    @property
    def laid_out(self) -> LaidOut | None:
        """What is on show."""
        return self._paper.laid_out

    @property
    def page_in_sight(self) -> int:
        """Number of the page at the top of the view, from 0."""
        return self._paper.page_at(self.verticalScrollBar().value() + self.viewport().height() // 3)

    def show_pages(self, laid_out: LaidOut | None) -> None:
        """Show other pages, at the page that was in sight."""
        place = self.verticalScrollBar().value()
        self._paper.show_pages(laid_out)
        self._fit()
        self.verticalScrollBar().setValue(place)
        if laid_out is not None:
            self.setAccessibleDescription(f"{len(laid_out.pages)} pages of {laid_out.title}")

    def turn_to(self, page: int) -> None:
        """Scroll to a page, counted from 0."""
        self.verticalScrollBar().setValue(self._paper.top_of(page) - _GAP // 2)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        self._paper.set_page_width(min(self.viewport().width() - 2 * _GAP, _MOST_WIDE))


class _Paper(QWidget):
    def __init__(self) -> None:
        super().__init__()
        self.laid_out: LaidOut | None = None
        self._width = 400
        self._pictures: dict[int, QPixmap] = {}
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def show_pages(self, laid_out: LaidOut | None) -> None:
        self.laid_out = laid_out
        self._pictures.clear()
        self.update()

    def set_page_width(self, width: int) -> None:
        if width != self._width:
            self._width = max(width, 50)
            self._pictures.clear()
        self.setFixedSize(self.sizeHint())

    def sizeHint(self) -> QSize:
        count = 0 if self.laid_out is None else len(self.laid_out.pages)
        return QSize(self._width + 2 * _GAP, count * (self._page_height() + _GAP) + _GAP)

    def _page_height(self) -> int:
        if self.laid_out is None:
            return 0
        return round(self._width * self.laid_out.paper.height / self.laid_out.paper.width)

    def top_of(self, page: int) -> int:
        return _GAP + page * (self._page_height() + _GAP)

    def page_at(self, y: int) -> int:
        if self.laid_out is None:
            return 0
        return min(max((y - _GAP) // (self._page_height() + _GAP), 0), len(self.laid_out.pages) - 1)

    def paintEvent(self, event: QPaintEvent) -> None:
        if self.laid_out is None:
            return
        painter = QPainter(self)
        first, last = self.page_at(event.rect().top()), self.page_at(event.rect().bottom())
        for page in range(first, last + 1):
            area = QRectF(_GAP, self.top_of(page), self._width, self._page_height())
            painter.drawPixmap(area.topLeft(), self._picture(self.laid_out, page))
            painter.setPen(QColor(current_tokens().hairline))
            painter.drawRect(area.adjusted(-0.5, -0.5, 0.5, 0.5))
        painter.end()

    def _picture(self, laid_out: LaidOut, page: int) -> QPixmap:
        picture = self._pictures.get(page)
        if picture is not None:
            return picture
        if len(self._pictures) >= _KEPT:
            del self._pictures[max(self._pictures, key=lambda other: abs(other - page))]
        ratio = self.devicePixelRatioF()
        picture = QPixmap(round(self._width * ratio), round(self._page_height() * ratio))
        picture.setDevicePixelRatio(ratio)
        picture.fill(QColor(LIGHT.pane))
        painter = QPainter(picture)
        scale = self._width / laid_out.paper.width
        painter.scale(scale, scale)
        paint_page(painter, laid_out, page)
        painter.end()
        self._pictures[page] = picture
        return picture
