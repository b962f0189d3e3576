r"""The repeating state of many cycles side by side, with the feedback of the magnets.

For given magnet temperatures a cycle is linear: the joined map gives :math:`T = \Phi T + d`, solved at
once. Hot magnets need more current for the same torque, so the loss of a piece depends on the mean
magnet temperature of the piece; x holds these means and :math:`x = g(x)` is to be met. g rises with x
and bends upward (every entry of the maps is a power series in the losses without negative terms), so it
has a cooler root, a hotter one that no motor can hold, or none.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.errors import InputRangeError
from core.numeric import BoolArray, FloatArray
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

# What the magnets still to be moved would do to the winding; the state is promised to 1e-4 K. [K]
FEEDBACK_TOLERANCE = 1e-4
# Magnets that keep less than this share of their flux are counted as lost. [-]
_LEAST_FLUX = 0.05
# Growth in one piece by more than e^25 makes 10^10 K of any heat and leaves no digits to the rest of the
# cycle: it counts as run-away.
_LARGEST_EXPONENT = 25.0
_QUICK_STEPS = 12
# Steps after which cycles that are still half as far off as at first are left to the safe way.
_FIRST_STEPS = 4
# Change of magnet temperature over which a measured gain counts as that of the place. [K]
_LOCAL = 2.0
_SAFE_STEPS = 200
# Share of a kelvin in the magnets that comes back, until it is known.
_UNKNOWN_GAIN = 0.3


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
        How the loss follows the temperatures. [-]

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
        if self.law.magnet_temp_coefficient > 0.0:
            raise InputRangeError(
                "temperature coefficient of the magnets", self.law.magnet_temp_coefficient, "1/K", "<= 0"
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
        return replace(self, copper_loss=self.copper_loss[chosen], **arrays)


@dataclass(frozen=True, slots=True)
class CycleSolution:
    """What `solve_cycles` found; entries of cycles that run away are meaningless.

    Parameters
    ----------
    settled : ndarray of bool, shape (B,)
        False where the cycle runs away. [-]
    linear_run_away : ndarray of bool, shape (B,)
        True where it would run away even with the magnets' loss of flux held. [-]
    start_temp : ndarray, shape (B, n)
        Temperatures at the start of the cycle. [degC]
    magnet_mean : ndarray, shape (B, m)
        Mean magnet temperature of every piece, as used for the losses. [degC]
    residual : ndarray, shape (B,)
        Largest difference between the magnet temperatures used and found. [K]
    iterations : int
        Number of times the maps were formed. [-]
    modes : PieceModes
        Modes of all pieces. [-]
    joined : Chain
        Joined maps. [-]
    starts, means : ndarray, shape (B, m, n)
        Temperatures at the start of, and mean over, every piece. [degC]

    References
    ----------
    Own formulation.
    """

    settled: BoolArray
    linear_run_away: BoolArray
    start_temp: FloatArray
    magnet_mean: FloatArray
    residual: FloatArray
    iterations: int
    modes: PieceModes
    joined: Chain
    starts: FloatArray
    means: FloatArray


@dataclass(frozen=True, slots=True)
class _Round:
    """One pass with the losses held: maps, state and the magnet means that follow."""

    modes: PieceModes
    joined: Chain
    bounded: BoolArray
    start_temp: FloatArray
    starts: FloatArray
    means: FloatArray


def solve_cycles(
    problem: CycleProblem,
    guess: FloatArray | None = None,
    tolerance: float = FEEDBACK_TOLERANCE,
    prove: bool = True,
) -> CycleSolution:
    r"""Return the repeating state of every cycle, always the cooler root.

    Parameters
    ----------
    problem : CycleProblem
        The cycles. [-]
    guess : ndarray, shape (B, m), optional
        Mean magnet temperatures of a similar cycle. [degC]
    tolerance : float
        What the difference left between magnet temperatures used and found may do to the winding. [K]
    prove : bool
        Whether a cycle that the quick way does not settle is taken the safe way, which proves that it
        runs away or finds its state; otherwise it is left as not settled. [-]

    Returns
    -------
    solution : CycleSolution
        State or run-away of every cycle. [-]

    Notes
    -----
    Two ways in one: a quick one from the guess (or from the network averaged over the cycle) by secant
    steps along the last change, and, wherever that fails or lands where one more kelvin of magnet
    temperature returns nearly a kelvin, a safe one from below that proves what it says. From below every
    step stays under the root: with increments :math:`h_k = g(x_k) - x_k \ge 0` and r the smallest ratio
    of two successive ones, the root is at least :math:`x + h/(1-r)`, and r >= 1 shows that there is none.

    References
    ----------
    Monotone iteration for convex maps: J. M. Ortega and W. C. Rheinboldt, Iterative Solution of
    Nonlinear Equations in Several Variables, chapter 13 (from memory). Secant step: D. G. Anderson,
    J. ACM 12 (1965) 547 (from memory).
    """
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        return _solve(problem, guess, tolerance, prove)


def _solve(problem: CycleProblem, guess: FloatArray | None, tolerance: float, prove: bool) -> CycleSolution:
    if problem.law.magnet_temp_coefficient == 0.0:
        rest = np.full(problem.copper_loss.shape, problem.law.magnet_ref_temp)
        only = _round(problem, rest)
        residual = np.zeros(only.bounded.shape)
        return _solution(problem, only, only.bounded, ~only.bounded, rest, residual, 1)
    quick, found, x, residual, steps = _quick_way(problem, guess, tolerance)
    if found.all() or not prove:
        return _solution(problem, quick, found, ~found, x, residual, steps)
    safe_x, settled, linear, more = _safe_way(problem.only(~found), tolerance)
    x = x.copy()
    x[~found] = safe_x
    run_away = np.zeros(found.shape, dtype=bool)
    run_away[~found] = linear
    settled_all = found.copy()
    settled_all[~found] = settled
    last = _round(problem, x)
    residual = np.abs(last.means[..., problem.magnets] - x).max(axis=-1)
    return _solution(problem, last, settled_all, run_away, x, residual, steps + more + 1)


def _solution(
    problem: CycleProblem,
    last: _Round,
    settled: BoolArray,
    linear: BoolArray,
    x: FloatArray,
    residual: FloatArray,
    iterations: int,
) -> CycleSolution:
    return CycleSolution(
        settled, linear, last.start_temp, x, residual, iterations, last.modes, last.joined,
        last.starts, last.means,
    )  # fmt: skip


def _round(problem: CycleProblem, x: FloatArray) -> _Round:
    law = problem.law
    flux = np.maximum(1.0 + law.magnet_temp_coefficient * (x - law.magnet_ref_temp), _LEAST_FLUX)
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
    return _Round(modes, joined, bounded, start, starts, means)


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


def _averaged_guess(problem: CycleProblem) -> tuple[FloatArray, FloatArray, FloatArray]:
    # the steady state of the network averaged over the cycle, good to about a kelvin in short cycles,
    # and how far its magnets and its winding follow a kelvin put into the loss of flux
    law, w, r = problem.law, problem.winding, problem.magnets
    share = problem.duration / np.add.reduce(problem.duration, axis=-1, keepdims=True)
    row, (m, n) = share[:, None, :], problem.inflow.shape[-2:]
    matrix = (row @ problem.conductance.reshape(-1, m, n * n)).reshape(-1, n, n)
    sources = np.zeros((len(matrix), n, 2))
    sources[..., 0] = (row @ problem.inflow)[:, 0]
    sources[..., w, 1] = 1.0
    found = np.linalg.solve(matrix, sources)
    base, winding_rise, magnet_rise = found[..., 0], found[..., w, 1], found[..., r, 1]
    loss = np.add.reduce(share * problem.copper_loss, axis=-1)
    loss = loss / (law.copper_constant + law.winding_ref_temp)
    pushed = magnet_rise * loss * (law.copper_constant + base[..., w])
    x = base[..., r]
    for _ in range(2):
        flux = 1.0 + law.magnet_temp_coefficient * (x - law.magnet_ref_temp)
        opposed = np.maximum(flux * flux - loss * winding_rise, 0.1)
        rise = pushed / opposed
        steepness = -2.0 * law.magnet_temp_coefficient * flux / opposed
        gain = np.minimum(steepness * rise, 0.8)
        x = x + (base[..., r] + rise - x) / (1.0 - gain)
    copper = loss * (law.copper_constant + base[..., w]) / opposed
    return np.repeat(x[:, None], m, axis=-1), gain, steepness * winding_rise * copper


def _quick_way(
    problem: CycleProblem, guess: FloatArray | None, tolerance: float
) -> tuple[_Round, BoolArray, FloatArray, FloatArray, int]:
    x, gain, pull = (
        _averaged_guess(problem) if guess is None else (guess, np.full(1, _UNKNOWN_GAIN), np.ones(1))
    )
    # what acts back is the mean weighted by the loss it raises, evenly on all pieces
    weight = problem.copper_loss * problem.duration
    weight = weight / (np.add.reduce(weight, axis=-1, keepdims=True) + 1e-300)
    before: tuple[FloatArray, FloatArray, FloatArray] | None = None
    first: FloatArray = np.zeros(len(x))
    for step in range(1, _QUICK_STEPS + 1):
        now = _round(problem, x)
        g = now.means[..., problem.magnets]
        miss = g - x
        residual = np.abs(miss).max(axis=-1)
        if before is not None:
            dx, dg = x - before[0], g - before[1]
            # the tiny addend serves cycles that have not moved at all
            gain = np.einsum("bm,bm->b", dg, dx) / (np.einsum("bm,bm->b", dx, dx) + 1e-30)
        even = np.add.reduce(weight * miss, axis=-1)
        left = _left_in_winding(problem, now, miss, even, gain)
        # a negative pull comes from a guess beyond the point where the magnets lose all flux
        found = now.bounded & (pull >= 0.0) & (left <= tolerance) & (gain < 0.9)
        if before is not None:
            # measured over a long way the gain says nothing about the root, which might be the hotter one
            found &= np.abs(dx).max(axis=-1) < _LOCAL
        first = residual if step == 1 else first
        hopeless = step >= _FIRST_STEPS and bool((residual > 0.5 * first)[~found].all())
        if found.all() or not now.bounded.any() or hopeless or step == _QUICK_STEPS:
            break
        if before is None:
            if guess is not None:
                _, gain, pull = _averaged_guess(problem)
            following = g + (gain / (1.0 - gain) * even)[:, None]
        else:
            dmiss = miss - before[2]
            share = np.einsum("bm,bm->b", miss, dmiss) / (np.einsum("bm,bm->b", dmiss, dmiss) + 1e-30)
            following = g - np.clip(share, -5.0, 5.0)[:, None] * dg
        before = (x, g, miss)
        x = np.where((now.bounded & ~found)[:, None], following, x)
    return now, found, x, residual, step


def _left_in_winding(
    problem: CycleProblem, now: _Round, miss: FloatArray, even: FloatArray, gain: FloatArray
) -> FloatArray:
    """Return what the magnet temperatures missed may still do to the winding, shape (B,). [K]"""
    # what a kelvin in the magnets does to the winding: at most its rise, over surroundings no colder
    # than -40 degC, times the change of loss; in long pieces the averaged network would say too little
    rise = now.means[..., problem.winding].max(axis=-1) + 40.0
    steepness = -2.0 * problem.law.magnet_temp_coefficient * rise
    # what adds up to nothing over a cycle has no more than a cycle to act
    cycle = np.minimum(-np.add.reduce(now.modes.exponent[..., -1], axis=-1), 1.0)
    ripple = np.abs(miss - even[:, None]).max(axis=-1)
    left: FloatArray = steepness * (np.abs(even) + cycle * ripple) / (1.0 - np.minimum(gain, 0.9)) ** 2
    return left


def _safe_way(problem: CycleProblem, tolerance: float) -> tuple[FloatArray, BoolArray, BoolArray, int]:
    cold = _round(replace(problem, copper_loss=np.zeros_like(problem.copper_loss)),
                  np.zeros(problem.copper_loss.shape))  # fmt: skip
    x = cold.means[..., problem.magnets].copy()
    count = x.shape[0]
    settled, linear, open_ = np.zeros(count, bool), np.zeros(count, bool), np.ones(count, bool)
    before: FloatArray | None = None
    for step in range(1, _SAFE_STEPS + 1):
        part = problem.only(open_)
        here = x[open_]
        now = _round(part, here)
        h = now.means[..., problem.magnets] - here
        flux = 1.0 + problem.law.magnet_temp_coefficient * (here - problem.law.magnet_ref_temp)
        lost = ~now.bounded | ~(flux.min(axis=-1) > _LEAST_FLUX) | ~np.isfinite(h).all(axis=-1)
        done = now.bounded & ~lost & (h.max(axis=-1) <= tolerance)
        if step == 1:
            linear |= ~now.bounded
        jump = np.zeros(len(h))
        if before is not None:
            # entries that have come to rest carry rounding only and have no say
            moving = before > 1e-3 * before.max(axis=-1, keepdims=True)
            ratio = np.where(moving, h / np.where(moving, before, 1.0), np.inf).min(axis=-1)
            lost |= ~done & (ratio >= 1.0)
            jump = np.clip(np.where(ratio < 1.0, ratio, 0.0), 0.0, None)
        following = here + h / (1.0 - jump)[:, None]
        goes_on = ~(lost | done)
        where_open = np.flatnonzero(open_)
        x[where_open[goes_on]] = following[goes_on]
        settled[where_open[done]] = True
        open_[where_open[~goes_on]] = False
        if not open_.any():
            break
        before = None if before is not None else h[goes_on]
    x[~settled] = cold.means[..., problem.magnets][~settled]
    return x, settled, linear, step
