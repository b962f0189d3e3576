"""The repeating states of a group of candidates, ramps cut as finely as each candidate needs.

The steps of `settled_state`, with the candidates that are at the same step side by side.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.heat_pieces import HeatPieces
from core.physics.many_peaks import many_cycle_peaks
from core.physics.ramp_halving import Course, change_by_finer, course, places_of
from core.physics.repeating_cycle import FEEDBACK_TOLERANCE, solve_cycles
from core.physics.temperatures import MOST_PIECES_PER_RAMP, RAMP_TOLERANCE, SURE, further_halving
from core.records import dataclass
from core.shortlist.batch.heat_rows import HeatGroup, PieceRows

# Pieces of all rows that are solved at once: a few dozen bytes of each in a few dozen arrays.
MOST_PIECES = 100_000


@dataclass(frozen=True, slots=True)
class StateRows:
    """Repeating states of rows of a group whose ramps are cut alike, NaN where a row runs away.

    `rows` are numbers in the group. `peak` [degC, (rows, n + 1)] has the hottest phase last, `mean` [degC,
    (rows, n)] are time means, `loss` [W, (rows, pieces)] is the copper loss, `magnets` [degC, (rows,
    pieces)] what it was found with; `starts` and `means` [degC] have shape (rows, pieces, n).
    """

    rows: IntArray
    settled: BoolArray
    pieces: PieceRows
    peak: FloatArray
    mean: FloatArray
    loss: FloatArray
    magnets: FloatArray
    starts: FloatArray
    means: FloatArray

    def only(self, chosen: BoolArray | IntArray) -> StateRows:
        """Return the states of some rows."""
        return StateRows(
            self.rows[chosen],
            self.settled[chosen],
            self.pieces.only(chosen),
            self.peak[chosen],
            self.mean[chosen],
            self.loss[chosen],
            self.magnets[chosen],
            self.starts[chosen],
            self.means[chosen],
        )

    def course(self) -> Course:
        """Return the courses of all nodes over the pieces."""
        return course(self.starts, self.means, np.roll(self.starts, -1, axis=1))


def solved(
    group: HeatGroup,
    rows: IntArray,
    pieces: PieceRows,
    loss: FloatArray,
    guess: FloatArray | None = None,
    *,
    tolerance: float = FEEDBACK_TOLERANCE,
    prove: bool = True,
) -> StateRows:
    """Return the repeating states of some rows for copper losses at the reference temperatures.

    Candidates whose magnets keep their flux are solved apart from those whose magnets lose some.
    """
    steady = group.law.magnet_temp_coefficient[rows, 0] == 0.0  # type: ignore[index]
    if steady.any() and not steady.all():
        parts = [
            solved(group, rows[at], pieces.only(at), loss[at], None if guess is None else guess[at],
                   tolerance=tolerance, prove=prove)
            for at in (np.flatnonzero(steady), np.flatnonzero(~steady))
        ]  # fmt: skip
        return joined(parts).only(_back(steady))
    problem = group.problem(rows, pieces, loss)
    solution = solve_cycles(problem, guess, tolerance, prove)
    settled = solution.settled
    n = solution.means.shape[-1]
    peak, actual = np.full((len(rows), n + 1), np.nan), np.full(loss.shape, np.nan)
    if settled.any():
        found = many_cycle_peaks(problem.only(settled), solution.only(settled), pieces.phase_factor[settled])
        peak[settled], actual[settled] = found.value, found.copper_loss
    mean = (pieces.duration[:, None] @ solution.means)[:, 0] / pieces.duration.sum(axis=1)[:, None]
    return StateRows(
        rows, settled, pieces, peak, mean, actual, solution.magnet_mean, solution.starts, solution.means
    )


def _back(first: BoolArray) -> IntArray:
    """Return where rows stand after those that come first and then the others were put together."""
    return np.argsort(np.concatenate((np.flatnonzero(first), np.flatnonzero(~first))))


def joined(parts: list[StateRows]) -> StateRows:
    """Return states with equally many pieces as one."""
    if len(parts) == 1:
        return parts[0]

    def all_of(name: str) -> Any:
        return np.concatenate([getattr(part, name) for part in parts])

    def pieces(name: str) -> FloatArray:
        return np.concatenate([getattr(part.pieces, name) for part in parts])

    return StateRows(
        all_of("rows"),
        all_of("settled"),
        PieceRows(
            pieces("duration"),
            pieces("conductance"),
            pieces("inflow"),
            pieces("copper"),
            pieces("phase_factor"),
            parts[0].pieces.cut,
        ),
        all_of("peak"),
        all_of("mean"),
        all_of("loss"),
        all_of("magnets"),
        all_of("starts"),
        all_of("means"),
    )


def settled_states(group: HeatGroup, rows: IntArray) -> list[StateRows]:
    """Return the states of some rows, in sets whose ramps are cut alike."""
    once = group.pieces(rows, 1)
    loss = once.loss(np.ones(len(rows)))
    if not group.ramps:
        return [solved(group, rows, once, loss)]
    coarse = solved(group, rows, once, loss, prove=False)
    sure = np.zeros(len(rows), dtype=bool)
    at = np.flatnonzero(coarse.settled)
    if at.size:
        sure[at] = _by_halving(group, coarse.only(at), group.pieces(rows[at], 2)) <= SURE
    done = [coarse.only(sure)] if sure.any() else []
    if not sure.all():
        done.extend(_refined(group, coarse.only(~sure)))
    return done


def _by_halving(group: HeatGroup, states: StateRows, finer: PieceRows) -> FloatArray:
    """Return by how much temperatures would move if ramps were cut as the finer pieces. [K]"""
    none = np.zeros(finer.duration.shape[1], dtype=np.int64)
    fine = HeatPieces(finer.duration, none, finer.conductance, finer.inflow, finer.copper, finer.phase_factor)
    nodes = (group.capacity[states.rows], group.network.winding, group.network.magnets)
    places = places_of(states.pieces.duration[0], finer.duration[0])
    law = group.problem(states.rows, states.pieces, states.loss).law
    loss = finer.loss(np.ones(len(states.rows)))
    return change_by_finer(fine, loss, law, nodes, states.course(), places)


def _refined(group: HeatGroup, states: StateRows) -> list[StateRows]:
    """Return the states of rows whose ramps are halved until they stand still."""
    done: list[StateRows] = []
    work = [(states, 2, np.full(len(states.rows), np.inf))]
    while work:
        before, per_ramp, expected = work.pop()
        most = max(MOST_PIECES // group.piece_count(per_ramp), 1)
        if len(before.rows) > most:
            for start in range(0, len(before.rows), most):
                part = np.arange(start, min(start + most, len(before.rows)))
                work.append((before.only(part), per_ramp, expected[part]))
            continue
        finer = _solved_on(group, before, group.pieces(before.rows, per_ramp))
        change = _change(before, finer)
        as_expected = np.isfinite(expected) & (change < 0.4 * expected)
        still = (change < RAMP_TOLERANCE) | as_expected | (per_ramp == MOST_PIECES_PER_RAMP)
        if still.any():
            done.append(finer.only(still))
        # a second jump would trust a law that has just failed
        expected = change if per_ramp == 2 else np.full(change.size, np.inf)
        rest = np.flatnonzero(~still)
        factor = np.array([further_halving(k) if np.isfinite(k) else 2 for k in expected[rest].tolist()])
        following = np.minimum(per_ramp * factor, MOST_PIECES_PER_RAMP)
        for count in np.unique(following).tolist():
            at = rest[following == count]
            work.append((finer.only(at), count, expected[at]))
    return done


def _solved_on(group: HeatGroup, before: StateRows, finer: PieceRows) -> StateRows:
    """Return the states with finer pieces, started from those before where there are any."""
    loss = finer.loss(np.ones(len(before.rows)))
    found, places = [], places_of(before.pieces.duration[0], finer.duration[0])
    for known in (True, False):
        at = np.flatnonzero(before.settled == known)
        if at.size:
            guess = before.only(at).course().mean(*places)[..., group.network.magnets] if known else None
            found.append(solved(group, before.rows[at], finer.only(at), loss[at], guess))
    return joined(found).only(_back(before.settled))


def _change(coarse: StateRows, fine: StateRows) -> FloatArray:
    """Return the largest change of a peak or a mean, infinite where a state comes or goes. [K]"""
    change = np.maximum(
        np.abs(fine.peak - coarse.peak).max(axis=1), np.abs(fine.mean - coarse.mean).max(axis=1)
    )
    change = np.where(coarse.settled & fine.settled, change, np.inf)
    return np.where(~coarse.settled & ~fine.settled, 0.0, change)
