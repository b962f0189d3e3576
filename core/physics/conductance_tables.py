r"""How the links of a heat network follow speed and temperature, tabulated once per motor and place.

A surface loses heat by three ways with laws of their own: radiation and conduction follow the mean of the
two temperatures, natural convection follows their difference, and what the rotor drives follows the
speed. Tables take the correlations out of the inner loops: looking up costs a few operations on arrays.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, read_only


@dataclass(frozen=True, slots=True)
class ForcedTable:
    r"""Rotor-driven conductance of every link at speeds spaced evenly in their root.

    Parameters
    ----------
    highest : float
        Last speed of the table; beyond it the last slope in the root of the speed goes on. [rad/s]
    conductance : ndarray, shape (k, l)
        Conductance of the l links at :math:`\omega_i = \omega_\mathrm{max} (i/(k-1))^2`. [W/K]

    Raises
    ------
    InputRangeError
        If the highest speed is not positive or a conductance negative.

    References
    ----------
    Own formulation. In the root of the speed, laws from :math:`\omega^{0.5}` to :math:`\omega^{0.8}` are
    nearly straight.
    """

    highest: float
    conductance: FloatArray

    def __post_init__(self) -> None:
        if not 0.0 < self.highest < np.inf:
            raise InputRangeError("highest tabulated speed", self.highest, "rad/s", "> 0")
        if not (self.conductance >= 0.0).all():
            worst = float(np.nanmin(self.conductance))
            raise InputRangeError("rotor-driven heat conductance", worst, "W/K", ">= 0")
        read_only(self.conductance)

    def at(self, speed: FloatArray) -> FloatArray:
        """Return the rotor-driven conductances at speeds of either sign, shape (m, l). [W/K]"""
        last = len(self.conductance) - 1
        return _straight(self.conductance, np.sqrt(np.abs(speed) / self.highest) * last)


@dataclass(frozen=True, slots=True)
class TemperatureTable:
    r"""Fixed and natural conductance of every link over the temperatures of its two ends.

    Parameters
    ----------
    mean_start, mean_step : float
        First mean temperature of the two ends and the step of the table. [degC, K]
    fixed : ndarray, shape (k, l)
        Radiation and conduction of the links at these means. [W/K]
    difference_step : float
        Step in the root of the temperature difference; the table starts at no difference. [K^0.5]
    natural : ndarray, shape (d, l)
        Natural convection of the links at these differences. [W/K]

    Raises
    ------
    InputRangeError
        If a step is not positive or a conductance negative.

    Notes
    -----
    Radiation between two bodies follows :math:`(T_a^2 + T_b^2)(T_a + T_b) = 4 \bar T^3 + \bar T \Delta T^2`:
    the second term, 1 % at 60 K, is left to the table, which is made with one end at its usual
    temperature. Beyond the table its last slope goes on, never below zero.

    References
    ----------
    Own formulation.
    """

    mean_start: float
    mean_step: float
    fixed: FloatArray
    difference_step: float
    natural: FloatArray

    def __post_init__(self) -> None:
        for name, step in (("mean temperature", self.mean_step), ("difference", self.difference_step)):
            if not 0.0 < step < np.inf:
                raise InputRangeError(f"step of the table over {name}", step, "", "> 0")
        for kind, table in (("fixed", self.fixed), ("natural", self.natural)):
            if not (table >= 0.0).all():
                raise InputRangeError(f"{kind} heat conductance", float(np.nanmin(table)), "W/K", ">= 0")
        read_only(self.fixed, self.natural)

    def at(self, temp_a: FloatArray, temp_b: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return fixed and natural conductance for the ends' temperatures, all shapes (m, l). [W/K]"""
        mean = (0.5 * (temp_a + temp_b) - self.mean_start) / self.mean_step
        difference = np.sqrt(np.abs(temp_a - temp_b)) / self.difference_step
        fixed = np.maximum(_straight_by_column(self.fixed, mean), 0.0)
        return fixed, np.maximum(_straight_by_column(self.natural, difference), 0.0)


def _straight(table: FloatArray, place: FloatArray) -> FloatArray:
    """Return rows of a table between its lines, shape (m, l); the same place for all columns."""
    below = np.clip(place.astype(np.int64), 0, len(table) - 2)
    share = (place - below)[:, None]
    mixed: FloatArray = table[below] * (1.0 - share) + table[below + 1] * share
    return np.maximum(mixed, 0.0)


def _straight_by_column(table: FloatArray, place: FloatArray) -> FloatArray:
    """Return entries of a table between its lines, shape (m, l); each column at a place of its own."""
    below = np.clip(place.astype(np.int64), 0, len(table) - 2)
    column = np.arange(table.shape[1])
    share = place - below
    mixed: FloatArray = table[below, column] * (1.0 - share) + table[below + 1, column] * share
    return mixed
