"""Import parts from a table: what is taken, every row that is not with its reason, then saving."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Event

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QPlainTextEdit,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.background import Background, Job
from app.dialogs import Dialogs
from app.part_entry.parts_saving import PARTS_FILES, save_parts
from app.preferences import Preferences
from core.catalogue.csv_import import CsvImport, Watcher, import_parts
from core.catalogue.part_columns import columns_text
from core.catalogue.parts_check import check_parts
from core.catalogue.parts_edits import NameTakenError
from core.catalogue.parts_file import PartsFile
from core.records import dataclass
from core.sentences import as_text
from core.units import DisplayUnits

MOST_LINES = 2000  # shown; a table with more bad rows has one mistake many times


@dataclass(frozen=True, slots=True)
class _Read:
    """A table as read, and what is to be said of it."""

    imported: CsvImport
    text: str


class CsvEntry(QDialog):
    """Shows what a table gives. Reading and saving go on beside the window and can be stopped."""

    def __init__(
        self,
        path: Path,
        preferences: Preferences,
        dialogs: Dialogs,
        saved_to: Callable[[Path, PartsFile], None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Import parts from {path.name}")
        self._path, self._preferences = path, preferences
        self._dialogs, self._saved_to = dialogs, saved_to
        self._target: Path | None = None
        self._stop_saving: Event | None = None  # while it is being saved
        self.imported: CsvImport | None = None
        self.background = Background(self)
        self.background.finished.connect(self._on_done)
        self.background.failed.connect(self._on_failed)
        self.finished.connect(self.background.shut_down)
        self.summary, self.message = QLabel(), QLabel()
        for label in (self.summary, self.message):
            label.setTextFormat(Qt.TextFormat.PlainText)
        self.summary.setProperty("type", "title")
        for label in (self.summary, self.message):
            label.setWordWrap(True)
        self.text = QPlainTextEdit()
        self.text.setReadOnly(True)
        self.text.setTabChangesFocus(True)
        self.text.setAccessibleName("Rows that are not taken, and what is noticed")
        self.progress = QProgressBar()
        self.progress.setAccessibleName("Share of the work that is done")
        self.background.progressed.connect(self._on_progress)
        self.stop_button = self._button("S&top", self.stop)
        self.read_button = self._button("&Read it again", self.read)
        self.columns_button = self._button("&Columns that are known", self.show_columns)
        self.replace_button = self._button("Re&place them there", self._replace)
        self.save_button = self._button("&Save to a parts file…", self.save)
        self.close_button = self._button("Close", self.reject)
        self._lay_out()
        self.read()

    def _button(self, words: str, slot: Callable[[], object]) -> QPushButton:
        button = QPushButton(words)
        button.setAutoDefault(False)
        button.clicked.connect(lambda _checked=False: slot())
        return button

    def _lay_out(self) -> None:
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        buttons.addWidget(self.read_button)
        buttons.addWidget(self.columns_button)
        buttons.addStretch(1)
        for button in (self.replace_button, self.save_button, self.close_button):
            buttons.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 12, 14, 12)
        column.setSpacing(8)
        column.addWidget(self.summary)
        column.addWidget(self.text, 1)
        column.addWidget(self.message)
        working = QHBoxLayout()
        working.addWidget(self.progress, 1)
        working.addWidget(self.stop_button)
        column.addLayout(working)
        column.addLayout(buttons)
        self.replace_button.hide()
        self.resize(860, 520)

    def read(self) -> None:
        """Read the table beside the window, again after it was mended in another program."""
        self._say("")
        self.replace_button.hide()
        self.imported = None
        self.summary.setText("Reading the table…")
        path, units = self._path, self._preferences.display_units
        self._begin(lambda tell, stop: _read(path, units, Watcher(tell, stop)), whole=100)

    def _begin(self, job: Job, whole: int) -> None:
        """Start a job; of one whose share nobody knows the whole is 0."""
        self.progress.setRange(0, whole)
        self.progress.setValue(0)
        self._show_working(True)
        self.background.start(job)

    def _show_working(self, works: bool) -> None:
        for part in (self.progress, self.stop_button):
            part.setVisible(works)
        for button in (self.read_button, self.replace_button):
            button.setEnabled(not works)
        self.save_button.setEnabled(not works and self.imported is not None and self.imported.accepted > 0)

    def stop(self) -> None:
        """Stop reading, or saving while nothing is written yet; then its end tells whether it was."""
        if self._stop_saving is not None:
            self._stop_saving.set()
            return
        self.background.cancel()
        self.summary.setText("Reading was stopped; nothing is imported")
        self._show_working(False)

    @Slot(float)
    def _on_progress(self, share: float) -> None:
        self.progress.setValue(round(100.0 * share))

    @Slot(object)
    def _on_done(self, value: _Read | PartsFile) -> None:
        if isinstance(value, _Read):
            self._on_read(value)
        elif self._target is not None:
            self._stop_saving = None
            self._saved_to(self._target, value)
            self.accept()

    def _on_read(self, read: _Read) -> None:
        self.imported = read.imported
        self.summary.setText(_counts(read.imported))
        self.text.setPlainText(read.text)
        self._show_working(False)

    @Slot(object)
    def _on_failed(self, error: Exception) -> None:
        was_saving, self._stop_saving = self._stop_saving is not None, None
        self._show_working(False)
        if was_saving:
            taken = isinstance(error, NameTakenError) and self._target is not None
            where = f" to {self._target.name}" if taken and self._target is not None else ""
            self._say(f"Not saved{where}: {error}{', with other figures.' if taken else ''}")
            self.replace_button.setVisible(taken)
            return
        self.summary.setText("The table is not read")
        self.text.setPlainText(str(error))

    def show_columns(self) -> None:
        """Show the columns that a table can have."""
        self.text.setPlainText(columns_text())

    def save(self) -> None:
        """Ask for a parts file and add the parts to it."""
        proposed = f"{self._path.stem}.json"
        path = self._dialogs.ask_file_to_add_to(self, "Save to a parts file", proposed, PARTS_FILES)
        if path is not None:
            self._save_to(path, replacing=False)

    def _replace(self) -> None:
        if self._target is not None:
            self._save_to(self._target, replacing=True)

    def _save_to(self, path: Path, replacing: bool) -> None:
        self._target = path
        parts = self.imported.parts if self.imported is not None else PartsFile()
        self._stop_saving = stop = Event()
        self._say(f"Saving to {path.name}…")
        self._begin(lambda _tell, _stop: save_parts(path, parts, replacing, stop), whole=0)

    def reject(self) -> None:
        """Close; while it is being saved, stop that first, and stay to tell whether it was."""
        if self._stop_saving is not None:
            self._stop_saving.set()
            return
        super().reject()

    def _say(self, words: str) -> None:
        self.message.setText(words)
        self.message.setProperty("type", "caution")
        self.message.style().unpolish(self.message)
        self.message.style().polish(self.message)


def _read(path: Path, units: DisplayUnits, watcher: Watcher) -> _Read:
    imported = import_parts(path, watcher)
    lines = "\n".join(_lines(imported, units))
    return _Read(imported, lines or "Every row is taken, and nothing is implausible.")


def _counts(imported: CsvImport) -> str:
    parts = imported.parts
    windings = sum(len(motor.windings) for motor in parts.motors)
    counted = (
        (len(parts.motors), "motor", "motors"),
        (windings, "winding", "windings"),
        (len(parts.drives), "electronics", "electronics"),
        (len(parts.feedback), "feedback device", "feedback devices"),
        (len(parts.brakes), "brake", "brakes"),
        (len(parts.transmissions), "transmission", "transmissions"),
    )
    found = ", ".join(f"{count} {one if count == 1 else more}" for count, one, more in counted if count)
    rows = f"{imported.accepted} {'row' if imported.accepted == 1 else 'rows'} taken"
    return f"{found or 'no part'}; {rows}, {len(imported.rejected)} not"


def _lines(imported: CsvImport, units: DisplayUnits) -> Iterator[str]:
    if imported.rejected:
        yield "Rows that are not taken:"
        yield from (f"  {row}" for row in imported.rejected[:MOST_LINES])
        if len(imported.rejected) > MOST_LINES:
            yield f"  and {len(imported.rejected) - MOST_LINES} more"
    if imported.notes:
        yield "Not read:"
        yield from (f"  {note}" for note in imported.notes)
    findings = check_parts(imported.parts)
    if findings:
        yield "What cannot be right, or is missing, in what is taken:"
        yield from (f"  {as_text(finding.text, units)}" for finding in findings[:MOST_LINES])
