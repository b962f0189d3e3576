"""What the window does with the sheet: save it as PDF, from the menu or from its page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Slot

from core.errors import AmpturnError

if TYPE_CHECKING:
    from app.main_window import MainWindow

SHEETS = "Sheets (*.pdf)"
SAVE_SHEET = "save sheet"


class SheetActions(QObject):
    """Connects the Sheet page with the files and messages of the window."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        window.pages.asked.connect(self._on_asked)

    @Slot(str, int)
    def _on_asked(self, word: str, _index: int) -> None:
        if word == SAVE_SHEET:
            self.save()

    @Slot()
    def save(self) -> None:
        """Ask for a file and write the sheet of what is on screen to it."""
        window = self._window
        page = window.pages.sheet
        if window.is_out_of_date:
            window.fail("No sheet was saved: the result on screen is out of date.")
            return
        title = window.document.project.application.title
        words = "".join(letter if letter.isalnum() else " " for letter in title).split()
        path = window.dialogs.ask_save(window, "Save the sheet", "_".join([*words[:8], "sheet.pdf"]), SHEETS)
        if path is None:
            return
        path = path if path.suffix else path.with_name(f"{path.name}.pdf")
        from app.sheet.paper import PAPERS  # only where a sheet is made
        from app.sheet.pdf import write_sheet

        try:
            sheet = page.sheet_now()
            if sheet is None:
                return
            units = window.preferences.display_units
            laid_out = write_sheet(sheet, path, units, PAPERS[page.paper_name])
        except (AmpturnError, OSError) as error:
            window.fail(f"No sheet was saved: {error}")
            return
        window.messages.show_message("failure", "")
        window.messages.show_message("notice", f"The sheet is in {path}, {len(laid_out.pages)} pages")
