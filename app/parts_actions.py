"""What the window does with parts: enter a motor, import a table, save a motor of the project."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QDialog

from app import candidate_edits
from core.errors import AmpturnError
from core.project.motor import Motor

if TYPE_CHECKING:
    from app.main_window import MainWindow
    from app.part_entry.csv_entry import CsvEntry
    from app.part_entry.motor_entry import MotorEntry
    from core.catalogue.parts_file import PartsFile

TABLES = "Tables (*.csv *.tsv *.txt);;All files (*)"


class PartsActions(QObject):
    """Connects the parts editor and the import with project, shelf and messages of the window.

    Their windows stay beside the main one, so that a candidate is seen at work while its figures are at hand.
    """

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self.entry: MotorEntry | None = None
        self.table: CsvEntry | None = None
        window.bench.inputs.what_drives_it.from_sheet.clicked.connect(self.enter_motor)

    def enter_motor(self) -> None:
        """Show the parts editor; one that is open comes to the front with what it holds."""
        from app.part_entry.motor_entry import MotorEntry  # only where a motor is entered

        if self.entry is None:
            window = self._window
            entry = MotorEntry(
                window.preferences, window.dialogs, self._take_candidate, self._on_saved, window
            )
            entry.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
            entry.finished.connect(self._on_entry_closed)
            self.entry = entry
        self.entry.show()
        self.entry.raise_()
        self.entry.activateWindow()

    def import_parts(self) -> None:
        """Ask for a table and show what is taken from it; nothing is written before that is accepted."""
        path = self._window.dialogs.ask_open(self._window, "Import parts from a table", TABLES)
        if path is not None:
            self.show_table(path)

    def show_table(self, path: Path) -> None:
        """Show what a table gives."""
        from app.part_entry.csv_entry import CsvEntry  # only where a table is imported

        window = self._window
        table = CsvEntry(path, window.preferences, window.dialogs, self._on_saved, window)
        table.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        table.finished.connect(self._on_table_closed)
        self.table = table
        table.open()

    def save_chosen(self) -> None:
        """Add the motor of the chosen candidate to a parts file."""
        from app.part_entry.parts_saving import PARTS_FILES, save_parts
        from core.catalogue.parts_edits import NameTakenError
        from core.catalogue.parts_file import PartsFile

        window = self._window
        chosen = window.document.project.chosen_candidate
        if chosen is None or chosen.motor is None:
            window.fail("Nothing was saved: the chosen candidate has no motor.")
            return
        motor = chosen.motor
        path = window.dialogs.ask_file_to_add_to(window, "Save to a parts file", "parts.json", PARTS_FILES)
        if path is None:
            return
        try:
            save_parts(path, PartsFile(motors=(motor,)), replacing=False)
        except NameTakenError as error:
            window.fail(f"Nothing was saved to {path.name}: {error}, with other figures.")
        except AmpturnError as error:
            window.fail(f"Nothing was saved: {error}")
        else:
            window.messages.show_message("notice", f"{motor.name} is in {path}")

    def unsaved_entry(self) -> MotorEntry | None:
        """Return the parts editor where it holds figures that are in no file and no candidate."""
        if self.entry is None:
            return None
        self.entry.take_typed_text()
        return self.entry if self.entry.is_unsaved else None

    def save_entry(self) -> bool:
        """Save the motor of the parts editor; one that cannot be saved comes to the front with its reason."""
        if self.entry is None or self.entry.save():
            return True
        self.entry.raise_()
        self.entry.activateWindow()
        return False

    def close_entry(self) -> None:
        """Close the parts editor without a question: its figures are saved, or given up by their user."""
        if self.entry is not None:
            self.entry.done(QDialog.DialogCode.Rejected)

    def _take_candidate(self, motor: Motor) -> None:
        document = self._window.document
        if document.read_only_reason:
            raise AmpturnError(document.read_only_reason)
        candidate_edits.add_candidate_of(document, motor)

    def _on_saved(self, path: Path, parts: PartsFile) -> None:
        """Put what the file holds now on the shelf, so that candidates can choose from it."""
        self._window.shelf.take(path, parts)
        self._window.messages.show_message("notice", f"Candidates choose from the parts in {path.name}")

    def _on_entry_closed(self) -> None:
        self.entry = None

    def _on_table_closed(self) -> None:
        self.table = None
