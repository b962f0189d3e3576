"""The heating up from cold on its own time axis, minutes to hours, as the envelope of each cycle."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.plot_base import PlotPane
from core.charts.chart import Chart
from core.charts.temperature_chart import TITLE, temperature_chart
from core.results import Result


class HeatingUpView(PlotPane):
    """Draws lowest and highest temperature of every cycle from cold until nothing changes any more."""

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(document, selection, preferences, TITLE, pans_y=False, parent=parent)
        self.back = self.add_button("show the cycle", "One cycle of the repeating state, with its handles")

    def chart(self, result: Result) -> Chart:
        """Return the heating up of a result."""
        return temperature_chart(result, self._preferences.display_units)


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(HeatingUpView)
