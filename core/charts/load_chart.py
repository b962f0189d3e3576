"""The load as a chart: torque by cause stacked over time, and how the payload moves; its terms in words.

Everything stands at the axis of the mechanism, before the transmission, so it is the same for all
candidates. Causes are told apart by hatching and words, never by the colours of the candidates.
"""

from __future__ import annotations

import numpy as np

from core.charts.chart import Axis, Band, Chart, Hatch, Note, Panel, Series, Span, Style
from core.charts.display_axis import display_axis, time_axis, time_words
from core.charts.ticks import fixed_text
from core.numeric import FloatArray
from core.records import dataclass
from core.results import LoadCourse
from core.units import DisplayUnits, Kind

TITLE = "Load"
TERMS_LANE, POSITION_LANE, SPEED_LANE, ACCELERATION_LANE = range(4)
HATCHES: dict[str, Hatch] = {
    "gravity": "rising",
    "acceleration": "plain",
    "friction": "dots",
    "process": "falling",
}
"""The causes in the order in which they are stacked, the steadiest first."""
_GROUND = Style(role="soft", width="thin")
_INK = Style(role="ink")
_AIR = 0.14
_CURVE_STEPS = 6  # a parabola of the position is drawn with so many chords
_FEW_PIECES = 400
_SILENT = 0.005  # a cause whose share and peak are below this is not worth a word


@dataclass(frozen=True, slots=True)
class Term:
    """One cause within a segment or the cycle: its largest torque [N m], its share of the mean square [-]."""

    cause: str
    peak: float
    share: float


@dataclass(frozen=True, slots=True)
class LoadTable:
    """The terms of a segment (None: of the whole cycle), and which of them dominates, in words."""

    segment: int | None
    terms: tuple[Term, ...]
    words: str


def load_chart(course: LoadCourse, units: DisplayUnits, selected: int | None = None) -> Chart:
    """Return the load over one cycle; `selected` is the segment that is shaded."""
    end = float(course.time[-1])
    position, speed, acceleration = _payload_kinds(course)
    spans = _spans(course, selected)
    panels = (
        _terms_panel(course, units, spans),
        _lane("position", position, units, *_position(course), spans),
        _lane("speed", speed, units, course.payload_time, course.speed, spans),
        _lane("acceleration", acceleration, units, *_steps(course), spans),
    )
    whole = load_table(course, None)
    headline = f"{time_words(end, units)}, at the axis of the mechanism, before the transmission"
    return Chart(TITLE, headline, time_axis(end, units, (0.0, end)), panels, whole.words)


def load_table(course: LoadCourse, segment: int | None) -> LoadTable:
    """Return what each cause contributes within a segment, or over the cycle where there is none."""
    part = np.ones(course.time.size, dtype=bool) if segment is None else course.segment == segment
    if not part.any():
        return load_table(course, None)
    duration = np.diff(course.time[part].reshape(-1, 2)).ravel()
    torques = {cause: course.torque[cause][part].reshape(-1, 2) for cause in HATCHES}
    total = np.sum(list(torques.values()), axis=0)
    square = _mean_product(total, total, duration)
    terms = tuple(
        Term(
            cause,
            _peak(torque),
            _mean_product(torque, total, duration) / square if square > 0.0 else 0.0,
        )
        for cause, torque in torques.items()
    )
    terms = tuple(sorted(terms, key=lambda term: -abs(term.share)))
    return LoadTable(segment, terms, _in_words(terms, _peak(total), segment))


def _mean_product(one: FloatArray, other: FloatArray, duration: FloatArray) -> float:
    """Return the time mean of the product of two torques that are linear within each piece."""
    products = (
        2.0 * (one * other).sum(axis=1) + one[:, 0] * other[:, 1] + one[:, 1] * other[:, 0]
    )  # six times the mean of the piece
    whole = float(duration.sum())
    return float((products * duration).sum()) / 6.0 / whole if whole > 0.0 else 0.0


def _peak(torque: FloatArray) -> float:
    """Return the torque that is largest in magnitude, with its sign."""
    values = torque.ravel()
    return float(values[np.argmax(np.abs(values))]) if values.size else 0.0


