"""Cautions of the candidates: the same ones in the same row, and who does not have one says so."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QSizePolicy, QWidget

from app.theme import Tokens
from app.views.findings_panel import CARD_STYLE, NoticeCard
from core.findings import Caution
from core.notices import Notice
from core.results import CandidateResult
from core.sentences import as_text
from core.units import DisplayUnits

_GAP, _SIDE = 8, 17
_TITLE: Final = "What can hurt"

Key = tuple[str, int]  # code of a caution, and which one of several with that code
Shape = tuple[tuple[int, ...], tuple[Key, ...]]


class SideCautions(QWidget):
    """A row for each caution, in columns of the same width as those above."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shape: Shape = ((), ())
        self._cells: dict[tuple[Key, int], NoticeCard | QLabel] = {}
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 6, 0, 12)
        self._grid.setHorizontalSpacing(_GAP)
        self._grid.setVerticalSpacing(6)

    @property
    def cards(self) -> list[NoticeCard]:
        """The cautions on show."""
        return [cell for cell in self._cells.values() if isinstance(cell, NoticeCard)]

    def show_candidates(self, shown: Sequence[CandidateResult], units: DisplayUnits, tokens: Tokens) -> None:
        """Show the cautions of these candidates, a column for each."""
        found = [_keyed(one.cautions) for one in shown]
        titles = {key: caution.title for own in found for key, caution in own.items()}
        shape = (tuple(one.index for one in shown), tuple((code, k) for code, k in titles))
        held = tuple(tuple(key in own for key in titles) for own in found)
        if (shape, held) != (self._shape, self._held()):
            self._build(shown, found, titles)
            self._shape = shape
        self.setStyleSheet(CARD_STYLE.replace("@focus@", tokens.focus))
        for place, own in enumerate(found):
            for key, caution in own.items():
                cell = self._cells[key, place]
                if isinstance(cell, NoticeCard):
                    notice = Notice("caution", caution.title, as_text(caution.text, units), (place,))
                    cell.show_notice(notice, open_=True)
                    cell.restyle()

    def _held(self) -> tuple[tuple[bool, ...], ...]:
        """Return which column has which caution now."""
        indices, keys = self._shape
        return tuple(
            tuple(isinstance(self._cells[key, place], NoticeCard) for key in keys)
            for place in range(len(indices))
        )

    def _build(
        self,
        shown: Sequence[CandidateResult],
        found: Sequence[dict[Key, Caution]],
        titles: dict[Key, str],
    ) -> None:
        while (item := self._grid.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        for place in range(self._grid.columnCount()):
            self._grid.setColumnStretch(place, 0)
        self._cells = {}
        for place, (one, own) in enumerate(zip(shown, found, strict=True)):
            self._grid.setColumnStretch(place, 1)
            self._grid.addWidget(_label(_TITLE, "group"), 0, place)
            for row, (key, title) in enumerate(titles.items(), 1):
                cell = NoticeCard() if key in own else _label(_absent(one, title), "small")
                cell.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
                self._cells[key, place] = cell
                self._grid.addWidget(_inset(cell), row, place)
            if not titles:
                self._grid.addWidget(
                    _label("nothing found" if one.margins else "not known yet", "small"), 1, place
                )


def _keyed(cautions: Sequence[Caution]) -> dict[Key, Caution]:
    keyed: dict[Key, Caution] = {}
    for caution in cautions:
        count = sum(code == caution.code for code, _ in keyed)
        keyed[caution.code, count] = caution
    return keyed


def _absent(one: CandidateResult, title: str) -> str:
    return f"{title}: {'not found here' if one.margins else 'not known yet'}"


def _inset(cell: NoticeCard | QLabel) -> QWidget:
    """Return a cell with the margin that texts have in a column."""
    if isinstance(cell, QLabel):
        return cell
    inset = QWidget()
    row = QGridLayout(inset)
    row.setContentsMargins(_SIDE, 0, _SIDE, 0)
    row.addWidget(cell)
    inset.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
    return inset


def _label(words: str, kind: str) -> QLabel:
    label = QLabel(words)
    label.setProperty("type", kind)
    label.setWordWrap(True)
    label.setAlignment(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft)
    label.setContentsMargins(_SIDE, 0, _SIDE, 0)
    label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
    return label
