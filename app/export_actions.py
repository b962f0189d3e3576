"""What the window writes to files beside the project: charts and the table of differences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.exports import ExportName, export, files_of, proposed_name
from core.errors import AmpturnError

if TYPE_CHECKING:
    from app.main_window import MainWindow


class ExportActions(QObject):
    """Asks for files and writes what is on screen to them."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window

    def export_chart(self, name: ExportName) -> None:
        """Ask for a file and write a chart or the difference table to it."""
        window = self._window
        result = window.recompute.result
        if result is None or window.is_out_of_date:
            window.fail("Nothing was exported: the result on screen is out of date.")
            return
        proposed = proposed_name(name, window.document.project.application.title)
        path = window.dialogs.ask_save(window, f"Export: {name}", proposed, files_of(name))
        if path is None:
            return
        try:
            written = export(name, result, window.preferences.display_units, path, window.pages.pair)
        except (AmpturnError, OSError) as error:
            window.fail(f"Nothing was exported: {error}")
            return
        window.messages.show_message("failure", "")
        window.messages.show_message("notice", f"The {name} is in {written}")
