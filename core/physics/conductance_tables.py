r"""How the links of a heat network follow speed and temperature, tabulated once per motor and place.

A surface loses heat by three ways with laws of their own: radiation and conduction follow the mean of the
two temperatures, natural convection follows their difference, and what the rotor drives follows the
speed. Tables take the correlations out of the inner loops: looking up costs a few operations on arrays.
"""

from __future__ import annotations

import functools
from dataclasses import field
from typing import Final

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, IntArray, read_only
from core.records import dataclass

# A ramp whose speed changes by less than this share of itself counts as constant.
_LEAST_CHANGE: Final = 1e-6
_MOST_REMEMBERED: Final = 400
_MOST_OF_LAST: Final = 4000  # pieces, whose weights take four megabytes


@dataclass(frozen=True, slots=True)
class ForcedTable:
    r"""Rotor-driven conductance of every link at speeds spaced evenly in their root.

    Parameters
    ----------
    highest : float
        Last speed of the table; beyond it the last slope in the root of the speed goes on. [rad/s]
    conductance : ndarray, shape (k, l)
        Conductance of the l links at :math:`\omega_i = \omega_\mathrm{max} (i/(k-1))^2`. [W/K]
    cubed : ndarray, shape (k, l)
        Its third power, made from it. [W^3/K^3]

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
    cubed: FloatArray = field(init=False, repr=False)

    def __post_init__(self) -> None:
        if not 0.0 < self.highest < np.inf:
            raise InputRangeError("highest tabulated speed", self.highest, "rad/s", "> 0")
        if not (self.conductance >= 0.0).all():
            worst = float(np.nanmin(self.conductance))
            raise InputRangeError("rotor-driven heat conductance", worst, "W/K", ">= 0")
        object.__setattr__(self, "cubed", self.conductance**3)
        read_only(self.conductance, self.cubed)

    def at(self, speed: FloatArray) -> FloatArray:
        """Return the rotor-driven conductances at speeds of either sign, shape (m, l). [W/K]"""
        return _straight(self.conductance, _place(speed, self.highest, len(self.conductance)))

    def ramp_weights(self, speed_start: FloatArray, speed_end: FloatArray) -> FloatArray:
        """Return the weights of the tabulated speeds in the time means over linear ramps, shape (m, k). [-]

        Ramps of 400 pieces at most are remembered: speeds stay while torques are changed. Of finer ones the
        last are: they stay while the temperatures of a cycle are sought.
        """
        count = len(self.conductance)
        if speed_start.size > _MOST_OF_LAST:
            return _ramp_weights(speed_start, speed_end, self.highest, count)
        known = _remembered_weights if speed_start.size <= _MOST_REMEMBERED else _last_weights
        return known(speed_start.tobytes(), speed_end.tobytes(), self.highest, count)


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
    entries, rises : ndarray, shape ((k + d) l,)
        Both tables line by line, and what each entry is lower than that of the next line, made from
        them. [W/K]
    columns : ndarray of int, shape (2, l)
        Where the columns of both tables begin among the entries, made from them. [-]
    last : ndarray, shape (2,)
        Last lines from which a table can be read on, made from them. [-]

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
    entries: FloatArray = field(init=False, repr=False)
    rises: FloatArray = field(init=False, repr=False)
    columns: IntArray = field(init=False, repr=False)
    last: FloatArray = field(init=False, repr=False)

    def __post_init__(self) -> None:
        for name, step in (("mean temperature", self.mean_step), ("difference", self.difference_step)):
            if not 0.0 < step < np.inf:
                raise InputRangeError(f"step of the table over {name}", step, "", "> 0")
        for kind, table in (("fixed", self.fixed), ("natural", self.natural)):
            if not (table >= 0.0).all():
                raise InputRangeError(f"{kind} heat conductance", float(np.nanmin(table)), "W/K", ">= 0")
        lines, links = self.fixed.shape
        entries = np.concatenate((self.fixed, self.natural), axis=None)
        made = {
            "entries": entries,
            "rises": np.append(entries[links:] - entries[:-links], np.zeros(links)),
            "columns": np.arange(links) + np.array([[0], [lines * links]]),
            "last": np.array([lines - 2.0, len(self.natural) - 2.0]),
        }
        for name, value in made.items():
            value.setflags(write=False)
            object.__setattr__(self, name, value)
        read_only(self.fixed, self.natural)

    def at(self, temp_a: FloatArray, temp_b: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return fixed and natural conductance for the ends' temperatures, all shapes (..., l). [W/K]"""
        place = np.empty((2, *temp_a.shape))
        place[0] = (0.5 * (temp_a + temp_b) - self.mean_start) / self.mean_step
        place[1] = np.sqrt(np.abs(temp_a - temp_b)) / self.difference_step
        # both tables in one look-up, the second one behind the first
        many, links = [1] * (temp_a.ndim - 1), self.columns.shape[1]
        last, columns = self.last.reshape(2, *many, 1), self.columns.reshape(2, *many, links)
        below = np.minimum(np.maximum(place, 0.0), last).astype(np.int64)
        entry = below * links + columns
        found = self.entries.take(entry) + (place - below) * self.rises.take(entry)
        fixed, natural = np.maximum(found, 0.0)
        return fixed, natural


