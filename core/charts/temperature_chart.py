"""Temperatures as a chart: the heating up from cold, and the curves and limits the cycle chart shares.

The winding is drawn at its hottest place: mean temperature plus the hot-spot allowance of the
project, because that is what its limit is meant for and what the margins show.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from core.charts.chart import Band, Chart, Panel, Rule, Series, Style, Width
from core.charts.display_axis import (
    as_given,
    candidate_style,
    degrees,
    display_axis,
    letter,
    shown_candidates,
    time_axis,
    time_words,
)
from core.results import CandidateResult, Result
from core.units import DisplayUnits, Kind

TITLE = "Heating up from cold"
_MOST_OVER = 80.0  # [K] how far above the highest limit a curve is followed
_WIDTHS: dict[str, Width] = {"winding": "regular", "magnets": "thin", "outside": "thin"}


def temperature_chart(result: Result, units: DisplayUnits) -> Chart:
    """Return the temperatures from cold to the repeating state, per node lowest to highest of the cycle."""
    bands: list[Band] = []
    edges: list[Series] = []
    for candidate in shown_candidates(result):
        candidate_bands, candidate_edges = _envelopes(result, candidate)
        bands += candidate_bands
        edges += candidate_edges
    longest = max([float(band.x[-1]) for band in bands if len(band.x)] + [0.0]) or 1.0
    values = [float(np.nanmax(band.high)) for band in bands if len(band.high)]
    values += [float(np.nanmin(band.low)) for band in bands if len(band.low)]
    rules = limit_rules(result, units)
    bounds = temperature_range(values, [rule.y for rule in rules])
    panel = Panel(
        y=display_axis("temperature", Kind.TEMPERATURE, units, bounds),
        series=(*edges, *_settled(result, bounds, units)),
        bands=tuple(bands),
        rules=rules,
    )
    x = time_axis(longest, units, (0.0, longest))
    return Chart(TITLE, _headline(result, units), x, (panel,), _summary(result, units))


def roles(candidate: CandidateResult, nodes: tuple[str, ...]) -> tuple[tuple[str, str, str], ...]:
    """Return the nodes whose temperature is drawn: role, words, node; a shared node once.

    Two roles share a node where the heat network is coarse, and their curve then carries both words.
    Without peaks (the temperatures run away) every node is drawn under its own name.
    """
    if not candidate.peaks:
        return tuple((node, node, node) for node in nodes)
    found: dict[str, tuple[str, str, str]] = {}
    for peak in candidate.peaks:
        role, words, _ = found.get(peak.node, (peak.role, "", peak.node))
        found[peak.node] = (role, f"{words} and {peak.role}" if words else peak.role, peak.node)
    return tuple(row for row in found.values() if row[2] in nodes)


def hot_spot(result: Result, role: str) -> float:
    """Return what is added to the mean temperature of a node for its hottest place. [K]"""
    return result.project.application.requirements.hot_spot_allowance if role == "winding" else 0.0


def role_style(candidate: CandidateResult, role: str) -> Style:
    """Return the style of a temperature curve: the winding heavier than what follows from it."""
    return candidate_style(candidate.index, _WIDTHS.get(role, "thin"))


def limit_rules(result: Result, units: DisplayUnits) -> tuple[Rule, ...]:
    """Return the limit lines: one for each role, or for each candidate where they differ."""
    limits: dict[tuple[str, float], list[int]] = {}
    shown = shown_candidates(result)
    for candidate in shown:
        for peak in candidate.peaks:
            if peak.limit is not None:
                limits.setdefault((peak.role, peak.limit), []).append(candidate.index)
    rules = []
    for (role, limit), indices in sorted(limits.items(), key=lambda item: -item[0][1]):
        others = [other for (name, _), other in limits.items() if name == role]
        who = "" if len(others) == 1 else " ".join(letter(index) for index in indices) + " "
        where = ", hottest place" if role == "winding" and hot_spot(result, role) else ""
        words = f"{who}{role} limit {units.format_entry(limit, Kind.TEMPERATURE)}{where}"
        rules.append(Rule(limit, words, Style(role="missed", dash="dashed", width="thin")))
    return tuple(rules)


def temperature_range(values: Sequence[float], limits: Sequence[float]) -> tuple[float, float]:
    """Return the range of a temperature axis: all curves and limits, with some air."""
    low, high = (min(values), max(values)) if values else (20.0, 100.0)
    if limits:
        high = min(high, max(limits) + _MOST_OVER)  # a run-away has no end
    low, high = min([low, *limits]), max([high, *limits])
    air = 0.06 * (high - low) + 1.0
    return low - air, high + air


def _envelopes(result: Result, candidate: CandidateResult) -> tuple[list[Band], list[Series]]:
    trace = candidate.heating_up
    if trace is None:
        return [], []
    bands, edges = [], []
    for role, words, node in roles(candidate, trace.nodes):
        column, add = trace.nodes.index(node), hot_spot(result, role)
        low, high = trace.lowest[:, column] + add, trace.highest[:, column] + add
        name = f"{candidate.index} {role}"
        style = role_style(candidate, role)
        bands.append(Band(name, trace.time, low, high, style))
        edges.append(Series(f"{name} highest", trace.time, high, style, f"{letter(candidate.index)} {words}"))
    return bands, edges


def _settled(result: Result, bounds: tuple[float, float], units: DisplayUnits) -> list[Series]:
    chosen = result.chosen_candidate
    trace = None if chosen is None else chosen.heating_up
    if trace is None or trace.settled_after is None or trace.settled_after <= 0.0:
        return []
    x = np.array([trace.settled_after, trace.settled_after])
    words = f"settled after {time_words(trace.settled_after, units, 2)}"
    style = Style(role="soft", dash="dotted", width="thin")
    return [Series("settled", x, np.array(bounds), style, words)]


def _headline(result: Result, units: DisplayUnits) -> str:
    chosen = result.chosen_candidate
    ambient = result.project.application.site.ambient
    words = "" if ambient is None else f"at {as_given(ambient, Kind.TEMPERATURE, units)}, "
    return (
        f"{words}lowest and highest of each cycle" if chosen is None else words + state_words(chosen, units)
    )


def state_words(candidate: CandidateResult, units: DisplayUnits, with_settling: bool = True) -> str:
    """Return whether and when the temperatures settle, in a few words.

    Without `with_settling` the heating up is not looked at: it costs too much within a drag.
    """
    away = next((f for f in candidate.findings if f.code == "thermal_run_away"), None)
    if away is not None:
        after = away.values.get("time_to_limit_s")
        words = "runs away, never settles"
        return words if after is None else f"{words}; first limit after {time_words(after, units, 2)}"
    if candidate.cycle is None:
        return (
            f"no temperatures: {candidate.missing[0]} is missing" if candidate.missing else "no temperatures"
        )
    if not with_settling:
        return "repeating state"
    trace = candidate.heating_up
    if trace is None or trace.settled_after is None:
        return "repeating state"
    return f"repeating state, settles after {time_words(trace.settled_after, units, 2)}"


def peak_words(candidate: CandidateResult, units: DisplayUnits) -> str:
    """Return the highest temperatures of a candidate as a list of words."""
    parts = []
    for peak in candidate.peaks:
        words = f"{peak.role} {degrees(peak.temp, units)}"
        if peak.limit is not None:
            words += f" of {units.format_entry(peak.limit, Kind.TEMPERATURE)}"
        words += f" {units.symbol(Kind.TEMPERATURE)}"
        parts.append(words)
    return ", ".join(parts)


def _summary(result: Result, units: DisplayUnits) -> str:
    chosen = result.chosen_candidate
    if chosen is None:
        return "No candidate is chosen, so there are no temperatures."
    peaks = peak_words(chosen, units)
    return f"{chosen.name}: {state_words(chosen, units).rstrip('.')}{'; ' if peaks else ''}{peaks}."
