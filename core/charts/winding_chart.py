"""What the voltage allows each winding of a frame, over speed, with the points that the cycle asks for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.charts.chart import Axis, Band, Chart, Note, Panel, Point, Series, Style
from core.charts.display_axis import as_given, candidate_style, display_axis
from core.charts.ticks import nice_range
from core.numeric import FloatArray
from core.results import CandidateResult
from core.units import DisplayUnits, Kind
from core.winding_results import WindingFit, WindingStudy

TITLE = "Windings"
_FITS = Style(role="ink", width="thin")
_DOES_NOT = Style(role="soft", dash="dotted", width="thin")
_NOT_KNOWN = Style(role="soft", dash="dashed", width="thin")
_REWOUND = Style(role="caution", dash="dashed", width="regular")
_HEADROOM = 2.5  # how many times the largest torque that is asked for the picture shows
_BEYOND = 1.15  # of the speed axis, over the fastest winding that matters
_LABEL_AT = 0.12  # of the height: near their lower ends the lines lie apart


def winding_chart(
    result: CandidateResult,
    study: WindingStudy,
    units: DisplayUnits,
    pointed: str | None = None,
    rewound: WindingFit | None = None,
) -> Chart:
    """Return the voltage limit of every winding, the chosen one marked, each with its name at its line.

    The chosen winding and the one that is pointed at show their tolerance as a band. `rewound` is one with
    another number of turns, from `WindingStudy.at_turns`.
    """
    torque = _top(study)
    low, high = nice_range(0.0, display_axis("", Kind.TORQUE, units).shown(torque))
    y = display_axis("torque", Kind.TORQUE, units)
    top = y.si(high)
    lines = [_line(fit, study, result.index, top, fit.name == pointed) for fit in study.windings]
    if rewound is not None:
        lines.append(_rewound_line(rewound, study, top))
    marked = [fit for fit in study.windings if fit.chosen or fit.name == pointed]
    panel = Panel(
        y=display_axis("torque", Kind.TORQUE, units, (y.si(low), top)),
        series=tuple(lines),
        bands=tuple(_band(fit, study, result.index, top) for fit in marked),
        points=_points(result),
    )
    x = display_axis("speed", Kind.SPEED, units, (0.0, _last_speed(study)))
    return Chart(TITLE, _headline(study, units), x, (panel,), _summary(study, units))


def empty_winding_chart(words: str) -> Chart:
    """Return a chart that only says why there is none."""
    lane = Panel(y=Axis("", range=(0.0, 1.0), ticks=()), notes=(Note(words, 0.02, 0.5),))
    return Chart(TITLE, "", Axis("", range=(0.0, 1.0), ticks=()), (lane,), words)


def turns_words(study: WindingStudy, units: DisplayUnits) -> str:
    """Return with which turns, over those of the chosen winding, the frame does what is asked."""
    low, high = (
        units.format_quantity(turns, Kind.NUMBER) for turns in (study.fewest_turns, study.most_turns)
    )
    if study.fewest_turns > study.most_turns:
        return "no number of turns fits: the voltage asks for fewer than the current allows"
    return f"{low} to {high} times the turns of {study.chosen.name} fit"


def label_of(fit: WindingFit, study: WindingStudy) -> str:
    """Return the words at the line of a winding."""
    marks = [
        *(["chosen"] if fit.chosen else []),
        *(["fastest that fits"] if fit.name == study.fastest else []),
        *(["does not fit"] if fit.fits is False else []),
    ]
    return f"{fit.name}, {', '.join(marks)}" if marks else fit.name


def _line(fit: WindingFit, study: WindingStudy, candidate: int, top: float, pointed: bool) -> Series:
    other = {True: _FITS, False: _DOES_NOT, None: _NOT_KNOWN}[fit.fits]
    style = candidate_style(candidate, width="heavy") if fit.chosen else other
    if pointed and not fit.chosen:
        style = replace(style, width="heavy")
    shown = np.where(fit.torque <= top, fit.torque, np.nan)
    return Series(
        f"winding {fit.name}", study.speed, shown, style, label_of(fit, study), _label_x(fit, study, top)
    )


def _rewound_line(fit: WindingFit, study: WindingStudy, top: float) -> Series:
    shown = np.where(fit.torque <= top, fit.torque, np.nan)
    return Series("rewound", study.speed, shown, _REWOUND, fit.name, _label_x(fit, study, 5.0 * top))


def _band(fit: WindingFit, study: WindingStudy, candidate: int, top: float) -> Band:
    high = np.where(np.isfinite(fit.most_torque), np.minimum(fit.most_torque, top), np.nan)
    low = np.where(np.isfinite(high), np.minimum(np.nan_to_num(fit.least_torque), high), np.nan)
    style = candidate_style(candidate) if fit.chosen else _FITS
    return Band(f"tolerance {fit.name}", study.speed, low, high, style, faint=True)


def _label_x(fit: WindingFit, study: WindingStudy, top: float) -> float | None:
    known = np.isfinite(fit.torque)
    if not known.any():
        return None
    place = np.abs(np.where(known, fit.torque, np.inf) - _LABEL_AT * top)
    return float(study.speed[int(place.argmin())])


def _points(result: CandidateResult) -> tuple[Point, ...]:
    drawn = result.load_points
    if drawn is None:
        return ()
    return tuple(
        Point(
            f"segment {number + 1}",
            float(drawn.speed[number]),
            float(drawn.torque[number]),
            text=str(number + 1),
        )
        for number in range(drawn.speed.size)
        if drawn.torque[number] >= 0.0  # braking asks for less voltage
    )


def _top(study: WindingStudy) -> float:
    asked = float(study.point_torque.max(initial=0.0))
    stands = max(_largest(fit.torque) for fit in study.windings)
    return min(stands, _HEADROOM * asked) if asked > 0.0 and stands > asked else max(stands, asked, 1e-6)


def _last_speed(study: WindingStudy) -> float:
    """Return where the picture ends: beyond all that fits, the chosen winding and what the cycle asks for."""
    ends = [
        float(study.speed[np.isfinite(fit.most_torque)].max(initial=0.0))
        for fit in study.windings
        if fit.chosen or fit.fits is not False
    ]
    wanted = _BEYOND * max(*ends, float(study.point_speed.max(initial=0.0)), 0.1 * float(study.speed[-1]))
    return min(wanted, float(study.speed[-1]))


def _largest(torque: FloatArray) -> float:
    known = torque[np.isfinite(torque)]
    return float(known.max()) if known.size else 0.0


def _headline(study: WindingStudy, units: DisplayUnits) -> str:
    voltage = as_given(round(study.voltage, 2), Kind.VOLTAGE, units)
    doubt = f"±{100.0 * study.tolerance:g} %"
    return f"{voltage} at the electronics, worst of hot and cold; whether it fits with {doubt} of the data"


def _summary(study: WindingStudy, units: DisplayUnits) -> str:
    chosen, best = study.chosen, study.fastest
    share = units.format_quantity(chosen.voltage_share, Kind.RATIO, 2)
    current = units.format_quantity(chosen.peak_current, Kind.CURRENT, 2)
    words = f"Winding {chosen.name} takes {share} of the voltage and up to {current}"
    if best is None:
        return f"{words}; no winding of this frame is known to fit."
    if best == chosen.name:
        return f"{words}, and is the fastest whose current the electronics carry."
    return f"{words}; {best} is the fastest whose current the electronics carry."
