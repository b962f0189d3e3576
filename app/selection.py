"""What is selected and hovered, shared by all views, so that they light up together."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from core.segment_columns import Field


class Selection(QObject):
    """The selected segment and criterion and the hovered segment; None means nothing.

    Selecting a criterion that happens in a segment selects that segment too.
    """

    changed = Signal()
    hovered = Signal()
    typing_asked = Signal(int, str)  # segment, field of the segment table

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.segment: int | None = None
        self.criterion: str | None = None
        self.hovered_segment: int | None = None

    def select_segment(self, segment: int | None) -> None:
        """Select a segment and drop the selected criterion."""
        self._select(segment, None)

    def select_criterion(self, criterion: str | None, segment: int | None) -> None:
        """Select a criterion and the segment in which it happens."""
        self._select(segment, criterion)

    def type_value(self, segment: int, field: Field) -> None:
        """Select a segment and ask that one of its values be typed."""
        self.select_segment(segment)
        self.typing_asked.emit(segment, field)

    def hover_segment(self, segment: int | None) -> None:
        """Mark the segment under the cursor."""
        if segment != self.hovered_segment:
            self.hovered_segment = segment
            self.hovered.emit()

    def _select(self, segment: int | None, criterion: str | None) -> None:
        if (segment, criterion) != (self.segment, self.criterion):
            self.segment, self.criterion = segment, criterion
            self.changed.emit()
