"""The pages that stand in one place below the plane: the cycle, and what is worked out from it."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Final, cast

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.cycle_view import CyclePlot
from app.views.page_words import PageWords
from app.views.plot_base import PlotPane
from core.results import Result

if TYPE_CHECKING:
    from app.views.electronics_view import ElectronicsView
    from app.views.fault_view import FaultView
    from app.views.feedback_view import FeedbackView
    from app.views.heat_picture_view import HeatPictureView
    from app.views.heating_up_view import HeatingUpView
    from app.views.load_view import LoadView
    from app.views.ratio_view import RatioView
    from app.views.shaft_view import ShaftView
    from app.views.what_helps_panel import WhatHelpsPanel
    from app.views.winding_view import WindingView

    Pane = PlotPane | HeatPictureView | WhatHelpsPanel | ElectronicsView | FaultView | FeedbackView


class CyclePages(QWidget):
    """The cycle, with other pages in its place when asked for by the words above it.

    A page is loaded and made when it is first turned to: a start needs only the cycle.
    """

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._shared = (document, selection, preferences)
        self._result: Result | None = None
        self._pages: dict[str, Pane] = {}
        self.words = PageWords()
        self._stack = QStackedWidget()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.words)
        column.addWidget(self._stack, 1)
        self.cycle = CyclePlot(document, selection, preferences)
        self.cycle.hide_title()
        self._stack.addWidget(self.cycle)
        for name, (words, explanation) in _WORDS.items():
            self.words.add(name, words, explanation)
        self.words.add_list("Drive", "Winding, electronics and supply, feedback, shaft, faults", DRIVE_PAGES)
        self.to_load, self.to_ratio = self.words.buttons["load"], self.words.buttons["ratio"]
        self.words.asked.connect(self.turn_to)
        self.words.show_current("cycle")
        self._show_words()

    @property
    def pages(self) -> tuple[PlotPane, ...]:
        """The cycle and the other plots made so far."""
        return self.cycle, *(page for page in self._pages.values() if isinstance(page, PlotPane))

    def current_page(self) -> QWidget:
        """Return the page that is shown."""
        return self._stack.currentWidget()

    def _show_words(self) -> None:
        """Show the words of those pages that have something to say."""
        application = None if self._result is None else self._result.project.application
        self.to_load.setVisible(application is not None and application.load is not None)
        self.to_ratio.setVisible(
            application is not None and application.load is not None and application.duty_from == "load"
        )

    @property
    def heating_up(self) -> HeatingUpView:
        """The heating up from cold."""
        return cast("HeatingUpView", self.page("from cold"))

    @property
    def heat_flow(self) -> HeatPictureView:
        """The flow of heat as a picture."""
        return cast("HeatPictureView", self.page("heat flow"))

    @property
    def load(self) -> LoadView:
        """The load over one cycle."""
        return cast("LoadView", self.page("load"))

    @property
    def ratio(self) -> RatioView:
        """The ratio study."""
        return cast("RatioView", self.page("ratio"))

    @property
    def what_helps(self) -> WhatHelpsPanel:
        """What each single change would gain."""
        return cast("WhatHelpsPanel", self.page("what would help"))

    @property
    def windings(self) -> WindingView:
        """All windings of the frame."""
        return cast("WindingView", self.page("windings"))

    @property
    def electronics(self) -> ElectronicsView:
        """Ripple, choke and supply."""
        return cast("ElectronicsView", self.page("electronics"))

    @property
    def feedback(self) -> FeedbackView:
        """Each kind of feedback against what is asked."""
        return cast("FeedbackView", self.page("feedback"))

    @property
    def shaft(self) -> ShaftView:
        """Forces on the shaft and life of its bearings."""
        return cast("ShaftView", self.page("shaft"))

    @property
    def faults(self) -> FaultView:
        """What happens when something fails."""
        return cast("FaultView", self.page("faults"))

    def page(self, name: str) -> Pane:
        """Return a page by its name, loaded and made at the first call."""
        if name == "cycle":
            return self.cycle
        page = self._pages.get(name)
        if page is not None:
            return page
        module, view = _VIEWS[name]
        made = cast("Pane", getattr(import_module(module), view)(*self._shared))
        made.hide_title()
        self._pages[name] = made
        self._stack.addWidget(made)
        if self._result is not None:
            made.show_result(self._result)
        return made

    @Slot(str)
    def turn_to(self, name: str) -> None:
        """Show a page and give it the keyboard."""
        page = self.page(name)
        self._stack.setCurrentWidget(page)
        self.words.show_current(name)
        page.setFocus(Qt.FocusReason.OtherFocusReason)

    def show_result(self, result: Result) -> None:
        """Draw a result; the page that is hidden draws when it is turned to."""
        self._result = result
        self._show_words()
        of_load = (self._pages.get("load"), self._pages.get("ratio"))
        if result.project.application.load is None and self.current_page() in of_load:
            self._stack.setCurrentWidget(self.cycle)  # what the page was about is gone
            self.words.show_current("cycle")
        self.cycle.show_result(result)
        for page in self._pages.values():
            page.show_result(result)

    def restyle(self) -> None:
        """Draw again in the units and colours that are preferred now."""
        for page in (self.cycle, *self._pages.values()):
            page.restyle()


_WORDS: Final = {
    "cycle": ("Cycle", "One cycle of the repeating state, with its handles"),
    "from cold": ("From cold", "Temperatures from cold to the repeating state"),
    "heat flow": ("Heat flow", "Where the heat goes: temperatures, watts, and the law of each link"),
    "load": ("Load", "Torque of the load by cause, and how the payload moves"),
    "ratio": ("Ratio", "What other ratios of the transmission would do"),
    "what would help": ("What would help", "The margin that each single change would gain, largest first"),
}

DRIVE_PAGES: Final = {
    "windings": (
        "Windings",
        "All windings of the frame: voltage against current, and which is the fastest that fits",
    ),
    "electronics": (
        "Electronics",
        "Ripple of the current, the choke against it, and what braking does to the supply",
    ),
    "feedback": ("Feedback", "Hall sensors, encoder or none: what each can do about what is asked"),
    "shaft": ("Shaft, brake", "Force on the shaft end, life of the bearings, margins of the brake"),
    "faults": ("Faults", "What a jam, a lost signal or a lost supply does, with its numbers"),
}
_VIEWS: Final = {
    "from cold": ("app.views.heating_up_view", "HeatingUpView"),
    "heat flow": ("app.views.heat_picture_view", "HeatPictureView"),
    "load": ("app.views.load_view", "LoadView"),
    "ratio": ("app.views.ratio_view", "RatioView"),
    "what would help": ("app.views.what_helps_panel", "WhatHelpsPanel"),
    "windings": ("app.views.winding_view", "WindingView"),
    "electronics": ("app.views.electronics_view", "ElectronicsView"),
    "feedback": ("app.views.feedback_view", "FeedbackView"),
    "shaft": ("app.views.shaft_view", "ShaftView"),
    "faults": ("app.views.fault_view", "FaultView"),
}


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(CyclePages)
