"""Type the designation of a product; its parts become a candidate."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QLineEdit, QVBoxLayout, QWidget

from app.dialog_help import give_help
from core.catalogue.designation import designated_candidate
from core.catalogue.parts_file import PartsFile
from core.errors import AmpturnError
from core.project.candidate import Candidate


class DesignationDialog(QDialog):
    """Reads along while a designation is typed, and says what it names or from where on nothing fits."""

    def __init__(self, parts: PartsFile, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Candidate by its designation")
        self._parts = parts
        self.candidate: Candidate | None = None
        pattern = "" if parts.designation is None else parts.designation.pattern
        told = self._label(f"Designations of these parts are built as {pattern}", "soft")
        self.line = QLineEdit()
        self.line.setAccessibleName("Designation")
        self.said = self._label("", "small")
        self.said.setAccessibleName("What the designation names")
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setDefault(True)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        for part in (told, self.line, self.said, self.buttons):
            column.addWidget(part)
        self.line.textChanged.connect(self._read)
        self.resize(440, 180)
        give_help(self)
        self._read()

    def _label(self, words: str, kind: str) -> QLabel:
        label = QLabel(words)
        label.setTextFormat(Qt.TextFormat.PlainText)  # words of a file
        label.setWordWrap(True)
        label.setProperty("type", kind)
        return label

    def _read(self) -> None:
        text, self.candidate = self.line.text(), None
        if text.strip():
            try:
                self.candidate = designated_candidate(self._parts, text)
            except AmpturnError as error:
                self._say(str(error), "missed")
            else:
                self._say(_parts_of(self.candidate), "small")
        else:
            self._say("Type one to see what it names.", "small")
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(self.candidate is not None)

    def _say(self, words: str, kind: str) -> None:
        self.said.setText(words)
        self.said.setProperty("type", kind)
        self.said.style().unpolish(self.said)
        self.said.style().polish(self.said)


def _parts_of(candidate: Candidate) -> str:
    motor, gear, told = candidate.motor, candidate.transmission, candidate.hand_over
    named = [
        "" if motor is None else motor.name,
        candidate.winding,
        candidate.variant,
        candidate.drive.name,
        None if candidate.feedback is None else candidate.feedback.name,
        None if candidate.brake is None else candidate.brake.name,
        None if gear is None else gear.name,
        None if told is None or not told.shaft_front else f"shaft {told.shaft_front}",
        None if told is None or not told.leads else f"leads {told.leads}",
    ]
    return ", ".join(part for part in named if part)
