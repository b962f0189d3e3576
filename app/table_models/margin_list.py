"""The margins as a list that folds: the worst open, the rest behind a line that counts them.

`data` is total, and every entry can be read as text, which is what a screen reader gets.
"""

from __future__ import annotations

from typing import Any, Final, Literal

from PySide6.QtCore import QAbstractListModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from core.charts.display_axis import letter
from core.margin_rows import MarginOrder, MarginRow, kept_order, margin_rows, order_of, outcome, percent
from core.notices import counted, unchecked
from core.records import dataclass
from core.results import Margin, Result
from core.sentences import as_text
from core.units import DisplayUnits

Index = QModelIndex | QPersistentModelIndex
_TOP = QModelIndex()
ENTRY_ROLE: Final = int(Qt.ItemDataRole.UserRole)
# What changes in a line that keeps its height.
SAME_ROOM: Final = [ENTRY_ROLE, int(Qt.ItemDataRole.AccessibleTextRole), int(Qt.ItemDataRole.ToolTipRole)]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one candidate comes to: a share of the scale where there is a number, and what is written."""

    candidate: int
    share: float | None
    target: float
    text: str
    bad: bool


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the list. `key` stays the same while the numbers change."""

    kind: Literal["margin", "answer", "fold", "note"]
    key: str
    title: str
    place: str = ""
    outcomes: tuple[Outcome, ...] = ()
    bad: bool = False
    open: bool = False
    segment: int | None = None

    @property
    def room(self) -> tuple[object, ...]:
        """What the height of the line depends on: a place with numbers has one row, others what they need."""
        place = bool(self.place) if self.kind == "margin" else self.place
        return self.kind, place, len(self.outcomes)

    @property
    def spoken(self) -> str:
        """The whole entry as text; colour and length of bars carry nothing that is not here."""
        parts = [self.title, self.place]
        for one in self.outcomes:
            missed = ", missed" if one.bad and one.share is not None else ""
            target = f", target {percent(one.target, one.target)}" if one.share is not None else ""
            parts.append(f"{letter(one.candidate)} {one.text}{missed}{target}")
        if self.kind == "fold":
            parts.append("open" if self.open else "folded")
        return "; ".join(part for part in parts if part)


class MarginList(QAbstractListModel):
    """One row per criterion and the folding lines. The order is frozen while a gesture lasts."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._entries: list[Entry] = []
        self._rows: dict[str, MarginRow] = {}
        self._order: MarginOrder | None = None
        self._open: set[str] = set()
        self._result: Result | None = None
        self._units = DisplayUnits()

    def rowCount(self, parent: Index = _TOP) -> int:
        return 0 if parent.isValid() else len(self._entries)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        entry = self.entry(index)
        if entry is None:
            return None
        if role == ENTRY_ROLE:
            return entry
        if role == Qt.ItemDataRole.DisplayRole:
            return entry.title
        return (
            entry.spoken
            if role in (Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole)
            else None
        )

    def entry(self, index: Index) -> Entry | None:
        """Return the entry of an index, None for a place outside the list."""
        return (
            self._entries[index.row()] if index.isValid() and 0 <= index.row() < len(self._entries) else None
        )

    def row(self, criterion: str | None) -> MarginRow | None:
        """Return the margins of a criterion."""
        return self._rows.get(criterion) if criterion is not None else None

    def index_of(self, key: str) -> QModelIndex:
        """Return where an entry stands, an invalid index where it is folded away or not there."""
        place = next((i for i, entry in enumerate(self._entries) if entry.key == key), -1)
        return self.index(place) if place >= 0 else QModelIndex()

    def show_result(self, result: Result, units: DisplayUnits, keep_order: bool) -> bool:
        """Show new numbers, and sort them anew unless the order is to be kept. True if lines moved."""
        self._result, self._units = result, units
        self._rows = margin_rows(result.candidates)
        if keep_order and self._order is not None:
            self._order = kept_order(self._order, self._rows)
        else:
            self._order = order_of(self._rows)
        return self._rebuild()

    def toggle(self, key: str) -> None:
        """Open or fold what stands behind a folding line."""
        self._open ^= {key}
        self._rebuild()

    def unfold(self, criterion: str) -> None:
        """Make sure that a criterion can be seen."""
        if criterion in self._rows and not self.index_of(criterion).isValid() and "more" not in self._open:
            self.toggle("more")

    def _rebuild(self) -> bool:
        """Build the entries; they are exchanged in place where only numbers changed."""
        new = self._build()
        moved = [entry.key for entry in new] != [entry.key for entry in self._entries]
        if moved:
            self.beginResetModel()
            self._entries = new
            self.endResetModel()
        elif new:
            old, self._entries = self._entries, new
            for place, (before, now) in enumerate(zip(old, new, strict=True)):
                if before != now:  # only these are painted anew
                    roles = SAME_ROOM if before.room == now.room else []
                    self.dataChanged.emit(self.index(place), self.index(place), roles)
        return moved

    def _build(self) -> list[Entry]:
        if self._order is None or self._result is None:
            return []
        shown = [self._rows[criterion] for criterion in self._order.criteria]
        count = self._order.open_count
        entries = [self._margin_entry(row) for row in shown[:count]]
        folded = shown[count:]
        if folded:
            bad = sum(row.status != "met" for row in folded)
            words = f"{len(folded)} more, " + ("all met" if not bad else f"{bad} not met")
            entries.append(Entry("fold", "more", words, bad=bad > 0, open="more" in self._open))
            entries += [self._margin_entry(row) for row in folded] if "more" in self._open else []
        return entries + self._unchecked_entries(self._result)

    def _unchecked_entries(self, result: Result) -> list[Entry]:
        """Return the line that counts what is not checked and, unfolded, each with its reason."""
        same = unchecked(result.candidates, self._units)
        if not same:
            return []
        count = len({label for label, _ in same})
        words = f"{counted(count, 'criterion', 'criteria')} not checked"
        entries = [Entry("fold", "unchecked", words, open="unchecked" in self._open)]
        if "unchecked" in self._open:
            for (label, why), indices in same.items():
                whose = (
                    "" if len(indices) == len(result.candidates) else ", ".join(map(letter, indices)) + ": "
                )
                entries.append(
                    Entry("note", f"unchecked {label} {why}", label, whose + (why or "no reason given"))
                )
        return entries

    def _margin_entry(self, row: MarginRow) -> Entry:
        index, worst = row.worst
        place = as_text(worst.where, self._units)
        if worst.status == "excluded" or not place:
            place = as_text(worst.why, self._units) or place
        same_place = all(m is None or m.where == worst.where for m in row.margins)
        if not same_place and place:
            place = f"{letter(index)}: {place}"
        numbers = any(m is not None and m.margin is not None for m in row.margins)
        return Entry(
            kind="margin" if numbers else "answer",
            key=row.criterion,
            title=row.label,
            place=place,
            outcomes=tuple(_outcome(i, m) for i, m in enumerate(row.margins)),
            bad=row.status in ("missed", "excluded"),
            segment=worst.segment,
        )


def _outcome(candidate: int, margin: Margin | None) -> Outcome:
    bad = margin is not None and margin.status in ("missed", "excluded")
    share = None if margin is None else margin.margin
    return Outcome(candidate, share, 0.0 if margin is None else margin.target, outcome(margin), bad)
