"""The cycle as a chart: torque, speed and temperature above one time axis."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.charts.chart import Chart, Note, Panel, Series, Span, Style
from core.charts.display_axis import (
    degrees,
    display_axis,
    empty_top,
    letter,
    shown_candidates,
    time_axis,
    time_words,
)
from core.charts.temperature_chart import (
    hot_spot,
    limit_rules,
    peak_words,
    role_style,
    roles,
    state_words,
    temperature_range,
)
from core.numeric import FloatArray
from core.results import CandidateResult, DutyTrace, Result
from core.units import DisplayUnits, Kind

TITLE = "Cycle"
TORQUE_LANE, SPEED_LANE, TEMPERATURE_LANE = range(3)
_INK = Style(role="ink")
_GHOST = Style(role="soft", dash="dotted", width="thin")
GHOST_WORDS = "what the load asks"
_PEAK = Style(role="soft", dash="dotted", width="thin")
# Air above and below the curve of a lane, as a share of its span: room for the handles.
_AIR = 0.16


def cycle_chart(
    result: Result,
    units: DisplayUnits,
    selected: int | None = None,
    with_settling: bool = True,
    below: tuple[Panel, ...] = (),
) -> Chart:
    """Return the cycle of a result; `selected` is the segment that is shaded.

    The lanes `below` stand under the others, with the segments marked in them too.

    Without `with_settling` the headline leaves out when the temperatures settle: that needs the heating
    up from cold, which costs too much within a drag.
    """
    duty = result.duty
    end = float(duty.edges[-1]) if len(duty.edges) > 1 else 1.0
    panels = (
        _duty_panel(result, units, Kind.TORQUE, selected),
        _duty_panel(result, units, Kind.SPEED, selected),
        _temperature_panel(result, units, selected),
        *(replace(lane, spans=_spans(result, selected, numbered=False)) for lane in below),
    )
    return Chart(
        TITLE,
        _headline(result, units, with_settling),
        time_axis(end, units, (0.0, end)),
        panels,
        _summary(result, units),
    )


def _duty_panel(result: Result, units: DisplayUnits, kind: Kind, selected: int | None) -> Panel:
    is_torque, ghost = kind is Kind.TORQUE, result.ghost
    name = "torque" if is_torque else "speed"
    values = _of(result.duty, kind)
    both = values if ghost is None else np.concatenate((values, _of(ghost, kind)))
    low, high = _span(both, empty_top(kind, units))
    ticks = tuple(sorted({low, 0.0, high}))
    air = _AIR * (high - low)
    curves = [Series(name, result.duty.time, values, _INK, fill_to=0.0 if is_torque else None)]
    if ghost is not None:
        words = GHOST_WORDS if is_torque else ""
        curves.append(Series(f"{name} of the load", ghost.time, _of(ghost, kind), _GHOST, words))
    return Panel(
        y=display_axis(name, kind, units, (low - air, high + air), _apart(ticks)),
        series=tuple(curves),
        spans=_spans(result, selected, numbered=is_torque),
        weight=1.3 if is_torque else 1.1,
    )


def _of(duty: DutyTrace, kind: Kind) -> FloatArray:
    return duty.shaft_torque if kind is Kind.TORQUE else duty.speed


def _span(values: FloatArray, top: float) -> tuple[float, float]:
    """Return the extent of a lane with zero in it; a lane of nothing but zeros ends at `top`."""
    low = min(0.0, float(values.min())) if len(values) else 0.0
    high = max(0.0, float(values.max())) if len(values) else 0.0
    return (low, high) if high - low > 1e-12 else (0.0, top)


def _apart(ticks: tuple[float, ...]) -> tuple[float, ...]:
    """Drop zero where a level stands so close that both numbers would touch."""
    span = ticks[-1] - ticks[0]
    return tuple(t for t in ticks if t != 0.0 or all(o == t or abs(o - t) > 0.2 * span for o in ticks))


def _spans(result: Result, selected: int | None, numbered: bool) -> tuple[Span, ...]:
    edges = result.duty.edges
    return tuple(
        Span(float(edges[k]), float(edges[k + 1]), str(k + 1) if numbered else "", k == selected)
        for k in range(len(edges) - 1)
    )


def _temperature_panel(result: Result, units: DisplayUnits, selected: int | None) -> Panel:
    curves: list[Series] = []
    for candidate in shown_candidates(result):
        curves += _temperatures(result, candidate, units)
    values = [float(v) for s in curves if len(s.y) for v in (s.y.min(), s.y.max())]
    rules = limit_rules(result, units) if curves else ()
    bounds = temperature_range(values, [rule.y for rule in rules])
    return Panel(
        y=display_axis("temperature", Kind.TEMPERATURE, units, bounds),
        series=(*curves, *_peak_mark(result)),
        rules=rules,
        notes=_absent(result, units, bounds),
        spans=_spans(result, selected, numbered=False),
        weight=2.1,
    )


def _temperatures(result: Result, candidate: CandidateResult, units: DisplayUnits) -> list[Series]:
    trace = candidate.cycle
    if trace is None:
        return []
    series = []
    highest = {peak.role: peak.temp for peak in candidate.peaks}
    for role, words, node in roles(candidate, trace.nodes):
        y = trace.temps[:, trace.nodes.index(node)] + hot_spot(result, role)
        label = f"{letter(candidate.index)} {words}"
        label += f" {degrees(highest[role], units)}" if role in highest else ""
        style = role_style(candidate, role)
        series.append(Series(f"{candidate.index} {role}", trace.time, y, style, label))
    return series


def _absent(result: Result, units: DisplayUnits, bounds: tuple[float, float]) -> tuple[Note, ...]:
    """Say why a candidate has no curve in the lane; the headline speaks for the chosen one."""
    absent = [c for c in shown_candidates(result) if c.cycle is None and c is not result.chosen_candidate]
    words = "; ".join(f"{letter(c.index)} {state_words(c, units, with_settling=False)}" for c in absent)
    return (Note(words, 0.0, bounds[1] - 0.08 * (bounds[1] - bounds[0])),) if words else ()


def _peak_mark(result: Result) -> list[Series]:
    """Return the line from the winding's peak up to its limit: the room that is left."""
    chosen = result.chosen_candidate
    if chosen is None or chosen.cycle is None:
        return []
    peak = next((p for p in chosen.peaks if p.role == "winding" and p.limit is not None), None)
    if peak is None or peak.limit is None:
        return []
    x = np.array([peak.instant, peak.instant])
    return [Series("winding peak", x, np.array([peak.temp, peak.limit]), _PEAK)]


def _headline(result: Result, units: DisplayUnits, with_settling: bool) -> str:
    edges = result.duty.edges
    if len(edges) < 2:
        return "no trace yet" if result.project.application.duty_from == "trace" else "no segments yet"
    words = time_words(float(edges[-1]), units)
    chosen = result.chosen_candidate
    return words if chosen is None else f"{words}, {state_words(chosen, units, with_settling)}"


def _summary(result: Result, units: DisplayUnits) -> str:
    count = len(result.duty.edges) - 1
    if count < 1:
        return "The cycle has no segments yet."
    words = f"{count} segments in {time_words(float(result.duty.edges[-1]), units)}"
    chosen = result.chosen_candidate
    if chosen is None:
        return words + "."
    peaks = peak_words(chosen, units)
    return f"{words}; {chosen.name}: {peaks or state_words(chosen, units, with_settling=False).rstrip('.')}."
