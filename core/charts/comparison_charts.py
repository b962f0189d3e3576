"""Two candidates over speed: their continuous torque with its band, and the ratio of the two."""

from __future__ import annotations

import numpy as np

from core.charts.chart import Axis, Band, Chart, Note, Panel, Point, Rule, Series, Style
from core.charts.display_axis import candidate_style, display_axis, letter
from core.charts.speed_torque_chart import headline
from core.charts.ticks import nice_range
from core.evaluation.comparison_torque import CycleSpeed, contest, cycle_speeds
from core.evaluation.crossing_words import crossing_words
from core.evaluation.torque_course import TorqueCourse
from core.evaluation.torque_ratio import Crossing, TorqueRatio, torque_ratio
from core.numeric import FloatArray
from core.results import Result
from core.units import DisplayUnits, Kind

RATIO_TITLE, TORQUE_TITLE = "Ratio of continuous torques", "Continuous torque"
_NO_RATIO = "There is no continuous torque of both to compare."
_SPEED_HEADROOM = 3.0  # how many times the cycle's highest speed is drawn
_MARK = Style(role="soft", dash="dotted", width="thin")
_INK = Style(role="ink", width="heavy")
_EQUAL = Style(role="ink", dash="dashed", width="thin")
_BAND_EDGE = Style(role="soft", width="thin")


def torque_ratio_chart(result: Result, first: int, second: int, units: DisplayUnits) -> Chart:
    """Return continuous torque of the first over that of the second, with band, crossings and equality."""
    ratio = torque_ratio(result, first, second)
    speeds = cycle_speeds(contest(result, (first, second)))
    one, other = letter(first), letter(second)
    if ratio is None:
        panel = Panel(Axis(f"{one} / {other}", range=(0.0, 2.0)), notes=(Note(_NO_RATIO, 0.0, 1.5),))
        axis = display_axis("speed", Kind.SPEED, units, (0.0, 100.0))
        return Chart(RATIO_TITLE, headline(result, units), axis, (panel,), _NO_RATIO)
    end = _end(float(ratio.speed[-1]), speeds)
    low, high = _ratio_range(ratio, end)
    bands, edges = _ratio_band(ratio)
    air = 0.06 * (high - low)
    panel = Panel(
        y=Axis(f"{one} / {other}", range=(low, high)),
        series=(
            Series("ratio", ratio.speed, ratio.ratio, _INK, f"{one} / {other}"),
            *edges,
            *_speed_marks(speeds, (low, high), units),
        ),
        bands=bands,
        points=tuple(_crossing_point(crossing, units) for crossing in ratio.crossings),
        rules=(Rule(1.0, "equal", _EQUAL),),
        notes=(
            Note(f"{one} has more", 0.01 * end, high - air),
            Note(f"{other} has more", 0.01 * end, low + air),
            *(() if bands else (Note("no uncertainty known", 0.99 * end, high - air, "right"),)),
        ),
    )
    axis = display_axis(_axis_words(ratio.at_load), Kind.SPEED, units, (0.0, end))
    summary = crossing_words(first, second, ratio).text(units)
    return Chart(RATIO_TITLE, headline(result, units), axis, (panel,), summary)


