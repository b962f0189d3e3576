"""Import a measured trace: how its file is read, open to correction, and what it looks like."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.background import Background
from app.dialog_help import give_help
from app.preferences import Preferences
from app.trace_column_choice import TraceColumnChoice
from app.trace_options import TraceOptions
from app.trace_plot import TracePlot
from app.trace_rows import TraceRows
from core.errors import AmpturnError
from core.project.load import TraceSource
from core.trace_format import TraceFormat, TracePreview, preview_trace
from core.trace_picture import ReadTrace, read_for_import
from core.trace_source import name_beside

_MARKS = {"\t": "tabs", ";": "semicolons", ",": "commas"}


class TraceDialog(QDialog):
    """Shows a file at once and reads it beside the window; it can be accepted when all of it was read."""

    def __init__(self, preferences: Preferences, folder: Path | None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Import a measured trace")
        self._preferences, self._folder = preferences, folder
        self.path: Path | None = None
        self.read: ReadTrace | None = None
        self.background = Background(self)
        self.background.finished.connect(self._on_read)
        self.background.failed.connect(self._on_failed)
        self.background.progressed.connect(self._on_progress)
        self.columns, self.options = TraceColumnChoice(), TraceOptions()
        self.rows, self.plot = TraceRows(), TracePlot(preferences)
        self.columns.changed.connect(self.start_reading)
        self._make_lines()
        self._lay_out()
        self.columns.rows["time"].column.setFocus()
        self.resize(1040, 640)
        give_help(self)

    def _make_lines(self) -> None:
        self.name, self.facts, self.message, self.copying = QLabel(), QLabel(), QLabel(), QLabel()
        for label in (self.name, self.facts, self.message, self.copying):
            label.setTextFormat(Qt.TextFormat.PlainText)
        self.name.setProperty("type", "title")
        self.facts.setProperty("type", "soft")
        self.message.setProperty("type", "caution")
        for label in (self.facts, self.message, self.copying):
            label.setWordWrap(True)
        self.decimal = QComboBox()
        self.decimal.addItem("decimal point", ".")
        self.decimal.addItem("decimal comma", ",")
        self.decimal.setAccessibleName("Decimal mark of the numbers")
        self.decimal.activated.connect(lambda: self.columns.take_decimal(str(self.decimal.currentData())))
        self.progress = QProgressBar()
        self.progress.setRange(0, 100)
        self.progress.setAccessibleName("Share of the file that is read")
        self.stop = QPushButton("Stop reading")
        self.stop.clicked.connect(self._on_stop)
        self.buttons = QDialogButtonBox()
        self.accept_button = self.buttons.addButton("Import", QDialogButtonBox.ButtonRole.AcceptRole)
        self.buttons.addButton(QDialogButtonBox.StandardButton.Cancel)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)

    def _lay_out(self) -> None:
        left = QVBoxLayout()
        left.setSpacing(8)
        for title, part in (("Columns", self.columns), ("What was measured", self.options)):
            heading = QLabel(title)
            heading.setProperty("type", "group")
            left.addWidget(heading)
            left.addWidget(part)
        left.addStretch(1)
        right = QVBoxLayout()
        right.addWidget(self.plot, 3)
        right.addWidget(self.rows, 2)
        middle = QHBoxLayout()
        middle.setSpacing(18)
        middle.addLayout(left, 2)
        middle.addLayout(right, 3)
        how = QHBoxLayout()
        how.addWidget(self.facts, 1)
        how.addWidget(self.decimal)
        reading = QHBoxLayout()
        reading.addWidget(self.progress, 1)
        reading.addWidget(self.stop)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 14, 16, 14)
        column.setSpacing(8)
        column.addWidget(self.name)
        column.addLayout(how)
        column.addLayout(middle, 1)
        column.addWidget(self.message)
        column.addWidget(self.copying)
        column.addLayout(reading)
        column.addWidget(self.buttons)

    def show_file(self, path: Path, source: TraceSource | None = None) -> None:
        """Show how a file would be read, and begin to read it where nothing is wrong."""
        self.path = path
        self.name.setText(path.name)
        self._forget_reading()
        try:
            preview = preview_trace(path)
            self._say_where(path)
        except (AmpturnError, OSError) as error:
            self._refuse(error)
            for part in (self.columns, self.options, self.decimal, self.stop):
                part.setEnabled(False)
            return
        self.decimal.setCurrentIndex(self.decimal.findData(preview.format.decimal))
        self.facts.setText(_facts(preview))
        self.rows.show_preview(preview)
        if source is not None:
            self.options.show_source(source)
        self.columns.show_format(preview.format, source)

    @Slot()
    def start_reading(self) -> None:
        """Read the file as it is chosen now, or say what is still to be chosen."""
        self._forget_reading()
        form = self.columns.form
        self.rows.mark(form)
        if form is None or self.path is None:
            self._say("Choose what is marked beside the columns; then the file is read.")
            self.stop.setEnabled(False)
            return
        self._say("")
        self.stop.setText("Stop reading")
        self.stop.setEnabled(True)
        self.progress.setFormat("reading %p %")
        self.background.start(partial(read_for_import, self.path, form))

    def reject(self) -> None:
        self.background.shut_down()
        super().reject()

    def accept(self) -> None:
        if self.read is not None:
            self.background.shut_down()
            super().accept()

    def _forget_reading(self) -> None:
        self.background.cancel()
        self.read = None
        self.accept_button.setEnabled(False)
        self.progress.setValue(0)
        self.progress.setFormat("not read")
        self.plot.show_picture(None)

    @Slot()
    def _on_stop(self) -> None:
        if not self.background.is_busy:
            self.start_reading()
            return
        self._forget_reading()
        self._say("Reading was stopped; nothing is imported.")
        self.stop.setText("Read the file")

    @Slot(float)
    def _on_progress(self, share: float) -> None:
        self.progress.setValue(round(100.0 * share))

    @Slot(object)
    def _on_read(self, read: ReadTrace) -> None:
        self.read = read
        self.plot.show_picture(read.picture)
        self.progress.setValue(100)
        self.progress.setFormat(f"{read.imported.trace.time.size:,} rows are read".replace(",", "\u202f"))
        self.stop.setEnabled(False)
        self.accept_button.setEnabled(True)
        self.accept_button.setDefault(True)
        self._say(" ".join(str(finding.text) for finding in read.imported.findings))

    @Slot(object)
    def _on_failed(self, error: Exception) -> None:
        self._refuse(error)
        self.stop.setText("Read the file")

    def _refuse(self, error: Exception) -> None:
        reason = error.strerror or error if isinstance(error, OSError) else error
        self.progress.setFormat("not read")
        self._say(f"The file cannot be read: {reason}")

    def _say(self, words: str) -> None:
        self.message.setText(words)
        self.message.setVisible(bool(words))

    def _say_where(self, path: Path) -> None:
        """Say where the file has to be, and what importing does about it."""
        words, button = "", "Import"
        if self._folder is None:
            words = (
                "The project has no file yet: the trace is kept in memory and copied beside the project "
                "when it is saved."
            )
        elif path.resolve().parent != self._folder.resolve():
            name = name_beside(path, self._folder)
            under = "" if name == path.name else f" under the name {name}, since {path.name} is taken there"
            words = (
                f"A trace lies beside its project, so the file is copied to {self._folder}{under}. "
                "The original stays as it is."
            )
            button = "Copy and import"
        self.copying.setText(words)
        self.copying.setVisible(bool(words))
        self.accept_button.setText(button)


def _facts(preview: TracePreview) -> str:
    """Return in words how a file is written."""
    form: TraceFormat = preview.format
    heading = f"heading in row {form.heading_row}" if form.heading_row else "no heading"
    return (
        f"{form.cells} columns separated by {_MARKS[form.separator]}, {heading}, numbers from row "
        f"{form.first_row} on, {form.encoding.upper()}"
    )
