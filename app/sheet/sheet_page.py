"""The Sheet page: what will be printed, as it will be printed, and the few things only the sheet says."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from threading import Event
from typing import Final

from PySide6.QtCore import Qt, QTimer, Signal, Slot
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.background import Background
from app.bench_page import StaleVeil
from app.document import ProjectDocument
from app.panes import GAP, PaneSplitter
from app.preferences import Preferences
from app.selection import Selection
from app.sheet.layout import lay_out_sheet
from app.sheet.pages_view import PagesView
from app.sheet.paper import PAPERS
from app.sheet.paper_inputs import PaperInputs
from core.project.project_file import encode_project
from core.results import Result
from core.sheet.blocks import Sheet
from core.sheet.sheet import sheet_of
from core.units import DisplayUnits

CALM_MS: Final = 400
Wanted = tuple[Result, DisplayUnits]


class SheetPage(QWidget):
    """Keeps the newest result; while it is on show, the pages follow when the hand rests.

    The content is put together in a thread, since the first look at the uncertainty takes a while; pages are
    laid out and painted here.
    """

    asked = Signal(str, int)  # what to do for a candidate or with the sheet, as in the menu

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._preferences = document, preferences
        self.result: Result | None = None
        self.sheet: Sheet | None = None
        self._shown: Wanted | None = None
        self._begun: Wanted | None = None
        self._background = Background(self)
        self._background.finished.connect(self._on_content)
        self._background.failed.connect(self._on_failed)
        self._calm = QTimer(self)
        self._calm.setSingleShot(True)
        self._calm.setInterval(CALM_MS)
        self._calm.timeout.connect(self._begin)
        self.inputs, self.pages = PaperInputs(document), PagesView()
        self.words = QLabel()
        self.words.setTextFormat(Qt.TextFormat.PlainText)
        self.words.setProperty("type", "soft")
        self.paper = QComboBox()
        self.paper.setAccessibleName("Paper")
        for name, paper in PAPERS.items():
            self.paper.addItem(paper.name, name)
        self.save = QPushButton("Save as PDF…")
        self._lay_out()
        self._veil = StaleVeil(self.pages)
        self.paper.currentIndexChanged.connect(lambda _index: self._show_pages())
        self.save.clicked.connect(lambda: self.asked.emit("save sheet", -1))
        self.pages.verticalScrollBar().valueChanged.connect(lambda _value: self._show_words())
        document.changed.connect(self._on_project)
        preferences.changed.connect(self._want)
        self.destroyed.connect(self._background.shut_down)

    def _lay_out(self) -> None:
        left = QFrame()
        left.setProperty("surface", "pane")
        scroller = QScrollArea()
        scroller.setWidgetResizable(True)
        scroller.setFrameShape(QFrame.Shape.NoFrame)
        scroller.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroller.setWidget(self.inputs)
        self.inputs.setAutoFillBackground(False)  # `setWidget` has switched it on: the pane shows through
        scroller.viewport().setAutoFillBackground(False)
        scroller.setAccessibleName("What only the sheet says")
        QVBoxLayout(left).addWidget(scroller)
        head = QHBoxLayout()
        head.addWidget(self.words, 1)
        label = QLabel("Paper")
        label.setBuddy(self.paper)
        head.addWidget(label)
        head.addWidget(self.paper)
        head.addWidget(self.save)
        right = QFrame()
        right.setProperty("surface", "pane")
        column = QVBoxLayout(right)
        column.addLayout(head)
        column.addWidget(self.pages, 1)
        across, shares = Qt.Orientation.Horizontal, (320, 940)
        split = PaneSplitter("sheet", across, (left, right), lambda: shares, self._preferences)
        split.setStretchFactor(1, 1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(GAP + 2, GAP, GAP + 2, GAP + 2)
        whole.addWidget(split)
        self.setFocusProxy(self.pages)

    # what is shown -------------------------------------------------------------------------------------

    def show_result(self, result: Result) -> None:
        """Take a new result; the pages follow when the hand rests and the page is on show."""
        self.result = result
        self._want()

    def set_stale(self, stale: bool) -> None:
        """Mark that what is on show belongs to an earlier state, or that it no longer does."""
        self._veil.set_stale(stale)

    @property
    def is_updating(self) -> bool:
        """Whether the pages do not show the newest result yet."""
        wanted, shown = self._wanted(), self._shown
        if wanted is None or shown is None:
            return wanted is not None
        return wanted[0] is not shown[0] or wanted[1] != shown[1]

    def sheet_now(self) -> Sheet | None:
        """Return the sheet of the newest result, put together now where it is not there yet."""
        if self.result is None:
            return None
        if self.is_updating or self.sheet is None:
            units = self._preferences.display_units
            self.sheet, self._shown = _content(self.result, units), (self.result, units)
            self._show_pages()
        return self.sheet

    @property
    def paper_name(self) -> str:
        """Key of the paper that is chosen."""
        return str(self.paper.currentData())

    def _wanted(self) -> Wanted | None:
        return None if self.result is None else (self.result, self._preferences.display_units)

    @Slot()
    def _want(self) -> None:
        if self.isVisible() and self.is_updating:
            self._show_words()
            self._calm.start()

    @Slot()
    def _on_project(self) -> None:
        if self.isVisible():
            self.inputs.show_project(self._document.project)

    @Slot()
    def _begin(self) -> None:
        wanted = self._wanted()
        if wanted is None or not self.isVisible() or not self.is_updating:
            return
        if self._document.in_gesture:
            self._calm.start()
            return
        self._begun = wanted
        result, units = wanted

        def job(_tell: Callable[[float], None], _stop: Event) -> object:
            return _content(result, units)

        self._background.start(job)

    @Slot(object)
    def _on_content(self, sheet: object) -> None:
        if isinstance(sheet, Sheet):
            self.sheet, self._shown = sheet, self._begun
            self._show_pages()
        self._want()

    @Slot(object)
    def _on_failed(self, error: object) -> None:
        self.words.setText(f"There is no sheet: {error}")

    @Slot()
    def _show_pages(self) -> None:
        if self.sheet is None:
            return
        units = self._shown[1] if self._shown is not None else self._preferences.display_units
        self.pages.show_pages(lay_out_sheet(self.sheet, PAPERS[self.paper_name], units))
        self._show_words()

    def _show_words(self) -> None:
        laid_out = self.pages.laid_out
        count = 0 if laid_out is None else len(laid_out.pages)
        words = f"Page {self.pages.page_in_sight + 1} of {count}" if count else ""
        self.words.setText(f"{words}, updating…".lstrip(", ") if self.is_updating else words)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.inputs.show_project(self._document.project)
        self._want()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self._calm.stop()


def _content(result: Result, units: DisplayUnits) -> Sheet:
    project = result.project
    return sheet_of(project, result, issued=date.today(), project_file=encode_project(project), units=units)
