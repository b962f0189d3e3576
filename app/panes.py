"""Panes that share the room of a page: dragged, folded away, put back to their usual shares, remembered.

Sizes come from a settings file that anybody may have edited, or from a larger screen. Whatever they are, each
pane keeps its smallest size: no pane can be lost, only folded away, and then menu and key bring it back.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QSplitter, QSplitterHandle, QWidget

from app.preferences import Preferences

GAP: Final = 8  # between panes [px]
SMALLEST_PANE: Final = 60  # px
_HANDLE_WORDS: Final = "Drag to share the room; a double click gives the usual shares."

Shares = Sequence[int]


class PaneHandle(QSplitterHandle):
    """The gap between two panes."""

    def __init__(self, orientation: Qt.Orientation, parent: PaneSplitter) -> None:
        super().__init__(orientation, parent)
        self._panes = parent
        self.setToolTip(_HANDLE_WORDS)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            self._panes.take_usual()
            event.accept()


class PaneSplitter(QSplitter):
    """Panes beside or above each other. Their shares are remembered under a name, folded panes too."""

    def __init__(
        self,
        name: str,
        orientation: Qt.Orientation,
        panes: Sequence[QWidget],
        usual: Callable[[], Shares],
        preferences: Preferences,
        foldable: Sequence[int] = (),
    ) -> None:
        super().__init__(orientation)
        self._name, self._usual, self._preferences = name, usual, preferences
        self._foldable = tuple(foldable)
        self._before_fold: dict[int, int] = {}  # sizes of the panes that are folded away
        self.setChildrenCollapsible(False)
        self.setHandleWidth(GAP)
        self.panes = tuple(panes)
        for pane in panes:
            self.addWidget(pane)
            self._keep_smallest(pane)
        self._restore()
        self.splitterMoved.connect(lambda _place, _index: self.keep())

    def createHandle(self) -> QSplitterHandle:
        return PaneHandle(self.orientation(), self)

    def take_usual(self) -> None:
        """Show every pane, in the usual shares."""
        for index in tuple(self._before_fold):
            self._before_fold.pop(index)
            self.panes[index].show()
            self._preferences.keep_flag(self._flag(index), False)
        self.setSizes(list(self._usual()))
        self.keep()

    def is_folded(self, index: int) -> bool:
        """Tell whether a pane is folded away."""
        return index in self._before_fold

    def fold(self, index: int, folded: bool) -> None:
        """Fold a pane away or bring it back in the size that it had."""
        if folded == self.is_folded(index):
            return
        sizes, pane = self.sizes(), self.panes[index]
        if folded:
            self._before_fold[index] = sizes[index]
            pane.hide()
        else:
            size = self._before_fold.pop(index)
            pane.show()
            roomiest = max(range(len(sizes)), key=sizes.__getitem__)
            sizes[roomiest] -= size + self.handleWidth()
            sizes[index] = size
            self.setSizes(sizes)
        self._preferences.keep_flag(self._flag(index), folded)
        self.keep()

    def keep(self) -> None:
        """Remember the shares; a pane that is folded away keeps the one it had."""
        sizes = [self._before_fold.get(index, size) for index, size in enumerate(self.sizes())]
        self._preferences.keep_sizes(self._name, tuple(sizes))

    def _restore(self) -> None:
        kept = self._preferences.sizes(self._name)
        is_good = len(kept) == self.count() and min(kept) >= 0 and sum(kept) > 0
        self.setSizes(list(kept if is_good else self._usual()))
        for index in self._foldable:
            if self._preferences.flag(self._flag(index), False):
                self._before_fold[index] = kept[index] if is_good else self._usual()[index]
                self.panes[index].hide()

    def _flag(self, index: int) -> str:
        return f"folded_{self._name}_{index}"

    def _keep_smallest(self, pane: QWidget) -> None:
        """Give a size to a pane that could shrink to nothing; others know their own smallest size."""
        hint = pane.minimumSizeHint()
        if self.orientation() is Qt.Orientation.Horizontal:
            if max(hint.width(), pane.minimumWidth()) < SMALLEST_PANE:
                pane.setMinimumWidth(SMALLEST_PANE)
        elif max(hint.height(), pane.minimumHeight()) < SMALLEST_PANE < pane.maximumHeight():
            pane.setMinimumHeight(SMALLEST_PANE)
