"""Draws one line of the margins: label, where it happens, a thin bar per candidate, a tick at the target."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QModelIndex, QObject, QPersistentModelIndex, QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPen
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
)

from app.table_models.margin_list import ENTRY_ROLE, Entry, Outcome
from app.theme import BODY_PT, SMALL_PT, Tokens
from core.charts.display_axis import letter

Index = QModelIndex | QPersistentModelIndex
_SIDE, _PADDING, _GAP = 16, 7, 2  # px at the sides, above and below a line, between its parts
_BAR, _BAR_PITCH = 6, 13  # height of a bar, and from one bar to the next
_LETTER_WIDTH, _NUMBER_WIDTH = 18, 62
_LEAST, _MOST = -0.1, 1.0  # the common scale of all bars
_MOST_PLACE_LINES: Final = 3
# Flags of Python are slow to join, and forty texts are written with every frame of a drag.
_AT_LEFT, _AT_RIGHT = (
    int(side | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextDontClip)
    for side in (Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignRight)
)
_DASH_SCALE = 1.2  # px of a bar's dash for one line width of a curve's


class MarginRowDelegate(QStyledItemDelegate):
    """Paints and measures the entries of a `MarginList`. Pens and fonts are made once per theme."""

    def __init__(self, tokens: Tokens, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.restyle(tokens)

    def restyle(self, tokens: Tokens) -> None:
        """Take over the colours and fonts of a theme."""
        self._tokens = tokens
        self._body = QFont(QApplication.font())
        self._body.setPointSizeF(BODY_PT)
        self._bold = QFont(self._body)
        self._bold.setBold(True)
        self._small = QFont(self._body)
        self._small.setPointSizeF(SMALL_PT)
        self._ink, self._soft = QColor(tokens.ink), QColor(tokens.soft_ink)
        self._missed, self._grid = QColor(tokens.missed), QColor(tokens.grid)
        self._track = QColor(tokens.hairline)
        self._track.setAlphaF(0.55)
        self._selected, self._focus = QColor(tokens.selection), QPen(QColor(tokens.focus), 1.0)
        self._bars = [self._bar_pen(look.colour, look.dashes) for look in tokens.candidates]
        self._line, self._small_line = QFontMetrics(self._bold).height(), QFontMetrics(self._small).height()

    def _bar_pen(self, colour: str, dashes: tuple[float, ...]) -> QPen:
        pen = QPen(QColor(colour), _BAR)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        if dashes:  # they count in line widths, and a bar is much wider than a curve
            pen.setDashPattern([dash * _DASH_SCALE / _BAR for dash in dashes])
        return pen

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        entry = index.data(ENTRY_ROLE)
        if not isinstance(entry, Entry):
            return QSize(0, 0)
        height = 2 * _PADDING + self._line
        if entry.place:
            height += _GAP + self._small_line * self._place_lines(entry, self._room(option).width())
        if entry.kind == "margin":
            height += _GAP + _BAR_PITCH * len(entry.outcomes)
        return QSize(120, height)

    def _room(self, option: QStyleOptionViewItem) -> QRect:
        """Return where text may stand: the right edge is the same with and without a scroll bar."""
        rect: QRect = option.rect
        view = option.widget
        if not isinstance(view, QAbstractItemView):
            return rect.adjusted(_SIDE, _PADDING, -_SIDE, -_PADDING)
        bar = view.width() - view.viewport().width()
        room = QRect(_SIDE, rect.top(), view.width() - 2 * _SIDE, rect.height())
        return room.adjusted(0, _PADDING, min(_SIDE - bar - 2, 0), -_PADDING)

    def _place_lines(self, entry: Entry, width: int) -> int:
        """Return how many lines the place takes: one with numbers, so that heights hold in a drag."""
        if entry.kind == "margin":
            return 1
        flags = int(Qt.TextFlag.TextWordWrap)
        box = QFontMetrics(self._small).boundingRect(QRect(0, 0, width, 10_000), flags, entry.place)
        return min(max(round(box.height() / self._small_line), 1), _MOST_PLACE_LINES)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        entry = index.data(ENTRY_ROLE)
        if not isinstance(entry, Entry):
            return
        rect: QRect = option.rect
        state: QStyle.StateFlag = option.state
        painter.save()
        if state & QStyle.StateFlag.State_Selected:
            painter.fillRect(rect, self._selected)
        room = self._room(option)
        self._paint_entry(painter, room, entry)
        painter.setPen(self._grid)
        painter.drawLine(room.left(), rect.bottom(), room.right(), rect.bottom())
        if state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(self._focus)
            painter.drawRect(rect.adjusted(1, 1, -2, -2))
        painter.restore()

    def _paint_entry(self, painter: QPainter, area: QRect, entry: Entry) -> None:
        line = QRect(area.left(), area.top(), area.width(), self._line)
        title = line.adjusted(0, 0, -self._paint_verdict(painter, line, entry), 0)
        is_fold = entry.kind == "fold"
        self._write(
            painter, title, entry.title, self._body if is_fold else self._bold, self._title_ink(entry)
        )
        place = QRect(area.left(), line.bottom() + _GAP, area.width(), area.bottom() - line.bottom())
        if entry.kind != "margin":
            painter.setFont(self._small)
            painter.setPen(self._soft)
            painter.drawText(place, int(Qt.TextFlag.TextWordWrap), entry.place)
            return
        if entry.place:
            place.setHeight(self._small_line)
            self._write(painter, place, entry.place, self._small, self._soft)
        top = place.bottom() + _GAP if entry.place else line.bottom() + _GAP
        for number, one in enumerate(entry.outcomes):
            self._paint_bar(
                painter, QRect(area.left(), top + number * _BAR_PITCH, area.width(), _BAR_PITCH), one
            )

    def _title_ink(self, entry: Entry) -> QColor:
        if entry.kind == "fold":
            return self._missed if entry.bad else self._soft
        return self._ink

    def _paint_verdict(self, painter: QPainter, line: QRect, entry: Entry) -> int:
        """Write at the right of the label what needs a word; return the width taken."""
        if entry.kind == "fold":
            text, bad = ("fold" if entry.open else "show"), False
        elif entry.kind == "margin":
            who = ", ".join(letter(one.candidate) for one in entry.outcomes if one.bad)
            text, bad = (f"{who} missed" if who else ""), True
        else:
            text, bad = verdict(entry), entry.bad
        if not text:
            return 0
        font, ink = (self._bold, self._missed) if bad else (self._small, self._soft)
        self._write(painter, line, text, font, ink, _AT_RIGHT)
        return QFontMetrics(font).horizontalAdvance(text) + 8

    def _paint_bar(self, painter: QPainter, area: QRect, one: Outcome) -> None:
        """Draw the bar of one candidate from zero, the tick of its target and its number."""
        font, ink = (self._bold, self._missed) if one.bad else (self._body, self._ink)
        self._write(painter, area, one.text, font, ink, _AT_RIGHT)
        pen = self._bars[one.candidate % len(self._bars)]
        self._write(painter, area, letter(one.candidate), self._small, pen.color())
        scale = QRectF(area).adjusted(_LETTER_WIDTH, 0, -_NUMBER_WIDTH, 0)
        y = round(scale.center().y()) + 0.0
        zero, target = self._x(scale, 0.0), self._x(scale, one.target)
        painter.fillRect(QRectF(zero, y - _BAR / 2, scale.right() - zero, _BAR), self._track)
        if one.share is not None:
            below = one.share < 0.0
            painter.setPen(
                QPen(self._missed, _BAR, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap) if below else pen
            )
            painter.drawLine(QPointF(zero, y), QPointF(self._x(scale, one.share), y))
            painter.setPen(QPen(self._ink, 1.2))
            painter.drawLine(QPointF(target, y - _BAR_PITCH / 2), QPointF(target, y + _BAR_PITCH / 2))

    def _x(self, scale: QRectF, share: float) -> float:
        """Return where a margin lies on the common scale; what lies beyond it ends there."""
        inside = min(max(share, _LEAST), _MOST) if share == share else 0.0
        return scale.left() + (inside - _LEAST) / (_MOST - _LEAST) * scale.width()

    def _write(
        self, painter: QPainter, area: QRect, text: str, font: QFont, ink: QColor, place: int = _AT_LEFT
    ) -> None:
        painter.setFont(font)
        painter.setPen(ink)
        metrics = painter.fontMetrics()
        fits = metrics.elidedText(text, Qt.TextElideMode.ElideRight, max(area.width(), 10))
        painter.drawText(area, place, fits)


def verdict(entry: Entry) -> str:
    """Return the outcome of a criterion without numbers: the bad ones by letter, else what holds."""
    told = [one for one in entry.outcomes if one.bad] or list(entry.outcomes)
    words = {one.text for one in told}
    if len(words) == 1 and len(told) == len(entry.outcomes):
        return words.pop()
    return ", ".join(f"{letter(one.candidate)} {one.text}" for one in told)
