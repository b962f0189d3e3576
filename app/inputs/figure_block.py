"""The results beside a group of inputs: shown while it is open, the costly ones when the hand rests."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.inputs.figure_table import Cell, FigureRow, FigureTable
from app.inputs.figures import Figure, FigureSource, Looked
from app.preferences import Preferences
from app.widgets.candidate_mark import letter_of
from core.deferred import Deferred
from core.errors import AmpturnError
from core.results import Result
from core.sentences import as_text
from core.units import DisplayUnits

_CALM_MS = 100  # as of the plots: nothing is worked out while the hand moves
_AWAITED = "…"
_BAD = ("missed", "excluded")


class FigureBlock(QWidget):
    """A table of figures, and under it the reasons of what is not met in words."""

    def __init__(
        self,
        name: str,
        source: FigureSource,
        document: ProjectDocument,
        preferences: Preferences,
        widths: tuple[int, int, int],
    ) -> None:
        super().__init__()
        self._source, self._document, self._preferences = source, document, preferences
        self._result: Result | None = None
        self._shown: tuple[Result, DisplayUnits, bool] | None = None
        self._failed: list[tuple[Deferred[object], str]] = []  # what could not be computed, and why
        self.table = FigureTable(name, *widths)
        self.reasons = QLabel()
        self.reasons.setTextFormat(Qt.TextFormat.PlainText)
        self.reasons.setProperty("type", "mark")
        self.reasons.setWordWrap(True)
        self.reasons.setContentsMargins(0, 0, 0, 4)
        self.reasons.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(1)
        column.addWidget(self.table)
        column.addWidget(self.reasons)
        self._calm = QTimer(self)
        self._calm.setSingleShot(True)
        self._calm.setInterval(_CALM_MS)
        self._calm.timeout.connect(self._on_calm)

    def show_result(self, result: Result | None) -> None:
        """Show the figures of a result, now or when the group is next open."""
        if result is not self._result:
            self._failed.clear()
        self._result = result
        self.refresh()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def restyle(self) -> None:
        """Show the figures in the units and colours of the moment."""
        self._shown = None
        self.table.update()
        self.refresh()

    def refresh(self) -> None:
        """Show what is known; within a drag nothing is computed and no line appears or goes."""
        if self._result is None or not self.isVisible():
            return
        units, dragged = self._preferences.display_units, self._document.in_gesture
        awaited = self._awaited()
        if awaited and not dragged:
            self._calm.start()
        shown = (self._result, units, bool(awaited))
        known = self._shown
        if known is not None and known[0] is shown[0] and known[1] is units and known[2] == shown[2]:
            if not dragged:
                self._say_reasons(self._figures(), units)
            return
        self._shown = shown
        figures = self._figures()
        self.table.show_rows(self._rows(figures, units), len(figures), units)
        if not dragged:
            self._say_reasons(figures, units)

    def _awaited(self) -> list[Deferred[object]]:
        """Return what is still to be computed."""
        assert self._result is not None
        result, known = self._result, self._source.later
        found = [known(candidate, result.project) for candidate in result.candidates]
        return [later for later in found if later is not None and self._is_awaited(later)]

    def _is_awaited(self, later: Deferred[object]) -> bool:
        return not later.known and all(later is not failed for failed, _ in self._failed)

    def _on_calm(self) -> None:
        """Compute what one candidate lacks, then show it; the next one has its turn after that."""
        if self._result is None or not self.isVisible() or self._document.in_gesture:
            return
        for later in self._awaited()[:1]:
            try:
                later.value()
            except AmpturnError as error:
                self._failed.append((later, f"This cannot be worked out: {error}"))
        self._shown = None
        self.refresh()

    def _figures(self) -> list[tuple[Figure, ...]]:
        """Return the figures of each candidate."""
        assert self._result is not None
        found = []
        for one in self._result.candidates:
            later = self._source.later(one, self._result.project)
            detail = later.value() if later is not None and later.known else None
            candidate = self._result.project.candidates[one.index]
            looked = Looked(one, candidate, detail, awaited=later is not None and self._is_awaited(later))
            found.append(self._source.figures(looked))
        return found

    def _rows(self, figures: list[tuple[Figure, ...]], units: DisplayUnits) -> tuple[FigureRow, ...]:
        """Return the figures row by row; what is awaited keeps its old number until the new one is there."""
        by_label: dict[str, list[Figure | None]] = {}
        for index, own in enumerate(figures):
            for figure in own:
                by_label.setdefault(figure.label, [None] * len(figures))[index] = figure
        old = {row.label: row for row in self.table.rows}
        return tuple(_row(label, row, old.get(label), units) for label, row in by_label.items())

    def _say_reasons(self, figures: list[tuple[Figure, ...]], units: DisplayUnits) -> None:
        """Say under the table why something is not met, where no number says it."""
        said: dict[str, list[str]] = {}
        for index, own in enumerate(figures):
            for figure in own:
                if figure.status != "met" and figure.value is None and figure.why:
                    words = f"{figure.label}: {as_text(figure.why, units)}"
                    said.setdefault(words, []).append(letter_of(index))
        lines = [
            words if len(who) == len(figures) else f"{', '.join(who)}: {words}" for words, who in said.items()
        ]
        text = "\n".join([*lines, *(words for _, words in self._failed)])
        if text != self.reasons.text():
            self.reasons.setText(text)
        self.reasons.setVisible(bool(text))
        self.table.setAccessibleDescription(self.table.spoken())


def _row(label: str, figures: list[Figure | None], old: FigureRow | None, units: DisplayUnits) -> FigureRow:
    cells: list[Cell | None] = []
    for index, figure in enumerate(figures):
        if figure is None:
            cells.append(None)
        elif figure.awaited:
            before = old.cells[index] if old is not None and index < len(old.cells) else None
            text = _AWAITED if before is None else before.text
            cells.append(Cell(text, text, old=True))
        else:
            short = figure.short(units)
            cells.append(Cell(figure.text(units), short, figure.status in _BAD, figure.why))
    known = [figure for figure in figures if figure is not None and figure.value is not None]
    unit = "" if old is None else old.unit
    if known:
        unit = f"{units.symbol(known[0].kind)} {known[0].note}".strip()
    return FigureRow(label, tuple(cells), unit)
