"""The speed-torque plane as a chart: the limits of every candidate and the load points of the chosen one.

Motoring is above zero, braking below, for both directions of rotation, as `core.results` counts them.
"""

from __future__ import annotations

import numpy as np

from core.charts.chart import Band, Chart, Map, Note, Panel, Point, Series, Style
from core.charts.display_axis import (
    as_given,
    candidate_style,
    display_axis,
    empty_top,
    letter,
    shown_candidates,
    time_words,
)
from core.charts.duty_in_plane import rotor_inertia, segment_ways, worst_points
from core.numeric import FloatArray
from core.results import CandidateResult, LoadPoints, PlaneCurves, Result
from core.units import DisplayUnits, Kind, format_number

TITLE = "Speed–torque plane"
VOLTAGE_WORDS = "voltage limit, worst of hot and cold"

# A limit far above everything that matters is cut by the frame, or the load points would lie on the axis.
_HEADROOM = 3.5
_SPEED_HEADROOM = 3.0
_LEAST_BRAKING = 0.18
# Curves closer than this share of their height would be one line on screen and on paper.
_SAME_LINE = 0.004
_SAME_END = 2
_SOFT_THIN = Style(role="soft", dash="dotted", width="thin")
GHOST = "ghost"
_GHOST = Style(role="soft", dash="dotted", width="thin")


Frame = tuple[tuple[float, float], tuple[float, float]]
"""Ranges of speed [rad/s] and torque [N m]."""


def speed_torque_chart(
    result: Result,
    units: DisplayUnits,
    selected: int | None = None,
    efficiency: Map | None = None,
    frame: Frame | None = None,
) -> Chart:
    """Return the speed-torque plane of a result.

    `selected` is the segment whose load point is drawn heavier. `efficiency` is the map of the chosen
    candidate, drawn where it is given. `frame` are the ranges of the axes, such as those of other planes
    beside this one.
    """
    candidates = [c for c in shown_candidates(result) if c.curves is not None]
    speeds, torques = frame or plane_frame(result, units)
    series: list[Series] = []
    chosen = result.chosen_candidate
    series += _voltage_limits(candidates)
    series += _short_times(candidates, units)
    for candidate in candidates:
        series += _continuous(candidate, heavy=candidate is chosen)
        series += _largest_speed(candidate, torques, units)
    series += _peaks(candidates, units)
    points: list[Point] = []
    if chosen is not None and chosen.load_points is not None:
        series += _travels(result, chosen, chosen.load_points)
        points = [*_points(chosen, selected, units), *_ghosts(result, chosen)]
    panel = Panel(
        y=display_axis("torque", Kind.TORQUE, units, torques),
        series=tuple(series),
        bands=_area(chosen),
        points=tuple(points),
        notes=_notes(speeds, torques),
        map=efficiency,
    )
    x = display_axis("speed", Kind.SPEED, units, speeds)
    return Chart(TITLE, headline(result, units), x, (panel,), _summary(result, units))


def headline(result: Result, units: DisplayUnits) -> str:
    """Return the conditions without which the curves would mean nothing."""
    site, supply = result.project.application.site, result.project.application.supply
    words = [
        "ambient not given"
        if site.ambient is None
        else f"at {as_given(site.ambient, Kind.TEMPERATURE, units)}",
        "voltage not given"
        if supply.lowest_voltage is None
        else as_given(supply.lowest_voltage, Kind.VOLTAGE, units),
        "worst of hot and cold",
        site.mounting.name,
    ]
    return ", ".join(words)


def plane_frame(result: Result, units: DisplayUnits) -> Frame:
    """Return the ranges of both axes: all load points, and the limits as far as they matter."""
    candidates = [c for c in shown_candidates(result) if c.curves is not None]
    points = [c.load_points for c in candidates if c.load_points is not None]
    speeds = [abs(float(w)) for p in points for w in (*p.speed, *p.other_speed)]
    torques = [float(t) for p in points for t in p.torque]
    ghosts = [] if result.chosen_candidate is None else _ghosts(result, result.chosen_candidate)
    speeds += [ghost.x for ghost in ghosts] + [float(np.abs(result.duty.speed).max(initial=0.0))]
    torques += [ghost.y for ghost in ghosts]
    needed_speed, driving, brake = (
        max([*speeds, 0.0]),
        max([*torques, 0.0]),
        max([*(-t for t in torques), 0.0]),
    )
    drive = max([driving] + [_top(c.curves.continuous) for c in candidates if c.curves])
    limits = [c.curves for c in candidates if c.curves is not None]
    reached = max([_reach(curves) for curves in limits] + [0.0])
    highest = max([1.06 * _usable_top(curves) for curves in limits] + [1.12 * drive])
    top = max(1.12 * driving, min(highest, _HEADROOM * drive))
    bottom = max(1.25 * brake, _LEAST_BRAKING * top)
    speed = max(
        1.08 * needed_speed, min(reached, _SPEED_HEADROOM * needed_speed) if needed_speed else reached
    )
    return (0.0, _widened(0.0, speed, units, Kind.SPEED)[1]), _widened(-bottom, top, units, Kind.TORQUE)


