"""Switched voltage on resistance and inductance in the time domain, exact between the switching instants.

Independent of `core`: each piece of constant voltage is an exponential of the current, integrated in
closed form. `run_path` is one path under pulses of constant duty, `run_three_legs` three phases in star.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True)
class Ripple:
    """Of the current in its repeating state: peak to peak, rms about the mean, mean."""

    peak_to_peak: float
    rms: float
    mean: float


def _piece(current: float, drive: float, r: float, inductance: float, t: float) -> tuple[float, float, float]:
    """Return the current after `t` under a constant voltage, its integral and that of its square."""
    final, tau = drive / r, inductance / r
    decay = current - final
    fall = -math.expm1(-t / tau)
    area = final * t + decay * tau * fall
    square = final**2 * t + 2.0 * final * decay * tau * fall
    square += 0.5 * decay**2 * tau * -math.expm1(-2.0 * t / tau)
    return final + decay * (1.0 - fall), area, square


def run_path(
    high: float, low: float, duty: float, r: float, inductance: float, frequency: float, emf: float = 0.0
) -> Ripple:
    """Return the ripple of a path switched between two voltages against a constant EMF."""
    period = 1.0 / frequency
    pieces = ((high - emf, duty * period), (low - emf, (1.0 - duty) * period))
    current = (duty * high + (1.0 - duty) * low - emf) / r
    for _ in range(10 + math.ceil(40.0 * inductance / r / period)):
        corners, area, square = [current], 0.0, 0.0
        for drive, t in pieces:
            current, a, s = _piece(current, drive, r, inductance, t)
            corners.append(current)
            area, square = area + a, square + s
    mean = area / period
    return Ripple(max(corners) - min(corners), math.sqrt(square / period - mean**2), mean)


def run_three_legs(
    link: float,
    phase_peak: float,
    inductance: float,
    frequency: float,
    pulses: int,
    *,
    zero_sequence: bool,
    resistance: float = 1e-2,
    angle: float = 0.0,
) -> float:
    """Return the rms ripple of a phase current over one electrical period (line-to-line values given).

    Legs pulse symmetrically about the middle of each carrier period, sampled once in it; the EMF of
    each phase equals the wanted voltage, so that what flows is the ripple alone. With `zero_sequence` the
    mean of largest and smallest reference is taken off all, which shares the zero time equally.
    """
    period, r, length = 1.0 / frequency, 0.5 * resistance, 0.5 * inductance
    currents, squares = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
    for n in range(pulses):
        turn = angle + 2.0 * math.pi * (n + 0.5) / pulses
        wanted = [phase_peak * math.cos(turn - k * 2.0 * math.pi / 3.0) for k in range(3)]
        shift = 0.5 * (max(wanted) + min(wanted)) if zero_sequence else 0.0
        on = [(0.5 + (v - shift) / link) * period for v in wanted]
        edges = sorted({0.0, period, *(0.5 * (period - t) for t in on), *(0.5 * (period + t) for t in on)})
        for begin, end in pairwise(edges):
            middle = 0.5 * (begin + end)
            legs = [link if abs(middle - 0.5 * period) < 0.5 * t else 0.0 for t in on]
            star = sum(legs) / 3.0
            for k in range(3):
                drive = legs[k] - star - wanted[k]
                currents[k], _, s = _piece(currents[k], drive, r, length, end - begin)
                squares[k] += s
    return math.sqrt(sum(squares) / 3.0 / (pulses * period))
