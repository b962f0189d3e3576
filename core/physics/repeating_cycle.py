r"""The repeating state of many cycles side by side, with the feedback of the magnets.

For given magnet temperatures a cycle is linear: the joined map gives :math:`T = \Phi T + d`, solved at
once. Hot magnets need more current for the same torque, so the loss of a piece depends on the mean
magnet temperature of the piece; x holds these means and :math:`x = g(x)` is to be met. g rises with x
and bends upward (every entry of the maps is a power series in the losses without negative terms), so it
has a cooler root, a hotter one that no motor can hold, or none.
"""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np

from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.cycle_rounds import (
    LEAST_FLUX,
    CycleProblem,
    CycleRound,
    chosen_cycles,
    cycle_round,
    per_cycle,
    together,
)
from core.physics.segment_maps import Chain, PieceModes
from core.records import dataclass

# What the magnets still to be moved would do to the winding; the state is promised to 1e-4 K. [K]
FEEDBACK_TOLERANCE = 1e-4
_QUICK_STEPS = 12
# Steps after which cycles that are still half as far off as at first are left to the safe way.
_FIRST_STEPS = 4
# Change of magnet temperature over which a measured gain counts as that of the place. [K]
_LOCAL = 2.0
# Sum of squares of a step of the magnet temperatures that is rounding. [K^2]
_STILL = 1e-16
_SAFE_STEPS = 200
# Share of a kelvin in the magnets that comes back, until it is known.
_UNKNOWN_GAIN = 0.3


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

    def only(self, chosen: BoolArray) -> CycleSolution:
        """Return the solution of the chosen cycles, a bool array of shape (B,)."""
        return CycleSolution(*(chosen_cycles(getattr(self, field.name), chosen) for field in fields(self)))


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
    if not np.any(problem.law.magnet_temp_coefficient):
        rest = np.zeros(problem.copper_loss.shape) + problem.law.magnet_ref_temp
        only = cycle_round(problem, rest)
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
    last = cycle_round(problem, x)
    residual = np.abs(last.means[..., problem.magnets] - x).max(axis=-1)
    return _solution(problem, last, settled_all, run_away, x, residual, steps + more + 1)