def _widened(low: float, high: float, units: DisplayUnits, kind: Kind) -> tuple[float, float]:
    if not high > low:
        low, high = 0.0, empty_top(kind, units)
    axis = display_axis("", kind, units)
    return axis.over(low, high)


def _top(values: FloatArray | None) -> float:
    known = np.zeros(0) if values is None else values[np.isfinite(values)]
    return float(known.max()) if len(known) else 0.0


def _usable_top(curves: PlaneCurves) -> float:
    """Return the highest torque for a short time: the short-time torque, cut by the peak torque."""
    short_time, peak = _top(curves.short_time), _top(curves.peak)
    return min(short_time, peak) if short_time and peak else max(short_time, peak)


def _reach(curves: PlaneCurves) -> float:
    """Return the largest speed that the voltage allows at no torque."""
    limit = curves.voltage_limit
    known = curves.speed if limit is None else curves.speed[np.isfinite(limit) & (limit >= 0.0)]
    return float(known.max()) if len(known) else 0.0


def _gaps(values: FloatArray) -> FloatArray:
    return np.where(np.isfinite(values), values, np.nan)


def _within(values: FloatArray, limit: FloatArray | None, sign: float = 1.0) -> FloatArray:
    """Return the values where the voltage reaches them, gaps elsewhere."""
    if limit is None:
        return _gaps(values)
    with np.errstate(invalid="ignore"):
        return _gaps(np.where(sign * values <= sign * limit * (1.0 + 1e-9), values, np.nan))


def _area(chosen: CandidateResult | None) -> tuple[Band, ...]:
    """Return the area in which the motor may run for ever: below continuous torque and voltage limit."""
    if chosen is None or chosen.curves is None or chosen.curves.continuous is None:
        return ()
    curves, limit = chosen.curves, chosen.curves.voltage_limit
    y = _gaps(chosen.curves.continuous if limit is None else np.minimum(chosen.curves.continuous, limit))
    with np.errstate(invalid="ignore"):
        y = np.where(y > 0.0, y, np.nan)
    style = candidate_style(chosen.index)
    return (Band("continuous area", curves.speed, np.zeros(len(y)), y, style, faint=True),)


def _voltage_limits(candidates: list[CandidateResult]) -> list[Series]:
    """Return the voltage limits; one line in neutral ink where all candidates have the same."""
    limited = [(c.index, c.curves) for c in candidates if c.curves and c.curves.voltage_limit is not None]
    if not limited:
        return []
    if len(limited) > 1 and all(_same_limit(limited[0][1], curves) for _, curves in limited[1:]):
        return _voltage_pair("voltage limit", VOLTAGE_WORDS, limited[0][1], Style(role="soft"))
    series = []
    for index, curves in limited:
        words = VOLTAGE_WORDS if len(limited) == 1 else f"{letter(index)} voltage limit"
        style = Style(role="soft") if len(limited) == 1 else candidate_style(index, "thin")
        series += _voltage_pair(f"{index} voltage limit", words, curves, style)
    return series


def _voltage_pair(name: str, words: str, curves: PlaneCurves, style: Style) -> list[Series]:
    pair = []
    if curves.voltage_limit is not None:
        pair.append(Series(name, curves.speed, _gaps(curves.voltage_limit), style, words))
    if curves.voltage_limit_braking is not None:
        pair.append(Series(f"{name}, braking", curves.speed, _gaps(curves.voltage_limit_braking), style))
    return pair


