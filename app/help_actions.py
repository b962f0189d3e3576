"""Help on what has the focus, the search over all help, and what the tool is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QApplication

if TYPE_CHECKING:
    from app.help_panel import HelpPanel
    from app.main_window import MainWindow

NOTHING = "There is no help on this. Press F1 in a field or on a margin, or search the help."
_ROOMY = 1500  # px of a window beside whose panes the help has room


class HelpActions(QObject):
    """Makes the panel of help when it is first asked for."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self.panel: HelpPanel | None = None

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
        panel = self._shown_panel()
        panel.show_key(key)

    def search(self) -> None:
        """Open the help and go to its search."""
        panel = self._shown_panel()
        panel.search.setFocus()
        panel.search.selectAll()

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
            window.preferences.changed.connect(panel.restyle)
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
