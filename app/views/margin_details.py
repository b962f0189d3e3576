"""One criterion opened: the equation with its numbers, demand, limit, used share, target and the reason."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QLabel, QScrollArea, QWidget

from app.theme import SMALL_PT, Tokens
from core.margin_rows import MarginRow, outcome, percent
from core.notices import name_of
from core.results import Margin, Result
from core.sentences import as_text
from core.units import DisplayUnits, format_number

_SHARE_OF_PANEL = 0.45


class MarginDetails(QScrollArea):
    """Text that can be selected and copied; as high as it needs to be, up to a share of the panel."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.label = QLabel()
        self.label.setWordWrap(True)
        self.label.setTextFormat(Qt.TextFormat.RichText)
        self.label.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.label.setContentsMargins(16, 8, 16, 8)
        self.label.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.setWidget(self.label)
        self.label.setAutoFillBackground(False)  # `setWidget` has switched it on: the pane shows through
        self.viewport().setAutoFillBackground(False)
        self.hide()

    def show_row(
        self, row: MarginRow | None, result: Result | None, units: DisplayUnits, tokens: Tokens
    ) -> None:
        """Show a criterion of all candidates, or nothing."""
        if row is None or result is None:
            self.hide()
            return
        parts = [f"<b>{escape(row.label)}</b>"]
        for index, margin in enumerate(row.margins):
            if margin is not None:
                colour = tokens.candidates[index % len(tokens.candidates)].colour
                name = escape(name_of(result.candidates[index], index))
                lines = "<br>".join(escape(line) for line in margin_lines(margin, units))
                parts.append(
                    f'<p style="margin:5px 0 0 0; line-height:120%"><b style="color:{colour}">{name}</b>, '
                    f'{_verdict(margin, tokens)}<br><span style="font-size:{SMALL_PT}pt">{lines}</span></p>'
                )
        text = "".join(parts)
        if text != self.label.text():
            self.label.setText(text)
            self.label.setAccessibleName(f"{row.label}: the equation with its numbers")
            self.fit()
        self.show()

    def fit(self) -> None:
        """Take the height that the text needs at this width."""
        panel = self.parentWidget()
        if panel is None:
            return
        # its own width is not yet known when it is shown for the first time
        width = panel.width() - self.verticalScrollBar().sizeHint().width() - 2
        needed = self.label.heightForWidth(max(width, 100))
        self.setFixedHeight(max(min(needed, int(panel.height() * _SHARE_OF_PANEL)), 40))


def margin_lines(margin: Margin, units: DisplayUnits) -> list[str]:
    """Return what is known about a margin: its numbers, where, the equation and the reason."""
    lines = []
    if margin.demand is not None and margin.limit is not None and margin.utilisation is not None:
        demand, limit = (units.format_quantity(x, margin.kind) for x in (margin.demand, margin.limit))
        used = f"{format_number(margin.utilisation * 100.0)}\N{NO-BREAK SPACE}% used"
        lines.append(f"demand {demand}, limit {limit}, {used}")
    if margin.margin is not None:
        lines.append(f"margin {outcome(margin)}, target {percent(margin.target, margin.target)}")
    where, equation, why = (as_text(text, units) for text in (margin.where, margin.equation, margin.why))
    return [*lines, *(text for text in (where, equation, why) if text)]


def _verdict(margin: Margin, tokens: Tokens) -> str:
    if margin.status in ("missed", "excluded"):
        return f'<span style="color:{tokens.missed}"><b>{margin.status}</b></span>'
    return margin.status