def _in_words(terms: tuple[Term, ...], peak: float, segment: int | None) -> str:
    where = "Over the cycle" if segment is None else f"In segment {segment + 1}"
    if peak == 0.0:
        return f"{where} the load asks for no torque."
    first = terms[0]
    highest = max(terms, key=lambda term: abs(term.peak))
    relief = [term.cause for term in terms if term.share < -_SILENT]
    words = f"{where} {first.cause} dominates"
    if first.share <= 1.0 + _SILENT:  # a share of a sum in which causes cancel says little
        words += f" with {fixed_text(100.0 * first.share, 0)} % of the mean square"
    if highest.cause != first.cause:
        words += f"; the largest single torque is that of {highest.cause}"
    if relief:
        words += f"; {' and '.join(relief)} relieve{'s' if len(relief) == 1 else ''} it"
    silent = [term.cause for term in terms if abs(term.share) < _SILENT and term.peak == 0.0]
    if "gravity" in silent:
        words += "; gravity takes no part"
    return words + "."


def numbers_at(course: LoadCourse, time: float, units: DisplayUnits) -> tuple[str, str]:
    """Return title and words for the numbers at a time of the cycle."""
    position, speed, acceleration = _payload_kinds(course)
    total: FloatArray = np.sum([course.torque[cause] for cause in HATCHES], axis=0)
    piece = min(max(int(np.searchsorted(course.time[::2], time, side="right")) - 1, 0), total.size // 2 - 1)
    ends = slice(2 * piece, 2 * piece + 2)
    knot = min(
        max(int(np.searchsorted(course.payload_time, time, side="right")) - 1, 0),
        course.acceleration.size - 1,
    )
    since, rise = time - course.payload_time[knot], course.acceleration[knot]
    at_knot, place = course.speed[knot], course.position[knot]
    whole = float(np.interp(time, course.time[ends], total[ends]))
    words = [f"torque {units.format_quantity(whole, Kind.LOAD_TORQUE)}"]
    for cause in HATCHES:
        value = float(np.interp(time, course.time[ends], course.torque[cause][ends]))
        if value != 0.0:
            words.append(f"{cause} {units.format_quantity(value, Kind.LOAD_TORQUE)}")
    numbers = (
        ("position", float(place + at_knot * since + 0.5 * rise * since**2), position),
        ("speed", float(at_knot + rise * since), speed),
        ("acceleration", float(rise), acceleration),
    )
    words += [f"{name} {units.format_quantity(value, kind)}" for name, value, kind in numbers]
    return f"at {time_words(time, units)}", "\n".join(words)


def empty_load_chart(words: str) -> Chart:
    """Return a chart that only says why there is none."""
    lane = Panel(y=Axis("torque", range=(0.0, 1.0)), notes=(Note(words, 0.02, 0.5),))
    return Chart(TITLE, "", Axis("time", range=(0.0, 1.0)), (lane,), words)


def _payload_kinds(course: LoadCourse) -> tuple[Kind, Kind, Kind]:
    if course.linear:
        return Kind.LENGTH, Kind.LINEAR_SPEED, Kind.ACCELERATION
    return Kind.ANGLE, Kind.SPEED, Kind.ANGULAR_ACCELERATION


def _spans(course: LoadCourse, selected: int | None) -> tuple[Span, ...]:
    starts = course.time[::2][np.flatnonzero(np.diff(course.segment[::2], prepend=-1))]
    edges = np.append(starts, course.time[-1])
    return tuple(
        Span(float(edges[k]), float(edges[k + 1]), str(k + 1), k == selected) for k in range(len(starts))
    )


def _terms_panel(course: LoadCourse, units: DisplayUnits, spans: tuple[Span, ...]) -> Panel:
    time, torques = _with_crossings(course)
    total = np.sum(list(torques.values()), axis=0)
    bands: list[Band] = []
    above, below = np.zeros_like(time), np.zeros_like(time)
    for cause, hatch in HATCHES.items():
        up, down = np.maximum(torques[cause], 0.0), np.minimum(torques[cause], 0.0)
        # the thicker side carries the word
        label_up = float(up.max(initial=0.0)) >= float(-down.min(initial=0.0))
        for name, edge, part in (("above", above, up), ("below", below, down)):
            if part.any():
                inner, outer = (edge, edge + part) if name == "above" else (edge + part, edge)
                words = cause if (name == "above") == label_up else ""
                bands.append(Band(f"{cause} {name}", time, inner, outer, _GROUND, words, hatch=hatch))
        above, below = above + up, below + down
    low, high = float(below.min(initial=0.0)), float(above.max(initial=0.0))
    bounds = _with_air(low, high)
    return Panel(
        y=display_axis("torque by cause", Kind.LOAD_TORQUE, units, bounds, _ticks(low, high)),
        series=(Series("sum", time, total, _INK, "sum"),),
        bands=tuple(bands),
        spans=spans,
        weight=2.2,
    )


def _with_crossings(course: LoadCourse) -> tuple[FloatArray, dict[str, FloatArray]]:
    """Return the torques with further points where one of them passes zero: stacks part there."""
    start, end = course.time[::2], course.time[1::2]
    piece = np.arange(start.size)
    times = [start, end]
    pieces = [piece, piece]
    for cause in HATCHES:
        first, last = course.torque[cause][::2], course.torque[cause][1::2]
        turn = np.flatnonzero(first * last < 0.0)
        share = first[turn] / (first[turn] - last[turn])
        times.append(start[turn] + share * (end[turn] - start[turn]))
        pieces.append(turn)
    time, which = np.concatenate(times), np.concatenate(pieces)
    order = np.lexsort((time, which))
    time, which = time[order], which[order]
    length = np.maximum(end - start, 1e-300)
    share = np.clip((time - start[which]) / length[which], 0.0, 1.0)
    torques = {}
    for cause in HATCHES:
        first, last = course.torque[cause][::2][which], course.torque[cause][1::2][which]
        torques[cause] = (1.0 - share) * first + share * last
    return time, torques


def _position(course: LoadCourse) -> tuple[FloatArray, FloatArray]:
    """Return the position with chords fine enough for the parabolas between the knots."""
    time, length = course.payload_time, np.diff(course.payload_time)
    if length.size > _FEW_PIECES:
        return time, course.position
    share = np.arange(_CURVE_STEPS) / _CURVE_STEPS
    since = length[:, None] * share
    place = (
        course.position[:-1, None]
        + course.speed[:-1, None] * since
        + 0.5 * course.acceleration[:, None] * since**2
    )
    times = time[:-1, None] + since
    return np.append(times.ravel(), time[-1]), np.append(place.ravel(), course.position[-1])


def _steps(course: LoadCourse) -> tuple[FloatArray, FloatArray]:
    return np.repeat(course.payload_time, 2)[1:-1], np.repeat(course.acceleration, 2)


def _lane(
    name: str, kind: Kind, units: DisplayUnits, x: FloatArray, y: FloatArray, spans: tuple[Span, ...]
) -> Panel:
    low, high = min(0.0, float(y.min(initial=0.0))), max(0.0, float(y.max(initial=0.0)))
    plain = tuple(Span(span.start, span.end, "", span.shaded) for span in spans)
    return Panel(
        y=display_axis(name, kind, units, _with_air(low, high), _ticks(low, high)),
        series=(Series(name, x, y, _INK),),
        spans=plain,
    )


def _with_air(low: float, high: float) -> tuple[float, float]:
    if high - low <= 1e-12:
        return low - 1e-3, low + 1e-3
    return low - _AIR * (high - low), high + _AIR * (high - low)


def _ticks(low: float, high: float) -> tuple[float, ...]:
    """Return the extremes and zero, without zero where its number would touch another."""
    span = high - low
    zero_fits = all(abs(edge) > 0.2 * span or edge == 0.0 for edge in (low, high))
    return tuple(sorted({low, high} | ({0.0} if zero_fits else set())))
