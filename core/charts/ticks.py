"""Where the tick marks of an axis stand and how their numbers are written.

Pure functions on the shown numbers (in the unit printed at the axis), shared by the painter on
paper and by the plots on screen, so that both read alike. Steps are 1, 2 or 5 times a power of
ten: the steps a reader can halve and double in the head (common practice, no source).
"""

from __future__ import annotations

import itertools
import math

from core.units import format_number

MINUS = "\N{MINUS SIGN}"

# A tick that misses the end of the axis by rounding alone still belongs to the axis.
_END_SLACK = 1e-9


def nice_step(span: float, max_intervals: int) -> float:
    """Return the smallest step of 1, 2 or 5 times a power of ten that cuts `span` into few enough parts.

    >>> nice_step(8000.0, 8)
    1000.0
    >>> nice_step(0.3, 8)
    0.05
    >>> nice_step(0.0, 5)
    1.0
    """
    if not (span > 0.0 and math.isfinite(span)):
        return 1.0
    raw = span / max(1, max_intervals)
    exponent = math.floor(math.log10(raw))
    for multiple, power in ((1, exponent), (2, exponent), (5, exponent), (1, exponent + 1)):
        step = float(f"{multiple}e{power}")
        if step >= raw * (1.0 - _END_SLACK):
            return step
    return float(f"2e{exponent + 1}")


def step_decimals(step: float) -> int:
    """Return how many decimals every number on an axis with this step needs.

    >>> step_decimals(20.0), step_decimals(0.5), step_decimals(0.02)
    (0, 1, 2)
    """
    return max(0, -math.floor(math.log10(step) + _END_SLACK))


def tick_values(low: float, high: float, max_intervals: int) -> tuple[float, ...]:
    """Return the multiples of a nice step that lie within the axis, both ends included.

    >>> tick_values(-60.0, 120.0, 9)
    (-60.0, -40.0, -20.0, 0.0, 20.0, 40.0, 60.0, 80.0, 100.0, 120.0)
    >>> tick_values(0.0, 0.3, 3)
    (0.0, 0.1, 0.2, 0.3)
    """
    if not high > low:
        return (low,)
    step = nice_step(high - low, max_intervals)
    first = math.ceil(low / step - _END_SLACK)
    last = math.floor(high / step + _END_SLACK)
    # Rounding to one decimal more than printed removes 0.30000000000000004 and keeps the value.
    digits = step_decimals(step) + 1
    return tuple(round(index * step, digits) + 0.0 for index in range(first, last + 1))


def shared_decimals(values: tuple[float, ...], most: int = 4) -> int:
    """Return the fewest decimals, the same for all, that write every value without loss.

    Values that need more than `most` decimals are written rounded to `most`.

    >>> shared_decimals((0.0, 0.5, 1.0)), shared_decimals((58.0, 0.0, -46.25))
    (1, 2)
    """
    for decimals in range(most):
        if all(abs(value - round(value, decimals)) <= 1e-9 * max(1.0, abs(value)) for value in values):
            return decimals
    return most


def fixed_text(value: float, decimals: int) -> str:
    """Write a number with fixed decimals, a true minus sign and no minus before zero.

    >>> fixed_text(-46.0, 0), fixed_text(-0.01, 1), fixed_text(2.5, 2)
    ('−46', '0.0', '2.50')
    """
    text = f"{value:.{decimals}f}"
    if text.startswith("-") and not text.strip("-0."):
        text = text[1:]
    return text.replace("-", MINUS)


def tick_labels(values: tuple[float, ...]) -> tuple[str, ...]:
    """Write the numbers of one axis, all with the same decimals.

    >>> tick_labels((-0.5, 0.0, 0.5))
    ('−0.5', '0.0', '0.5')
    """
    smallest_gap = min((b - a for a, b in itertools.pairwise(values)), default=0.0)
    # Very small steps (1e-6) need more decimals than a reader is otherwise given.
    most = max(4, step_decimals(smallest_gap) + 1) if smallest_gap > 0.0 else 4
    decimals = shared_decimals(values, most)
    return tuple(fixed_text(value, decimals) for value in values)


def level_label(value: float) -> str:
    """Write the number of a level of the data, such as a peak: three digits, none of them an idle zero.

    >>> level_label(84.0), level_label(-46.8889), level_label(2960.28)
    ('84', '−46.9', '2960')
    """
    words = format_number(0.0 if abs(value) < 1e-9 else value)
    return words.rstrip("0").rstrip(".") if "." in words and "e" not in words else words


def nice_range(low: float, high: float, max_intervals: int = 10) -> tuple[float, float]:
    """Widen a data range to whole ticks; a range of no width becomes one around its value.

    >>> nice_range(-46.0, 118.0)
    (-60.0, 120.0)
    >>> nice_range(0.0, 0.0)
    (-1.0, 1.0)
    """
    if not (math.isfinite(low) and math.isfinite(high)):
        return (0.0, 1.0)
    # Below 1e-12 of the values, or of the printed unit, a difference is rounding and not data.
    if high - low <= 1e-12 * max(1.0, abs(low), abs(high)):
        half = abs(low) * 0.5 or 1.0
        low, high = low - half, high + half
    step = nice_step(high - low, max_intervals)
    digits = step_decimals(step) + 1
    bottom = math.floor(low / step + _END_SLACK) * step
    top = math.ceil(high / step - _END_SLACK) * step
    return round(bottom, digits) + 0.0, round(top, digits) + 0.0