def continuous_torque_chart(result: Result, first: int, second: int, units: DisplayUnits) -> Chart:
    """Return the continuous torques of two candidates with their bands, and the speeds of the cycle."""
    of = contest(result, (first, second))
    speeds = cycle_speeds(of)
    known = [
        (index, course)
        for index, course in zip((first, second), of.courses, strict=True)
        if course is not None
    ]
    end = _end(max([float(course.speed[-1]) for _, course in known] or [100.0]), speeds)
    kind = Kind.LOAD_TORQUE if of.at_load else Kind.TORQUE
    top = _widened(max([_top(course, end) for _, course in known] or [0.0]), kind, units)
    missing = [letter(i) for i, course in zip((first, second), of.courses, strict=True) if course is None]
    notes = (
        Note(f"{' and '.join(missing)}: no continuous torque known", 0.01 * end, 0.5 * top),
    ) if missing else ()  # fmt: skip
    panel = Panel(
        y=display_axis("torque at the load" if of.at_load else "torque", kind, units, (0.0, top)),
        series=(
            *(
                Series(
                    f"{i} continuous",
                    c.speed,
                    c.torque,
                    candidate_style(i, "heavy"),
                    f"{letter(i)} continuous",
                )
                for i, c in known
            ),
            *_speed_marks(speeds, (0.0, top), units),
        ),
        bands=tuple(
            Band(f"{i} band", c.speed, c.low, c.high, candidate_style(i))
            for i, c in known
            if c.low is not None and c.high is not None
        ),
        notes=notes,
    )
    axis = display_axis(_axis_words(of.at_load), Kind.SPEED, units, (0.0, end))
    summary = crossing_words(first, second, torque_ratio(result, first, second)).text(units)
    return Chart(TORQUE_TITLE, headline(result, units), axis, (panel,), summary)


def _axis_words(at_load: bool) -> str:
    return "speed of the load" if at_load else "speed"


def _end(reach: float, speeds: tuple[CycleSpeed, ...]) -> float:
    """Return the last speed that is drawn: the reach, or so many times what the cycle needs."""
    needed = max(speed.speed for speed in speeds)
    return min(reach, _SPEED_HEADROOM * needed) if needed > 0.0 else reach


def _ratio_range(ratio: TorqueRatio, end: float) -> tuple[float, float]:
    """Return the range of the ratio axis with all curves and 1 in it."""
    seen = ratio.speed <= end
    rows = [row[seen] for row in (ratio.ratio, ratio.low, ratio.high) if row is not None]
    values = np.concatenate([*rows, np.ones(1)])
    values = values[np.isfinite(values)]
    low, high = float(values.min()), float(values.max())
    air = max(0.1 * (high - low), 0.02)
    return nice_range(max(low - air, 0.0), high + air)


def _ratio_band(ratio: TorqueRatio) -> tuple[tuple[Band, ...], tuple[Series, ...]]:
    if ratio.low is None or ratio.high is None:
        return (), ()
    band = Band("band", ratio.speed, ratio.low, ratio.high, Style(role="soft"), "uncertainty")
    edges = (("low", ratio.low), ("high", ratio.high))
    return (band,), tuple(Series(name, ratio.speed, row, _BAND_EDGE) for name, row in edges)


def _crossing_point(crossing: Crossing, units: DisplayUnits) -> Point:
    words = f"equal at {units.format_quantity(crossing.speed, Kind.SPEED)}"
    return Point(f"crossing {crossing.speed:g}", crossing.speed, 1.0, "diamond", label=words)


def _speed_marks(
    speeds: tuple[CycleSpeed, ...], bounds: tuple[float, float], units: DisplayUnits
) -> list[Series]:
    """Return a dotted line at each speed of the cycle; standstill is the axis itself."""
    marks = []
    for at in speeds:
        if at.speed > 0.0:
            words = f"{at.code} {units.format_value(at.speed, Kind.SPEED)}"
            x = np.array([at.speed, at.speed])
            marks.append(Series(at.code, x, np.array(bounds), _MARK, words))
    return marks


def _top(course: TorqueCourse, end: float) -> float:
    rows = [row for row in (course.torque, course.high) if row is not None]
    seen: FloatArray = np.concatenate([row[course.speed <= end] for row in rows])
    seen = seen[np.isfinite(seen)]
    return float(seen.max()) if len(seen) else 0.0


def _widened(top: float, kind: Kind, units: DisplayUnits) -> float:
    axis = display_axis("", kind, units)
    return axis.over(0.0, 1.05 * top if top > 0.0 else axis.si(1.0))[1]