def _solution(
    problem: CycleProblem,
    last: CycleRound,
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


def _averaged_guess(problem: CycleProblem) -> tuple[FloatArray, FloatArray, FloatArray]:
    # the steady state of the network averaged over the cycle, good to about a kelvin in short cycles,
    # and how far its magnets and its winding follow a kelvin put into the loss of flux
    law, w, r = per_cycle(problem.law), problem.winding, problem.magnets
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


class _Approach:
    """How far the quick way has come with cycles that are still on it; `place` are their numbers."""

    def __init__(self, problem: CycleProblem, guess: FloatArray | None) -> None:
        count = len(problem.copper_loss)
        self.problem, self.guessed, self.place = problem, guess is not None, np.arange(count)
        if guess is None:
            self.x, self.gain, self.pull = _averaged_guess(problem)
        else:
            self.x, self.gain, self.pull = guess, np.full(count, _UNKNOWN_GAIN), np.ones(count)
        # what acts back is the mean weighted by the loss it raises, evenly on all pieces
        weight = problem.copper_loss * problem.duration
        self.weight = weight / (np.add.reduce(weight, axis=-1, keepdims=True) + 1e-300)
        self.first: FloatArray = np.zeros(count)
        self.before: tuple[FloatArray, FloatArray, FloatArray] | None = None

    def judged(
        self, now: CycleRound, tolerance: float
    ) -> tuple[BoolArray, FloatArray, FloatArray, FloatArray]:
        """Return which cycles are found, what each misses, evenly over the cycle too, and at most."""
        g = now.means[..., self.problem.magnets]
        miss = g - self.x
        near: BoolArray | bool = True
        if self.before is not None:
            dx, dg = self.x - self.before[0], g - self.before[1]
            # of a step within rounding the gain is noise, and the one before stays
            moved = np.einsum("bm,bm->b", dx, dx)
            measured = np.einsum("bm,bm->b", dg, dx) / np.maximum(moved, _STILL)
            self.gain = np.where(moved > _STILL, measured, self.gain)
            # measured over a long way the gain says nothing about the root, which might be the hotter one
            near = np.abs(dx).max(axis=-1) < _LOCAL
        even = np.add.reduce(self.weight * miss, axis=-1)
        left = _left_in_winding(self.problem, now, miss, even, self.gain)
        # a negative pull comes from a guess beyond the point where the magnets lose all flux
        found: BoolArray = now.bounded & (self.pull >= 0.0) & (left <= tolerance) & (self.gain < 0.9) & near
        return found, miss, even, np.abs(miss).max(axis=-1)

    def go_on(self, now: CycleRound, miss: FloatArray, even: FloatArray) -> None:
        """Take the next magnet temperatures: along the last change, at first along the gain."""
        g = now.means[..., self.problem.magnets]
        if self.before is None:
            if self.guessed:
                _, self.gain, self.pull = _averaged_guess(self.problem)
            following = g + (self.gain / (1.0 - self.gain) * even)[:, None]
        else:
            dg, dmiss = g - self.before[1], miss - self.before[2]
            share = np.einsum("bm,bm->b", miss, dmiss) / (np.einsum("bm,bm->b", dmiss, dmiss) + 1e-30)
            following = g - np.clip(share, -5.0, 5.0)[:, None] * dg
        self.before = (self.x, g, miss)
        self.x = following

    def keep(self, chosen: BoolArray) -> None:
        """Leave all other cycles."""
        self.problem = self.problem.only(chosen)
        for name in ("place", "x", "gain", "pull", "weight", "first"):
            setattr(self, name, getattr(self, name)[chosen])
        if self.before is not None:
            self.before = (self.before[0][chosen], self.before[1][chosen], self.before[2][chosen])


def _quick_way(
    problem: CycleProblem, guess: FloatArray | None, tolerance: float
) -> tuple[CycleRound, BoolArray, FloatArray, FloatArray, int]:
    way = _Approach(problem, guess)
    # each cycle leaves when its own way ends, so that it gets the same numbers in any company
    left: list[tuple[IntArray, CycleRound, BoolArray, FloatArray, FloatArray]] = []
    for step in range(1, _QUICK_STEPS + 1):
        now = cycle_round(way.problem, way.x)
        found, miss, even, residual = way.judged(now, tolerance)
        way.first = residual if step == 1 else way.first
        ends = found | ~now.bounded
        if step >= _FIRST_STEPS:
            ends |= residual > 0.5 * way.first
        if step == _QUICK_STEPS or ends.all():
            break
        x = way.x
        way.go_on(now, miss, even)
        if ends.any():
            left.append((way.place[ends], now.only(ends), found[ends], x[ends], residual[ends]))
            way.keep(~ends)
    left.append((way.place, now, found, way.x, residual))
    if len(left) == 1:
        return now, found, way.x, residual, step
    order = np.argsort(np.concatenate([part[0] for part in left]))
    rounds, founds, all_x, residuals = (together([part[k] for part in left], order) for k in range(1, 5))
    return rounds, founds, all_x, residuals, step


def _left_in_winding(
    problem: CycleProblem, now: CycleRound, miss: FloatArray, even: FloatArray, gain: FloatArray
) -> FloatArray:
    """Return what the magnet temperatures missed may still do to the winding, shape (B,). [K]"""
    # what a kelvin in the magnets does to the winding: at most its rise, over surroundings no colder
    # than -40 degC, times the change of loss; in long pieces the averaged network would say too little
    rise = now.means[..., problem.winding].max(axis=-1) + 40.0
    steepness = -2.0 * per_cycle(problem.law).magnet_temp_coefficient * rise
    # what adds up to nothing over a cycle has no more than a cycle to act
    cycle = np.minimum(-np.add.reduce(now.modes.exponent[..., -1], axis=-1), 1.0)
    ripple = np.abs(miss - even[:, None]).max(axis=-1)
    left: FloatArray = steepness * (np.abs(even) + cycle * ripple) / (1.0 - np.minimum(gain, 0.9)) ** 2
    return left


def _safe_way(problem: CycleProblem, tolerance: float) -> tuple[FloatArray, BoolArray, BoolArray, int]:
    cold = cycle_round(replace(problem, copper_loss=np.zeros_like(problem.copper_loss)),
                  np.zeros(problem.copper_loss.shape))  # fmt: skip
    x = cold.means[..., problem.magnets].copy()
    count = x.shape[0]
    settled, linear, open_ = np.zeros(count, bool), np.zeros(count, bool), np.ones(count, bool)
    before: FloatArray | None = None
    for step in range(1, _SAFE_STEPS + 1):
        part = problem.only(open_)
        here = x[open_]
        now = cycle_round(part, here)
        h = now.means[..., problem.magnets] - here
        flux = 1.0 + part.law.magnet_temp_coefficient * (here - part.law.magnet_ref_temp)
        lost = ~now.bounded | ~(flux.min(axis=-1) > LEAST_FLUX) | ~np.isfinite(h).all(axis=-1)
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
