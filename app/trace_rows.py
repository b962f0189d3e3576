"""The first rows of a trace file as they stand there, the chosen columns marked."""

from __future__ import annotations

from PySide6.QtWidgets import QAbstractItemView, QTableWidget, QTableWidgetItem

from core.trace_format import TraceFormat, TracePreview

_MOST_COLUMNS = 60  # more are named by number in the choosers, but not shown


class TraceRows(QTableWidget):
    """A table to look at; what a column is taken for stands in its head."""

    def __init__(self) -> None:
        super().__init__()
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setAccessibleName("First rows of the file")
        self.verticalHeader().setDefaultSectionSize(22)
        self._headings: list[str] = []

    def show_preview(self, preview: TracePreview) -> None:
        """Show the first rows of a file."""
        columns = preview.format.columns[:_MOST_COLUMNS]
        self._headings = [column.heading.strip() for column in columns]
        self.setColumnCount(len(columns))
        self.setRowCount(len(preview.rows))
        first = preview.format.first_row
        self.setVerticalHeaderLabels([str(first + row) for row in range(len(preview.rows))])
        for row, cells in enumerate(preview.rows):
            for column, cell in enumerate(cells[: len(columns)]):
                self.setItem(row, column, QTableWidgetItem(cell))
        self.mark(preview.format)
        self.resizeColumnsToContents()

    def mark(self, form: TraceFormat | None) -> None:
        """Say in the head of each column what it is taken for."""
        taken = {} if form is None else {c.number: f"{c.field} in {c.unit}" for c in form.columns if c.field}
        self.setHorizontalHeaderLabels(
            [
                f"{number + 1}: {heading or 'no heading'}\n{taken.get(number, 'not used')}"
                for number, heading in enumerate(self._headings)
            ]
        )
