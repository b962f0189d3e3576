"""The parts that candidates choose from: the parts that come with the tool until another file is opened."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, Signal, Slot

from app.background import Background
from core.catalogue.parts_file import PartsFile, load_demo_parts, read_parts
from core.errors import AmpturnError
from core.project.candidate import Drive
from core.project.feedback import Feedback
from core.project.fittings import HoldingBrake
from core.project.motor import Motor
from core.project.transmission import Transmission

DEMO_NAME = "demo parts (invented)"
READ_AT_ONCE: Final = 2_000_000  # bytes, a small part of a second; larger files are read beside the window


class PartsShelf(QObject):
    """Holds one parts file. It is read when it is first asked for, after the first paint."""

    changed = Signal()
    failed = Signal(str)
    reading = Signal(str)  # the name of a file that is read beside the window, empty when that is over

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._parts: PartsFile | None = None
        self.name = DEMO_NAME
        self._coming: Path | None = None
        self._background = Background(self)
        self._background.finished.connect(self._on_read)
        self._background.failed.connect(self._on_failed)

    @property
    def is_loaded(self) -> bool:
        """Whether the parts have been read."""
        return self._parts is not None

    @property
    def parts(self) -> PartsFile | None:
        """All parts on the shelf, None before they are read."""
        return self._parts

    @property
    def files(self) -> tuple[PartsFile, ...]:
        """The parts files on the shelf, none before they are read."""
        return () if self._parts is None else (self._parts,)

    @property
    def motors(self) -> tuple[Motor, ...]:
        """The frames on the shelf, none before they are read."""
        return self._parts.motors if self._parts is not None else ()

    @property
    def drives(self) -> tuple[Drive, ...]:
        """The electronics on the shelf."""
        return self._parts.drives if self._parts is not None else ()

    @property
    def feedback(self) -> tuple[Feedback, ...]:
        """The feedback devices on the shelf."""
        return self._parts.feedback if self._parts is not None else ()

    @property
    def brakes(self) -> tuple[HoldingBrake, ...]:
        """The holding brakes on the shelf."""
        return self._parts.brakes if self._parts is not None else ()

    @property
    def transmissions(self) -> tuple[Transmission, ...]:
        """The gears and belts on the shelf."""
        return self._parts.transmissions if self._parts is not None else ()

    def load(self) -> None:
        """Read the parts that come with the tool, unless there are parts already."""
        if self._parts is not None:
            return
        try:
            self._parts = load_demo_parts()
        except (AmpturnError, OSError) as error:
            self.failed.emit(f"The parts that come with the tool cannot be read: {error}")
            return
        self.changed.emit()

    def open(self, path: Path) -> bool:
        """Put the parts of another file on the shelf; the old ones stay if it is refused."""
        try:
            parts = read_parts(path)
        except AmpturnError as error:
            self._refuse(path, error)
            return False
        self.take(path, parts)
        return True

    def begin_opening(self, path: Path) -> None:
        """Open a file, a large one beside the window; the parts that are there stay until it is read."""
        self.stop_opening()
        if not path.is_file() or path.stat().st_size <= READ_AT_ONCE:
            self.open(path)
            return
        self._coming = path
        self.reading.emit(path.name)
        self._background.start(lambda _tell, _stop: read_parts(path))

    def stop_opening(self) -> None:
        """Leave the parts as they are, where a file is being read."""
        self._background.cancel()
        self._end()

    def shut_down(self) -> None:
        """Stop, and wait until nothing is read any more."""
        self._background.shut_down()

    def _end(self) -> Path | None:
        path, self._coming = self._coming, None
        if path is not None:
            self.reading.emit("")
        return path

    @Slot(object)
    def _on_read(self, parts: PartsFile) -> None:
        path = self._end()
        if path is not None:
            self.take(path, parts)

    @Slot(object)
    def _on_failed(self, error: Exception) -> None:
        path = self._end()
        if path is not None:
            self._refuse(path, error)

    def _refuse(self, path: Path, error: Exception) -> None:
        self.failed.emit(f"{path.name} is not opened: {error}")

    def take(self, path: Path, parts: PartsFile) -> None:
        """Put parts on the shelf that are known to be what a file holds."""
        self._parts, self.name = parts, path.stem
        self.changed.emit()
