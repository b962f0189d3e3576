"""Which feedback: each kind against each requirement, passed or failed with the reason."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.late_pane import LatePane, still_needed, whose
from app.views.wrapped_table import Cell, WrappedTable
from app.widgets.candidate_mark import letter_of
from core.deferred import Deferred
from core.feedback_results import FeedbackCell, FeedbackRow, FeedbackTable, Verdict
from core.project import edits
from core.project.drive import FeedbackKind
from core.results import CandidateResult
from core.sentences import as_text
from core.units import DisplayUnits, Kind

TITLE: Final = "Feedback"
HEADINGS: Final = ("feedback and requirement", "asked", "reached", "verdict")
# a symbol and a word: the verdict never hangs on a colour
VERDICTS: Final[dict[Verdict, str]] = {
    "pass": "\N{CHECK MARK} pass",
    "fail": "\N{BALLOT X} fail",
    "unknown": "? not checked",
}
NAMES: Final[dict[FeedbackKind, str]] = {
    "Hall sensors": "Hall sensors",
    "encoder": "the encoder",
    "sensorless": "no sensor",
}
_TITLES: Final[dict[FeedbackKind, str]] = {
    "Hall sensors": "Hall sensors",
    "encoder": "Encoder",
    "sensorless": "No sensor",
}


class FeedbackView(LatePane[FeedbackTable]):
    """The table of feedback of the chosen candidate, and a button that takes the current one."""

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(document, selection, preferences, TITLE, parent)
        self._kinds: list[FeedbackKind] = []  # of each row of the table
        self.table = WrappedTable("Feedback and requirements", HEADINGS, (11, 11, 14), preferences.tokens)
        self.button = QPushButton()
        foot = QHBoxLayout()
        foot.setContentsMargins(6, 4, 14, 2)
        foot.addWidget(self.button)
        foot.addStretch(1)
        column = QVBoxLayout(self.body)
        column.setContentsMargins(8, 0, 2, 0)  # the words of the table begin below the title
        column.setSpacing(0)
        column.addWidget(self.table, 1)
        column.addLayout(foot)
        self.table.row_changed.connect(self._show_button)
        self.table.wanted.connect(self.take)
        self.button.clicked.connect(self.take)
        self.setFocusProxy(self.table)

    def later(self, candidate: CandidateResult) -> Deferred[FeedbackTable] | None:
        """Return the table of a candidate."""
        return candidate.feedback_later

    def missing_words(self, candidate: CandidateResult) -> str:
        """Return why there is no table."""
        return still_needed(candidate, "Feedback is worked out for a motor with a winding and a variant.")

    def headline_of(self, candidate: CandidateResult, found: FeedbackTable) -> str:
        """Return how many kinds do."""
        passed = sum(row.verdict == "pass" for row in found.rows)
        return f"{whose(candidate)}: {passed} of {len(found.rows)} pass all that is asked"

    def fill(self, _candidate: CandidateResult, found: FeedbackTable) -> None:
        """Show each kind with its requirements below it."""
        units = self._preferences.display_units
        rows: list[tuple[Cell, ...]] = []
        self._kinds = []
        for row in found.rows:
            rows.append(head_cells(row, units))
            rows += [requirement_cells(cell, units) for cell in row.cells]
            self._kinds += [row.kind] * (1 + len(row.cells))
        self.table.show_rows(rows)
        self._show_button()

    def restyle(self) -> None:
        """Show the table in the units and colours that are preferred now."""
        self.table.delegate.restyle(self._preferences.tokens)
        super().restyle()

    @property
    def kind(self) -> FeedbackKind | None:
        """The kind of feedback of the current row."""
        row = self.table.currentRow()
        return self._kinds[row] if 0 <= row < len(self._kinds) else None

    @Slot()
    def _show_button(self) -> None:
        kind, index = self.kind, self.chosen_index
        if kind is None or index is None or self.shown is None:
            self.button.setEnabled(False)
            return
        chosen = any(row.chosen and row.kind == kind for row in self.shown.rows)
        self.button.setEnabled(not chosen)
        words = "has" if chosen else "Take"
        whom = letter_of(index)
        self.button.setText(
            f"{whom} {words} {NAMES[kind]}" if chosen else f"{words} {NAMES[kind]} for {whom}"
        )

    @Slot()
    def take(self) -> None:
        """Give the candidate the feedback of the current row: one step to undo."""
        from core.evaluation.feedback_choice import possible_feedback  # no start needs it

        kind, index, project = self.kind, self.chosen_index, self._document.project
        if kind is None or index is None:
            return
        feedback = possible_feedback(project.candidates[index]).get(kind)
        if feedback is not None and feedback != project.candidates[index].feedback:
            after = edits.change_candidate(project, index, feedback=feedback)
            self._document.edit(after, f"take {NAMES[kind]} for {letter_of(index)}")


def head_cells(row: FeedbackRow, units: DisplayUnits) -> tuple[Cell, ...]:
    """Return the cells of a kind of feedback: what it is, whether it can be used, and its verdict."""
    facts = [row.name, f"{row.edges} edges a turn" if row.kind != "sensorless" else ""]
    if row.position_error is not None:
        facts.append(f"position within {units.format_quantity(row.position_error, Kind.ANGLE)} at the load")
    if row.start_torque is not None:
        facts.append(
            f"at least {units.format_quantity(row.start_torque, Kind.RATIO)} of the torque at a start"
        )
    bars = (
        "the electronics do not take it" if row.taken is False else "",
        "this variant cannot carry it" if row.fits is False else "",
    )
    lines = [
        "; ".join(fact for fact in facts if fact),
        f"Fails because {' and '.join(bar for bar in bars if bar)}." if any(bars) else "",
        f"Wires: {row.cabling}.",
        f"When it fails: {row.when_it_fails}.",
    ]
    words = _TITLES[row.kind] + (", chosen" if row.chosen else "")
    reason = "\n".join(line for line in lines if line)
    return Cell(words, reason, strong=True, span=3), Cell(VERDICTS[row.verdict], strong=True)


def requirement_cells(cell: FeedbackCell, units: DisplayUnits) -> tuple[Cell, ...]:
    """Return the cells of a requirement."""
    asked = units.format_quantity(cell.demand, cell.kind)
    reached = "–" if cell.ability is None else units.format_quantity(cell.ability, cell.kind)
    verdict = Cell(VERDICTS[cell.verdict], strong=cell.verdict == "fail", soft=cell.verdict == "unknown")
    return (
        Cell(cell.requirement.capitalize(), as_text(cell.reason, units)),
        Cell(asked),
        Cell(reached),
        verdict,
    )


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(FeedbackView)
