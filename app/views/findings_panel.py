"""Cautions and findings: what can hurt first, then what the evaluation noticed, each with its numbers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QAction, QGuiApplication, QKeyEvent, QKeySequence, QMouseEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.theme import SMALL_PT
from app.widgets.steady_label import SteadyLabel
from core.notices import CLOSING, Notice, Rank, notices
from core.results import Result

_TITLE: Final = "Cautions and findings"
_TEXT_PACE: Final = 150  # ms; so long the text may be behind what is dragged
_CARD_PACE: Final = 16  # ms from one card to the next, about a frame
_FOLDED: Final[tuple[Rank, ...]] = ("notes", "assumed", "not checked")
_OPENING_KEYS: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)
CARD_STYLE: Final = f"""
NoticeCard QLabel[type="caution"] {{ font-weight: bold; }}
NoticeCard QLabel[type="body"] {{ font-size: {SMALL_PT}pt; }}
NoticeCard {{ border: 1px solid transparent; border-radius: 4px; }}
NoticeCard:focus {{ border: 1px solid @focus@; }}
"""


class NoticeCard(QFrame):
    """One caution or finding. It can be reached by keyboard, chosen, and copied."""

    chosen = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.notice: Notice | None = None
        self._open = True
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.title, self.text = SteadyLabel(), SteadyLabel()
        self.text.setTextFormat(Qt.TextFormat.PlainText)
        self.title.setTextFormat(Qt.TextFormat.PlainText)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 7, 12, 7)
        column.setSpacing(2)
        column.addWidget(self.title)
        column.addWidget(self.text)
        copy = QAction("Copy text", self)
        copy.setShortcut(QKeySequence(QKeySequence.StandardKey.Copy))
        copy.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        copy.triggered.connect(self._copy)
        self.addAction(copy)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)

    def show_notice(self, notice: Notice, open_: bool) -> bool:
        """Show a notice; what did not change is left alone. Return whether it is a new one."""
        if notice == self.notice and open_ == self._open:
            return False
        old, self.notice, self._open = self.notice, notice, open_
        foldable = notice.rank in _FOLDED
        self.title.setText(notice.title + (("  – fold" if open_ else "  – show") if foldable else ""))
        self.text.setText(notice.text)
        self.text.setVisible(open_ and bool(notice.text))
        self.setAccessibleName(notice.title)
        self.setAccessibleDescription(notice.text)
        self.setToolTip("" if notice.segment is None else f"selects segment {notice.segment + 1}")
        linked = foldable or notice.segment is not None
        self.setCursor(Qt.CursorShape.PointingHandCursor if linked else Qt.CursorShape.ArrowCursor)
        if old is None or old.rank != notice.rank:
            self._dress(notice.rank)
        return True

    def hold(self, held: bool) -> None:
        """Keep the room of the texts while only their numbers change."""
        self.title.hold(held)
        self.text.hold(held)

    def _dress(self, rank: Rank) -> None:
        """Amber for what can hurt, red for what is serious; the words say it too."""
        self.setProperty("surface", "caution" if rank == "caution" else "plain")
        self.title.setProperty("type", {"caution": "caution", "serious": "missed"}.get(rank, "group"))
        self.text.setProperty("type", "body" if rank in ("caution", "serious", "warning") else "small")
        self.restyle()

    def restyle(self) -> None:
        """Let the stylesheet look at the properties again; the focus frame follows the theme."""
        for widget in (self, self.title, self.text):
            widget.style().unpolish(widget)
            widget.style().polish(widget)

    def _copy(self) -> None:
        if self.notice is not None:
            QGuiApplication.clipboard().setText(self.notice.whole)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.chosen.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _OPENING_KEYS:
            self.chosen.emit()
        else:
            super().keyPressEvent(event)


class FindingsPanel(QFrame):
    """The list of cautions and findings of all candidates, closed by the line that always stands there."""

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setProperty("surface", "pane")
        self._document, self._selection, self._preferences = document, selection, preferences
        self._result: Result | None = None
        self._open: set[Rank] = {"not checked", "assumed"}
        self.notices: tuple[Notice, ...] = ()
        self.cards: list[NoticeCard] = []
        self._waiting: list[int] = []  # the cards that still show what was there before, the last first
        self._soon, self.next_card = (
            self._timer(_TEXT_PACE, self._begin),
            self._timer(_CARD_PACE, self._show_next),
        )
        self._lay_out()
        preferences.changed.connect(self.restyle)
        self.restyle()

    def _lay_out(self) -> None:
        self.title = QLabel(_TITLE)
        self.title.setProperty("type", "group")
        self.copy_all = QPushButton("copy all")
        self.copy_all.setProperty("flat", True)
        self.copy_all.setFlat(True)
        self.copy_all.clicked.connect(lambda: QGuiApplication.clipboard().setText(self.text()))
        head = QHBoxLayout()
        head.setContentsMargins(16, 6, 4, 2)
        head.addWidget(self.title, 1)
        head.addWidget(self.copy_all)
        inside = QWidget()
        self._column = QVBoxLayout(inside)
        self._column.setContentsMargins(8, 0, 8, 0)
        self._column.setSpacing(6)
        self._column.addStretch(1)
        self.scroller = QScrollArea()
        self.scroller.setAccessibleName("Cautions and findings")
        self.scroller.setWidgetResizable(True)
        self.scroller.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.scroller.setWidget(inside)
        inside.setAutoFillBackground(False)  # `setWidget` has switched it on: the pane shows through
        self.scroller.viewport().setAutoFillBackground(False)
        self.closing = QLabel(CLOSING)
        self.closing.setProperty("type", "small")
        self.closing.setWordWrap(True)
        self.closing.setContentsMargins(16, 6, 16, 10)
        column = QVBoxLayout(self)
        column.setContentsMargins(1, 1, 1, 1)  # inside the hairline
        column.setSpacing(0)
        column.addLayout(head)
        column.addWidget(self.scroller, 1)
        column.addWidget(self.closing)

    def _timer(self, milliseconds: int, slot: Callable[[], None]) -> QTimer:
        timer = QTimer(self)
        timer.setSingleShot(True)
        timer.setInterval(milliseconds)
        timer.timeout.connect(slot)
        return timer

    def show_result(self, result: Result) -> None:
        """Show what there is to say; while something is dragged, soon and card by card between its frames."""
        self._result = result
        if not self._document.in_gesture:
            self._show_now()
        elif not (self._soon.isActive() or self.next_card.isActive()):
            self._soon.start()

    def restyle(self) -> None:
        """Take over units and colours."""
        self.setStyleSheet(CARD_STYLE.replace("@focus@", self._preferences.tokens.focus))
        for card in self.cards:
            card.restyle()
        self._show_now()

    def text(self) -> str:
        """Return everything as plain text, for copying."""
        return "\n\n".join([*(notice.whole for notice in self.notices), CLOSING])

    def _show_now(self) -> None:
        """Show everything at once."""
        self._soon.stop()
        self._begin()
        while self._waiting:
            self._show_next()
        self.next_card.stop()

    def _begin(self) -> None:
        """Look what there is to say; the cards follow."""
        if self._result is None:
            return
        self.notices = notices(self._result.candidates, self._preferences.display_units)
        self.title.setText(_counts(self.notices) or _TITLE)
        while len(self.cards) < len(self.notices):
            self._add_card()
        self._waiting = list(reversed(range(len(self.cards))))
        self.next_card.start()

    def _show_next(self) -> None:
        """Show the next card that has something new to say: several at once would hold up a frame."""
        is_new = False
        while self._waiting and not is_new:
            place = self._waiting.pop()
            is_new = self._show_card(self.cards[place], place)
        if self._waiting:
            self.next_card.start()

    def _show_card(self, card: NoticeCard, place: int) -> bool:
        """Show the notice of a place, or no card where there is none any more; return whether it is new."""
        card.hold(self._document.in_gesture)
        was_hidden = card.isHidden()
        if place >= len(self.notices):
            card.hide()
            return not was_hidden
        notice = self.notices[place]
        is_new = card.show_notice(notice, notice.rank not in _FOLDED or notice.rank in self._open)
        card.show()
        return is_new or was_hidden

    def _add_card(self) -> None:
        card = NoticeCard()
        card.chosen.connect(lambda: self._choose(card))
        self.cards.append(card)
        self._column.insertWidget(self._column.count() - 1, card)

    def _choose(self, card: NoticeCard) -> None:
        """Select the segment of a notice; fold or open one that collects several."""
        if card.notice is None:
            return
        if card.notice.rank in _FOLDED:
            self._open ^= {card.notice.rank}
            self._show_now()
        elif card.notice.segment is not None:
            self._selection.select_segment(card.notice.segment)


def _counts(shown: Sequence[Notice]) -> str:
    """Return how many cautions and findings there are: most lie below the edge of a small window."""
    cautions = sum(notice.rank == "caution" for notice in shown)
    findings = sum(notice.rank in ("serious", "warning") for notice in shown)
    parts = [(cautions, "caution"), (findings, "finding")]
    return ", ".join(f"{count} {word}{'s' if count > 1 else ''}" for count, word in parts if count)


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(FindingsPanel)
