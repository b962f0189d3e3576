"""The measured traces of the open document: read beside the window, kept, and given to the evaluation."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from functools import partial
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from app.background import Background
from app.document import ProjectDocument
from core.project.load import TraceSource
from core.project.project import Project
from core.trace_source import copy_beside, name_beside, open_trace

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace

# What decides which numbers are read: folder, file, fingerprint, column and unit of time, torque, speed.
Key = tuple[Path | None, str, str, tuple[tuple[int, str], ...]]

# Undo and redo between a few traces need no second reading; a million rows take 24 MB.
_MOST_KEPT = 3


class Traces(QObject):
    """Has the trace that the project refers to, or reads it, or knows why it is not there.

    A project without a file of its own keeps its trace in memory, with the folder it came from; when
    the project is saved, the file is copied beside it.
    """

    changed = Signal()  # a trace is there now
    reading = Signal(float)  # share that is read, from 0 to 1; negative when nothing is read
    problem_changed = Signal(str)  # why the trace in use is not there; empty when nothing is wrong

    def __init__(
        self, document: ProjectDocument, folder: Callable[[], Path | None], parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._folder = document, folder
        self._kept: OrderedDict[Key, ImportedTrace] = OrderedDict()
        self._origins: dict[str, Path] = {}  # where a file was when it was read, by its fingerprint
        self._asked: Key | None = None
        self._refused: dict[Key, str] = {}
        self._problem = ""
        self._background = Background(self)
        self._background.finished.connect(self._on_read)
        self._background.failed.connect(self._on_refused)
        self._background.progressed.connect(self.reading)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self._look)
        document.changed.connect(self._soon.start)
        document.replaced.connect(self.read_again)

    def measured(self, project: Project) -> ImportedTrace | None:
        """Return the trace that the duty of a project comes from, None where it is not there (yet)."""
        source = _source_in_use(project)
        return None if source is None else self._kept.get(self._key(source))

    @property
    def is_reading(self) -> bool:
        """Whether the trace in use is being read."""
        return self._background.is_busy

    def take(self, source: TraceSource, origin: Path, imported: ImportedTrace) -> None:
        """Keep a trace that was read already, from a file in the folder `origin`."""
        self._origins[source.sha256] = origin
        self._keep(self._key(source), imported)

    def origin(self, source: TraceSource) -> Path | None:
        """Return the file of a trace where it was last seen, None where no folder is known."""
        folder = self._origins.get(source.sha256) or self._folder()
        return None if folder is None else folder / source.file

    @Slot()
    def read_again(self) -> None:
        """Forget all traces and read the one in use anew: another document, or a file that was put right."""
        self._stop()
        self._kept.clear()
        self._origins.clear()
        self._refused.clear()
        self._soon.start()

    def put_beside(self, before: Path | None) -> str:
        """Copy the trace of the project to where the project is now; return what must be said about it.

        `before` is the folder of the project until now. What is kept in memory stays good.
        """
        source, folder = self._document.project.application.trace, self._folder()
        if source is None or folder is None or folder == before:
            return ""
        self._kept = OrderedDict(((folder, *key[1:]), imported) for key, imported in self._kept.items())
        start = self._origins.get(source.sha256) or before
        self._refused.clear()
        self._soon.start()
        if start is None or start == folder:
            return ""
        try:
            if name_beside(start / source.file, folder) != source.file:
                return (
                    f"{folder} has another file named {source.file}, so the trace was not copied beside "
                    "the project. Give one of them another name."
                )
            if (folder / source.file).exists():
                return ""
            copy_beside(start / source.file, folder)
        except OSError as error:
            return f"The trace {source.file} is not beside the project: {error.strerror or error}."
        return f"The trace {source.file} was copied beside the project."

    def shut_down(self) -> None:
        """Leave nothing running."""
        self._soon.stop()
        self._background.shut_down()

    @Slot()
    def _look(self) -> None:
        """Read the trace in use if it is not there, and stop reading one that is not in use."""
        source = _source_in_use(self._document.project)
        key = None if source is None else self._key(source)
        if self._asked is not None and key != self._asked:
            self._stop()
        self._set_problem("" if key is None else self._refused.get(key, ""))
        if source is None or key is None or key in self._kept or key in self._refused or key == self._asked:
            return
        path = self.origin(source)
        if path is None:
            self._refuse(key, f"The trace {source.file} is not beside the project, which has no file yet.")
            return
        self._asked = key
        self.reading.emit(0.0)
        self._background.start(partial(_read, source, path.parent))

    def _stop(self) -> None:
        self._background.cancel()
        if self._asked is not None:
            self._asked = None
            self.reading.emit(-1.0)

    @Slot(object)
    def _on_read(self, imported: ImportedTrace) -> None:
        key, self._asked = self._asked, None
        self.reading.emit(-1.0)
        if key is not None:
            self._keep(key, imported)

    @Slot(object)
    def _on_refused(self, error: Exception) -> None:
        key, self._asked = self._asked, None
        self.reading.emit(-1.0)
        if key is not None:
            folder, name = key[0], key[1]
            self._refuse(key, _words(error, name, folder))

    def _refuse(self, key: Key, message: str) -> None:
        self._refused[key] = message
        self._set_problem(message)

    def _set_problem(self, message: str) -> None:
        if message != self._problem:
            self._problem = message
            self.problem_changed.emit(message)

    def _keep(self, key: Key, imported: ImportedTrace) -> None:
        self._kept[key] = imported
        self._kept.move_to_end(key)
        self._refused.pop(key, None)
        self._soon.start()  # what was wrong may be right now
        while len(self._kept) > _MOST_KEPT:
            self._kept.popitem(last=False)
        if self.measured(self._document.project) is not None:
            self.changed.emit()

    def _key(self, source: TraceSource) -> Key:
        columns = tuple((one.number, one.unit) for one in (source.time, source.torque, source.speed))
        return self._folder(), source.file, source.sha256, columns


def _source_in_use(project: Project) -> TraceSource | None:
    application = project.application
    return application.trace if application.duty_from == "trace" else None


def _read(source: TraceSource, folder: Path, progress: Callable[[float], None], stop: Event) -> ImportedTrace:
    return open_trace(source, folder, progress, stop)


def _words(error: Exception, name: str, folder: Path | None) -> str:
    """Say why a trace is not there, and what follows."""
    if isinstance(error, FileNotFoundError):
        why = (
            f"The trace {name} is missing: it is not in {folder}, where the project is. Put it there and "
            "open the project again, or import it anew."
        )
    elif isinstance(error, OSError):
        why = f"The trace {name} cannot be read: {error.strerror or error}."
    else:
        why = f"The trace {name} is not read: {str(error).rstrip('.')}."
    return f"{why} What depends on the duty is not checked."
