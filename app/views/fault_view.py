"""What happens when something fails: each fault with its numbers and what is needed against it."""

from __future__ import annotations

from typing import Final

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.late_pane import LatePane, still_needed, whose
from app.views.wrapped_table import Cell, WrappedTable
from core.deferred import Deferred
from core.fault_results import FaultRow, FaultTable
from core.results import CandidateResult
from core.sentences import as_text
from core.units import DisplayUnits, Kind

TITLE: Final = "When something fails"
HEADINGS: Final = ("what happens, and what is needed against it", "energy")
_SIGN: Final = "\N{WARNING SIGN}"


class FaultView(LatePane[FaultTable]):
    """The table of faults of the chosen candidate."""

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(document, selection, preferences, TITLE, parent)
        self.table = WrappedTable("Faults", HEADINGS, (10,), preferences.tokens)
        column = QVBoxLayout(self.body)
        column.setContentsMargins(8, 0, 2, 0)  # the words of the table begin below the title
        column.addWidget(self.table)
        self.setFocusProxy(self.table)

    def later(self, candidate: CandidateResult) -> Deferred[FaultTable | None] | None:
        """Return the faults of a candidate."""
        return candidate.faults_later

    def missing_words(self, candidate: CandidateResult) -> str:
        """Return why there are no faults to tell of."""
        return still_needed(candidate, "There is no duty to evaluate yet.")

    def headline_of(self, candidate: CandidateResult, found: FaultTable) -> str:
        """Return with which inertia the faults were worked out."""
        inertia = self._preferences.display_units.format_quantity(found.inertia, Kind.INERTIA)
        of = "with the load" if found.whole_inertia else "of the rotor alone"
        return f"{whose(candidate)}, with {inertia} at the motor shaft, {of}"

    def fill(self, _candidate: CandidateResult, found: FaultTable) -> None:
        """Show the faults."""
        units = self._preferences.display_units
        self.table.show_rows([fault_cells(row, units) for row in found.rows])

    def restyle(self) -> None:
        """Show the faults in the units and colours that are preferred now."""
        self.table.delegate.restyle(self._preferences.tokens)
        super().restyle()


def fault_cells(row: FaultRow, units: DisplayUnits) -> tuple[Cell, Cell]:
    """Return the cells of a fault: what it is, what it does, what it needs, and its energy."""
    energy = "–" if row.energy is None else units.format_quantity(row.energy, Kind.ENERGY)
    reason = f"{as_text(row.effect, units)}\nNeeded: {row.measure}."
    return Cell(f"{_SIGN} {row.fault}", reason, strong=True), Cell(energy, soft=row.energy is None)


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(FaultView)
