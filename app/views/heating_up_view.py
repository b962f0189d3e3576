"""The heating up from cold on its own time axis, minutes to hours, as the envelope of each cycle."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from PySide6.QtWidgets import QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.plot_base import PlotPane
from core.charts.chart import Chart
from core.charts.display_axis import shown_candidates
from core.charts.temperature_chart import TITLE, temperature_chart
from core.results import Result


class HeatingUpView(PlotPane):
    """Draws lowest and highest temperature of every cycle from cold until nothing changes any more."""

    lit_by = MappingProxyType(
        {
            "torque_reserve": "winding",
            "winding_temperature": "winding",
            "magnet_temperature": "magnets",
            "outside_temperature": "outside",
        }
    )

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(document, selection, preferences, TITLE, pans_y=False, parent=parent)
        self._drawn: Chart | None = None

    def chart(self, result: Result) -> Chart:
        """Return the heating up of a result; the one before, said to be old, while it is not there yet."""
        if self._drawn is not None and self.is_late(result):
            return replace(self._drawn, headline="updating")
        self._drawn = temperature_chart(result, self._preferences.display_units)
        return self._drawn

    def is_late(self, result: Result) -> bool:
        """Return whether a heating up is still to be computed."""
        traces = [candidate.heating_up_later for candidate in shown_candidates(result)]
        return any(later is not None and not later.known for later in traces)

    def fetch_late(self, result: Result) -> None:
        """Compute the heating up of all candidates that are drawn."""
        for candidate in shown_candidates(result):
            if candidate.heating_up_later is not None:
                candidate.heating_up_later.value()


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(HeatingUpView)
