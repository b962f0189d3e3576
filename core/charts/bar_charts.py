"""Candidates beside each other as bars: mean losses by cause, peak temperatures against their limits.

The colour of a bar is that of its candidate; causes differ by hatching, and words stand at every bar.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from core.charts.chart import Axis, Band, Chart, Hatch, Note, Panel, Rule, Series, Style
from core.charts.display_axis import (
    as_given,
    candidate_style,
    degrees,
    display_axis,
    letter,
    shown_candidates,
)
from core.charts.temperature_chart import peak_words, temperature_range
from core.evaluation.comparison_figures import LOSS_CAUSES, PEAK_WORDS, total
from core.notices import name_of
from core.results import CandidateResult, Losses, PeakTemperature, Result
from core.units import DisplayUnits, Kind

LOSSES_TITLE, PEAKS_TITLE = "Mean losses by cause", "Peak temperatures"
HATCHES: dict[str, Hatch] = {
    "copper": "plain",
    "core_and_bearing": "rising",
    "windage": "dots",
    "leads_and_switches": "falling",
    "idle": "level",
}
_LEFT, _RIGHT, _WORDS = -0.42, -0.14, -0.12  # of a loss bar and its words, in steps from bar to bar
_SHORT = {
    "copper": "copper",
    "core_and_bearing": "core",
    "windage": "air",
    "leads_and_switches": "leads",
    "idle": "idle",
}
_LEAST_SHARE = 0.01  # of the highest bar: a thinner cause is not seen and has no words
LINE = 0.055  # height of a line of words over that of the panel
_GROUP = 0.8  # width of the bars of one role together


def losses_chart(result: Result, units: DisplayUnits, top: float | None = None, line: float = LINE) -> Chart:
    """Return the mean losses of the candidates as stacked bars.

    `top` is the end of the axis [W], `line` the height of a line of words over that of the panel.
    """
    shown = shown_candidates(result)
    known = [(place, one, one.losses) for place, one in enumerate(shown) if one.losses is not None]
    top = losses_top(result, units) if top is None else top
    bands: list[Band] = []
    edges: list[Series] = []
    notes: list[Note] = []
    for place, one, losses in known:
        stack = _stack(place, one, losses)
        bands += stack
        edges += [_edge(band) for band in stack]
        notes += _loss_words(place, one, losses, top, line * top, units)
    absent = [one for one in shown if one.losses is None]
    notes += [
        Note(f"{letter(one.index)}: not known", shown.index(one), 0.5 * top, "centre") for one in absent
    ]
    panel = Panel(
        y=display_axis("mean loss", Kind.POWER, units, (0.0, top)),
        series=tuple(edges),
        bands=tuple(bands),
        notes=tuple(notes),
    )
    summary = "; ".join(
        f"{name_of(one, one.index)} {units.format_quantity(total(losses), Kind.POWER)}"
        for _, one, losses in known
    )
    axis = _places([letter(one.index) for one in shown], 0.5 * (_LEFT + _RIGHT))
    return Chart(LOSSES_TITLE, _names(shown), axis, (panel,), f"Mean losses: {summary or 'none known'}.")


def losses_top(result: Result, units: DisplayUnits) -> float:
    """Return the end of an axis that shows the mean losses of all candidates. [W]"""
    highest = max([total(c.losses) for c in shown_candidates(result) if c.losses is not None] + [0.0])
    y = display_axis("mean loss", Kind.POWER, units)
    return y.over(0.0, 1.12 * highest if highest > 0.0 else 1.0)[1]


def peaks_chart(
    result: Result, units: DisplayUnits, bounds: tuple[float, float] | None = None, line: float = LINE
) -> Chart:
    """Return the peak temperatures as bars from the ambient up, with limits and what is known of the band.

    `bounds` are the ends of the axis, such as those of other charts beside this one [degC], `line` is the
    height of a line of words over that of the panel.
    """
    shown = shown_candidates(result)
    peaks = {(one.index, peak.role): peak for one in shown for peak in one.peaks}
    ambient = result.project.application.site.ambient
    base = min([peak.temp for peak in peaks.values()] + ([] if ambient is None else [ambient]), default=20.0)
    rows = [
        (group + _offset(place, len(shown)), one, role, peaks.get((one.index, role)))
        for group, role in enumerate(PEAK_WORDS)
        for place, one in enumerate(shown)
    ]
    bars = [
        _bar(f"{one.index} {role}", (x - half, x + half), (base, peak.temp), candidate_style(one.index))
        for half in [0.5 * _GROUP / max(len(shown), 1) * 0.9]
        for x, one, role, peak in rows
        if peak is not None
    ]
    whiskers = [series for x, one, role, _ in rows for series in _whisker(x, one, role)]
    rules = _limit_rules(shown, peaks, units)
    values = [base, *(peak.temp for peak in peaks.values()), *(float(s.y.max()) for s in whiskers)]
    low, high = bounds or temperature_range(values, [rule.y for rule in rules])
    lift = 0.5 * line * (high - low)
    notes = [
        Note(f"{letter(one.index)} {degrees(peak.temp, units)}", x, _highest(one, peak) + lift, "centre")
        for x, one, role, peak in rows
        if peak is not None
    ]
    if not peaks:
        notes = [Note("no temperatures known", 1.0, 0.5 * (low + high), "centre")]
    ground = [] if ambient is None else [_ambient_rule(ambient, units)]
    panel = Panel(
        y=display_axis("temperature", Kind.TEMPERATURE, units, (low, high)),
        series=(*(_edge(bar) for bar in bars), *whiskers),
        bands=tuple(bars),
        rules=(*rules, *ground),
        notes=tuple(notes),
    )
    words = "; ".join(
        f"{name_of(one, one.index)}: {peak_words(one, units) or 'no temperatures known'}" for one in shown
    )
    axis = _places([role.lower() for role in PEAK_WORDS.values()], 0.0)
    return Chart(PEAKS_TITLE, _names(shown), axis, (panel,), f"Peak temperatures: {words or 'none known'}.")


def _places(words: Sequence[str], shift: float) -> Axis:
    """Return an axis of names in place of numbers."""
    count = max(len(words), 1)
    ticks = tuple(place + shift for place in range(len(words)))
    return Axis("", range=(-0.5, count - 0.5), ticks=ticks, tick_words=tuple(words))


def _names(shown: Sequence[CandidateResult]) -> str:
    return ", ".join(name_of(one, one.index) for one in shown) or "no candidates"


def _bar(
    name: str, x: tuple[float, float], y: tuple[float, float], style: Style, hatch: Hatch = "plain"
) -> Band:
    low, high = np.full(2, y[0]), np.full(2, y[1])
    return Band(name, np.array(x), low, high, style, hatch=hatch)


def _edge(bar: Band) -> Series:
    """Return the outline of a bar, by which equal ones beside each other stay apart."""
    (left, right), low, high = bar.x, float(bar.low[0]), float(bar.high[0])
    x, y = np.array([left, left, right, right, left]), np.array([low, high, high, low, low])
    solid = Style(bar.style.role, bar.style.candidate, "solid", "thin")
    return Series(f"{bar.id} edge", x, y, solid)


def _stack(place: int, one: CandidateResult, losses: Losses) -> list[Band]:
    """Return the bars of one candidate, one upon the other; a cause without loss has none."""
    bars, below = [], 0.0
    for code, _, part in LOSS_CAUSES:
        above = below + part(losses)
        if above > below:
            x = (place + _LEFT, place + _RIGHT)
            bars.append(
                _bar(f"{one.index} {code}", x, (below, above), candidate_style(one.index), HATCHES[code])
            )
        below = above
    return bars


def _loss_words(
    place: int, one: CandidateResult, losses: Losses, top: float, line: float, units: DisplayUnits
) -> list[Note]:
    """Return the words at the causes of one bar, spread so that none covers another, and its sum above."""
    wanted, words, below = [], [], 0.0
    for code, _, part in LOSS_CAUSES:
        share = part(losses)
        if share > _LEAST_SHARE * top:
            wanted.append(below + 0.5 * share)
            words.append(f"{_SHORT[code]} {units.format_value(share, Kind.POWER)}")
        below += share
    heights = spread(wanted, line, top)
    notes = [Note(text, place + _WORDS, y) for text, y in zip(words, heights, strict=True)]
    whole = f"{letter(one.index)} {units.format_quantity(below, Kind.POWER)}"
    return [*notes, Note(whole, place + 0.5 * (_LEFT + _RIGHT), below + 0.6 * line, "centre")]


def spread(wanted: Sequence[float], gap: float, top: float) -> list[float]:
    """Return rising heights moved apart to `gap`, upwards first and down again from `top`.

    >>> spread([1.0, 1.1, 5.0], 1.0, 10.0), spread([8.0, 9.8, 9.9], 1.0, 10.0)
    ([1.0, 2.0, 5.0], [7.5, 8.5, 9.5])
    """
    heights = list(wanted)
    for k in range(1, len(heights)):
        heights[k] = max(heights[k], heights[k - 1] + gap)
    limit = top - 0.5 * gap
    for k in range(len(heights) - 1, -1, -1):
        heights[k] = min(heights[k], limit)
        limit = heights[k] - gap
    return heights


def _offset(place: int, count: int) -> float:
    """Return where the bar of a candidate stands in its group."""
    return _GROUP * ((place + 0.5) / count - 0.5)


def _highest(one: CandidateResult, peak: PeakTemperature) -> float:
    """Return the upper end of what is drawn at a bar. [degC]"""
    return max([peak.temp, *(float(s.y.max()) for s in _whisker(0.0, one, peak.role))])


def _whisker(x: float, one: CandidateResult, role: str) -> list[Series]:
    """Return the line from the lowest to the highest peak that the uncertainty allows."""
    band = one.band
    found = None if band is None else {"winding": band.winding, "outside": band.outside}.get(role)
    if found is None:
        return []
    ends = np.array([found[0], found[2]])
    return [Series(f"{one.index} {role} band", np.array([x, x]), ends, Style(role="ink", width="regular"))]


def _limit_rules(
    shown: Sequence[CandidateResult], peaks: dict[tuple[int, str], PeakTemperature], units: DisplayUnits
) -> list[Rule]:
    """Return the limits: one over the whole group where all have the same, else one at each bar."""
    missed = Style(role="missed", dash="dashed", width="thin")
    rules = []
    for group, role in enumerate(PEAK_WORDS):
        limits = {one.index: peaks[one.index, role].limit for one in shown if (one.index, role) in peaks}
        for place, one in enumerate(shown):
            limit = limits.get(one.index)
            if limit is None:
                continue
            words = f"{role} limit {units.format_entry(limit, Kind.TEMPERATURE)}"
            if len(set(limits.values())) == 1:
                rules.append(Rule(limit, words, missed, group - 0.5 * _GROUP, group + 0.5 * _GROUP))
                break
            x, half = group + _offset(place, len(shown)), 0.5 * _GROUP / len(shown)
            rules.append(Rule(limit, f"{letter(one.index)} {words}", missed, x - half, x + half))
    return rules


def _ambient_rule(ambient: float, units: DisplayUnits) -> Rule:
    words = f"ambient {as_given(ambient, Kind.TEMPERATURE, units)}"
    return Rule(ambient, words, Style(role="soft", dash="dotted", width="thin"))