def _same_limit(one: PlaneCurves, other: PlaneCurves) -> bool:
    return (
        np.array_equal(one.speed, other.speed)
        and _alike(one.voltage_limit, other.voltage_limit)
        and _alike(one.voltage_limit_braking, other.voltage_limit_braking)
    )


def _alike(one: FloatArray | None, other: FloatArray | None) -> bool:
    if one is None or other is None:
        return one is other
    # The last speed that is reached may differ by one place of the grid.
    if one.shape != other.shape or np.count_nonzero(np.isnan(one) != np.isnan(other)) > _SAME_END:
        return False
    height = max(_top(np.abs(one)), _top(np.abs(other)))
    return bool(np.nanmax(np.abs(one - other), initial=0.0) <= _SAME_LINE * height)


def _continuous(candidate: CandidateResult, heavy: bool) -> list[Series]:
    curves, index = candidate.curves, candidate.index
    if curves is None:
        return []
    style = candidate_style(index, "heavy")
    series = []
    if curves.continuous is not None:
        y = _within(curves.continuous, curves.voltage_limit)
        series.append(Series(f"{index} continuous", curves.speed, y, style, f"{letter(index)} continuous"))
    if curves.continuous_braking is not None:
        y = _within(curves.continuous_braking, curves.voltage_limit_braking, -1.0)
        quiet = candidate_style(index, "regular" if heavy else "thin")
        series.append(Series(f"{index} continuous, braking", curves.speed, y, quiet))
    return series


def _short_times(candidates: list[CandidateResult], units: DisplayUnits) -> list[Series]:
    """Return the short-time limits; one pair of neutral lines where all candidates have the same."""
    limited = [
        (c.index, c.curves) for c in candidates if c.curves is not None and c.curves.short_time is not None
    ]
    if not limited:
        return []
    words = f"{time_words(limited[0][1].short_time_seconds, units)} from cold"
    first = limited[0][1]
    if len(limited) > 1 and all(
        _alike(first.short_time, curves.short_time) and _same_limit(first, curves)
        for _, curves in limited[1:]
    ):
        return _short_time_pair("short time", words, first, Style(role="soft", width="thin"))
    series = []
    for index, curves in limited:
        style = candidate_style(index, "thin")
        series += _short_time_pair(f"{index} short time", f"{letter(index)} {words}", curves, style)
    return series


def _short_time_pair(name: str, words: str, curves: PlaneCurves, style: Style) -> list[Series]:
    pair = []
    if curves.short_time is not None:
        y = _within(curves.short_time, curves.voltage_limit)
        pair.append(Series(name, curves.speed, y, style, words))
    if curves.short_time_braking is not None:
        y = _within(curves.short_time_braking, curves.voltage_limit_braking, -1.0)
        pair.append(Series(f"{name}, braking", curves.speed, y, style))
    return pair


def _largest_speed(
    candidate: CandidateResult, torques: tuple[float, float], units: DisplayUnits
) -> list[Series]:
    curves, index = candidate.curves, candidate.index
    if curves is None or curves.largest_speed is None:
        return []
    speed = units.format_value(curves.largest_speed, Kind.SPEED)
    x = np.array([curves.largest_speed, curves.largest_speed])
    style = candidate_style(index, "thin", "dotted")
    words = f"{letter(index)} largest speed {speed}"
    return [Series(f"{index} largest speed", x, np.array(torques), style, words)]


def _peaks(candidates: list[CandidateResult], units: DisplayUnits) -> list[Series]:
    """Return the peak torque lines, as far as the voltage reaches them; equal ones once."""
    with_peak = [
        (c.index, c.curves) for c in candidates if c.curves is not None and c.curves.peak is not None
    ]
    if not with_peak:
        return []
    first = with_peak[0][1]
    if len(with_peak) > 1 and all(_same_peak(first, curves) for _, curves in with_peak[1:]):
        return _peak_pair("peak", "peak torque", first, Style(role="soft", dash="dotted"), units)
    series = []
    for index, curves in with_peak:
        alone = len(with_peak) == 1
        style = Style(role="soft", dash="dotted") if alone else candidate_style(index, "thin", "dotted")
        words = "peak torque" if alone else f"{letter(index)} peak torque"
        series += _peak_pair(f"{index} peak", words, curves, style, units)
    return series


