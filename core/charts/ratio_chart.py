"""What a candidate would do with other ratios of its transmission, as a chart over a logarithmic axis.

The x values are natural logarithms of the ratio: even steps of proportion are even steps of the picture.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from core.charts.chart import Axis, Chart, Note, Panel, Rule, Series, Span, Style
from core.charts.display_axis import candidate_style, degrees, display_axis, letter
from core.charts.temperature_chart import temperature_range
from core.charts.ticks import nice_range
from core.numeric import FloatArray
from core.project.motion import FrictionRange
from core.records import dataclass
from core.results import CandidateResult, Result
from core.units import DisplayUnits, Kind, format_number

if TYPE_CHECKING:
    from core.evaluation.studies import RatioStudy

TITLE = "Ratio"
_NOW = Style(role="ink")
_LEAST = Style(role="soft", dash="dotted")
_LIMIT = Style(role="missed", dash="dashed", width="thin")
_ROUND = (1.0, 1.5, 2.0, 3.0, 5.0, 7.0)
_NEAREST_TICKS = 0.055  # [share of the axis] ticks closer than this would have touching numbers
_SPREAD = 25.0  # how many times the present value a lane follows a curve upwards
_MOST_SHORT = -1.0  # a margin that misses its target by more is cut off


@dataclass(frozen=True, slots=True)
class Quantity:
    """One lane: the name in the scan, the words, and the kind of number."""

    name: str
    words: str
    kind: Kind


LANES = (
    Quantity("winding_temp", "winding", Kind.TEMPERATURE),
    Quantity("rms_torque", "RMS torque", Kind.TORQUE),
    Quantity("largest_speed", "largest speed", Kind.SPEED),
    Quantity("supply_current", "supply current", Kind.CURRENT),
    Quantity("torque_reserve", "torque reserve", Kind.NUMBER),
    Quantity("least_margin", "least margin above target", Kind.RATIO),
)


def ratio_chart(result: Result, index: int, study: RatioStudy, units: DisplayUnits) -> Chart:
    """Return the ratio study of a candidate as lanes above one axis of the ratio."""
    x = np.log(study.scan.ratio)
    bounds = (float(x[0]), float(x[-1]))
    panels = tuple(
        _lane(quantity, result, index, study, x, units, first=number == 0)
        for number, quantity in enumerate(LANES)
    )
    ticks = ratio_ticks(study)
    axis = Axis(
        "ratio",
        range=bounds,
        ticks=tuple(math.log(ratio) for ratio in ticks),
        tick_words=tuple(ratio_words(ratio) for ratio in ticks),
    )
    return Chart(TITLE, _headline(study, index), axis, panels, _summary(study, units))


def ratio_words(ratio: float) -> str:
    """Return a ratio in four digits at most, none of them an idle zero.

    >>> ratio_words(7.0), ratio_words(12.345678)
    ('7', '12.35')
    """
    words = format_number(ratio, 4)
    return words.rstrip("0").rstrip(".") if "." in words and "e" not in words else words


def ratio_ticks(study: RatioStudy) -> tuple[float, ...]:
    """Return the ratios that can be had, else round ones, none so near another that they would touch."""
    low, high = float(study.scan.ratio[0]), float(study.scan.ratio[-1])
    wanted = [*study.available]
    if not wanted:
        decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
        wanted = [step * 10.0**decade for decade in decades for step in _ROUND]
    least = _NEAREST_TICKS * math.log(high / low)
    ticks: list[float] = []
    for ratio in sorted(wanted):
        if low * 0.999 <= ratio <= high * 1.001 and (not ticks or math.log(ratio / ticks[-1]) >= least):
            ticks.append(ratio)
    return tuple(ticks)


def values_at(study: RatioStudy, ratio: float) -> dict[str, float]:
    """Return the numbers of the study at a ratio, between two of the scan in proportion; NaN: not known."""
    at = math.log(ratio)
    x = np.log(study.scan.ratio)
    return {name: float(np.interp(at, x, values)) for name, values in study.scan.values.items()}


def read_out(study: RatioStudy, ratio: float, units: DisplayUnits) -> tuple[str, tuple[str, ...]]:
    """Return the ratio in words and for each lane the number there, empty where it is not known."""
    found = values_at(study, ratio)
    numbers = []
    for quantity in LANES:
        value = found.get(quantity.name, math.nan)
        numbers.append(_in_units(value, quantity, units) if math.isfinite(value) else "")
    to_be_had = any(math.isclose(ratio, other, rel_tol=1e-6) for other in study.available)
    return f"{ratio_words(ratio)} : 1" + (", available" if to_be_had else ""), tuple(numbers)


def _in_units(value: float, quantity: Quantity, units: DisplayUnits) -> str:
    if quantity.kind is Kind.TEMPERATURE:
        return f"{degrees(value, units)} {units.symbol(Kind.TEMPERATURE)}"
    if quantity.kind is Kind.NUMBER:
        return f"{format_number(value)} times"
    sign = "+" if quantity.kind is Kind.RATIO and value >= 0.0 else ""
    return sign + units.format_quantity(value, quantity.kind)


def friction_words(
    spread: FrictionRange, results: Sequence[tuple[str, CandidateResult]], units: DisplayUnits
) -> str:
    """Return what low and high friction leave of torque reserve and margins, in one line."""
    parts = []
    for name, result in results:
        factor = spread.low if name.startswith("low") else spread.high
        reserve, governing = result.torque_reserve, result.governing
        words = f"{name}, {ratio_words(factor)} times: "
        words += "no repeating state" if reserve is None else f"torque reserve {format_number(reserve)} times"
        if governing is not None:
            words += f", {governing.label.lower()} governs"
            if governing.margin is not None:
                sign = "+" if governing.margin >= 0.0 else ""
                words += f" with {sign}{units.format_quantity(governing.margin, Kind.RATIO, 2)}"
        parts.append(words)
    return "; ".join(parts).capitalize() if parts else ""


def snapped_ratio(study: RatioStudy, ratio: float, nearness: float) -> float:
    """Return the ratio that can be had within a share of a ratio, else the ratio in three digits.

    >>> from types import SimpleNamespace
    >>> snapped_ratio(SimpleNamespace(available=(5.0, 7.0)), 6.9, 0.05)
    7.0
    >>> snapped_ratio(SimpleNamespace(available=(5.0, 7.0)), 6.1234, 0.05)
    6.12
    """
    near = min(study.available, key=lambda other: abs(math.log(other / ratio)), default=None)
    if near is not None and abs(math.log(near / ratio)) <= nearness:
        return near
    return float(f"{ratio:.3g}")


def empty_ratio_chart(words: str) -> Chart:
    """Return a chart that only says why there is none."""
    lane = Panel(y=Axis("", range=(0.0, 1.0), ticks=()), notes=(Note(words, 0.02, 0.5),))
    return Chart(TITLE, "", Axis("ratio", range=(0.0, 1.0), ticks=()), (lane,), words)


def _lane(
    quantity: Quantity,
    result: Result,
    index: int,
    study: RatioStudy,
    x: FloatArray,
    units: DisplayUnits,
    first: bool,
) -> Panel:
    values = study.scan.values.get(quantity.name, np.full(x.size, np.nan))
    rules = _rules(quantity, result, index, units)
    bounds = _range(quantity, values, study, rules, units)
    own = "" if first else " " + quantity.name
    label = letter(index) if first else ""
    marks = [
        _upright(f"now{own}", study.ratio, bounds, _NOW, f"now {ratio_words(study.ratio)}" if first else "")
    ]
    low, high = float(study.scan.ratio[0]), float(study.scan.ratio[-1])
    if study.least_loss is not None and low <= study.least_loss <= high:
        words = f"least loss {format_number(study.least_loss)}" if first else ""
        marks.append(_upright(f"least loss{own}", study.least_loss, bounds, _LEAST, words))
    return Panel(
        y=display_axis(quantity.words, quantity.kind, units, bounds, _one_tick(quantity, bounds)),
        series=(Series(quantity.name, x, values, candidate_style(index), label), *marks),
        rules=rules,
        spans=_window(study),
    )


def _upright(name: str, ratio: float, bounds: tuple[float, float], style: Style, words: str) -> Series:
    at = math.log(ratio)
    return Series(name, np.array([at, at]), np.array(bounds), style, words)


def _window(study: RatioStudy) -> tuple[Span, ...]:
    """Return the window of ratios that torque and speed allow, as far as the axis reaches."""
    window = study.window
    if window is None or not window.is_open:
        return ()
    ends = np.log(study.scan.ratio[[0, -1]])
    start = max(float(ends[0]), math.log(window.lowest))
    end = min(float(ends[1]), math.log(window.highest))
    return (Span(start, end, shaded=True),) if end > start else ()


def _rules(quantity: Quantity, result: Result, index: int, units: DisplayUnits) -> tuple[Rule, ...]:
    if quantity.name == "winding_temp":
        peaks = result.candidates[index].peaks
        limit = next((peak.limit for peak in peaks if peak.role == "winding"), None)
        if limit is None:
            return ()
        return (Rule(limit, f"limit {units.format_entry(limit, Kind.TEMPERATURE)}", _LIMIT),)
    if quantity.name == "torque_reserve":
        return (Rule(1.0, "", _LIMIT),)
    return (Rule(0.0, "target", _LIMIT),) if quantity.name == "least_margin" else ()


def _range(
    quantity: Quantity, values: FloatArray, study: RatioStudy, rules: tuple[Rule, ...], units: DisplayUnits
) -> tuple[float, float]:
    known = values[np.isfinite(values)]
    limits = [rule.y for rule in rules]
    if quantity.kind is Kind.TEMPERATURE:
        return temperature_range([float(v) for v in known], limits)
    numbers = [*(float(v) for v in known), *limits, 0.0]
    low, high = min(numbers), max(numbers)
    if quantity.name == "least_margin":
        low = max(low, _MOST_SHORT)
    elif known.size:
        now = values_at(study, study.ratio).get(quantity.name, math.nan)
        if math.isfinite(now) and now > 0.0:
            high = min(high, _SPREAD * now)
    if high <= low:
        high = low + 1.0
    axis = display_axis("", quantity.kind, units)
    bottom, top = nice_range(axis.shown(low), axis.shown(high), 2)
    return axis.si(bottom), axis.si(top)


def _one_tick(quantity: Quantity, bounds: tuple[float, float]) -> tuple[float, ...] | None:
    """Return zero or the middle as the one tick of a low lane: numbers at its ends would touch the next."""
    if quantity.kind is Kind.TEMPERATURE:
        return None
    low, high = bounds
    return (0.0,) if low < 0.0 < high else (0.5 * (low + high),)


def _headline(study: RatioStudy, index: int) -> str:
    words = [f"{letter(index)}, now {ratio_words(study.ratio)} : 1"]
    window = study.window
    if window is not None and window.is_open:
        words.append(f"possible from {format_number(window.lowest)} to {format_number(window.highest)}")
    elif window is not None:
        words.append("no ratio serves torque and speed at once")
    low, high = float(study.scan.ratio[0]), float(study.scan.ratio[-1])
    if study.least_loss is not None and not low <= study.least_loss <= high:
        words.append(f"least loss at {format_number(study.least_loss)}")
    return ", ".join(words)


def _summary(study: RatioStudy, units: DisplayUnits) -> str:
    title, numbers = read_out(study, study.ratio, units)
    known = [f"{lane.words} {words}" for lane, words in zip(LANES, numbers, strict=True) if words]
    summary = f"At {title}: {', '.join(known) or 'no repeating state'}"
    if study.least_loss is not None:
        summary += f"; least loss for inertia and load torque at {format_number(study.least_loss)}"
    return summary + "."
