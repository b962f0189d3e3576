"""What of the energy that braking returns a clamp burns, so that the supply must give it again.

Energy that a supply does not take back stands on the bus until the drive uses it again. Without a clamp
that is all of it, however high the bus rises: whether that may be is the margin of the bus voltage. With a
clamp it is only what the capacitors take up from the highest voltage of the source to that of the clamp,
nothing where one of the two or the capacitance is not known; the rest is burned.
"""

from __future__ import annotations

import numpy as np

from core.evaluation.feed import highest_voltage
from core.evaluation.operating_points import lowest_voltage
from core.evaluation.wires import source_resistance
from core.numeric import FloatArray, Numeric
from core.physics.bus import supply_current
from core.physics.clamp_energy import burned_energy
from core.physics.power_course import pieces_of_one_sign
from core.project.application import Supply
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class Burned:
    """What a clamp burns per cycle, shape (...): energy [J], and the charge returned with it [A s].

    The charge is that which the source would take at its lowest voltage, 0 where that is not known.
    """

    energy: FloatArray
    charge: FloatArray


def keeps_energy(supply: Supply) -> bool:
    """Whether what braking returns stays on the bus: unless the supply is known to take it."""
    return supply.takes_energy_back != "yes"


def burned(
    supply: Supply, bus_capacitance: Numeric, duration: FloatArray, power: FloatArray
) -> Burned | None:
    """Return what the clamp burns; None without one and where the supply takes all back.

    `bus_capacitance` [F] is that of the electronics, shape (...), `duration` [s] that of the halves of
    the parts, shape (..., halves), `power` [W] that at their starts, middles and ends,
    shape (3, ..., halves).
    Of the charge the same share as of the energy is burned: the sag makes the two differ a little.
    """
    if supply.clamp_voltage is None or not keeps_energy(supply):
        return None
    bounds, at = pieces_of_one_sign(*power)
    shape = (*duration.shape[:-1], -1)
    length = np.diff(bounds, axis=-1) * duration[..., None]
    returned = -(length * _mean(at)).reshape(shape)
    energy = burned_energy(returned, _capacity(supply, bus_capacitance))
    lowest = lowest_voltage(supply)
    if lowest is None:
        return Burned(energy, np.zeros_like(energy))
    current = _mean(supply_current(lowest, source_resistance(supply), np.minimum(at, 0.0)))
    charge = -(length * current).reshape(shape).sum(axis=-1)
    back = np.maximum(returned, 0.0).sum(axis=-1)
    return Burned(energy, charge * np.divide(energy, back, out=np.zeros_like(energy), where=back > 0.0))


def _capacity(supply: Supply, bus_capacitance: Numeric) -> Numeric:
    """Return the energy that the bus takes up before the clamp switches on. [J]"""
    start, clamp = highest_voltage(supply), supply.clamp_voltage
    if start is None or clamp is None or clamp <= start:
        return 0.0 * bus_capacitance
    return 0.5 * (bus_capacitance + supply.capacitance) * (clamp * clamp - start * start)


def _mean(at: FloatArray) -> FloatArray:
    """Return the mean of parabolas through three points: Simpson's rule."""
    mean: FloatArray = (at[0] + 4.0 * at[1] + at[2]) / 6.0
    return mean
