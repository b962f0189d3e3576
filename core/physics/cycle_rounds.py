r"""One pass over many repeating cycles with their losses held: maps, the state, the means that follow.

Cycles side by side never touch each other's numbers, and any of them can be taken out.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np

from core.errors import InputRangeError
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.heat_pieces import CopperLaw
from core.physics.segment_maps import (
    Chain,
    PieceModes,
    chain,
    mean_temperatures,
    piece_ends,
    piece_maps,
    piece_modes,
)
from core.records import dataclass

# Magnets that keep less than this share of their flux are counted as lost. [-]
LEAST_FLUX = 0.05
# Growth in one piece by more than e^25 makes 10^10 K of any heat and leaves no digits to the rest of the
# cycle: it counts as run-away.
_LARGEST_EXPONENT = 25.0


@dataclass(frozen=True, slots=True)
class CycleProblem:
    """B cycles of m pieces on networks of n nodes; a leading 1 stands for all of them.

    Parameters
    ----------
    conductance : ndarray, shape (B or 1, m, n, n)
        Node matrices. [W/K]
    inflow : ndarray, shape (B or 1, m, n)
        Heat that does not depend on temperature. [W]
    copper_loss : ndarray, shape (B, m)
        Copper loss at the reference temperatures. [W]
    duration : ndarray, shape (B or 1, m)
        Durations. [s]
    capacity : ndarray, shape (n,) or (B, 1, n)
        Heat capacities. [J/K]
    winding, magnets : int
        Nodes. [-]
    law : CopperLaw
        How the loss follows the temperatures; its fields may be arrays of shape (B, 1). [-]

    Raises
    ------
    InputRangeError
        If a duration is not positive, a copper loss negative or not finite, or the magnets' temperature
        coefficient positive.

    References
    ----------
    Own formulation.
    """

    conductance: FloatArray
    inflow: FloatArray
    copper_loss: FloatArray
    duration: FloatArray
    capacity: FloatArray
    winding: int
    magnets: int
    law: CopperLaw

    def __post_init__(self) -> None:
        rising = self.law.magnet_temp_coefficient
        if np.any(rising > 0.0):
            raise InputRangeError(
                "temperature coefficient of the magnets", float(np.max(rising)), "1/K", "<= 0"
            )
        shortest = float(self.duration.min())
        if not shortest > 0.0:
            raise InputRangeError("duration of a piece", shortest, "s", "> 0")
        least = float(self.copper_loss.min())
        if not least >= 0.0:
            raise InputRangeError("copper loss of a piece", least, "W", ">= 0")

    def only(self, chosen: BoolArray) -> CycleProblem:
        """Return the problem of the chosen cycles, a bool array of shape (B,). [-]"""
        arrays = {
            name: getattr(self, name)[chosen]
            for name in ("conductance", "inflow", "duration", "capacity")
            if getattr(self, name).shape[0] == chosen.size and getattr(self, name).ndim > 1
        }
        return replace(self, copper_loss=self.copper_loss[chosen], law=_law_of(self.law, chosen), **arrays)


@dataclass(frozen=True, slots=True)
class CycleRound:
    """What one pass with the losses held gave.

    Parameters
    ----------
    modes : PieceModes
        Modes of all pieces. [-]
    joined : Chain
        Joined maps. [-]
    bounded : ndarray of bool, shape (B,)
        False where the cycle has no state with these losses. [-]
    start_temp : ndarray, shape (B, n)
        Temperatures at the start of the cycle. [degC]
    starts, means : ndarray, shape (B, m, n)
        Temperatures at the start of, and mean over, every piece. [degC]

    References
    ----------
    Own formulation.
    """

    modes: PieceModes
    joined: Chain
    bounded: BoolArray
    start_temp: FloatArray
    starts: FloatArray
    means: FloatArray

    def only(self, chosen: BoolArray) -> CycleRound:
        """Return the round of the chosen cycles, a bool array of shape (B,)."""
        return CycleRound(*(chosen_cycles(getattr(self, field.name), chosen) for field in fields(self)))


def _law_of(law: CopperLaw, chosen: BoolArray) -> CopperLaw:
    if np.ndim(law.magnet_temp_coefficient) == 0:
        return law
    return CopperLaw(*(getattr(law, field.name)[chosen] for field in fields(law)))


def chosen_cycles(value: Any, chosen: BoolArray) -> Any:
    """Return what belongs to chosen cycles, of an array or of a value made of arrays.

    Parameters
    ----------
    value : ndarray, shape (B, ...), or a value made of such arrays
        What all cycles share has no such leading dimension and stays as it is. [any]
    chosen : ndarray of bool, shape (B,)
        Cycles. [-]

    Returns
    -------
    value : as given
        That of the chosen cycles. [any]

    References
    ----------
    None: bookkeeping, no physics. Own formulation.

    Examples
    --------
    >>> chosen_cycles(np.array([1.0, 2.0]), np.array([False, True])).tolist()
    [2.0]
    """
    if isinstance(value, PieceModes | Chain):
        return type(value)(*(chosen_cycles(getattr(value, field.name), chosen) for field in fields(value)))
    shared = isinstance(value, int) or len(value) != chosen.size
    return value if shared else value[chosen]


def together(values: list[Any], order: IntArray) -> Any:
    """Return arrays, or values made of arrays, of several sets of cycles as one.

    Parameters
    ----------
    values : list
        The same thing of each set: an array, a value made of arrays, or a number that all share. [any]
    order : ndarray of int, shape (B,)
        Where each cycle of the result stands in the sets one after another. [-]

    Returns
    -------
    value : as in the sets
        That of all cycles; what the sets share stays as it is. [any]

    References
    ----------
    None: bookkeeping, no physics. Own formulation.

    Examples
    --------
    >>> together([np.array([1.0, 3.0]), np.array([2.0])], np.array([0, 2, 1])).tolist()
    [1.0, 2.0, 3.0]
    """
    first = values[0]
    if isinstance(first, PieceModes | Chain | CycleRound):
        parts = ([getattr(value, field.name) for value in values] for field in fields(first))
        return type(first)(*(together(part, order) for part in parts))
    if isinstance(first, int) or sum(map(len, values)) != order.size:
        return first  # what all cycles share
    return np.concatenate(values)[order]


def cycle_round(problem: CycleProblem, magnet_temp: FloatArray) -> CycleRound:
    """Return state and mean temperatures of every cycle with its losses at given magnet temperatures.

    Parameters
    ----------
    problem : CycleProblem
        The cycles. [-]
    magnet_temp : ndarray, shape (B, m)
        Mean magnet temperature of every piece, for its loss. [degC]

    Returns
    -------
    now : CycleRound
        Maps, state, temperatures. [-]

    Notes
    -----
    Magnets count with at least 5 % of their flux.

    References
    ----------
    As `piece_modes`.
    """
    law = problem.law
    flux = np.maximum(1.0 + law.magnet_temp_coefficient * (magnet_temp - law.magnet_ref_temp), LEAST_FLUX)
    modes = piece_modes(
        problem.conductance, problem.inflow, problem.copper_loss / flux**2, problem.duration,
        problem.capacity, problem.winding, law,
    )  # fmt: skip
    joined = chain(piece_maps(modes))
    start, bounded = periodic_start(joined)
    # exponents fall along the last axis, so the first one decides
    bounded &= modes.exponent[..., 0].max(axis=-1) < _LARGEST_EXPONENT
    starts, _ = piece_ends(joined, start)
    means = mean_temperatures(modes, starts)
    return CycleRound(modes, joined, bounded, start, starts, means)


def periodic_start(joined: Chain) -> tuple[FloatArray, BoolArray]:
    r"""Solve :math:`T = \Phi T + d` and tell whether the cycle stays bounded.

    Parameters
    ----------
    joined : Chain
        Joined maps of the cycles, with one leading dimension B. [-]

    Returns
    -------
    start_temp : ndarray, shape (B, n)
        Temperatures at the start of the cycle, 0 where there is no state. [degC]
    bounded : ndarray of bool, shape (B,)
        True where the spectral radius of the map is below 1. [-]

    Notes
    -----
    The map has no negative entry, so its spectral radius is below 1 exactly if :math:`(1-\Phi) v = 1` has
    a solution v without a negative entry (M-matrix): one more right-hand side instead of eigenvalues.

    References
    ----------
    A. Berman and R. J. Plemmons, Nonnegative Matrices in the Mathematical Sciences, chapter 6, theorem
    2.3 (from memory).

    Examples
    --------
    Each cycle keeps half of the rise and adds 10: the state is 20.

    >>> start, bounded = periodic_start(chain(np.array([[[[-0.5, 10.0], [0.0, 0.0]]]])))
    >>> start.tolist(), bounded.tolist()
    ([[20.0]], [True])
    """
    n = joined.cycle.shape[-1] - 1
    right = np.ones((*joined.cycle.shape[:-2], n, 2))
    right[..., 0] = joined.cycle[..., :n, n]
    left = -joined.cycle[..., :n, :n]
    try:
        found = np.linalg.solve(left, right)
    except np.linalg.LinAlgError:  # one exactly singular cycle must not spoil the others
        found = np.stack([_solved(a, b) for a, b in zip(left, right, strict=True)])
    positive = found[..., 1]
    bounded = np.asarray(np.logical_and.reduce((positive > 0.0) & (positive < np.inf), axis=-1))
    return np.where(bounded[:, None], found[..., 0], 0.0), bounded


def _solved(left: FloatArray, right: FloatArray) -> FloatArray:
    try:
        return np.asarray(np.linalg.solve(left, right), dtype=np.float64)
    except np.linalg.LinAlgError:
        return np.full(right.shape, np.nan)


def per_cycle(law: CopperLaw) -> CopperLaw:
    """Return a law whose fields have shape (B,) where they had (B, 1).

    Parameters
    ----------
    law : CopperLaw
        One for all cycles, or with fields of shape (B, 1). [-]

    Returns
    -------
    law : CopperLaw
        The same where all cycles share it. [-]

    References
    ----------
    None: bookkeeping, no physics. Own formulation.
    """
    if np.ndim(law.magnet_temp_coefficient) == 0:
        return law
    return CopperLaw(*(getattr(law, field.name)[:, 0] for field in fields(law)))
