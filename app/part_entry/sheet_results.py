"""What the figures typed so far amount to: what is missing, the canonical set, the comparisons, findings."""

from __future__ import annotations

from collections.abc import Iterable
from textwrap import fill

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from core.catalogue.motor_draft import Missing
from core.catalogue.sheet_checks import CrossCheck
from core.catalogue.sheet_reading import SheetReading
from core.findings import Finding
from core.sentences import as_text
from core.units import MINUS, DisplayUnits, Kind

_MOST_READINGS = 3
_MOST_WINDINGS = 4  # beside each other; more would not be read side by side
_LINK_LETTERS = 64  # a button does not wrap its words, and one long line would push the numbers out of sight


class SheetResults(QScrollArea):
    """Shows a reading. `wanted` asks for the field of a figure: place in the draft and key."""

    wanted = Signal(str, str)

    def __init__(self) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("What the figures amount to")
        self.texts: list[str] = []

    def show_reading(self, reading: SheetReading, display: DisplayUnits, unread: int) -> None:
        """Show a reading; `unread` fields hold text that cannot be read."""
        place = self.verticalScrollBar().value()
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(12, 4, 12, 8)
        column.setSpacing(5)
        self.texts = []
        self._add_missing(column, reading, unread)
        self._add_canonical(column, reading, display)
        self._add_checks(column, reading, display)
        self._add_findings(column, reading.findings, display)
        column.addStretch(1)
        self.setWidget(page)
        self.verticalScrollBar().setValue(place)

    def _title(self, column: QVBoxLayout, words: str) -> None:
        if column.count():
            column.addSpacing(8)
        column.addWidget(self._label(words, "group"))

    def _label(self, words: str, kind: str = "") -> QLabel:
        label = QLabel(words)
        label.setTextFormat(Qt.TextFormat.PlainText)
        label.setWordWrap(True)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        if kind:
            label.setProperty("type", kind)
        self.texts.append(words)
        return label

    def _add_missing(self, column: QVBoxLayout, reading: SheetReading, unread: int) -> None:
        needed = [one for one in reading.missing if one.needed]
        costing = [one for one in reading.missing if not one.needed]
        if unread:
            words = "One field cannot be read" if unread == 1 else f"{unread} fields cannot be read"
            column.addWidget(self._label(f"{words}: see what is marked there.", "missed"))
        if needed:
            self._title(column, "Still needed")
            self._links(column, needed)
        elif reading.refusal is not None:
            self._title(column, "Cannot be saved")
            column.addWidget(self._label(str(reading.refusal), "missed"))
        elif costing:
            self._title(column, "Ready. These would answer more")
            self._links(column, costing)
        else:
            self._title(column, "Ready: nothing is missing")

    def _links(self, column: QVBoxLayout, missing: Iterable[Missing]) -> None:
        for one in missing:
            where = "" if one.place == "frame" else f"{one.place}: "
            words = f"{where}{one.key}, {one.why}"
            link = QPushButton(fill(words, _LINK_LETTERS).replace("&", "&&"))
            link.setProperty("link", True)
            link.setFlat(True)
            link.setAutoDefault(False)
            link.setCursor(Qt.CursorShape.PointingHandCursor)
            link.setToolTip("Go to this field")
            link.clicked.connect(lambda _checked=False, a=one.place, b=one.key: self.wanted.emit(a, b))
            self.texts.append(words)
            column.addWidget(link)

    def _add_canonical(self, column: QVBoxLayout, reading: SheetReading, display: DisplayUnits) -> None:
        shown = [winding for winding in reading.windings if winding.constants is not None][:_MOST_WINDINGS]
        if not shown:
            return
        self._title(column, "What is calculated with")
        grid = QGridLayout()
        grid.setHorizontalSpacing(14)
        grid.setVerticalSpacing(3)
        grid.setColumnStretch(0, 1)
        for number, winding in enumerate(shown, 1):
            head = self._label(winding.place.removeprefix("winding "), "small")
            grid.addWidget(head, 0, number, Qt.AlignmentFlag.AlignRight)
            for line, (words, value, kind) in enumerate(winding.canonical(), 1):
                if number == 1:
                    grid.addWidget(self._label(words, "soft"), line, 0)
                text = self._label(display.format_quantity(value, kind, 3 if kind is Kind.TEMPERATURE else 4))
                text.setWordWrap(False)
                grid.addWidget(text, line, number, Qt.AlignmentFlag.AlignRight)
        column.addLayout(grid)
        for drag in reading.drags:
            column.addWidget(self._label(as_text(drag, display), "soft"))

    def _add_checks(self, column: QVBoxLayout, reading: SheetReading, display: DisplayUnits) -> None:
        checks = reading.checks
        if not checks:
            return
        bad = len(reading.contradictions)
        words = "none contradicts" if bad == 0 else f"{bad} of {len(checks)} contradict"
        self._title(column, f"Figures against each other: {words}")
        for other in reading.readings[:_MOST_READINGS]:
            column.addWidget(self._label(other.sentence, "caution"))
        for check in sorted(checks, key=lambda one: one.verdict == "agrees"):
            column.addWidget(self._check(check, display))

    def _check(self, check: CrossCheck, display: DisplayUnits) -> QWidget:
        frame = QFrame()
        grid = QGridLayout(frame)
        grid.setContentsMargins(8, 5, 8, 5)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(0, 1)
        agrees = check.verdict == "agrees"
        if not agrees:
            frame.setProperty("surface", "caution")
        mark = ("≈" if check.coarse else "✓") if agrees else "✗"
        head = self._label(f"{mark} {check.label}, {check.place}", "" if agrees else "group")
        grid.addWidget(head, 0, 0)
        numbers = self._label(_numbers(check, display), "soft" if agrees else "")
        numbers.setWordWrap(False)
        grid.addWidget(numbers, 0, 1, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
        words = f"{as_text(check.sentence, display)} {check.tolerance}"
        grid.addWidget(self._label(words, "small" if agrees else ""), 1, 0, 1, 2)
        return frame

    def _add_findings(
        self, column: QVBoxLayout, findings: tuple[Finding, ...], display: DisplayUnits
    ) -> None:
        if not findings:
            return
        self._title(column, "What else is noticed")
        for finding in findings:
            serious = finding.severity == "serious"
            column.addWidget(self._label(as_text(finding.text, display), "caution" if serious else "soft"))


def _numbers(check: CrossCheck, display: DisplayUnits) -> str:
    """Return stated and computed with the difference, as "0.55 against 0.449 mN·m, +22 %"."""
    stated = display.format_value(check.stated, check.kind, 4)
    follows = display.format_quantity(check.follows, check.kind, 4)
    percent = f"{100.0 * check.deviation:+.1f}".replace("-", MINUS)
    return f"{stated} against {follows}, {percent} %"
