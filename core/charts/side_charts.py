"""Each candidate in a chart of its own, all of them with the same axes, so that columns can be compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from core.charts.bar_charts import losses_chart, losses_top, peaks_chart
from core.charts.chart import Chart
from core.charts.display_axis import shown_candidates
from core.charts.speed_torque_chart import plane_frame, speed_torque_chart
from core.results import Result
from core.units import DisplayUnits

LOW_LINE = 0.09  # height of a line of words over that of the low panels that stand in columns


def alone(result: Result, index: int) -> Result:
    """Return the result of one candidate, which is the chosen one there; it keeps its letter."""
    candidate = result.candidates[index]
    return replace(
        result,
        candidates=(candidate,),
        chosen=0,
        duty=result.duty if candidate.duty is None else candidate.duty,
        ghost=result.ghost if index == result.chosen else None,  # it stands at the chosen one's shaft
    )


def plane_charts(result: Result, units: DisplayUnits, selected: int | None = None) -> tuple[Chart, ...]:
    """Return the speed-torque plane of each candidate with its own load points."""
    of = _each(result)
    frames = [plane_frame(result, units), *(plane_frame(one, units) for one in of)]
    speeds, torques = zip(*frames, strict=True)
    frame = (_hull(speeds), _hull(torques))
    return tuple(speed_torque_chart(one, units, selected, frame=frame) for one in of)


def peaks_charts(result: Result, units: DisplayUnits) -> tuple[Chart, ...]:
    """Return the peak temperatures of each candidate. Looks at the band: not within a drag."""
    of = _each(result)
    bounds = _hull([_y_range(peaks_chart(one, units)) for one in of]) if of else None
    return tuple(_with_quiet_ambient(peaks_chart(one, units, bounds, LOW_LINE)) for one in of)


def losses_charts(result: Result, units: DisplayUnits) -> tuple[Chart, ...]:
    """Return the mean losses of each candidate by cause."""
    top = losses_top(result, units)
    return tuple(losses_chart(one, units, top, LOW_LINE) for one in _each(result))


def _with_quiet_ambient(chart: Chart) -> Chart:
    """Return the chart without words at the line of the ambient: they would cover a low bar."""
    panel = chart.panels[0]
    rules = tuple(
        replace(rule, label="") if rule.label.startswith("ambient") else rule for rule in panel.rules
    )
    return replace(chart, panels=(replace(panel, rules=rules),))


def _each(result: Result) -> list[Result]:
    return [alone(result, candidate.index) for candidate in shown_candidates(result)]


def _y_range(chart: Chart) -> tuple[float, float]:
    return chart.panels[0].y_range()


def _hull(ranges: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Return the range that holds all of these."""
    return min(low for low, _ in ranges), max(high for _, high in ranges)
