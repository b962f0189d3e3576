"""Help on what has the focus, the search over all help, the tour, and what the tool is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QApplication

from app.pages import BENCH

if TYPE_CHECKING:
    from app.help_panel import HelpPanel
    from app.main_window import MainWindow
    from app.tour import Tour

TOUR_SEEN = "tour_seen"
OFFER = "This is a sample project with its answer. A tour of six stops shows where things are."
NOTHING = "There is no help on this. Press F1 in a field or on a margin, or search the help."
_ROOMY = 1500  # px of a window beside whose panes the help has room


class HelpActions(QObject):
    """Makes the panel of help when it is first asked for."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self.panel: HelpPanel | None = None
        self.tour: Tour | None = None

    def on_focus(self) -> None:
        """Show the help on the field, margin or row that has the focus."""
        from app.help_panel import key_of

        key = key_of(QApplication.focusWidget())
        if key:
            self.show_key(key)
        else:
            self._window.messages.show_message("notice", NOTHING)

    def show_key(self, key: str) -> None:
        """Show the help on an input by its place, or on a criterion by its code."""
        self._shown_panel().content.show_key(key)

    def search(self) -> None:
        """Open the help and go to its search."""
        self._shown_panel().content.go_to_search()

    def take_tour(self) -> None:
        """Lead through the window; a tour that is under way begins anew."""
        from app.tour import Tour

        window = self._window
        if self.tour is not None:
            self.tour.end()
        window.turn_to(BENCH)
        window.panes.show_all()
        window.messages.show_message("notice", "")
        self.tour = Tour(window)
        self.tour.ended.connect(self._on_tour_ended)

    def offer_tour(self) -> None:
        """Offer the tour to who has not seen it, once."""
        preferences = self._window.preferences
        if preferences.flag(TOUR_SEEN, False):
            return
        preferences.keep_flag(TOUR_SEEN, True)
        offers = (("Take the tour", self.take_tour), ("No, thanks", self._decline))
        self._window.messages.show_message("notice", OFFER, offers)

    def _decline(self) -> None:
        self._window.messages.show_message("notice", "")

    def _on_tour_ended(self) -> None:
        self.tour = None
        self._window.preferences.keep_flag(TOUR_SEEN, True)
        self._window.bench.plane.canvas.setFocus()

    def show_keys(self) -> None:
        """List all keys and what the mouse does."""
        from app.keys_dialog import KeysDialog

        KeysDialog(self._window, self._window).exec()

    def show_about(self) -> None:
        """Show versions, cautions and sources."""
        from app.about import AboutDialog

        AboutDialog(self._window).exec()

    def _shown_panel(self) -> HelpPanel:
        from app.help_panel import RIGHT, WIDTH, HelpPanel

        window = self._window
        if self.panel is None:
            self.panel = panel = HelpPanel(window)
            window.addDockWidget(RIGHT, panel)
            window.preferences.changed.connect(panel.content.restyle)
            if window.width() < _ROOMY:  # it would take the room of the plots: it floats beside them
                panel.setFloating(True)
                panel.resize(WIDTH, 480)
                corner = window.geometry().topRight()
                panel.move(corner.x() - WIDTH - 20, corner.y() + 120)
            else:
                window.resizeDocks([panel], [WIDTH], Qt.Orientation.Horizontal)
        self.panel.show()
        self.panel.raise_()
        return self.panel
