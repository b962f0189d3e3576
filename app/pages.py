"""The pages of the window: what they are called, and which of them is on show.

A page is loaded and made when it is first turned to: a start needs only the Bench.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QApplication, QStackedWidget, QWidget

from app.bench_page import BenchPage
from app.document import ProjectDocument
from app.parts_shelf import PartsShelf
from app.preferences import Preferences
from app.selection import Selection
from core.project.project import Project
from core.records import dataclass
from core.results import Result

if TYPE_CHECKING:
    from app.sheet.sheet_page import SheetPage
    from app.shortlist_page import ShortlistPage
    from app.side_by_side_page import SideBySidePage
    from core.trace_import import ImportedTrace

    Page = BenchPage | SideBySidePage | ShortlistPage | SheetPage
    MadePage = SideBySidePage | ShortlistPage | SheetPage

BENCH: Final = "bench"
SIDE_BY_SIDE: Final = "side by side"
SHORTLIST: Final = "shortlist"
SHEET: Final = "sheet"


@dataclass(frozen=True, slots=True)
class PageKind:
    """A page by its name, its words in the head of the window and in the menu, and what it is for."""

    name: str
    words: str
    menu_words: str
    explanation: str


PAGES: Final = (
    PageKind(BENCH, "Bench", "&Bench", "What is given, and what comes of it"),
    PageKind(SIDE_BY_SIDE, "Side by side", "Side b&y side", "Candidates beside each other, two compared"),
    PageKind(SHORTLIST, "Shortlist", "Sh&ortlist", "Every combination of the parts against what is given"),
    PageKind(SHEET, "Sheet", "S&heet", "What is printed and handed on"),
)


def _side_by_side(
    document: ProjectDocument, selection: Selection, preferences: Preferences
) -> SideBySidePage:
    from app.side_by_side_page import SideBySidePage

    return SideBySidePage(document, selection, preferences)


def _shortlist(
    pages: Pages,
    shelf: PartsShelf,
    document: ProjectDocument,
    _selection: Selection,
    preferences: Preferences,
) -> ShortlistPage:
    from app.shortlist_page import ShortlistPage

    page = ShortlistPage(document, preferences, shelf)
    page.measured = lambda project: pages.measured(project)
    return page


def _sheet(document: ProjectDocument, selection: Selection, preferences: Preferences) -> SheetPage:
    from app.sheet.sheet_page import SheetPage

    return SheetPage(document, selection, preferences)


_Maker = Callable[[ProjectDocument, Selection, Preferences], "MadePage"]
_MAKERS: Final[dict[str, _Maker]] = {
    SIDE_BY_SIDE: _side_by_side,
    SHEET: _sheet,
}


class Pages(QStackedWidget):
    """The Bench and the pages made so far, one of them on show."""

    turned = Signal(str)  # name of the page that is on show now
    asked = Signal(str, int)  # what a page asks for a candidate

    def __init__(
        self,
        bench: BenchPage,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        shelf: PartsShelf,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._makers: dict[str, _Maker] = {**_MAKERS, SHORTLIST: partial(_shortlist, self, shelf)}
        self.measured: Callable[[Project], ImportedTrace | None] = lambda _project: None
        self.asked.connect(self._on_asked)
        self._shared = (document, selection, preferences)
        self._result: Result | None = None
        self._stale = False
        self._made: dict[str, Page] = {BENCH: bench}
        self._focus: dict[str, QWidget] = {}
        self.current = BENCH
        self.addWidget(bench)

    @property
    def side_by_side(self) -> SideBySidePage:
        """The candidates beside each other."""
        from app.side_by_side_page import SideBySidePage

        page = self.page(SIDE_BY_SIDE)
        assert isinstance(page, SideBySidePage)
        return page

    @property
    def shortlist(self) -> ShortlistPage:
        """The candidates worth looking at."""
        from app.shortlist_page import ShortlistPage

        page = self.page(SHORTLIST)
        assert isinstance(page, ShortlistPage)
        return page

    @property
    def sheet(self) -> SheetPage:
        """What is printed."""
        from app.sheet.sheet_page import SheetPage

        page = self.page(SHEET)
        assert isinstance(page, SheetPage)
        return page

    @property
    def pair(self) -> tuple[int, int]:
        """The two candidates that are compared side by side; the first two before that page was shown."""
        made = SIDE_BY_SIDE in self._made
        return self.side_by_side.pair if made else (0, 1)

    def page(self, name: str) -> Page:
        """Return a page, made at the first call."""
        if name not in self._made:
            made = self._makers[name](*self._shared)
            made.asked.connect(self.asked)
            self._made[name] = made
            # where the keyboard begins; as a true proxy Tab would pass over the rest of the page
            self._focus[name] = made.focusProxy() or made
            made.setFocusProxy(None)  # type: ignore[arg-type]
            self.addWidget(made)
            made.set_stale(self._stale)
            if self._result is not None:
                made.show_result(self._result)
        return self._made[name]

    @Slot(str)
    def turn_to(self, name: str) -> None:
        """Show a page and give the keyboard back to what had it there."""
        if name == self.current:
            return
        page, before = self.page(name), self._made[self.current]
        focus = QApplication.focusWidget()
        if focus is not None and before.isAncestorOf(focus):
            self._focus[self.current] = focus
            focus.clearFocus()  # so that a field takes what was typed while it can still be seen
        self.current = name
        self.setCurrentWidget(page)
        had = self._focus.pop(name, None)
        (had if had is not None and page.isAncestorOf(had) else page).setFocus(
            Qt.FocusReason.OtherFocusReason
        )
        self.turned.emit(name)

    @Slot(str, int)
    def _on_asked(self, word: str, _index: int) -> None:
        """Turn to a page that another one asks for by its name."""
        if word in {kind.name for kind in PAGES}:
            self.turn_to(word)

    def search_under_way(self) -> str:
        """Say that candidates are being searched, empty where none are."""
        if SHORTLIST not in self._made or not self.shortlist.is_at_work:
            return ""
        return "the search of the shortlist: it is still running"

    def shut_down(self) -> None:
        """End what a page does beside the window."""
        if SHORTLIST in self._made:
            self.shortlist.shut_down()

    def show_result(self, result: Result) -> None:
        """Show a result on every page made so far; one that is hidden keeps it until it is shown."""
        self._result = result
        for page in self._made.values():
            page.show_result(result)

    def set_stale(self, stale: bool) -> None:
        """Mark that what is on show belongs to an earlier state, or that it no longer does."""
        self._stale = stale
        for page in self._made.values():
            page.set_stale(stale)
