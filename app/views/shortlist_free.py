"""Turns or a ratio of one's own: what the best of a shortlist come to with the value that suits them best."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QModelIndex, Qt, Signal, Slot
from PySide6.QtGui import QHideEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QRadioButton,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from app.dialog_help import give_help
from app.preferences import Preferences
from app.shortlist_free_search import FreeSearch, Ground, Sought
from app.table_models.shortlist_free_model import LISTED, TURNS, FreeModel
from app.widgets.quantity_edit import QuantityEdit
from core.charts.chart import MOST_CANDIDATES
from core.physics.input_ranges import require_positive
from core.shortlist.free_values import SPAN, FreeKind, no_free_ratio
from core.units import Kind

_WIDTHS: Final = (108, 138, 142, 130, 108, 146, 180, 230)  # px
_SIZE: Final = (1220, 460)  # px
_TOLD: Final[dict[FreeKind, str]] = {
    "turns": "The best of each frame, variant, electronics and transmission is wound with other turns in the "
    "same copper: N times the turns give N times the torque constant, N² times resistance and inductance and "
    "currents of 1/N. The torque constant is that of six-step commutation.",
    "ratio": "The best of each motor, electronics and transmission beside the motor gets another ratio; "
    "efficiency, drag, inertia and limits of the transmission stay as listed.",
}
_OPEN: Final = f"An end that is left empty lies at the listed value times or over {SPAN:g}."


class ShortlistFree(QDialog):
    """Stands beside the window. `taken` hands candidates over; the page adds them and tells of the list."""

    taken = Signal(object, bool)  # candidates, whether they are to be compared

    def __init__(
        self, preferences: Preferences, what_changed: Callable[[Ground], str], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._preferences, self._what_changed = preferences, what_changed
        self._ground: Ground | None = None  # what a search would be for
        self._unready = ""  # why there can be none
        self._shown: Ground | None = None  # what that on show was sought for
        self._kind_shown: FreeKind = "turns"
        self._sought: Sought | None = None
        self._failure = ""
        self._room = 0
        self.run = FreeSearch()
        self.setWindowTitle("Turns or a ratio of one's own")
        self._make()
        self._lay_out()
        self._connect()
        give_help(self)
        self.resize(*_SIZE)
        self._show_state()

    def _make(self) -> None:
        self.turns, self.ratio = (
            QRadioButton("Turns of the winding"),
            QRadioButton("Ratio of the transmission"),
        )
        self.turns.setChecked(True)
        self.fields: dict[FreeKind, tuple[QuantityEdit, QuantityEdit]] = {
            "turns": self._pair("Torque constant", Kind.TORQUE_CONSTANT),
            "ratio": self._pair("Ratio", Kind.NUMBER),
        }
        self.range_word = QLabel()
        self.seek, self.stop = QPushButton("Start"), QPushButton("Cancel")
        self.take, self.compare = QPushButton("Add to the candidates"), QPushButton("Compare side by side")
        self.close_button = QPushButton("Close")
        for button in (self.seek, self.stop, self.take, self.compare, self.close_button):
            button.setAutoDefault(False)  # Return takes what is typed, or adds what is selected
        self.told, self.greyed, self.words, self.reason = QLabel(), QLabel(), QLabel(), QLabel()
        for label in (self.told, self.greyed, self.words, self.reason):
            label.setTextFormat(Qt.TextFormat.PlainText)
            label.setWordWrap(True)
        self.told.setProperty("type", "soft")
        self.greyed.setProperty("type", "small")
        self.reason.setProperty("type", "small")
        self.bar = QProgressBar()
        self.bar.setAccessibleName("Share of the families that is looked at")
        self.bar.setTextVisible(False)
        self.bar.setFixedHeight(6)
        self.model = FreeModel(self._preferences, self)
        self.table = _table(self.model)

    def _pair(self, name: str, kind: Kind) -> tuple[QuantityEdit, QuantityEdit]:
        made = []
        for end in ("from", "to"):
            field = QuantityEdit(
                f"{name} {end}",
                kind,
                self._preferences.display_units,
                optional=True,
                check=lambda value: require_positive("an end of the range", value, ""),
            )
            field.line.setPlaceholderText("as usual")
            field.line.setMaximumWidth(110)
            field.setToolTip(_OPEN)
            made.append(field)
        return made[0], made[1]

    def _lay_out(self) -> None:
        choice, asked, foot = QHBoxLayout(), QHBoxLayout(), QHBoxLayout()
        for button in (self.turns, self.ratio):
            choice.addWidget(button)
        choice.addWidget(self.greyed, 1)
        asked.addWidget(self.range_word)
        for low, high in self.fields.values():
            for field in (low, high):
                asked.addWidget(field)
        for part in (self.seek, self.stop):
            asked.addWidget(part)
        asked.addWidget(self.words, 1)
        for part in (self.take, self.compare):
            foot.addWidget(part)
        foot.addWidget(self.reason, 1)
        foot.addWidget(self.close_button)
        column = QVBoxLayout(self)
        column.addLayout(choice)
        column.addWidget(self.told)
        column.addLayout(asked)
        column.addWidget(self.bar)
        column.addWidget(self.table, 1)
        column.addLayout(foot)

    def _connect(self) -> None:
        self.run.arrived.connect(self._on_arrived)
        self.run.ended.connect(self._on_ended)
        self.turns.toggled.connect(self._show_state)
        self.seek.clicked.connect(self.search)
        self.stop.clicked.connect(self.cancel)
        self.take.clicked.connect(self._on_take)
        self.compare.clicked.connect(self._on_compare)
        self.close_button.clicked.connect(self.reject)
        self.table.activated.connect(self._on_take)
        self.table.selectionModel().selectionChanged.connect(self._show_choice)
        self._preferences.changed.connect(self._restyle)
        for pair in self.fields.values():
            for field in pair:
                field.committed.connect(self._show_state)
                field.cleared.connect(self._show_state)

    @property
    def kind(self) -> FreeKind:
        """What is to be sought."""
        return "turns" if self.turns.isChecked() else "ratio"

    def show_list(self, ground: Ground | None, unready: str, room: int) -> None:
        """Take note of the list as it is, why nothing can be sought for it, and of room for candidates."""
        self._ground, self._unready, self._room = ground, unready, room
        self._show_state()

    def selected(self) -> list[int]:
        """Return the selected rows, from above."""
        return sorted(index.row() for index in self.table.selectionModel().selectedRows())

    @Slot()
    def search(self) -> None:
        """Seek the best value for the best of each family of the list."""
        if self._ground is None or not self.seek.isEnabled():
            return
        low, high = self.fields[self.kind]
        self._shown, self._kind_shown, self._sought, self._failure = self._ground, self.kind, None, ""
        self.model.show_rows(self.kind, ())
        self.table.setColumnHidden(TURNS, self.kind == "ratio")
        self.run.start(self.kind, self._ground, (low.value(), high.value()))
        self._show_state()

    @Slot()
    def cancel(self) -> None:
        """Stop; what was found stays."""
        self.run.cancel()
        self._show_state()

    def shut_down(self) -> None:
        """Stop, and wait until thread and process have ended."""
        self.run.shut_down()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        if not event.spontaneous():  # closed, not put away with the window
            self.cancel()

    @Slot(object)
    def _on_arrived(self, sought: object) -> None:
        if not isinstance(sought, Sought):
            return
        kept = {self.model.rows[row].value.number for row in self.selected()}
        self._sought = sought
        self.model.show_rows(self._kind_shown, sought.rows)
        for number, row in enumerate(sought.rows):
            if row.value.number in kept:
                index = self.model.index(number, 0)
                flags = self.table.selectionModel().SelectionFlag
                self.table.selectionModel().select(index, flags.Select | flags.Rows)
        self._show_state()

    @Slot(str)
    def _on_ended(self, failure: str) -> None:
        self._failure = failure
        self._show_state()

    @Slot()
    def _restyle(self) -> None:
        for pair in self.fields.values():
            for field in pair:
                field.set_display_units(self._preferences.display_units)
        self.table.viewport().update()
        self._show_choice()

    @Slot()
    def _show_state(self) -> None:
        ground = self._ground
        greyed = "" if ground is None else no_free_ratio(ground.basis.application, ground.found.choices)
        self.ratio.setEnabled(ground is not None and not greyed)
        self.greyed.setText(greyed)
        if greyed and self.ratio.isChecked():
            self.turns.setChecked(True)  # comes back here
        for kind, pair in self.fields.items():
            for field in pair:
                field.setVisible(kind == self.kind)
        self.told.setText(f"{_TOLD[self.kind]} {_OPEN}")
        self.range_word.setText("Torque constant from, to" if self.kind == "turns" else "Ratio from, to")
        is_running = self.run.is_running
        refused = self._refused_range()
        self.seek.setEnabled(not (is_running or self._unready or refused))
        self.stop.setEnabled(is_running)
        sought = self._sought
        self.bar.setVisible(is_running)
        self.bar.setRange(0, max(1, 1 if sought is None else sought.wanted))
        self.bar.setValue(0 if sought is None else sought.done)
        stale = "" if self._shown is None else self._what_changed(self._shown)
        self._say(self._state(stale, refused), bool(stale or self._failure or refused))
        self._show_choice()

    def _refused_range(self) -> str:
        low, high = (field.value() for field in self.fields[self.kind])
        is_turned = low is not None and high is not None and not low < high
        return "The range must begin below its end." if is_turned else ""

    def _state(self, stale: str, refused: str) -> str:
        sought, is_running = self._sought, self.run.is_running
        if self._failure:
            return f"The search ended: {self._failure}"
        if refused:
            return refused
        if stale:
            return f"Out of date: {stale} changed since."
        if sought is None:
            return "Starting…" if is_running else self._unready
        if not sought.wanted:
            return "No candidate of the list has turns or a ratio to vary."
        met = sum(row.verdict == "met" for row in sought.rows)
        share = "" if sought.done == sought.wanted else f" {sought.done} of"
        return f"{share} {sought.wanted} families looked at, {met} meet every requirement".strip()

    def _say(self, words: str, is_caution: bool) -> None:
        self.words.setText(words)
        kind = "caution" if is_caution else ""
        if self.words.property("type") != kind:
            self.words.setProperty("type", kind)
            self.words.style().unpolish(self.words)
            self.words.style().polish(self.words)

    @Slot()
    def _show_choice(self) -> None:
        rows = self.selected()
        for button in (self.take, self.compare):
            button.setEnabled(0 < len(rows) <= self._room)
        if rows and len(rows) > self._room:
            words = f"At most {MOST_CANDIDATES} candidates fit side by side; there is room for {self._room}."
        else:
            words = self.model.why(rows[0]) if len(rows) == 1 else ""
        self.reason.setText(words)

    @Slot()
    @Slot(QModelIndex)
    def _on_take(self, _index: QModelIndex | None = None) -> None:
        self._hand_over(False)

    @Slot()
    def _on_compare(self) -> None:
        self._hand_over(True)

    def _hand_over(self, compare: bool) -> None:
        rows = self.selected()
        if 0 < len(rows) <= self._room:
            self.taken.emit([self.model.rows[row].value.candidate for row in rows], compare)


def _table(model: FreeModel) -> QTableView:
    table = QTableView()
    table.setAccessibleName("Turns or ratios found, best first")
    table.setModel(model)
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    table.verticalHeader().hide()
    table.verticalHeader().setDefaultSectionSize(24)
    table.horizontalHeader().setHighlightSections(False)
    table.horizontalHeader().setStretchLastSection(True)
    table.setTabKeyNavigation(False)
    table.setWordWrap(False)
    table.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
    for column, width in enumerate(_WIDTHS):
        table.setColumnWidth(column, width)
    table.horizontalHeader().setSectionsMovable(True)
    table.horizontalHeader().moveSection(LISTED, 0)  # what it is stands before what it comes to
    return table