def _place(speed: FloatArray, highest: float, count: int) -> FloatArray:
    """Return the places of speeds of either sign among lines spaced evenly in the root of the speed. [-]"""
    place: FloatArray = np.sqrt(np.abs(speed) / highest) * (count - 1)
    return place


@functools.lru_cache(maxsize=48)
def _remembered_weights(speed_start: bytes, speed_end: bytes, highest: float, count: int) -> FloatArray:
    return _weights_of(speed_start, speed_end, highest, count)


@functools.lru_cache(maxsize=2)
def _last_weights(speed_start: bytes, speed_end: bytes, highest: float, count: int) -> FloatArray:
    return _weights_of(speed_start, speed_end, highest, count)


def _weights_of(speed_start: bytes, speed_end: bytes, highest: float, count: int) -> FloatArray:
    weights = _ramp_weights(np.frombuffer(speed_start), np.frombuffer(speed_end), highest, count)
    read_only(weights)
    return weights


def _ramp_weights(speed_start: FloatArray, speed_end: FloatArray, highest: float, count: int) -> FloatArray:
    r"""Return the weights of lines in means over ramps of what is straight between the lines, shape (m, k).

    With p the place among the lines, :math:`\omega \propto p^2`: the mean over a ramp is the difference of
    two integrals over :math:`p^2` from standstill, exact however coarse the ramp. The integral is odd in
    the speed, which lets a ramp pass through standstill.
    """
    ends = [_place(speed, highest, count) for speed in (speed_start, speed_end)]
    squares = [np.sign(w) * p * p for w, p in zip((speed_start, speed_end), ends, strict=True)]
    change = (squares[1] - squares[0])[:, None]
    ramp = np.abs(change) > _LEAST_CHANGE * (ends[0] ** 2 + ends[1] ** 2)[:, None]
    first, last = (
        np.sign(w)[:, None] * _integral_weights(p, count)
        for w, p in zip((speed_start, speed_end), ends, strict=True)
    )
    middle = _place(0.5 * (speed_start + speed_end), highest, count)
    return np.where(ramp, (last - first) / np.where(ramp, change, 1.0), _line_weights(middle, count))


def _line_weights(place: FloatArray, count: int) -> FloatArray:
    """Return the weights of lines in a straight interpolation at places among them, shape (m, k)."""
    below = np.clip(place.astype(np.int64), 0, count - 2)
    weights, row = np.zeros((place.size, count)), np.arange(place.size)
    weights[row, below] = 1.0 + below - place
    weights[row, below + 1] = place - below
    return weights


def _integral_weights(place: FloatArray, count: int) -> FloatArray:
    """Return the weights of lines in the integral over p^2 from 0 to places p, shape (m, k).

    A whole interval from line i gives i + 1/3 to its lower and i + 2/3 to its upper line.
    """
    below = np.clip(place.astype(np.int64), 0, count - 2)
    row, line, beyond = np.arange(place.size), np.arange(count), place - below
    whole = 2.0 * line
    whole[0] = 1.0 / 3.0
    weights = np.where(line < below[:, None], whole, 0.0)
    upper = beyond**2 * (below + beyond * (2.0 / 3.0))
    weights[row, below] = beyond * (2.0 * below + beyond) - upper
    weights[row, below] += np.where(below > 0, below - 1.0 / 3.0, 0.0)  # of the last whole interval
    weights[row, below + 1] = upper
    return weights


def _straight(table: FloatArray, place: FloatArray) -> FloatArray:
    """Return rows of a table between its lines, shape (m, l); the same place for all columns."""
    below = np.clip(place.astype(np.int64), 0, len(table) - 2)
    share = (place - below)[:, None]
    mixed: FloatArray = table[below] * (1.0 - share) + table[below + 1] * share
    return np.maximum(mixed, 0.0)
