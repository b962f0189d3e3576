"""Side by side: the candidates in equal columns with the same axes, and any two of them compared."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from PySide6.QtCore import QRect, Qt, QTimer, Signal, Slot
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.bench_page import StaleVeil
from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.theme import Tokens
from app.views.plot_base import CALM_MS
from app.views.side_columns import SideColumns
from app.views.side_pair import Pair, PairSection, VerdictStrip
from app.views.sliced_work import SlicedWork
from core.charts.display_axis import shown_candidates
from core.errors import AmpturnError
from core.evaluation.comparison import comparison
from core.results import CandidateResult, Result
from core.units import DisplayUnits

_GAP: Final = 8
_EMPTY_WIDTH: Final = 520
_NO_CANDIDATE: Final = "There is no candidate yet. Side by side needs two."
_ONE_CANDIDATE: Final = (
    "Side by side needs a second candidate. Duplicate the one there is and change its variant, winding or "
    "frame on the Bench, or add another one with a frame of the parts."
)


class SideBySidePage(QWidget):
    """Keeps the newest result and shows it when it is on show itself; it computes nothing.

    What needs the uncertainty of the heat (verdict, temperatures, the two compared) says "updating" and
    comes when the hand has rested.
    """

    asked = Signal(str, int)  # what to do for a candidate, as in the menu

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._preferences = document, preferences
        self.result: Result | None = None
        self.pair: Pair = (0, 1)
        self._drawn: tuple[Result, DisplayUnits, Tokens] | None = None
        self._late_drawn: tuple[Result, DisplayUnits, Tokens, Pair] | None = None
        self.strip, self.columns, self.two = (
            VerdictStrip(),
            SideColumns(selection, preferences),
            PairSection(),
        )
        self._work = SlicedWork(self)
        self._work.finished.connect(self._draw)
        self._work.refused.connect(self._on_refused)
        self._calm = QTimer(self)
        self._calm.setSingleShot(True)
        self._calm.setInterval(CALM_MS)
        self._calm.timeout.connect(self._on_calm)
        self._lay_out()
        self._veil = StaleVeil(self.full)
        self.strip.choice.chosen.connect(self.compare)
        self.columns.chosen.connect(lambda index: self.asked.emit("choose", index))
        self.two.table.row_in_sight.connect(self._follow_row)
        preferences.changed.connect(self._draw)

    def _lay_out(self) -> None:
        self._inside = inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(_GAP)
        column.addWidget(self.columns)
        column.addWidget(self.two)
        column.addStretch(1)
        self.scroller = QScrollArea()
        self.scroller.setWidgetResizable(True)
        self.scroller.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.scroller.setAccessibleName("Side by side")
        self.scroller.setWidget(inside)
        inside.setAutoFillBackground(False)  # `setWidget` has switched it on: the ground shows through
        self.scroller.viewport().setAutoFillBackground(False)
        self.scroller.verticalScrollBar().rangeChanged.connect(self._align_strip)
        self.scroller.addAction(self.two.table.copy)
        self.full = QWidget()
        page = QVBoxLayout(self.full)
        page.setContentsMargins(0, 0, 0, 0)
        page.setSpacing(_GAP)
        self._head = QHBoxLayout()
        self._head.setContentsMargins(1, 0, 1, 0)
        self._head.addWidget(self.strip)
        page.addLayout(self._head)
        page.addWidget(self.scroller, 1)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.full)
        self.stack.addWidget(self._empty_page())
        whole = QVBoxLayout(self)
        whole.setContentsMargins(_GAP + 2, _GAP, _GAP + 2, _GAP + 2)
        whole.addWidget(self.stack)
        self.setFocusProxy(self.scroller)

    def _empty_page(self) -> QWidget:
        """Return what stands here while there are no two candidates: how to get a second one."""
        self.empty = QFrame()
        self.empty.setProperty("surface", "pane")
        self.empty_words = QLabel()
        self.empty_words.setWordWrap(True)
        self.empty_words.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.empty_words.setFixedWidth(_EMPTY_WIDTH)
        self.duplicate, self.add = QPushButton("Duplicate candidate A"), QPushButton("Add candidate")
        self.duplicate.clicked.connect(lambda: self.asked.emit("duplicate", 0))
        self.add.clicked.connect(lambda: self.asked.emit("add", -1))
        buttons = QHBoxLayout()
        buttons.setSpacing(_GAP)
        buttons.addStretch(1)
        buttons.addWidget(self.duplicate)
        buttons.addWidget(self.add)
        buttons.addStretch(1)
        column = QVBoxLayout(self.empty)
        column.setSpacing(16)
        column.addStretch(2)
        column.addWidget(self.empty_words, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addLayout(buttons)
        column.addStretch(3)
        return self.empty

    # what is shown -------------------------------------------------------------------------------------

    def show_result(self, result: Result) -> None:
        """Take a new result; it is drawn now or when the page is shown."""
        self.result = result
        count = len(result.candidates)
        if max(self.pair) >= count:
            self.pair = (0, 1)
        self._draw()

    def set_stale(self, stale: bool) -> None:
        """Mark that what is on show belongs to an earlier state, or that it no longer does."""
        self._veil.set_stale(stale)

    @Slot(int, int)
    def compare(self, first: int, second: int) -> None:
        """Compare other two candidates."""
        self.pair = (first, second)
        self._draw()

    def is_late(self, result: Result) -> bool:
        """Return whether a band that the page shows is still to be computed."""
        return any(one.band_later is not None and not one.band_later.known for one in self._needed(result))

    def _needed(self, result: Result) -> list[CandidateResult]:
        """Return the candidates in the columns and the two that are compared."""
        two = [result.candidates[index] for index in self.pair if index < len(result.candidates)]
        return [*shown_candidates(result), *two]

    @Slot()
    def _draw(self) -> None:
        """Draw what is not drawn yet, as far as it is there; a hidden page draws when it is shown."""
        result = self.result
        if result is None or not self.isVisible():
            return
        count = len(result.candidates)
        self.stack.setCurrentWidget(self.full if count >= 2 else self.empty)
        if count < 2:
            self.empty_words.setText(_ONE_CANDIDATE if count else _NO_CANDIDATE)
            self.empty_words.setMinimumHeight(self.empty_words.heightForWidth(_EMPTY_WIDTH))
            self.duplicate.setVisible(count == 1)
            self._drawn = None
            return
        look = (result, self._preferences.display_units, self._preferences.tokens)
        try:
            if self._drawn is None or not _same(look, self._drawn):
                self.columns.show_result(result)
                self._drawn, self._late_drawn = look, None
            else:
                self.columns.mark_segment()  # which may be another one since
            self.strip.show_conditions(result, self.pair, self._preferences)
            if self.is_late(result):
                self.strip.show_updating()
                self.two.show_updating(self.pair)
                self._calm.start()
            else:
                self._draw_late(result)
        except AmpturnError as error:  # showing a page runs this in a Qt override, which must not raise
            self._on_refused(str(error))

    def _draw_late(self, result: Result) -> None:
        now = (result, self._preferences.display_units, self._preferences.tokens, self.pair)
        if self._late_drawn is not None and _same(now, self._late_drawn):
            return
        found = comparison(result, *self.pair)
        self.columns.show_peaks(result)
        self.strip.show_comparison(found, self._preferences)
        self.two.show_comparison(result, found, self._preferences)
        self._late_drawn = now

    @Slot()
    def _on_calm(self) -> None:
        """Begin with what is late, unless something is under the hand or the page is gone again."""
        result = self.result
        if result is None or not self.isVisible() or not self.is_late(result):
            return
        if self._document.in_gesture:
            self._calm.start()
            return
        self._work.start(_bands(self._needed(result)))

    @Slot(str)
    def _on_refused(self, reason: str) -> None:
        self.strip.verdict.setText(f"Cannot be compared: {reason}")

    @Slot(int, int)
    def _align_strip(self, _least: int, most: int) -> None:
        """Let the strip end where the columns end, scroll bar or none."""
        bar = self.scroller.verticalScrollBar().sizeHint().width() if most > 0 else 0
        self._head.setContentsMargins(1, 0, bar + 1, 0)  # the area has a frame for its focus

    @Slot(QRect)
    def _follow_row(self, row: QRect) -> None:
        """Scroll so that the row of the cursor is seen."""
        middle = self.two.table.mapTo(self._inside, row.center())
        self.scroller.ensureVisible(0, middle.y(), 0, row.height() + 24)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._draw()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self._calm.stop()
        self._work.stop()


def _same(one: tuple[object, ...], other: tuple[object, ...]) -> bool:
    """Tell whether the same values would be drawn: results by identity, the rest by value."""
    return one[0] is other[0] and one[1:] == other[1:]


def _bands(candidates: list[CandidateResult]) -> Iterator[object]:
    """Compute one band at each step."""
    for one in candidates:
        yield one.band


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(SideBySidePage)
