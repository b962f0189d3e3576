"""Leads through a new project: watches what is answered, opens the next question and goes there."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QApplication, QWidget

from core.project.project import Project

if TYPE_CHECKING:
    from app.guide_strip import GuideStrip
    from app.main_window import MainWindow
    from core.project.first_steps import Step


class Guide(QObject):
    """Shows the strip for a project that answers none of the first questions, until it is closed."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self.strip: GuideStrip | None = None
        self._left: tuple[Step, ...] = ()
        window.document.replaced.connect(self._on_replaced)
        window.document.changed.connect(self._on_changed)

    @property
    def is_on_show(self) -> bool:
        """Whether it leads at the moment."""
        return self.strip is not None and not self.strip.isHidden()

    def start(self) -> None:
        """Show the strip and go to the first question that is open."""
        from app.guide_strip import GuideStrip
        from core.project.first_steps import open_steps

        if self.strip is None:
            self.strip = GuideStrip()
            self.strip.closed.connect(self.stop)
            self.strip.wanted.connect(self.go_to)
            self._window.show_above_pages(self.strip)
        project = self._window.document.project
        self._left = open_steps(project)
        self.strip.show_project(project)
        self.strip.show()
        if self._left:
            self.go_to(self._left[0])

    def stop(self) -> None:
        """Take the strip away."""
        if self.strip is not None:
            self.strip.hide()

    def go_to(self, step: Step) -> None:
        """Open the group of a step and put the focus where its answer begins."""
        window = self._window
        inputs = window.bench.inputs
        window.turn_to("bench")
        window.bench.fold("inputs", False)
        if step == "What moves":
            inputs.go_to(inputs.what_moves, inputs.what_moves.source)
        elif step == "What feeds it":
            inputs.go_to(inputs.what_feeds_it, inputs.what_feeds_it.first_field())
        else:
            inputs.go_to(inputs.what_drives_it, inputs.what_drives_it.add)

    def _on_replaced(self) -> None:
        document = self._window.document
        if document.project == Project() and not document.read_only_reason:
            self.start()
        else:
            self.stop()

    def _on_changed(self, project: Project, _revision: int) -> None:
        if self.strip is None or not self.is_on_show:
            return
        from core.project.first_steps import open_steps

        before, self._left = self._left, open_steps(project)
        self.strip.show_project(project)
        answered = [step for step in before if step not in self._left]
        # later, so that the edit is shown before the focus moves; not out of where more can be typed
        if answered and self._left and not self._is_typing(QApplication.focusWidget()):
            QTimer.singleShot(0, self, partial(self.go_to, self._left[0]))

    def _is_typing(self, focus: QWidget | None) -> bool:
        """Return whether the focus is where an answer has further parts: cells, moves, voltages."""
        bench = self._window.bench
        places = (bench.table, bench.inputs.what_moves.load, bench.inputs.what_feeds_it)
        return focus is not None and any(one is not None and one.isAncestorOf(focus) for one in places)
