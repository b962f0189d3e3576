"""Put a chart or the margins on the clipboard, in the forms that other programs take."""

from __future__ import annotations

import html
from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QMimeData, QObject
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtWidgets import QApplication

from app.views.plot_base import PlotPane
from core.charts.chart import Chart
from core.errors import AmpturnError

if TYPE_CHECKING:
    from app.main_window import MainWindow

_CHART_MM = (160.0, 110.0)


class CopyActions(QObject):
    """Copies what is on screen: the chart that has the keyboard, and the margins as a table."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window

    def copy_chart(self) -> None:
        """Put the chart in focus on the clipboard, as lines (SVG) and as a picture; else the plane."""
        view = self._view()
        if view.result is None or self._window.is_out_of_date:
            self._window.fail("Nothing was copied: the result on screen is out of date.")
            return
        try:
            chart = view.chart(view.result)
            QGuiApplication.clipboard().setMimeData(chart_data(chart))
        except AmpturnError as error:
            self._window.fail(f"Nothing was copied: {error}")
            return
        self._window.messages.show_message("notice", f"Copied: {chart.title}")

    def copy_margins(self) -> None:
        """Put the margins of all candidates on the clipboard, as cells and as a table."""
        from core.sheet.blocks import Table
        from core.sheet.margin_lists import margins  # only where something is copied
        from core.sheet.subject import Subject
        from core.table_csv import cells_of

        result, units = self._window.recompute.result, self._window.preferences.display_units
        if result is None or self._window.is_out_of_date:
            self._window.fail("Nothing was copied: the result on screen is out of date.")
            return
        blocks = margins(Subject(result.project, result, units)).blocks
        tables = [block for block in blocks if isinstance(block, Table)]
        QGuiApplication.clipboard().setMimeData(
            table_data([(str(table.caption), cells_of(table, units)) for table in tables])
        )
        self._window.messages.show_message("notice", "Copied: margins")

    def _view(self) -> PlotPane:
        widget = QApplication.focusWidget()
        while widget is not None and not isinstance(widget, PlotPane):
            widget = widget.parentWidget()
        return widget if isinstance(widget, PlotPane) else self._window.bench.plane


def chart_data(chart: Chart) -> QMimeData:
    """Return a chart as vector and as pixels, in light colours and true proportions."""
    from app.chart_export import rendered

    data = QMimeData()
    data.setData("image/svg+xml", rendered(chart, ".svg", _CHART_MM))
    data.setImageData(QImage.fromData(rendered(chart, ".png", _CHART_MM)))
    data.setText(chart.summary)
    return data


def table_data(tables: Sequence[tuple[str, Sequence[Sequence[str]]]]) -> QMimeData:
    """Return tables as text with tabs and as HTML; texts in them stay texts."""
    lines, marked = [], []
    for caption, rows in tables:
        lines += [caption, *("\t".join(_cell(text) for text in row) for row in rows), ""]
        body = "".join(
            f"<tr>{''.join(f'<{kind}>{html.escape(text)}</{kind}>' for text in row)}</tr>"
            for row, kind in zip(rows, ["th", *["td"] * len(rows)], strict=False)
        )
        marked.append(f"<p>{html.escape(caption)}</p><table>{body}</table>")
    data = QMimeData()
    data.setText("\n".join(lines))
    data.setHtml("".join(marked))
    return data


def _cell(text: str) -> str:
    from core.table_csv import safe_cell

    return safe_cell(" ".join(text.split()))
