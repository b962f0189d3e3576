"""A six-step drive in the time domain: ideal switches and diodes, commutated 30 degrees after the EMF zero.

Independent of `core`: Kirchhoff's laws for three phases in star, the step response of a phase taken
exactly (exponential) with the EMF held at its value in the middle of the step, and the free phase
clamped to a rail by its diode until its current is zero. The transition inside a step is interpolated.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

SECTOR_PHASES = ((0, 1, 2), (0, 2, 1), (1, 2, 0), (1, 0, 2), (2, 0, 1), (2, 1, 0))
"""High, low and free phase of each sector of 60 degrees."""


@dataclass(frozen=True)
class SixStepRun:
    """Means over the last electrical period: torque, powers and change of the stored energy per time."""

    torque: float
    electrical_power: float
    copper_power: float
    stored_power: float


def phase_emf_shape(angle: float, trapezoidal: bool) -> float:
    """Return the phase EMF per volt of line-to-line peak; flat top 120 degrees if trapezoidal."""
    if not trapezoidal:
        return math.sin(angle) / math.sqrt(3.0)
    turn = (angle / math.pi) % 2.0
    sign = 1.0 if turn < 1.0 else -1.0
    return 0.5 * sign * min(1.0, 6.0 * min(turn % 1.0, 1.0 - turn % 1.0))


def run_six_step(
    link_voltage: float,
    back_emf_constant: float,
    resistance: float,
    inductance: float,
    pole_pairs: int,
    speed: float,
    *,
    trapezoidal: bool = False,
    against_motion: bool = False,
    steps_per_sector: int = 200,
) -> SixStepRun:
    """March until the currents repeat and return the means of the last period (line-to-line values given)."""
    r, length = 0.5 * resistance, 0.5 * inductance
    h = math.pi / 3.0 / steps_per_sector / (pole_pairs * speed)
    sectors = SECTOR_PHASES[3:] + SECTOR_PHASES[:3] if against_motion else SECTOR_PHASES
    periods = 4 + math.ceil(4.0 * pole_pairs * speed * inductance / resistance)
    emf = [
        [
            back_emf_constant
            * speed
            * phase_emf_shape(
                math.pi / 6.0 + (n + 0.5) * math.pi / 3.0 / steps_per_sector - phase * 2.0 * math.pi / 3.0,
                trapezoidal,
            )
            for phase in range(3)
        ]
        for n in range(6 * steps_per_sector)
    ]
    current = [0.0, 0.0, 0.0]
    for _ in range(periods):
        mechanical = electrical = copper = 0.0
        stored = -_stored(current, length)
        for n, e in enumerate(emf):
            before = current
            phases = sectors[n // steps_per_sector]
            v, free_conducts = _terminal_voltages(current, e, link_voltage, phases)
            current = _step(current, v, e, free_conducts, phases, (r, length, h))
            mean = [0.5 * (a + b) for a, b in zip(before, current, strict=True)]
            mechanical += sum(a * b for a, b in zip(e, mean, strict=True))
            electrical += sum(a * b for a, b in zip(v, mean, strict=True))
            copper += r * sum((a * a + a * b + b * b) / 3.0 for a, b in zip(before, current, strict=True))
        stored += _stored(current, length)
    count = len(emf)
    return SixStepRun(mechanical / count / speed, electrical / count, copper / count, stored / (count * h))


def _stored(current: list[float], inductance: float) -> float:
    return 0.5 * inductance * sum(i * i for i in current)


def _terminal_voltages(
    current: list[float], emf: list[float], link: float, phases: tuple[int, int, int]
) -> tuple[list[float], bool]:
    high, low, free = phases
    v = [0.0, 0.0, 0.0]
    v[high] = link
    open_circuit = 0.5 * (v[high] + v[low] - emf[high] - emf[low]) + emf[free]
    if current[free] < 0.0 or (current[free] == 0.0 and open_circuit > link):
        v[free] = link  # current leaves the machine through the upper diode
    conducts = current[free] != 0.0 or not 0.0 <= open_circuit <= link
    return v, conducts


def _step(
    current: list[float],
    v: list[float],
    emf: list[float],
    free_conducts: bool,
    phases: tuple[int, int, int],
    circuit: tuple[float, float, float],
) -> list[float]:
    r, inductance, h = circuit
    free = phases[2]
    if not free_conducts:
        return _two_phases(current, v, emf, phases, circuit)
    star = (sum(v) - sum(emf)) / 3.0
    keep = math.exp(-r / inductance * h)
    after = [i * keep + (1.0 - keep) / r * (u - star - e) for i, u, e in zip(current, v, emf, strict=True)]
    if current[free] == 0.0 or after[free] * current[free] > 0.0:
        return after
    share = current[free] / (current[free] - after[free])  # of the step until the diode blocks
    at_zero = [i + share * (j - i) for i, j in zip(current, after, strict=True)]
    return _two_phases(at_zero, v, emf, phases, (r, inductance, h * (1.0 - share)))


def _two_phases(
    current: list[float],
    v: list[float],
    emf: list[float],
    phases: tuple[int, int, int],
    circuit: tuple[float, float, float],
) -> list[float]:
    r, inductance, h = circuit
    high, low, _ = phases
    keep = math.exp(-r / inductance * h)
    drive = 0.5 * (v[high] - v[low] - emf[high] + emf[low])
    through = 0.5 * (current[high] - current[low]) * keep + (1.0 - keep) / r * drive
    after = [0.0, 0.0, 0.0]
    after[high], after[low] = through, -through
    return after
