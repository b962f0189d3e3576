"""The parts that candidates choose from: the parts that come with the tool until another file is opened."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Signal

from core.catalogue.parts_file import PartsFile, load_demo_parts, read_parts
from core.errors import AmpturnError
from core.project.candidate import Drive
from core.project.feedback import Feedback
from core.project.fittings import HoldingBrake
from core.project.motor import Motor
from core.project.transmission import Transmission

DEMO_NAME = "demo parts (invented)"


class PartsShelf(QObject):
    """Holds one parts file. It is read when it is first asked for, after the first paint."""

    changed = Signal()
    failed = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._parts: PartsFile | None = None
        self.name = DEMO_NAME

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
            self.failed.emit(f"{path.name} is not opened: {error}")
            return False
        self.take(path, parts)
        return True

    def take(self, path: Path, parts: PartsFile) -> None:
        """Put parts on the shelf that are known to be what a file holds."""
        self._parts, self.name = parts, path.stem
        self.changed.emit()
