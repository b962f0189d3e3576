"""What every chart of a result shares: axes in display units, times in words, looks of candidates."""

from __future__ import annotations

from core.charts.chart import MOST_CANDIDATES, Axis, Dash, Style, Width
from core.charts.ticks import fixed_text, nice_step
from core.results import CandidateResult, Result
from core.units import DisplayUnits, Kind, Unit, find_unit, format_number

# Up to which time a unit reads well; the last one takes the rest.
_TIME_UNITS = ((1.0, "ms"), (300.0, "s"), (3.0 * 3600.0, "min"), (float("inf"), "h"))

# Where an axis ends that has nothing to show yet, before rounding: of the size of small motors.
_EMPTY_TOPS = {Kind.TORQUE: 0.1, Kind.SPEED: 100.0}


def display_axis(
    label: str,
    kind: Kind,
    units: DisplayUnits,
    range_si: tuple[float, float] | None = None,
    ticks: tuple[float, ...] | None = None,
) -> Axis:
    """Return an axis whose numbers are in the display unit of `kind`."""
    return _axis(label, units.units[kind], range_si, ticks)


def empty_top(kind: Kind, units: DisplayUnits) -> float:
    """Return where an axis of torque or speed ends that has nothing to show: round in its own unit, in SI.

    >>> units = DisplayUnits()
    >>> [units.format_value(empty_top(kind, units), kind) for kind in (Kind.TORQUE, Kind.SPEED)]
    ['100', '1000']
    """
    axis = display_axis("", kind, units)
    return axis.si(nice_step(axis.shown(_EMPTY_TOPS[kind]), 1))


def time_axis(longest: float, units: DisplayUnits, range_si: tuple[float, float]) -> Axis:
    """Return a time axis in a unit that suits the longest time."""
    return _axis("time", time_unit(longest, units), range_si, None)


def time_unit(longest: float, units: DisplayUnits) -> Unit:
    """Return the unit for times up to `longest`: the chosen one, or one that suits in place of seconds."""
    chosen = units.units[Kind.TIME]
    if chosen.symbol != "s":
        return chosen
    return find_unit(next(symbol for limit, symbol in _TIME_UNITS if longest < limit), Kind.TIME)


def time_words(seconds: float, units: DisplayUnits, significant: int = 3) -> str:
    """Return a time in a unit that suits it.

    >>> time_words(0.3, DisplayUnits()), time_words(1440.0, DisplayUnits())
    ('300 ms', '24 min')
    """
    unit = time_unit(seconds, units)
    number = format_number((seconds - unit.offset) * unit.divisor / unit.multiplier, significant)
    if "." in number and "e" not in number:
        number = number.rstrip("0").rstrip(".")
    return f"{number} {unit.symbol}"


def as_given(value: float, kind: Kind, units: DisplayUnits) -> str:
    """Return a quantity that was typed with the digits it was typed with.

    >>> as_given(40.0, Kind.TEMPERATURE, DisplayUnits())
    '40 °C'
    """
    return f"{units.format_entry(value, kind)} {units.symbol(kind)}".rstrip()


def degrees(temp: float, units: DisplayUnits) -> str:
    """Return a computed temperature in whole degrees, without the unit: more is not known.

    >>> degrees(94.37, DisplayUnits())
    '94'
    """
    return fixed_text(units.to_display(temp, Kind.TEMPERATURE), 0)


def shown_candidates(result: Result) -> tuple[CandidateResult, ...]:
    """Return the candidates that a chart shows: the chosen one and the first others, in their order."""
    chosen = result.chosen_candidate
    others = [candidate for candidate in result.candidates if candidate is not chosen]
    shown = others[: MOST_CANDIDATES - (chosen is not None)] + ([chosen] if chosen else [])
    return tuple(sorted(shown, key=lambda candidate: candidate.index))


def letter(index: int) -> str:
    """Return the letter of a candidate.

    >>> letter(0), letter(1)
    ('A', 'B')
    """
    return chr(ord("A") + index % 26)


def candidate_style(index: int, width: Width = "regular", dash: Dash = "own") -> Style:
    """Return the style of a candidate's curve."""
    return Style(role="candidate", candidate=index % MOST_CANDIDATES, dash=dash, width=width)


def _axis(
    label: str, unit: Unit, range_si: tuple[float, float] | None, ticks: tuple[float, ...] | None
) -> Axis:
    scale = unit.divisor / unit.multiplier
    return Axis(label, unit.symbol, scale, -unit.offset * scale, range_si, ticks)
