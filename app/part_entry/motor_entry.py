"""Enter a motor from its data sheet: figures on the left, what they amount to on the right."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.dialog_help import give_help
from app.dialogs import Dialogs
from app.panes import PaneSplitter
from app.part_entry.draft_form import DraftForm
from app.part_entry.parts_saving import PARTS_FILES, save_parts
from app.part_entry.sheet_results import SheetResults
from app.preferences import Preferences
from core.catalogue.motor_draft import MotorDraft
from core.catalogue.parts_edits import NameTakenError
from core.catalogue.parts_file import PartsFile
from core.catalogue.sheet_reading import SheetReading, read_sheet
from core.errors import AmpturnError
from core.project.motor import Motor

TITLE = "Enter a motor from its data sheet"


class MotorEntry(QDialog):
    """The parts editor. Nothing typed is lost on an error; leaving with unsaved figures asks once.

    `take_candidate` puts a motor into the project; after each saving `saved_to` is told the
    file and all its parts.
    """

    def __init__(
        self,
        preferences: Preferences,
        dialogs: Dialogs,
        take_candidate: Callable[[Motor], None],
        saved_to: Callable[[Path, PartsFile], None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(TITLE)
        self.setWindowFlag(Qt.WindowType.WindowMaximizeButtonHint)
        self._preferences, self._dialogs = preferences, dialogs
        self._take_candidate, self._saved_to = take_candidate, saved_to
        self.form = DraftForm(preferences.display_units)
        self.results = SheetResults()
        self.message = QLabel()
        self.message.setWordWrap(True)
        self.message.setTextFormat(Qt.TextFormat.PlainText)
        self.replace_button = self._button("&Replace it there", self._replace)
        self.save_button = self._button("&Save to a parts file…", self.save)
        self.use_button = self._button("&Use as candidate", self.use)
        self.close_button = self._button("Close", self.reject)
        self.reading: SheetReading = read_sheet(MotorDraft())
        self._kept: MotorDraft | None = None  # as last saved or used
        self._path: Path | None = None
        self._refresh = QTimer(self)
        self._refresh.setSingleShot(True)
        self._refresh.setInterval(0)
        self._refresh.timeout.connect(self.refresh)
        self.form.changed.connect(self._refresh.start)
        self.results.wanted.connect(self.form.show_figure)
        preferences.changed.connect(self._on_preferences)
        self._lay_out()
        self.refresh()
        self.form.frame.rows["frame"].editor.setFocus()

    def _button(self, words: str, slot: Callable[[], object]) -> QPushButton:
        button = QPushButton(words)
        button.setAutoDefault(False)  # Enter commits a field and presses nothing
        button.clicked.connect(lambda _checked=False: slot())
        return button

    def _lay_out(self) -> None:
        lead = QLabel(
            "Type each figure as the sheet states it, with its unit (5.4 V/krpm, 1.7 oz·in/A), and choose "
            "what it means. Nothing is changed to make figures agree."
        )
        lead.setProperty("type", "soft")
        lead.setWordWrap(True)
        across, parts, shares = Qt.Orientation.Horizontal, (self.form, self.results), (560, 540)
        sides = PaneSplitter("parts_editor", across, parts, lambda: shares, self._preferences)
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        buttons.addWidget(self.message, 1)
        for button in (self.replace_button, self.save_button, self.use_button, self.close_button):
            buttons.addWidget(button)
        self.replace_button.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 12, 14, 12)
        column.setSpacing(8)
        column.addWidget(lead)
        column.addWidget(sides, 1)
        column.addLayout(buttons)
        self.resize(1120, 760)
        give_help(self)

    def refresh(self) -> None:
        """Read the figures again and show what they amount to."""
        self.reading = read_sheet(self.form.draft())
        unread = self.form.unread()
        self.results.show_reading(self.reading, self._preferences.display_units, unread)
        self.form.mark(self.reading.missing)
        for button in (self.save_button, self.use_button):
            button.setEnabled(self.reading.motor is not None and unread == 0)
        self.replace_button.hide()
        self._say("")

    def set_draft(self, draft: MotorDraft) -> None:
        """Show a draft as if it had been typed."""
        self.form.set_draft(draft)
        self.refresh()

    @property
    def is_unsaved(self) -> bool:
        """Whether leaving would lose figures."""
        return not self.form.is_untouched and (self.form.unread() > 0 or self.form.draft() != self._kept)

    @property
    def name(self) -> str:
        """What the motor is called so far."""
        return str(self.form.draft().frame.get("frame", "without a name"))

    def save(self) -> bool:
        """Ask for a parts file and add the motor to it; the file may be new or there already."""
        motor = self._current_motor()
        if motor is None:
            self._say("Not saved: figures are missing or cannot be read; they are marked.", "missed")
            return False
        proposed = "".join(letter if letter.isalnum() else "_" for letter in motor.name) + ".json"
        path = self._dialogs.ask_file_to_add_to(self, "Save to a parts file", proposed, PARTS_FILES)
        return path is not None and self._save_to(path, motor, replacing=False)

    def _replace(self) -> None:
        motor = self._current_motor()
        if motor is not None and self._path is not None:
            self._save_to(self._path, motor, replacing=True)

    def _save_to(self, path: Path, motor: Motor, replacing: bool) -> bool:
        self._path = path
        try:
            parts = save_parts(path, PartsFile(motors=(motor,)), replacing)
        except NameTakenError as error:
            self._say(f"Not saved to {path.name}: {error}. Give the frame another name, or:", "caution")
            self.replace_button.show()
            return False
        except AmpturnError as error:
            self._say(f"Not saved: {error}", "missed")
            return False
        self._kept = self.form.draft()
        self.replace_button.hide()
        self._say(f"{motor.name} is in {path.name}.")
        self._saved_to(path, parts)
        return True

    def use(self) -> bool:
        """Put the motor into the project as a candidate, in one undo step."""
        motor = self._current_motor()
        if motor is None:
            return False
        try:
            self._take_candidate(motor)
        except AmpturnError as error:
            self._say(f"Not taken: {error}", "missed")
            return False
        self._kept = self.form.draft()
        self._say(f"{motor.name} is a candidate of the project; undo takes it away again.")
        return True

    def _current_motor(self) -> Motor | None:
        """Return the motor of what stands in the fields now, typed text included."""
        self.take_typed_text()
        self.refresh()
        return self.reading.motor if self.form.unread() == 0 else None

    def take_typed_text(self) -> None:
        """Let the field under the cursor commit, so that what was typed counts."""
        focus = self.focusWidget()
        if focus is not None:
            focus.clearFocus()

    def _say(self, words: str, kind: str = "soft") -> None:
        self.message.setText(words)
        self.message.setProperty("type", kind)
        self.message.style().unpolish(self.message)
        self.message.style().polish(self.message)

    def _on_preferences(self) -> None:
        self.form.set_display_units(self._preferences.display_units)
        self.refresh()

    def reject(self) -> None:
        """Leave, after one question where figures would be lost."""
        self.take_typed_text()
        if self.is_unsaved:
            words = f"the motor {self.name}: figures that are in no parts file yet"
            answer = self._dialogs.ask_unsaved(self, (words,))
            if answer == "cancel" or (answer == "save" and not self.save()):
                return
        super().reject()
