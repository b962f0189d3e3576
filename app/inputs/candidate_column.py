"""The inputs of one candidate: a column of the group that asks what drives it."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QMenu, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.inputs.candidate_rows import COMMUTATION
from app.inputs.editors import ChoiceInput, PartChoice, QuantityInput, TextInput, reason_of
from app.inputs.rows import ChoiceRow, TextRow, bound_to_candidate
from app.parts_shelf import PartsShelf
from app.plain_tip import plain_tip
from app.preferences import Preferences
from app.widgets.candidate_mark import CandidateLine, letter_of
from core.catalogue.designation import with_pattern
from core.project import edits
from core.project.candidate import Candidate
from core.project.frame_choice import take_frame
from core.project.motor import Motor, VariantKind
from core.project.project import Project

_MOST_ROOMY = 2  # columns wide enough for a word beside the letter
WORDS = ("choose", "duplicate", "move left", "move right", "remove")
NAME_ROW = TextRow(("name",), "Name")


class CandidateColumn(QObject):
    """Editors of one candidate's choices, by the label of their row."""

    refused = Signal(str, str)  # label of the row, reason
    noted = Signal(str)  # what had to be replaced with another frame
    asked = Signal(str, int)  # one of `WORDS`, and which

    def __init__(
        self,
        index: int,
        document: ProjectDocument,
        preferences: Preferences,
        shelf: PartsShelf,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self.index, self.letter = index, letter_of(index)
        self._document, self._preferences, self._shelf = document, preferences, shelf
        self.head = self._head()
        self.name = TextInput(
            NAME_ROW, bound_to_candidate(index, ("name",), self.letter), document, f"Name of {self.letter}"
        )
        self.name.refused.connect(lambda reason: self.refused.emit(NAME_ROW.label, reason))
        self.frame = PartChoice(f"Frame of {self.letter}")
        self.frame.chosen.connect(self._take_frame)
        self.winding = PartChoice(f"Winding of {self.letter}")
        self.winding.chosen.connect(self._take_winding)
        self.variant = PartChoice(f"Variant of {self.letter}")
        self.variant.chosen.connect(self._take_variant)
        self.commutation = self._choice(COMMUTATION)
        for key, choice in (("motor", self.frame), ("winding", self.winding), ("variant", self.variant)):
            choice.setProperty("helps", key)
        self.choices: dict[str, QWidget] = {
            NAME_ROW.label: self.name,
            "Frame": self.frame,
            "Winding": self.winding,
            "Variant": self.variant,
            COMMUTATION.label: self.commutation,
        }

    def _head(self) -> QPushButton:
        head = QPushButton(self.letter)
        head.setFlat(True)
        head.setProperty("tight", True)
        head.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        head.setAccessibleName(f"Candidate {self.letter}: choose, duplicate, move, remove")
        menu = QMenu(head)
        for word in WORDS:
            action = menu.addAction(f"{word.capitalize()} {self.letter}")
            action.triggered.connect(lambda _checked, word=word: self.asked.emit(word, self.index))
        head.setMenu(menu)
        return head

    def _choice(self, row: ChoiceRow) -> ChoiceInput:
        binding = bound_to_candidate(self.index, row.place, self.letter)
        return ChoiceInput(row, binding, self._document, f"{row.label} of {self.letter}")

    def reason(self, label: str) -> str:
        """Return why the text of a row is not taken, empty where it is."""
        return reason_of(self.choices[label])

    def inputs(self) -> Iterator[ChoiceInput | TextInput]:
        """Yield the editors bound to one value."""
        yield self.name
        yield self.commutation

    def show_project(self, project: Project) -> None:
        """Show the candidate of a project."""
        candidate = project.candidates[self.index]
        chosen = candidate is project.chosen_candidate
        roomy = len(project.candidates) <= _MOST_ROOMY
        dropped = candidate.dropped_because
        state = "dropped" if dropped else "chosen" if chosen else ""
        self.head.setText(f"{self.letter} {state}" if state and roomy else self.letter)
        font = self.head.font()
        font.setBold(chosen)
        font.setStrikeOut(bool(dropped))
        self.head.setFont(font)
        self.head.setToolTip(
            plain_tip(f"{candidate.name}\ndropped: {dropped}" if dropped else candidate.name)
        )
        for editor in self.inputs():
            editor.show_project(project)
        self._offer_parts(candidate)
        motor = candidate.motor
        windings = tuple(winding.name for winding in motor.windings) if motor else ()
        kinds = tuple(str(variant.kind) for variant in motor.variants) if motor else ()
        self.winding.offer(windings, windings, _index(windings, candidate.winding))
        self.variant.offer(kinds, kinds, _index(kinds, candidate.variant))

    def _offer_parts(self, candidate: Candidate) -> None:
        """Offer the shelf; what the project holds and the shelf has not comes first."""
        motors = self._shelf.motors
        own = candidate.motor
        if own is not None and own not in motors:
            motors = (own, *motors)
        names = [motor.name for motor in motors]
        words = tuple(_own_name(motor.name, motor is own, names) for motor in motors)
        self.frame.offer(words, motors, motors.index(own) if own is not None else -1)

    def _take_frame(self, motor: Motor) -> None:
        if motor == self._document.project.candidates[self.index].motor:
            return
        taken = take_frame(self._document.project, self.index, motor)
        note = f"{self.letter}: {taken.note}" if taken.note else ""
        text = f"Take {motor.name} for {self.letter}" + (f" ({taken.note})" if taken.note else "")
        named = with_pattern(taken.project.candidates[self.index], self._shelf.files)
        project = edits.change_candidate(taken.project, self.index, hand_over=named.hand_over)
        self._document.edit(project, text)
        self.noted.emit(note)

    def _take_winding(self, name: str) -> None:
        self._change(f"Take winding {name} for {self.letter}", winding=name)

    def _take_variant(self, kind: VariantKind) -> None:
        self._change(f"Take {kind} for {self.letter}", variant=kind)

    def _change(self, text: str, **fields: object) -> None:
        self._document.edit(edits.change_candidate(self._document.project, self.index, **fields), text)


def underlined(editor: QWidget, index: int) -> QWidget:
    """Return an editor with the line of its candidate beneath."""
    holder = QWidget()
    column = QVBoxLayout(holder)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(1)
    column.addWidget(editor)
    line = editor.line if isinstance(editor, QuantityInput) else editor
    line.setProperty("tight", True)
    column.addWidget(CandidateLine(index))
    holder.setFocusProxy(editor)
    return holder


def _index(values: tuple[str, ...], value: str | None) -> int:
    return values.index(value) if value in values else -1


def _own_name(name: str, is_own: bool, names: list[str]) -> str:
    """Tell a part of the project from one of the shelf that has the same name."""
    return f"{name} (this project's)" if is_own and names.count(name) > 1 else name
