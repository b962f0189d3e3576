"""The Bench: inputs left, the plane over the cycle in the middle, margins over findings right."""

from __future__ import annotations

from typing import Final, Literal

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QApplication, QFrame, QHBoxLayout, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.inputs.fold_group import FoldHeader
from app.inputs.inputs_panel import InputsPanel, comfortable_width
from app.panes import GAP, PaneSplitter
from app.parts_shelf import PartsShelf
from app.preferences import Preferences
from app.selection import Selection
from app.theme import current_tokens
from app.turns import Show, Turns
from app.views.cycle_pages import CyclePages
from app.views.findings_panel import FindingsPanel
from app.views.margins_panel import MarginsPanel
from app.views.segment_table import SegmentTable
from app.views.speed_torque_plane import SpeedTorquePlane
from core.results import Result
from core.segment_columns import Field

Side = Literal["inputs", "margins"]
SIDES: Final[tuple[Side, ...]] = ("inputs", "margins")
_FOLDABLE: Final[dict[Side, int]] = {"inputs": 0, "margins": 2}  # places among the three columns
_RIGHT_WIDTH: Final = 300
_RIGHT_HEIGHTS: Final = (430, 280)
_MIDDLE_HEIGHTS: Final = (332, 378, 30)  # three lanes with names of limits need more than the plane
_TABLE_HEIGHT: Final = 190
_UNLIMITED: Final = 16_777_215  # Qt's own largest size


class TableFold(QFrame):
    """The segment table under one line that folds it away."""

    toggled = Signal(bool)

    def __init__(self, table: SegmentTable, preferences: Preferences) -> None:
        super().__init__()
        self._preferences = preferences
        self.setProperty("surface", "pane")
        self.table = table
        self.header = FoldHeader("Segment table")
        self.header.setChecked(preferences.flag("open_segment_table", False))
        self.header.toggled.connect(self._on_toggled)
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 2, 14, 4)
        column.setSpacing(2)
        column.addWidget(self.header)
        column.addWidget(table, 1)
        self._lay_open(self.header.isChecked())

    def _on_toggled(self, is_open: bool) -> None:
        self._preferences.keep_flag("open_segment_table", is_open)
        self._lay_open(is_open)
        self.toggled.emit(is_open)

    def _lay_open(self, is_open: bool) -> None:
        self.table.setVisible(is_open)
        folded = self.header.sizeHint().height() + 8
        self.setMinimumHeight(120 if is_open else folded)
        self.setMaximumHeight(_UNLIMITED if is_open else folded)


class StaleVeil(QWidget):
    """Lies over a view whose result is old, and says so; the mouse passes through."""

    def __init__(self, view: QWidget) -> None:
        super().__init__(view)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.hide()
        view.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() is QEvent.Type.Resize and isinstance(watched, QWidget):
            self.setGeometry(watched.rect())
        return False

    def set_stale(self, stale: bool) -> None:
        """Cover the view or uncover it."""
        parent = self.parentWidget()
        if stale and parent is not None:
            self.setGeometry(parent.rect())
            self.raise_()
        self.setVisible(stale)

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        veil = QColor(tokens.pane)
        veil.setAlpha(120)
        painter = QPainter(self)
        painter.fillRect(self.rect(), veil)
        painter.setPen(QColor(tokens.missed))
        corner = Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignHCenter
        painter.drawText(self.rect().adjusted(8, 28, -8, -8), corner, "out of date")
        painter.end()


