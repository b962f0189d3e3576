"""The windings of a frame beside their chart: share of the voltage, currents, and whether each fits."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.preferences import Preferences
from app.views.wrapped_table import Cell, WrappedTable
from core.sentences import as_text
from core.units import DisplayUnits, Kind
from core.winding_results import WindingFit, WindingStudy

HEADINGS: Final = ("winding", "voltage", "current", "fits")
FITS: Final = {True: "\N{CHECK MARK} yes", False: "\N{BALLOT X} no", None: "? open"}
FASTEST: Final = "\N{CHECK MARK} fastest"
EXPLAINED: Final = (
    "Largest share of the lowest voltage, over hot and cold and the tolerance",
    "Largest current in the cycle, with the weakest magnets",
    "Whether the voltage reaches and the electronics carry the current, and which that fits is the fastest",
)
_ROWS = 4  # of the reason: the list must not jump under the hand
_WIDTH = 288  # px: beside it the chart keeps more than half of a narrow window


class WindingTable(QWidget):
    """The list, the reason of the current row, and what can be done with it."""

    pointed = Signal(str)
    take_asked = Signal(str)
    copy_asked = Signal(str)

    def __init__(self, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self.study: WindingStudy | None = None
        self.table = WrappedTable("Windings of the frame", HEADINGS, (8, 8, 10), preferences.tokens)
        self.table.explain(EXPLAINED)
        self.reason = QLabel()
        self.reason.setTextFormat(Qt.TextFormat.PlainText)
        self.reason.setProperty("type", "small")
        self.reason.setWordWrap(True)
        self.reason.setContentsMargins(6, 2, 6, 2)
        self.reason.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.reason.setMinimumHeight(_ROWS * self.reason.fontMetrics().lineSpacing())
        self.take, self.copy = QPushButton("Take it"), QPushButton("As a new candidate")
        foot = QHBoxLayout()
        foot.setContentsMargins(4, 2, 4, 2)
        foot.setSpacing(6)
        foot.addWidget(self.take)
        foot.addWidget(self.copy)
        foot.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 6, 0)
        column.setSpacing(2)
        column.addWidget(self.table, 1)
        column.addWidget(self.reason)
        column.addLayout(foot)
        self.setFixedWidth(_WIDTH)
        self.table.row_changed.connect(self._on_row)
        self.table.wanted.connect(lambda: self.take_asked.emit(self.current_name))
        self.take.clicked.connect(lambda: self.take_asked.emit(self.current_name))
        self.copy.clicked.connect(lambda: self.copy_asked.emit(self.current_name))

    @property
    def current(self) -> WindingFit | None:
        """The winding of the current row."""
        row, study = self.table.currentRow(), self.study
        return study.windings[row] if study is not None and 0 <= row < len(study.windings) else None

    @property
    def current_name(self) -> str:
        """The name of the winding of the current row, empty where there is none."""
        return "" if self.current is None else self.current.name

    def show_study(self, study: WindingStudy | None) -> None:
        """Show the windings of a study; the current one stays current."""
        if study is self.study:
            return
        first = self.study is None
        self.study = study
        units = self._preferences.display_units
        rows = [] if study is None else [winding_cells(fit, study, units) for fit in study.windings]
        self.table.show_rows(rows)
        if first and study is not None:
            self.point_at(study.chosen.name)
        self._show_reason()

    def restyle(self) -> None:
        """Show the windings in the units and colours that are preferred now."""
        self.table.delegate.restyle(self._preferences.tokens)
        study, self.study = self.study, None
        if study is not None:
            name = study.windings[max(self.table.currentRow(), 0)].name
            self.show_study(study)
            self.point_at(name)

    def point_at(self, name: str) -> None:
        """Make a winding the current one."""
        names = [] if self.study is None else [fit.name for fit in self.study.windings]
        if name in names and names.index(name) != self.table.currentRow():
            self.table.setCurrentCell(names.index(name), 0)

    def step(self, rows: int) -> None:
        """Go down or up the list."""
        if self.study is not None:
            row = min(max(self.table.currentRow() + rows, 0), len(self.study.windings) - 1)
            self.table.setCurrentCell(row, 0)

    @Slot()
    def _on_row(self) -> None:
        self._show_reason()
        self.pointed.emit(self.current_name)

    def _show_reason(self) -> None:
        fit, units = self.current, self._preferences.display_units
        self.reason.setText("" if fit is None else reason_words(fit, units))
        for button in (self.take, self.copy):
            button.setEnabled(fit is not None and not fit.chosen)


def winding_cells(fit: WindingFit, study: WindingStudy, units: DisplayUnits) -> tuple[Cell, ...]:
    """Return the cells of a winding."""
    share = units.format_quantity(fit.voltage_share, Kind.RATIO, 3)
    peak = units.format_quantity(fit.peak_current, Kind.CURRENT, 3)
    words = FASTEST if fit.name == study.fastest else FITS[fit.fits]
    fits = Cell(words, strong=fit.fits is False, soft=fit.fits is None)
    return Cell(fit.name, strong=fit.chosen), Cell(share), Cell(peak), fits


def reason_words(fit: WindingFit, units: DisplayUnits) -> str:
    """Return what stands below the table about the current winding."""
    lasting = units.format_quantity(fit.lasting_current, Kind.CURRENT, 3)
    whose = ", chosen" if fit.chosen else ""
    return f"{fit.name}{whose}. {as_text(fit.reason, units)} The cycle heats like a steady {lasting}."
