"""What the menus do with panes: fold them away, bring them back, share the room as usual."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.bench_page import SIDES, Side
from app.pages import BENCH
from app.panes import PaneSplitter

if TYPE_CHECKING:
    from app.main_window import MainWindow


class PaneActions(QObject):
    """Acts on the panes of the page that is on show."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window

    def toggle(self, side: Side) -> None:
        """Fold inputs or margins of the Bench away, or bring them back."""
        window = self._window
        was_there = window.pages.current == BENCH
        window.turn_to(BENCH)
        # from another page the command can only mean to see it
        window.bench.fold(side, was_there and not window.bench.is_folded(side))
        window.menus.show_sides()

    def on_inputs(self, act: Callable[[], object]) -> None:
        """Do what can only be seen among the inputs, there."""
        self._window.turn_to(BENCH)
        self._window.bench.fold("inputs", False)
        act()

    def usual_layout(self) -> None:
        """Show every pane of the page in its usual share."""
        pages = self._window.pages
        for splitter in pages.page(pages.current).findChildren(PaneSplitter):
            splitter.take_usual()

    def show_all(self) -> None:
        """Unfold what is folded, as the tour wants it."""
        for side in SIDES:
            self._window.bench.fold(side, False)