class BenchPage(QWidget):
    """All views of the main page; they share document and selection and never call each other."""

    def __init__(
        self, document: ProjectDocument, selection: Selection, preferences: Preferences, shelf: PartsShelf
    ) -> None:
        super().__init__()
        self._preferences = preferences
        self.inputs = InputsPanel(document, selection, preferences, shelf)
        self.plane = SpeedTorquePlane(document, selection, preferences)
        self.cycle = CyclePages(document, selection, preferences)
        self.table = SegmentTable(document, selection, preferences)
        self.margins = MarginsPanel(document, selection, preferences)
        self.findings = FindingsPanel(document, selection, preferences)
        self.table_fold = TableFold(self.table, preferences)
        self.watched: tuple[Show, ...] = (
            self.plane.show_result,
            self.cycle.show_result,
            self.table.show_result,
            self.findings.show_result,
        )
        self.read: tuple[Show, ...] = (self.inputs.show_result, self.margins.show_result)
        self._turns = Turns(document, self)
        self._veils = [StaleVeil(view) for view in (self.plane, self.cycle, self.margins, self.findings)]
        self._lay_out()
        self.inputs.table_wanted.connect(self.open_table)
        self.table_fold.toggled.connect(self._share_height)
        selection.typing_asked.connect(self._type_value)

    def _lay_out(self) -> None:
        across, down = Qt.Orientation.Horizontal, Qt.Orientation.Vertical
        left, kept = comfortable_width(self.font()), self._preferences
        shares = (left, 1280 - left - _RIGHT_WIDTH - 3 * GAP, _RIGHT_WIDTH)
        middle, right = (self.plane, self.cycle, self.table_fold), (self.margins, self.findings)
        self.middle = PaneSplitter("middle", down, middle, self._usual_heights, kept)
        self.right = PaneSplitter("right", down, right, lambda: _RIGHT_HEIGHTS, kept)
        columns = (self.inputs, self.middle, self.right)
        self.across = PaneSplitter("across", across, columns, lambda: shares, kept, tuple(_FOLDABLE.values()))
        self.across.setStretchFactor(1, 1)
        self.middle.setStretchFactor(0, 5)
        self.middle.setStretchFactor(1, 6)
        self.right.setStretchFactor(0, 3)
        self.right.setStretchFactor(1, 2)
        row = QHBoxLayout(self)
        row.setContentsMargins(GAP + 2, GAP, GAP + 2, GAP + 2)
        row.addWidget(self.across)

    def _usual_heights(self) -> tuple[int, ...]:
        plane, cycle, folded = _MIDDLE_HEIGHTS
        return plane, cycle, _TABLE_HEIGHT if self.table_fold.header.isChecked() else folded

    def keep_sizes(self) -> None:
        """Remember how the room is shared."""
        for splitter in (self.across, self.middle, self.right):
            splitter.keep()

    def is_folded(self, side: Side) -> bool:
        """Tell whether the inputs or the margins are folded away."""
        return self.across.is_folded(_FOLDABLE[side])

    def fold(self, side: Side, folded: bool) -> None:
        """Fold inputs or margins away, or bring them back; the keyboard is never left in what is hidden."""
        pane, focus = self.across.panes[_FOLDABLE[side]], QApplication.focusWidget()
        if folded and focus is not None and pane.isAncestorOf(focus):
            self.plane.canvas.setFocus(Qt.FocusReason.OtherFocusReason)
        self.across.fold(_FOLDABLE[side], folded)

    def open_table(self) -> None:
        """Open the segment table and go there."""
        self.table_fold.header.setChecked(True)
        self.table.setFocus(Qt.FocusReason.OtherFocusReason)

    def _type_value(self, segment: int, field: Field) -> None:
        self.open_table()
        self.table.edit_cell(segment, field)

    def show_result(self, result: Result) -> None:
        """Show a result everywhere."""
        for show in self.watched:
            show(result)
        self._turns.show(result, self.read)

    def set_stale(self, stale: bool) -> None:
        """Mark that what is on show belongs to an earlier state, or that it no longer does."""
        for veil in self._veils:
            veil.set_stale(stale)

    def restyle(self) -> None:
        """Show inputs in the units and colours of the moment; the views hear of them themselves."""
        self.inputs.restyle()

    def _share_height(self, table_open: bool) -> None:
        plane, cycle, table = self.middle.sizes()
        wanted = _TABLE_HEIGHT if table_open else self.table_fold.minimumHeight()
        rest = plane + cycle + table - wanted
        self.middle.setSizes(
            [rest * plane // max(plane + cycle, 1), rest * cycle // max(plane + cycle, 1), wanted]
        )
