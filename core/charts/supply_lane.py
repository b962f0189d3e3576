"""The voltage at the electronics over the cycle as a lane, with the limits that bound it.

It takes the details of the supply, which cost too much for a drag: a lane for when the hand rests.
"""

from __future__ import annotations

import numpy as np

from core.charts.chart import Panel, Rule, Series, Style
from core.charts.display_axis import display_axis
from core.results import CandidateResult
from core.supply_results import VoltageTrace
from core.units import DisplayUnits, Kind

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
        weight=1.3,
    )


def _curve(name: str, trace: VoltageTrace, style: Style) -> Series:
    return Series(f"voltage {name}", trace.time, trace.voltage, style, name)
