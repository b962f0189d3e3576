"""The table of single changes: what each gains, and below its words the reason."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from PySide6.QtWidgets import QWidget

from app.theme import Tokens
from app.views.wrapped_table import Cell, WrappedTable
from core.charts.ticks import fixed_text
from core.evaluation.change_reasons import NOTABLE
from core.evaluation.what_helps import Change, Standing
from core.margin_rows import outcome, percent
from core.sentences import as_text
from core.units import DisplayUnits, Kind

HEADINGS: Final = ("change", "margin\ngained", "torque\nreserve", "winding\npeak")
AS_IT_IS: Final = "as it is"


class ChangeTable(WrappedTable):
    """One row for the candidate as it is, then one for each change, the largest gain first."""

    def __init__(self, tokens: Tokens, parent: QWidget | None = None) -> None:
        super().__init__("Single changes, the largest gain first", HEADINGS, (10, 9, 10), tokens, parent)
        self.changes: tuple[Change, ...] = ()

    @property
    def change(self) -> Change | None:
        """The change of the current row, None on the row of the candidate as it is."""
        row = self.currentRow() - 1
        return self.changes[row] if 0 <= row < len(self.changes) else None

    def show_changes(self, changes: Sequence[Change], units: DisplayUnits) -> None:
        """Show changes; the row that was current stays so where its words are still there."""
        self.changes = tuple(changes)
        rows = [_row_of(change, units) for change in changes]
        if changes:
            before = changes[0].before
            numbers = (Cell(words) for words in ("", *_numbers(before, units)))
            rows.insert(0, (Cell(AS_IT_IS, governing_text(before)), *numbers))
        self.show_rows(rows, otherwise=1)


def _row_of(change: Change, units: DisplayUnits) -> tuple[Cell, ...]:
    label, reason = as_text(change.label, units), as_text(change.reason, units)
    gained = Cell(gained_text(change), strong=change.helps, soft=not change.helps)
    reserve, winding = _numbers(change.after, units)
    undecided = "undecided" if change.temp_is_open else ""
    return Cell(label, reason, change.helps), gained, Cell(reserve), Cell(winding, undecided)


def gained_text(change: Change) -> str:
    """Return the gain in tenths of a percent of the limit, or the word where there is no number."""
    if change.gained is None:
        if change.helps:
            return "comes in"
        return "–" if change.before.least_margin is None else "ruled out"
    if abs(change.gained) <= NOTABLE:
        return "none"
    tenths = fixed_text(100.0 * change.gained, 1)
    return f"{'+' if change.gained > 0.0 else ''}{tenths}\N{NO-BREAK SPACE}%"


def governing_text(standing: Standing) -> str:
    """Return what governs a candidate, with its margin and target."""
    margin = standing.governing
    if margin is None:
        return "nothing governs yet"
    target = "" if margin.margin is None else f", target {percent(margin.target, margin.target)}"
    return f"governed by {margin.label.lower()}: {outcome(margin)}{target}"


def _numbers(standing: Standing, units: DisplayUnits) -> tuple[str, str]:
    reserve, temp = standing.torque_reserve, standing.winding_temp
    winding = "–" if temp is None else units.format_quantity(temp, Kind.TEMPERATURE)
    if reserve is None:
        return "–", winding
    words = "∞" if math.isinf(reserve) else fixed_text(reserve, 2)
    return words, "runs away" if temp is None else winding