def _peak_pair(name: str, words: str, curves: PlaneCurves, style: Style, units: DisplayUnits) -> list[Series]:
    pair = []
    if curves.peak is not None:
        y = _within(curves.peak, curves.voltage_limit)
        words = f"{words}, {curves.peak_reason}, {units.format_value(_top(curves.peak), Kind.TORQUE)}"
        pair.append(Series(name, curves.speed, y, style, words))
    if curves.peak_braking is not None:
        y = _within(curves.peak_braking, curves.voltage_limit_braking, -1.0)
        pair.append(Series(f"{name}, braking", curves.speed, y, style))
    return pair


def _same_peak(one: PlaneCurves, other: PlaneCurves) -> bool:
    """Return whether two peak limits are drawn as one line: same curve, cut by the same voltage limit."""
    if one.peak_reason != other.peak_reason or not _same_limit(one, other):
        return False
    return _alike(one.peak, other.peak) and _alike(one.peak_braking, other.peak_braking)


def _travels(result: Result, chosen: CandidateResult, points: LoadPoints) -> list[Series]:
    """Return for each segment the line along which it changes speed; a reversal continues mirrored.

    A derived segment has many parts, so its torque changes on the way.
    """
    if result.project.application.duty_from == "load" and chosen.duty is not None:
        ways = segment_ways(chosen.duty, rotor_inertia(result, chosen))
        return [Series(f"segment {k} travel", *way, _SOFT_THIN) for k, way in enumerate(ways)]
    series = []
    for k in range(len(points.speed)):
        here, along, height = (float(a[k]) for a in (points.speed, points.other_speed, points.torque))
        x, y = [here, max(along, 0.0)], [height, height]
        if along < 0.0:
            x, y = [*x, 0.0, 0.0, -along], [*y, np.nan, -height, -height]
        series.append(Series(f"segment {k} travel", np.array(x), np.array(y), _SOFT_THIN))
    return series


def _ghosts(result: Result, chosen: CandidateResult) -> list[Point]:
    """Return where the points of the load's own duty lie, once the segments were taken out of it."""
    if result.ghost is None:
        return []
    points = worst_points(result.ghost, rotor_inertia(result, chosen))
    return [Point(f"{GHOST} {k}", x, y, text=str(k + 1), style=_GHOST) for k, (x, y) in enumerate(points)]


def _points(chosen: CandidateResult, selected: int | None, units: DisplayUnits) -> list[Point]:
    points = []
    if chosen.load_points is not None:
        places = zip(chosen.load_points.speed, chosen.load_points.torque, strict=True)
        points = [
            Point(f"segment {k}", float(x), float(y), text=str(k + 1), selected=k == selected)
            for k, (x, y) in enumerate(places)
        ]
    if chosen.rms is not None:
        words = (
            f"RMS {units.format_value(chosen.rms.torque, Kind.TORQUE)} at "
            f"{units.format_quantity(chosen.rms.speed, Kind.SPEED)}, "
            f"{'valid' if chosen.rms.valid else 'not valid here'}"
        )
        points.append(Point("rms", abs(chosen.rms.speed), chosen.rms.torque, "diamond", label=words))
    return points


def _notes(speeds: tuple[float, float], torques: tuple[float, float]) -> tuple[Note, ...]:
    drop = 0.035 * (torques[1] - torques[0])
    return (Note("braking", speeds[1], -drop, "right"),) if torques[0] < 0.0 else ()


def _summary(result: Result, units: DisplayUnits) -> str:
    chosen = result.chosen_candidate
    if chosen is None:
        return "No candidate is chosen, so the plane is empty."
    if chosen.load_points is None or not len(chosen.load_points.torque):
        reason = f" ({chosen.missing[0]})" if chosen.missing else ""
        return f"{chosen.name}: the load points are not known{reason}."
    loads = chosen.load_points
    k = int(np.argmax(np.abs(loads.torque)))
    words = (
        f"{chosen.name}: {len(loads.torque)} load points, the largest torque "
        f"{units.format_quantity(float(loads.torque[k]), Kind.TORQUE)} at "
        f"{units.format_quantity(float(loads.speed[k]), Kind.SPEED)} in segment {k + 1}"
    )
    governing = chosen.governing
    if governing is not None and governing.margin is not None:
        margin = ("+" if governing.margin >= 0.0 else "") + format_number(100.0 * governing.margin, 2)
        words += f"; {governing.label} governs with a margin of {margin} %"
    return words + "."
