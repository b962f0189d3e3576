"""What the window does with measured traces: import one, say how far it is, lead back to other duties."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from app.traces import Traces
from core.errors import AmpturnError
from core.project import edits
from core.project.load import DutySource, TraceSource
from core.trace_source import copy_beside, source_of

if TYPE_CHECKING:
    from app.main_window import MainWindow
    from app.trace_dialog import TraceDialog

TRACE_ENDINGS = (".csv", ".txt", ".tsv", ".dat", ".asc")
TRACE_FILES = f"Text files with columns ({' '.join(f'*{end}' for end in TRACE_ENDINGS)});;All files (*)"
# A result that comes sooner is shown without a word: flashing marks would only unsettle.
_PATIENCE_MS = 250


class TraceActions(QObject):
    """Connects traces, evaluation and window. `words` changes with what is being done."""

    words_changed = Signal(str)  # "reading 40 %", "evaluating", or nothing

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self.traces = Traces(window.document, lambda: window.files.folder, self)
        self.dialog: TraceDialog | None = None
        self._words = ""
        self._late = QTimer(self)
        self._late.setSingleShot(True)
        self._late.setInterval(_PATIENCE_MS)
        self._late.timeout.connect(self._on_late)
        window.recompute.measured = window.pages.measured = self.traces.measured
        self.traces.changed.connect(window.recompute.run_now)
        self.traces.reading.connect(self._on_reading)
        self.traces.problem_changed.connect(lambda why: window.messages.show_message("trace", why))
        window.recompute.working.connect(self._on_working)
        window.files.saved.connect(self._on_saved)
        window.bench.inputs.trace_wanted.connect(self._on_wanted)

    @property
    def words(self) -> str:
        """What is being done beside the window, in words; empty when nothing is."""
        return self._words

    def import_trace(self) -> None:
        """Ask for a trace file and show how it would be read; nothing changes before that is accepted."""
        window = self._window
        if self._may_import():
            path = window.dialogs.ask_open(window, "Import a measured trace", TRACE_FILES)
            if path is not None:
                self.show_dialog(path)

    def choose_columns(self) -> None:
        """Show how the trace of the project is read, to choose columns, units and place anew."""
        source = self._window.document.project.application.trace
        path = None if source is None else self.traces.origin(source)
        if path is None or not path.is_file():
            self.import_trace()
        else:
            self.show_dialog(path, source)

    @Slot(bool)
    def _on_wanted(self, new: bool) -> None:
        (self.import_trace if new else self.choose_columns)()

    def show_dialog(self, path: Path, source: TraceSource | None = None) -> None:
        """Show the dialog on a file, with the choices of a source where there is one."""
        if self.dialog is not None or not self._may_import():
            return
        from app.trace_dialog import TraceDialog  # only where a trace is imported

        window = self._window
        self.dialog = TraceDialog(window.preferences, self._own_folder(), window)
        self.dialog.accepted.connect(self._take)
        self.dialog.finished.connect(self._forget)
        self.dialog.show_file(path, source)
        self.dialog.open()

    def duty_from(self, where: DutySource) -> None:
        """Take the duty from segments, load or trace, whichever the project has; all are kept."""
        project = self._window.document.project
        change = {
            "segments": edits.follow_segments,
            "load": edits.follow_load,
            "trace": edits.follow_trace,
        }[where]
        try:
            self._window.document.edit(change(project), f"Take the duty from {where}")
        except AmpturnError as error:
            self._window.fail(str(error))

    def shut_down(self) -> None:
        """Leave nothing running."""
        if self.dialog is not None:
            self.dialog.reject()
        self._late.stop()
        self.traces.shut_down()
        self._window.recompute.shut_down()

    def _may_import(self) -> bool:
        reason = self._window.document.read_only_reason
        if reason:
            self._window.fail(f"Nothing was imported. {reason}")
        return not reason

    def _own_folder(self) -> Path | None:
        """Return the folder of the project, None where it has no file, as a copied sample has none."""
        path = self._window.files.path
        return None if path is None else path.parent

    @Slot()
    def _take(self) -> None:
        dialog, window = self.dialog, self._window
        if dialog is None or dialog.read is None or dialog.path is None:
            return
        path, folder = dialog.path, self._own_folder()
        try:
            if folder is not None:
                path = copy_beside(path, folder)
            source = dialog.options.applied(source_of(path, dialog.read.imported.format, dialog.read.sha256))
        except (AmpturnError, OSError) as error:
            window.fail(f"Nothing was imported: {error}")
            return
        self.traces.take(source, path.parent, dialog.read.imported)
        window.document.edit(edits.take_trace(window.document.project, source), "Import trace")
        window.messages.show_message("failure", "")
        if path != dialog.path:
            window.messages.show_message("notice", f"The trace was copied to {path}")

    @Slot()
    def _forget(self) -> None:
        if self.dialog is not None:
            self.dialog.deleteLater()
            self.dialog = None

    @Slot(object)
    def _on_saved(self, before: Path | None) -> None:
        """Put the trace where the project was saved."""
        said = self.traces.put_beside(before)
        if said:
            self._window.messages.show_message("notice", said)

    @Slot(float)
    def _on_reading(self, share: float) -> None:
        self._say("" if share < 0.0 else f"reading {100.0 * share:.0f} %")

    @Slot(bool)
    def _on_working(self, working: bool) -> None:
        if not working:
            self._late.stop()
            self._window.bench.set_stale(bool(self._window.messages.message("stale")))
            if self._words == "evaluating":
                self._say("")
        elif not self._late.isActive():
            self._late.start()

    @Slot()
    def _on_late(self) -> None:
        self._window.bench.set_stale(True)
        if not self._words:
            self._say("evaluating")

    def _say(self, words: str) -> None:
        self._words = words
        self.words_changed.emit(words)
