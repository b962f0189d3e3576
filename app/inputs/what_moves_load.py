"""A load: which mechanism it is, its sketch, its figures, its motion. Loaded only where there is one."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QApplication, QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.inputs.application_group import LABEL_WIDTH, ApplicationGroup
from app.inputs.editors import PartChoice
from app.inputs.rows import Binding, QuantityRow, Questions, Row, ValueRow
from app.inputs.what_moves_draft import DraftPanel
from app.inputs.what_moves_motion import MotionSteps
from app.inputs.what_moves_rows import (
    bound_to_load,
    friction_rows,
    friction_summary,
    limit_rows,
    limits_summary,
    mechanism_rows,
    mechanism_summary,
    of_load,
)
from app.preferences import Preferences
from app.selection import Selection
from app.views.load_sketch import LoadSketchView
from core.charts.load_sketch import load_sketch
from core.load_draft import FORMS, MechanismForm, draft_of, form_of
from core.project import edits
from core.project.load import Load
from core.project.project import Project
from core.results import Result
from core.units import DisplayUnits

_FORM_WORDS = tuple(form.words for form in FORMS)


class LoadGroup(ApplicationGroup):
    """Figures of the load; what no mechanism can be is refused where it is typed."""

    def _binding(self, row: ValueRow) -> Binding:
        return bound_to_load(row) if isinstance(row, QuantityRow) else super()._binding(row)


class LoadPanel(QWidget):
    """Everything about what moves; its groups are made anew when the mechanism becomes another one."""

    left = Signal()  # the user does not want a load after all

    def __init__(self, document: ProjectDocument, selection: Selection, preferences: Preferences) -> None:
        super().__init__()
        self._document, self._selection, self._preferences = document, selection, preferences
        self._form: MechanismForm | None = None
        self._result: Result | None = None
        self._read_only = False
        self.draft: DraftPanel | None = None
        self.figures: LoadGroup | None = None
        self.friction: LoadGroup | None = None
        self.limits: LoadGroup | None = None
        self.mechanism = PartChoice("Mechanism")
        self.mechanism.setPlaceholderText("which mechanism?")
        self.mechanism.chosen.connect(self._on_chosen)
        self.sketch = LoadSketchView()
        self.motion = MotionSteps(document, preferences)
        self._groups = QWidget()
        label = QLabel("Mechanism")
        label.setProperty("type", "soft")
        label.setBuddy(self.mechanism)
        label.setFixedWidth(LABEL_WIDTH)
        choice = QHBoxLayout()
        choice.setSpacing(6)
        choice.addWidget(label)
        choice.addWidget(self.mechanism, 1)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 2, 0, 0)
        self._column.setSpacing(5)
        self._column.addLayout(choice)
        self._column.addWidget(self.sketch)
        self._column.addWidget(self._groups)
        QVBoxLayout(self._groups)
        selection.changed.connect(self._draw)
        document.replaced.connect(self._drop_draft)
        self.show_project(document.project)

    @property
    def is_asking(self) -> bool:
        """Whether a mechanism is being asked for."""
        return self.draft is not None

    @property
    def groups(self) -> tuple[LoadGroup, ...]:
        """The groups of figures there are."""
        return tuple(group for group in (self.figures, self.friction, self.limits) if group is not None)

    def show_project(self, project: Project) -> None:
        """Show the load of a project, or ask for a mechanism."""
        load = project.application.load
        form = None if load is None else form_of(load.mechanism)
        if form is not self._form:
            self._form = form
            self._build(form)
        for group in self.groups:
            group.show_project(project)
        self.motion.show_project(project)
        shown = self.draft.draft.form if self.draft is not None else form
        self.mechanism.offer(_FORM_WORDS, FORMS, -1 if shown is None else FORMS.index(shown))
        self.sketch.setVisible(load is not None and self.draft is None)
        self._groups.setVisible(load is not None and self.draft is None)

    def show_result(self, result: Result) -> None:
        """Draw the sketch of a result and say what its motion lacks."""
        self._result = result
        self.motion.show_result(result)
        self._draw()

    def show_units(self) -> None:
        """Show every figure in the display units of the moment."""
        for group in self.groups:
            group.show_units()
        self.motion.show_units()
        if self.draft is not None:
            self.draft.show_units()
        self._draw()

    def forget(self) -> None:
        """Show everything anew at the next project, whether it changed or not."""
        for group in self.groups:
            group.forget()

    def set_read_only(self, read_only: bool) -> None:
        """Forbid or allow editing."""
        self._read_only = read_only
        self.mechanism.setEnabled(not read_only)
        for group in self.groups:
            group.set_read_only(read_only)
        self.motion.set_read_only(read_only)

    def _draw(self) -> None:
        result = self._result
        load = None if result is None else result.project.application.load
        if result is None or load is None or self.sketch.isHidden():
            return
        derived = result.project.application.duty_from == "load"
        segment = self._selection.segment if derived else None
        names = result.duty.names if derived else ()
        units = self._preferences.display_units
        self.sketch.show_sketch(load_sketch(load, result.load, units, segment, names))

    def _build(self, form: MechanismForm | None) -> None:
        """Make the groups of a mechanism; the motion is the same for all."""
        for line in self._groups.findChildren(QLineEdit):
            line.setModified(False)  # a field that is hidden would commit its text to another mechanism
        self.motion.setParent(None)
        old, self._groups = self._groups, QWidget()
        self._column.replaceWidget(old, self._groups)
        old.hide()
        old.deleteLater()
        self.figures = self.friction = self.limits = None
        column = QVBoxLayout(self._groups)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(5)
        if form is None:
            return
        self.figures = self._group("Figures", "load_figures", mechanism_rows(form), mechanism_summary)
        self.friction = self._group(
            "Friction of bearings and guides", "load_friction", friction_rows(form), friction_summary, False
        )
        self.limits = self._group(
            "Start, limits, coupling", "load_limits", limit_rows(form), limits_summary, False
        )
        for group in (self.figures, self.friction, self.motion, self.limits):
            column.addWidget(group)
        self.set_read_only(self._read_only)

    def _group(
        self,
        title: str,
        key: str,
        rows: tuple[Row, ...],
        say: Callable[[Load, DisplayUnits], str],
        open_at_first: bool = True,
    ) -> LoadGroup:
        questions = Questions(title, key, "load", rows, of_load(say), open_at_first)
        return LoadGroup(questions, self._document, self._preferences)

    def _on_chosen(self, form: MechanismForm) -> None:
        load = self._document.project.application.load
        self._drop_draft()
        if load is not None and form is form_of(load.mechanism):
            return
        self.draft = DraftPanel(draft_of(form, load), self._preferences)
        self.draft.completed.connect(self._on_completed)
        self.draft.cancelled.connect(self._on_cancelled)
        self._column.insertWidget(self._column.indexOf(self.sketch), self.draft)
        self.show_project(self._document.project)
        self.draft.first_field().setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_completed(self, load: Load) -> None:
        words = form_of(load.mechanism).words
        focus = QApplication.focusWidget()
        goes_on = self.draft is not None and focus is not None and self.draft.isAncestorOf(focus)
        self._drop_draft()
        self._document.edit(edits.take_load(self._document.project, load), f"Choose mechanism: {words}")
        if goes_on:  # the field that had the focus is gone; next is how it moves
            self.motion.add_move.setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_cancelled(self) -> None:
        self._drop_draft()
        if self._document.project.application.load is None:
            self.left.emit()

    def _drop_draft(self) -> None:
        draft, self.draft = self.draft, None
        if draft is not None:
            draft.hide()
            draft.deleteLater()
        self.show_project(self._document.project)
        self._draw()
