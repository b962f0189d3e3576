"""The menu bar: every command of the window with its words and its shortcut."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMenu
from shiboken6 import isValid

from app.bench_page import Side
from app.exports import CHARTS, CHOSEN_CHARTS, SIDE_CHARTS, TABLE
from app.files import sample_files
from app.inputs.candidate_column import WORDS
from app.pages import PAGES
from app.theme import ThemeChoice
from app.views.cycle_pages import DRIVE_PAGES
from app.widgets.candidate_mark import letter_of
from core.project.load import DutySource

if TYPE_CHECKING:
    from app.main_window import MainWindow

Keys = QKeySequence.StandardKey
_DUTIES: tuple[tuple[DutySource, str], ...] = (
    ("segments", "Segments"),
    ("load", "Load and motion"),
    ("trace", "Measured trace"),
)
_SIDES: dict[Side, tuple[str, str]] = {"inputs": ("I&nputs", "F8"), "margins": ("&Margins", "F9")}
_THEMES: tuple[tuple[ThemeChoice, str], ...] = (
    ("light", "Light"),
    ("dark", "Dark"),
    ("system", "As the system"),
)


class MenuBar(QObject):
    """Builds the menus of a window and keeps their state right."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        bar = window.menuBar()
        self.file = bar.addMenu("&File")
        self.edit = bar.addMenu("&Edit")
        self.view = bar.addMenu("&View")
        self.candidate = bar.addMenu("&Candidate")
        self.parts = bar.addMenu("&Parts")
        self.help = bar.addMenu("&Help")
        self._fill_file()
        self._fill_edit()
        self._fill_view()
        self.frames = QMenu("Add candidate &with frame", bar)
        self.frames.aboutToShow.connect(self.fill_frames)
        self.candidate.aboutToShow.connect(self.fill_candidate)
        self.fill_candidate()
        window.document.changed.connect(self._on_changed)
        self._fill_parts()
        self._fill_help()

    def _add(
        self,
        menu: QMenu,
        text: str,
        slot: Callable[[], object],
        keys: QKeySequence.StandardKey | str | None = None,
    ) -> QAction:
        action = menu.addAction(text)
        action.triggered.connect(lambda _checked=False: slot())
        if keys is not None:
            action.setShortcut(QKeySequence(keys))
        return action

    def _fill_file(self) -> None:
        window = self._window
        self.new = self._add(self.file, "&New", window.new_project, Keys.New)
        self.open = self._add(self.file, "&Open…", window.open_project, Keys.Open)
        self.samples = self.file.addMenu("Open sa&mple")
        self.recent = self.file.addMenu("Open &recent")
        self.file.addSeparator()
        traces = window.traces
        self.import_trace = self._add(self.file, "&Import trace…", traces.import_trace, "Ctrl+I")
        self.columns = self._add(self.file, "&Columns of the trace…", traces.choose_columns)
        self.file.addSeparator()
        self.save = self._add(self.file, "&Save", window.save_project, Keys.Save)
        self.save_as = self._add(self.file, "Save &as…", window.save_project_as, "Ctrl+Shift+S")
        self.sheet = self._add(self.file, "S&heet as PDF…", window.sheets.save, Keys.Print)
        self.export = self.file.addMenu("&Export as PDF, SVG or PNG")
        for name in CHARTS:
            self._add(self.export, f"{name.capitalize()}…", partial(window.exports.export_chart, name))
        self.export.addSeparator()
        for one in CHOSEN_CHARTS:
            self._add(self.export, f"{one.capitalize()}…", partial(window.exports.export_chart, one))
        self.export.addSeparator()
        for beside in SIDE_CHARTS:
            self._add(self.export, f"{beside.capitalize()}…", partial(window.exports.export_chart, beside))
        self.differences = self._add(
            self.file, "Export &difference table as CSV…", partial(window.exports.export_chart, TABLE)
        )
        self.file.addSeparator()
        self.quit = self._add(self.file, "&Quit", window.close, "Ctrl+Q")
        self.samples.aboutToShow.connect(self.fill_samples)
        self.recent.aboutToShow.connect(self.fill_recent)

    def fill_samples(self) -> None:
        """List the sample projects by their file names."""
        self.samples.clear()
        for path in sample_files():
            words = path.stem.replace("_", " ").capitalize()
            self._add(self.samples, words, partial(self._window.open_sample, path))

    def fill_recent(self) -> None:
        """List the recent files, told apart by folder where two have one name."""
        self.recent.clear()
        files = self._window.preferences.recent_files
        names = [path.name for path in files]
        for path in files:
            words = path.name if names.count(path.name) == 1 else f"{path.name}  in {path.parent}"
            self._add_recent(words.replace("&", "&&"), path)
        if not files:
            self.recent.addAction("No recent file").setEnabled(False)

    def _add_recent(self, words: str, path: Path) -> None:
        action = self._add(self.recent, words, partial(self._window.open_path, path))
        action.setToolTip(str(path))

    def _fill_edit(self) -> None:
        window = self._window
        stack = window.document.undo_stack
        self.undo, self.redo = stack.createUndoAction(self), stack.createRedoAction(self)
        stack.undoTextChanged.connect(partial(_name_step, self.undo, "Undo"))
        stack.redoTextChanged.connect(partial(_name_step, self.redo, "Redo"))
        _name_step(self.undo, "Undo", stack.undoText())
        _name_step(self.redo, "Redo", stack.redoText())
        self.undo.setShortcut(QKeySequence(Keys.Undo))
        self.redo.setShortcuts([QKeySequence("Ctrl+Shift+Z"), QKeySequence("Ctrl+Y")])
        self.edit.addActions([self.undo, self.redo])
        self.edit.addSeparator()
        self.insert = self._add(self.edit, "&Insert segment", window.insert_segment, "Ctrl+Shift+I")
        self.duplicate = self._add(self.edit, "&Duplicate segment", window.duplicate_segment, "Ctrl+D")
        self.remove = self._add(self.edit, "&Remove segment", window.remove_segment, "Ctrl+Del")
        self.edit.addSeparator()
        self.copy_chart = self._add(self.edit, "&Copy chart", window.copying.copy_chart, "Ctrl+Shift+C")
        self.copy_margins = self._add(self.edit, "Copy &margins as a table", window.copying.copy_margins)
        self.edit.addSeparator()
        self.duty = self.edit.addMenu("Take the duty &from")
        self.duty.aboutToShow.connect(self.fill_duty)
        window.selection.changed.connect(self.show_selection)
        window.document.changed.connect(self.show_selection)
        self.show_selection()

    def fill_duty(self) -> None:
        """List where the duty can come from, what is in use marked."""
        window = self._window
        application = window.document.project.application
        has = {"segments": True, "load": application.load is not None, "trace": application.trace is not None}
        self.duty.clear()
        for where, words in _DUTIES:
            action = self._add(self.duty, words, partial(window.traces.duty_from, where))
            action.setCheckable(True)
            action.setChecked(application.duty_from == where)
            action.setEnabled(has[where])

    def show_selection(self) -> None:
        """Offer what can be done with the selected segment."""
        segment = self._window.selected_segment()
        number = "" if segment is None else f" {segment + 1}"
        self.insert.setText(f"&Insert segment{f' before{number}' if number else ' at the end'}")
        self.duplicate.setText(f"&Duplicate segment{number}")
        self.remove.setText(f"&Remove segment{number}")
        for action in (self.duplicate, self.remove):
            action.setEnabled(segment is not None)

    def _fill_view(self) -> None:
        window = self._window
        self._fill_pages()
        themes = self.view.addMenu("&Theme")
        group = QActionGroup(self)
        self.themes: dict[ThemeChoice, QAction] = {}
        for choice, words in _THEMES:
            action = self._add(themes, words, partial(window.take_theme, choice))
            action.setCheckable(True)
            action.setChecked(window.preferences.theme == choice)
            group.addAction(action)
            self.themes[choice] = action
        self.units = self._add(self.view, "Display &units…", window.choose_units)
        self.view.addSeparator()
        self._fill_panes()
        self.table = self._add_on_bench("&Segment table", window.toggle_table, "Ctrl+T")
        self.efficiency = self._add_on_bench("&Efficiency map", window.toggle_efficiency_map, "Ctrl+E")
        self.from_cold = self._add_on_bench("Cycle or heating up from &cold", window.toggle_from_cold)
        self._add_on_bench("Heat &flow", partial(window.bench.cycle.turn_to, "heat flow"))
        self._add_on_bench("&Load by cause", partial(window.show_page_of_cycle, "load"))
        self._add_on_bench("Rat&io study", partial(window.show_page_of_cycle, "ratio"))
        self._add_on_bench("&What would help", partial(window.bench.cycle.turn_to, "what would help"))
        self.drive = self.view.addMenu("&Drive")
        for page, (words, _) in DRIVE_PAGES.items():
            turn = partial(window.on_bench, partial(window.bench.cycle.turn_to, page))
            self._add(self.drive, words, turn)
        self.reset = self._add_on_bench("&Reset view", window.reset_view, "Ctrl+0")

    def _fill_panes(self) -> None:
        """List the panes that can be folded away, and what brings everything back."""
        panes = self._window.panes
        self.sides: dict[Side, QAction] = {}
        for side, (words, keys) in _SIDES.items():
            action = self._add(self.view, words, partial(panes.toggle, side), keys)
            action.setCheckable(True)
            self.sides[side] = action
        self.usual = self._add(self.view, "Usu&al layout", panes.usual_layout)
        self.view.aboutToShow.connect(self.show_sides)
        self.show_sides()
        self.view.addSeparator()

    def show_sides(self) -> None:
        """Mark the panes that are on show."""
        for side, action in self.sides.items():
            action.setChecked(not self._window.bench.is_folded(side))

    def _add_on_bench(self, text: str, slot: Callable[[], object], keys: str | None = None) -> QAction:
        """Add to the view menu what can only be seen on the Bench."""
        return self._add(self.view, text, partial(self._window.on_bench, slot), keys)

    def _fill_pages(self) -> None:
        """List the pages, the one on show marked."""
        group = QActionGroup(self)
        self.pages: dict[str, QAction] = {}
        for number, page in enumerate(PAGES, 1):
            turn = partial(self._window.turn_to, page.name)
            action = self._add(self.view, page.menu_words, turn, f"Ctrl+{number}")
            action.setCheckable(True)
            action.setChecked(page.name == PAGES[0].name)
            group.addAction(action)
            self.pages[page.name] = action
        self.view.addSeparator()

    def _fill_parts(self) -> None:
        parts = self._window.parts
        self.enter_motor = self._add(self.parts, "&Enter a motor from its data sheet…", parts.enter_motor)
        self.import_parts = self._add(self.parts, "&Import parts from CSV…", parts.import_parts)
        self.parts.addSeparator()
        self._add(self.parts, "&Open parts file…", partial(self._window.candidate_asked, "parts", -1))
        self.save_parts = self._add(self.parts, "&Save the chosen motor to a parts file…", parts.save_chosen)

    def _fill_help(self) -> None:
        on = self._window.help
        self.help_on_focus = self._add(self.help, "Help on this &quantity", on.on_focus, Keys.HelpContents)
        self.search_help = self._add(self.help, "&Search the help…", on.search, "Shift+F1")
        self.keys = self._add(self.help, "&Keys and mouse…", on.show_keys)
        self.tour = self._add(self.help, "&Tour of the window", on.take_tour)
        self.guide = self._add(self.help, "&Guide through a project", self._window.guide.start)
        self.help.addSeparator()
        self.about = self._add(self.help, "&About Ampturn…", on.show_about)

    def fill_candidate(self) -> None:
        """List what can be done with the candidates there are."""
        window = self._window
        self._listed = len(window.document.project.candidates)
        self.candidate.clear()
        self._add(self.candidate, "&Add candidate", partial(window.candidate_asked, "add", -1))
        self._add(self.candidate, "Add an &empty candidate", partial(window.candidate_asked, "empty", -1))
        self.candidate.addMenu(self.frames)
        named = self._add(
            self.candidate, "Add candidate by its &designation…", partial(window.candidate_asked, "named", -1)
        )
        named.setEnabled(window.candidates.has_designations)
        self._add(self.candidate, "Open parts &file…", partial(window.candidate_asked, "parts", -1))
        for word in WORDS:
            if window.document.project.candidates:
                self.candidate.addSeparator()
            for index, candidate in enumerate(window.document.project.candidates):
                name = candidate.name.replace("&", "&&")
                text = f"{word.capitalize()} {letter_of(index)}  {name}"
                keys = f"Alt+{index + 1}" if word == "choose" else None
                self._add(self.candidate, text, partial(window.candidate_asked, word, index), keys)

    def _on_changed(self) -> None:
        """Give a new candidate its key at once, not only when the menu is opened."""
        if len(self._window.document.project.candidates) != self._listed:
            self.fill_candidate()

    def fill_frames(self) -> None:
        """List the frames of the shelf."""
        window = self._window
        self.frames.clear()
        window.shelf.load()
        for motor in window.shelf.motors:
            words = motor.name.replace("&", "&&")
            self._add(self.frames, words, partial(window.candidates.add_of, motor))


def _name_step(action: QAction, word: str, step: str) -> None:
    """Say what undo or redo would do; the bare word where there is nothing."""
    if isValid(action):  # a stack that ends with its window says once more that it is empty
        action.setText(f"{word}: {step}".replace("&", "&&") if step else word)
