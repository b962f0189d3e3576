"""EMF and current waves sampled over one period, written without the core: what its factors are tested on."""

from __future__ import annotations

import numpy as np

from core.numeric import FloatArray

SAMPLES = 360_000
ANGLE: FloatArray = (np.arange(SAMPLES) + 0.5) * 2.0 * np.pi / SAMPLES
PHASE_SHIFT = 2.0 * np.pi / 3.0


def sine_wave(angle: FloatArray) -> FloatArray:
    """Return a sine."""
    wave: FloatArray = np.sin(angle)
    return wave


def trapezoid_wave(angle: FloatArray, flat_top_deg: float) -> FloatArray:
    """Return a trapezoid with flat tops of 1 about 90 and -1 about 270 degrees, by interpolation."""
    ramp = (180.0 - flat_top_deg) / 2.0
    corners = [0.0, ramp, 180.0 - ramp, 180.0 + ramp, 360.0 - ramp, 360.0]
    return np.asarray(np.interp(np.degrees(angle) % 360.0, corners, [0.0, 1.0, 1.0, -1.0, -1.0, 0.0]))


def block_wave(angle: FloatArray) -> FloatArray:
    """Return the phase current of ideal six-step: 120 degrees on about 90, minus about 270, zero between."""
    degrees = np.degrees(angle) % 360.0
    plus = (degrees > 30.0) & (degrees < 150.0)
    minus = (degrees > 210.0) & (degrees < 330.0)
    wave: FloatArray = plus.astype(float) - minus.astype(float)
    return wave


def unit_phase_emf(flat_top_deg: float | None) -> list[FloatArray]:
    """Return three phase EMFs scaled so that the line-to-line peak is 1; sine when no flat top is given."""
    waves = [
        sine_wave(ANGLE - n * PHASE_SHIFT)
        if flat_top_deg is None
        else trapezoid_wave(ANGLE - n * PHASE_SHIFT, flat_top_deg)
        for n in range(3)
    ]
    peak = float(np.max(waves[0] - waves[1]))
    return [wave / peak for wave in waves]


def mean_power(emf: list[FloatArray], current: list[FloatArray]) -> float:
    """Return the mean of the sum of EMF times current."""
    return float(sum(np.mean(e * i) for e, i in zip(emf, current, strict=True)))
