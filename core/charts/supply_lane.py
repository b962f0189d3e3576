"""The voltage at the electronics over the cycle as a lane, with the limits that bound it.

It takes the details of the supply, which cost too much for a drag: a lane for when the hand rests.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from core.charts.chart import Axis, Chart, Note, Panel, Rule, Series, Span, Style
from core.charts.display_axis import display_axis, letter, time_axis
from core.results import CandidateResult, Result
from core.supply_results import VoltageTrace
from core.units import DisplayUnits, Kind

TITLE = "Supply voltage"
_WEIGHT = 1.9  # of the lane among those of the cycle: limits need room for their names
_AIR = 0.08  # above and below, as a share of the span of the lane
_LOWEST = Style(role="ink")
_HIGHEST = Style(role="soft")
_LIMIT = Style(role="missed", dash="dashed", width="thin")
_SOURCE = Style(role="soft", dash="dotted", width="thin")


def supply_lane(candidate: CandidateResult, units: DisplayUnits) -> Panel | None:
    """Return the lane of one candidate, None where no voltage of the supply is known."""
    detail = candidate.supply_detail
    if detail is None:
        return None
    curves = [
        _curve(name, trace, style)
        for name, trace, style in (
            ("at the lowest supply voltage", detail.at_lowest, _LOWEST),
            ("at the highest supply voltage", detail.at_highest, _HIGHEST),
        )
        if trace is not None and np.isfinite(trace.voltage).any()
    ]
    if not curves:
        return None
    rules = tuple(
        Rule(line.voltage, line.name, _SOURCE if "of the supply" in line.name else _LIMIT)
        for line in detail.lines
    )
    levels = [rule.y for rule in rules]
    low = min(*(float(np.nanmin(curve.y)) for curve in curves), *levels)
    high = max(*(float(np.nanmax(curve.y)) for curve in curves), *levels)
    air = max(_AIR * (high - low), 0.01 * high)
    return Panel(
        y=display_axis("supply voltage", Kind.VOLTAGE, units, (max(low - air, 0.0), high + air)),
        series=tuple(curves),
        rules=rules,
        weight=_WEIGHT,
    )


def waiting_lane(words: str) -> Panel:
    """Return a lane that only says why there is no voltage in it."""
    y = Axis("supply voltage", range=(0.0, 1.0), ticks=())
    return Panel(y=y, notes=(Note(words, 0.0, 0.5),), weight=_WEIGHT)


def supply_chart(result: Result, candidate: CandidateResult, units: DisplayUnits) -> Chart | None:
    """Return the lane as a chart of its own, None where no voltage of the supply is known."""
    lane, duty = supply_lane(candidate, units), candidate.duty or result.duty
    if lane is None:
        return None
    edges = [float(edge) for edge in duty.edges]
    spans = tuple(Span(start, end, str(number)) for number, (start, end) in enumerate(pairwise(edges), 1))
    headline = f"{letter(candidate.index)} {candidate.name}, at the electronics, cold motor"
    x = time_axis(edges[-1], units, (0.0, edges[-1]))
    return Chart(TITLE, headline, x, (replace(lane, spans=spans),), _summary(candidate, lane, units))


def _summary(candidate: CandidateResult, lane: Panel, units: DisplayUnits) -> str:
    lowest, highest = (
        units.format_quantity(
            float(end([end(curve.y[np.isfinite(curve.y)]) for curve in lane.series])), Kind.VOLTAGE
        )
        for end in (np.min, np.max)
    )
    return f"{candidate.name} sees {lowest} to {highest} from the supply over the cycle."


def _curve(name: str, trace: VoltageTrace, style: Style) -> Series:
    return Series(f"voltage {name}", trace.time, trace.voltage, style, name)
