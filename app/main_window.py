"""The window: head, messages, the pages, and what its menus do."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QTimer, Slot
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QMainWindow, QVBoxLayout, QWidget

from app.actions import MenuBar
from app.bench_page import BenchPage
from app.candidate_actions import CandidateActions
from app.copying import CopyActions
from app.dialogs import Dialogs
from app.document import ProjectDocument
from app.export_actions import ExportActions
from app.file_care import FileCare
from app.files import PROJECT_FILES, PROJECTS_AND_SHEETS, ProjectFiles
from app.guide import Guide
from app.header_bar import HeaderBar
from app.help_actions import HelpActions
from app.leaving import may_close
from app.message_bar import MessageBar
from app.pages import BENCH, Pages
from app.pane_actions import PaneActions
from app.parts_actions import PartsActions
from app.parts_shelf import PartsShelf
from app.preferences import Preferences
from app.recompute import Recompute
from app.selection import Selection
from app.sheet_actions import SheetActions
from app.tab_order import walk
from app.theme import ThemeChoice
from app.trace_actions import TRACE_ENDINGS, TraceActions
from app.undo_while_typing import UndoWhileTyping
from app.window_place import SmallestPage, keep_place, scrolled, take_place
from core.project import edits
from core.results import Result
from core.units import DisplayUnits


class MainWindow(QMainWindow):
    """Puts the parts together. Everything that can fail says so in the message bar."""

    def __init__(
        self,
        document: ProjectDocument,
        recompute: Recompute,
        preferences: Preferences,
        dialogs: Dialogs | None = None,
        recovery_folder: Path | None = None,
    ) -> None:
        super().__init__()
        self.document, self.recompute, self.preferences = document, recompute, preferences
        self.dialogs = dialogs or Dialogs()
        self.selection = Selection(self)
        self.shelf = PartsShelf(self)
        self.files = ProjectFiles(document, preferences)
        self.header = HeaderBar(document)
        self.messages = MessageBar()
        self.bench = BenchPage(document, self.selection, preferences, self.shelf)
        self.pages = Pages(self.bench, document, self.selection, preferences, self.shelf)
        self._stale = False
        self._lay_out()
        self.traces = TraceActions(self)
        self.parts = PartsActions(self)
        self.sheets = SheetActions(self)
        self.copying = CopyActions(self)
        self.exports = ExportActions(self)
        self.panes = PaneActions(self)
        self.help = HelpActions(self)
        self.candidates = CandidateActions(self)
        self.guide = Guide(self)
        self.menus = MenuBar(self)
        self.care = FileCare(self, recovery_folder)
        self._connect()
        self.setAcceptDrops(True)
        take_place(self, self.preferences)
        self._show_state()
        self.bench.plane.canvas.setFocus()

    def _lay_out(self) -> None:
        page = SmallestPage()
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self.header.setProperty("surface", "head")
        for part in (self.header, self.messages):
            column.addWidget(part)
        column.addWidget(self.pages, 1)
        self._column = column
        self.setCentralWidget(scrolled(page))

    def _connect(self) -> None:
        self.header.add_candidate.connect(lambda: self.candidate_asked("add", -1))
        self.header.asked.connect(self.candidate_asked)
        self.bench.inputs.asked.connect(self.candidate_asked)
        self.pages.asked.connect(self.candidate_asked)
        self.pages.turned.connect(self._on_turned)
        self.header.page_asked.connect(self.turn_to)
        self.files.failed.connect(self.fail)
        self.files.state_changed.connect(self._show_state)
        self.shelf.failed.connect(self.fail)
        self.shelf.reading.connect(self._on_reading_parts)
        self.document.changed.connect(self._show_title)
        self.document.replaced.connect(self._on_replaced)
        self.document.refused.connect(lambda reason: self.fail(f"Nothing was changed. {reason}"))
        self.recompute.result_ready.connect(self._on_result)
        self.recompute.failed.connect(self._on_evaluation_failed)
        self.traces.words_changed.connect(self.header.show_work)
        self.preferences.changed.connect(self._restyle)
        self._undo_while_typing = UndoWhileTyping(self)
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.focusChanged.connect(self._undo_while_typing.follow)

    def show_above_pages(self, strip: QWidget) -> None:
        """Give a strip its place between the messages and the page."""
        self._column.insertWidget(self._column.indexOf(self.pages), strip)

    def fail(self, message: str) -> None:
        """Say what went wrong; it stays until it is closed or something works."""
        self.messages.show_message("failure", message)

    # files ---------------------------------------------------------------------------------------------

    def new_project(self) -> None:
        """Start an empty project."""
        if self.may_leave():
            self.files.new()

    def open_project(self) -> None:
        """Ask for a file and open it."""
        if self.may_leave():
            path = self.dialogs.ask_open(self, "Open a project", PROJECTS_AND_SHEETS)
            if path is not None:
                self._open_now(path)

    def open_path(self, path: Path) -> None:
        """Open a file, as from the recent ones or dropped."""
        if self.may_leave():
            self._open_now(path)

    def open_sample(self, path: Path) -> None:
        """Open a copy of a sample project."""
        if self.may_leave() and self.files.open_sample(path):
            self.messages.show_message("failure", "")

    def _open_now(self, path: Path) -> None:
        if self.files.open(path):
            self.messages.show_message("failure", "")

    def save_project(self) -> bool:
        """Save to the project's file, asking for one where there is none."""
        if self.files.path is None or self.document.read_only_reason:
            return self.save_project_as()
        return self._saved(self.files.path)

    def save_project_as(self) -> bool:
        """Ask for a file and save to it."""
        if self.document.read_only_reason:
            self.fail(f"Not saved. {self.document.read_only_reason}")
            return False
        proposed = f"{self.files.name or self.document.project.application.title}.json".replace("/", " ")
        path = self.dialogs.ask_save(self, "Save the project", proposed, PROJECT_FILES)
        return path is not None and self._saved(path)

    def _saved(self, path: Path) -> bool:
        self.take_typed_text()
        saved = self.care.may_replace(path) and self.files.save_to(path)
        if saved:
            self.messages.show_message("failure", "")
        return saved

    def may_leave(self) -> bool:
        """Ask once about unsaved changes; tell whether the project may be left."""
        self.take_typed_text()
        words = self.unsaved_words()
        if not words:
            return True
        answer = self.dialogs.ask_unsaved(self, (words,))
        return self.save_project() if answer == "save" else answer == "discard"

    def unsaved_words(self) -> str:
        """Say what the project would lose by being left, empty where its file has everything."""
        if not self.files.is_unsaved:
            return ""
        where = f"{self.files.path.name} does not have" if self.files.path is not None else "no file has"
        return f"the project “{self.document.project.application.title}”: changes that {where}"

    def take_typed_text(self) -> None:
        """Let the field under the cursor commit, so that what was typed counts."""
        focus = self.focusWidget()
        if focus is not None:
            focus.clearFocus()

    @property
    def is_out_of_date(self) -> bool:
        """Whether what is on screen belongs to an earlier state."""
        return self.recompute.result is None or self._stale or self.recompute.is_working

    # segments and candidates ---------------------------------------------------------------------------

    def selected_segment(self) -> int | None:
        """Return the selected segment, None where none of this project is."""
        segment = self.selection.segment
        count = len(self.bench.table.model.segments)
        return segment if segment is not None and segment < count else None

    def insert_segment(self) -> None:
        """Insert a segment before the selected one, or at the end."""
        rows = self.bench.table.model
        project, selected = rows.base(), self.selected_segment()
        index = len(project.application.duty_cycle) if selected is None else selected
        after = edits.insert_segments(project, index, [edits.new_segment(project, index)])
        self.document.edit(after, rows.words(f"Insert segment {index + 1}"))

    def duplicate_segment(self) -> None:
        """Duplicate the selected segment."""
        index = self.selected_segment()
        if index is not None:
            rows = self.bench.table.model
            after = edits.duplicate_segments(rows.base(), [index])
            self.document.edit(after, rows.words(f"Duplicate segment {index + 1}"))

    def remove_segment(self) -> None:
        """Remove the selected segment."""
        index = self.selected_segment()
        if index is not None:
            rows = self.bench.table.model
            after = edits.remove_segments(rows.base(), [index])
            self.document.edit(after, rows.words(f"Remove segment {index + 1}"))

    @Slot(str, int)
    def candidate_asked(self, word: str, index: int) -> None:
        """Do what was asked for a candidate by menu, head or panel."""
        self.take_typed_text()
        self.candidates.ask(word, index)

    # view ----------------------------------------------------------------------------------------------

    @Slot(str)
    def turn_to(self, page: str) -> None:
        """Show another page."""
        self.pages.turn_to(page)

    def take_theme(self, choice: ThemeChoice) -> None:
        """Change the theme."""
        self.preferences.theme = choice

    def choose_units(self) -> None:
        """Ask for the display units."""
        from app.units_dialog import UnitsDialog

        before = self.preferences.display_units
        dialog = UnitsDialog(before, self)
        dialog.previewed.connect(self._preview_units)
        self.preferences.display_units = dialog.chosen() if dialog.exec() else before

    def _preview_units(self, units: DisplayUnits) -> None:
        self.preferences.display_units = units

    def on_bench(self, act: Callable[[], object]) -> None:
        """Do what can only be seen on the Bench, there."""
        self.turn_to(BENCH)
        act()

    def toggle_table(self) -> None:
        """Open or fold the segment table."""
        self.bench.table_fold.header.toggle()

    def toggle_efficiency_map(self) -> None:
        """Draw the efficiency of the chosen candidate into the plane, or take it away."""
        self.bench.plane.map_button.toggle()

    def toggle_from_cold(self) -> None:
        """Turn between the cycle and the heating up from cold."""
        cycle = self.bench.cycle
        there = "from cold" if cycle.current_page() is cycle.cycle else "cycle"
        cycle.turn_to(there)

    def show_page_of_cycle(self, name: str) -> None:
        """Show the load or the ratio study in place of the cycle; where there is no load, the cycle."""
        has_load = self.document.project.application.load is not None
        self.bench.cycle.turn_to(name if has_load else "cycle")

    def reset_view(self) -> None:
        """Show all of every plot again."""
        for plot in (self.bench.plane, *self.bench.cycle.pages):
            plot.canvas.reset_view()

    # what is heard -------------------------------------------------------------------------------------

    def _on_result(self, result: Result) -> None:
        self.pages.show_result(result)
        if self._stale:
            self._set_stale("")

    def _on_turned(self, page: str) -> None:
        self.header.pages.show_current(page)
        self.menus.pages[page].setChecked(True)

    def _on_evaluation_failed(self, message: str) -> None:
        self._set_stale(message)

    def _set_stale(self, message: str) -> None:
        self._stale = bool(message)
        self.messages.show_message("stale", message)
        self.pages.set_stale(self._stale)

    def _on_reading_parts(self, name: str) -> None:
        words = f"Reading the parts in {name}…" if name else ""
        self.messages.show_message("notice", words, (("Stop", self.shelf.stop_opening),) if name else ())

    def _on_replaced(self) -> None:
        self.selection.select_segment(None)

    def _restyle(self) -> None:
        self.bench.restyle()
        self.menus.themes[self.preferences.theme].setChecked(True)
        self.header.show_project(self.document.project)

    def _show_state(self) -> None:
        if self.document.read_only_reason:
            words = "read only"
        elif self.files.is_unsaved:
            words = "changed, not saved"
        else:
            words = f"saved in {self.files.path.name}" if self.files.path is not None else "not in a file yet"
        self.header.show_state(words)
        self._show_title()

    def _show_title(self) -> None:
        title = self.document.project.application.title
        file = self.files.path.name if self.files.path is not None else "no file"
        self.setWindowModified(self.files.is_unsaved)
        self.setWindowTitle(f"{title}, {file}[*] – Ampturn")

    # the window itself ---------------------------------------------------------------------------------

    def focusNextPrevChild(self, forward: bool) -> bool:
        return walk(self, forward)

    def closeEvent(self, event: QCloseEvent) -> None:
        if not may_close(self):
            event.ignore()
            return
        keep_place(self, self.preferences)
        self.bench.keep_sizes()
        self.preferences.save()
        self.traces.shut_down()
        self.shelf.shut_down()
        self.pages.shut_down()
        self.care.shut_down()
        event.accept()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if _dropped_file(event) is not None:
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        path = _dropped_file(event)
        if path is not None:
            event.acceptProposedAction()
            # after the drag is over, so that a question does not hold up the other program
            take = self.traces.show_dialog if path.suffix.lower() in TRACE_ENDINGS else self.open_path
            QTimer.singleShot(0, self, lambda: take(path))


def _dropped_file(event: QDropEvent) -> Path | None:
    """Return the one file that is dragged, None for anything else."""
    urls = event.mimeData().urls()
    name = urls[0].toLocalFile() if len(urls) == 1 else ""
    return Path(name) if name else None
