"""The panel of inputs: the questions an application answers, and the candidates."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QFont, QFontMetrics
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.inputs.application_group import ApplicationGroup
from app.inputs.place_group import PlaceGroup
from app.inputs.what_drives_it import WhatDrivesIt
from app.inputs.what_feeds_it import SUPPLY, SUPPLY_MORE, SupplyMoreGroup
from app.inputs.what_it_must_meet import MOTION, REQUIREMENTS
from app.inputs.what_moves import WhatMoves
from app.inputs.where_it_sits import SITE, SURROUNDINGS
from app.parts_shelf import PartsShelf
from app.preferences import Preferences
from app.selection import Selection
from core.project.project import Project
from core.results import Result

SMALLEST_WIDTH, LARGEST_MINIMUM = 250, 480
SIDE = 12
FRAMES = 6  # around the page: of the pane and of the area that scrolls it [px]

Group = WhatMoves | ApplicationGroup | WhatDrivesIt


class InputsPanel(QFrame):
    """Groups in the order in which one asks; each shows the document and edits it."""

    table_wanted = Signal()
    trace_wanted = Signal(bool)  # see `WhatMoves`
    asked = Signal(str, int)  # what the user asks for a candidate, see `WhatDrivesIt`

    def __init__(
        self, document: ProjectDocument, selection: Selection, preferences: Preferences, shelf: PartsShelf
    ) -> None:
        super().__init__()
        self._document, self._selection, self._preferences = document, selection, preferences
        self.setProperty("surface", "pane")
        self.what_moves = WhatMoves(document, selection, preferences)
        self.where_it_sits = PlaceGroup(SITE, document, preferences)
        self.surroundings = ApplicationGroup(SURROUNDINGS, document, preferences)
        self.where_it_sits.take_in(self.surroundings)
        self.what_feeds_it = ApplicationGroup(SUPPLY, document, preferences)
        self.supply_more = SupplyMoreGroup(SUPPLY_MORE, document, preferences)
        self.what_feeds_it.take_in(self.supply_more)
        self.what_drives_it = WhatDrivesIt(document, preferences, shelf)
        self.what_it_must_meet = ApplicationGroup(REQUIREMENTS, document, preferences)
        self.motion = ApplicationGroup(MOTION, document, preferences)
        self.what_it_must_meet.take_in(self.motion)
        self.groups: tuple[Group, ...] = (
            self.what_moves,
            self.where_it_sits,
            self.surroundings,
            self.what_feeds_it,
            self.supply_more,
            self.what_drives_it,
            self.what_it_must_meet,
            self.motion,
        )
        self._lay_out()
        self.what_moves.table_wanted.connect(self.table_wanted)
        self.what_moves.trace_wanted.connect(self.trace_wanted)
        self.what_drives_it.asked.connect(self.asked)
        document.changed.connect(self.show_project)
        document.replaced.connect(self._on_replaced)
        document.refused.connect(self._on_refused)
        self.show_project(document.project, document.revision)

    def _lay_out(self) -> None:
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(SIDE, 8, SIDE, 12)
        column.setSpacing(8)
        for group in self.groups:
            if group not in (self.surroundings, self.supply_more, self.motion):  # they lie in the one before
                column.addWidget(group)
        column.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidget(page)
        # both are transparent, or they paint the ground over the pane
        scroll.viewport().setAutoFillBackground(False)
        page.setAutoFillBackground(False)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(1, 1, 1, 1)
        outer.addWidget(scroll)
        self._scroll, self._page = scroll, page
        page.installEventFilter(self)

    def show_project(self, project: Project, _revision: int = 0) -> None:
        """Show the inputs of a project; groups whose part is the same do nothing."""
        for group in self.groups:
            group.show_project(project)
        self._make_room()

    def _make_room(self) -> None:
        """Widen for open groups and for candidates; beyond a point their columns are scrolled."""
        bar = self._scroll.verticalScrollBar().sizeHint().width()
        columns = self.what_drives_it.narrowest() + 2 * SIDE + 4
        wanted = max(columns, self._page.minimumSizeHint().width()) + bar + FRAMES
        self.setMinimumWidth(min(max(wanted, SMALLEST_WIDTH), LARGEST_MINIMUM))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() is QEvent.Type.LayoutRequest and watched is self._page:
            self._make_room()
        return False

    def go_to(self, group: Group, field: QWidget | None) -> None:
        """Open a group, bring it into sight and give one of its fields the focus."""
        group.set_open(True)
        if field is not None:
            self._scroll.ensureWidgetVisible(field, 0, 40)
            field.setFocus(Qt.FocusReason.OtherFocusReason)

    def show_result(self, result: Result) -> None:
        """Show what depends on the result: the sketch of the load, and results beside inputs."""
        self.what_moves.show_result(result)
        self.what_feeds_it.show_result(result)
        self.what_drives_it.show_result(result)

    def restyle(self) -> None:
        """Show the units and colours of the moment."""
        for group in self.groups:
            group.show_units()
        self.update()

    def _on_replaced(self) -> None:
        read_only = bool(self._document.read_only_reason)
        for group in self.groups:
            group.set_read_only(read_only)

    def _on_refused(self, _reason: str) -> None:
        for group in self.groups:
            group.forget()


def comfortable_width(font: QFont) -> int:
    """Return the width at which labels and two candidates fit, scroll bar included [px]."""
    return QFontMetrics(font).horizontalAdvance("0") * 42
