"""Trials of the torque reserve: the repeating states of many candidates at factors on their torque."""

from __future__ import annotations

import numpy as np

from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.torque_reserve import (
    COEFFICIENT_TOLERANCE,
    FEEDBACK_TOLERANCE,
    GUESS_TOLERANCE,
    MOST_GUESSES,
    MOST_RISE,
    MOST_STEPS,
)
from core.records import dataclass
from core.shortlist.batch.heat_rows import HeatGroup, PieceRows
from core.shortlist.batch.states import StateRows, solved


@dataclass(frozen=True, slots=True)
class Trials:
    """One trial of each row as `torque_reserve` keeps them; `there` is False where a row runs away.

    `loss` [W] is the time mean of the copper loss, `spread` what it is over that at the mean temperatures,
    NaN without loss; `peak` [degC] has the hottest phase in the place of the winding, `magnets` [degC] are
    those of the pieces; `residual` [K] is that of the temperatures of the conductances.
    """

    there: BoolArray
    factor: FloatArray
    loss: FloatArray
    spread: FloatArray
    mean: FloatArray
    peak: FloatArray
    magnets: FloatArray
    residual: FloatArray

    def only(self, chosen: BoolArray | IntArray) -> Trials:
        """Return the trials of some rows."""
        return Trials(
            self.there[chosen],
            self.factor[chosen],
            self.loss[chosen],
            self.spread[chosen],
            self.mean[chosen],
            self.peak[chosen],
            self.magnets[chosen],
            self.residual[chosen],
        )

    def with_rows(self, chosen: BoolArray | IntArray, others: Trials) -> Trials:
        """Return the trials with those of some rows replaced."""

        def put(old: FloatArray, new: FloatArray) -> FloatArray:
            value = old.copy()
            value[chosen] = new
            return value

        there = self.there.copy()
        there[chosen] = others.there
        return Trials(
            there,
            put(self.factor, others.factor),
            put(self.loss, others.loss),
            put(self.spread, others.spread),
            put(self.mean, others.mean),
            put(self.peak, others.peak),
            put(self.magnets, others.magnets),
            put(self.residual, others.residual),
        )


def none_of(like: Trials) -> Trials:
    """Return trials of as many rows of which none is there."""

    def nothing(value: FloatArray) -> FloatArray:
        return np.full(value.shape, np.nan)

    return Trials(
        np.zeros(like.there.shape, dtype=bool),
        nothing(like.factor),
        nothing(like.loss),
        nothing(like.spread),
        nothing(like.mean),
        nothing(like.peak),
        nothing(like.magnets),
        nothing(like.residual),
    )


class TrialMaker:
    """Makes trials of rows whose ramps are cut alike; row numbers are those of `states`."""

    def __init__(self, group: HeatGroup, states: StateRows) -> None:
        self._group, self._states = group, states
        self.limits = group.limit[states.rows]
        self._share = states.pieces.share
        self.polynomial = (self._share[:, None] @ states.pieces.copper)[:, 0]
        sinks = np.array([float(one.network.sink_temp.max()) for one in group.models])
        self._cold = sinks[group.model[states.rows]]
        finite = np.isfinite(self.limits)
        warm = np.where(finite, self.limits, -np.inf).max(axis=1)
        warm = np.where(finite.any(axis=1), warm, self._cold)
        self._hottest = np.where(finite, self.limits, warm[:, None])

    def feasible(self, trials: Trials, rows: IntArray) -> BoolArray:
        """Return which trials keep all limits."""
        with np.errstate(invalid="ignore"):
            kept: BoolArray = trials.there & (trials.peak <= self.limits[rows]).all(axis=1)
        return kept

    def increase(self, rows: IntArray, mean: FloatArray) -> FloatArray:
        """Return the copper loss with the nodes at mean temperatures over that at the reference ones."""
        law, network = self._group.law, self._group.network
        at = self._states.rows[rows]
        k, reference = law.copper_constant[at, 0], law.winding_ref_temp[at, 0]  # type: ignore[index]
        coefficient = law.magnet_temp_coefficient[at, 0]  # type: ignore[index]
        flux = 1.0 + coefficient * (mean[:, network.magnets] - law.magnet_ref_temp[at, 0])  # type: ignore[index]
        rise = (k + mean[:, network.winding]) / (k + reference)
        increase: FloatArray = np.where(flux > 0.0, rise / np.where(flux > 0.0, flux, 1.0) ** 2, np.inf)
        return increase

    def known(self, rows: IntArray) -> Trials:
        """Return the trials at factor 1 from the states of the cycles."""
        states = self._states
        reference = states.pieces.loss(np.ones(len(states.rows)))
        magnets = states.means[..., self._group.network.magnets]
        made = self._made(rows, np.ones(rows.size), reference[rows], states.only(rows), states.mean[rows])
        return made.with_rows(np.arange(rows.size), _with_magnets(made, magnets[rows]))

    def trial(
        self, rows: IntArray, factor: FloatArray, magnets: FloatArray | None, mean: FloatArray
    ) -> Trials:
        """Return the trials of factors, conductances at given means, started from magnet temperatures."""
        pieces = self._pieces(rows, mean)
        loss = pieces.loss(factor)
        found = solved(
            self._group, self._states.rows[rows], pieces, loss, magnets, tolerance=FEEDBACK_TOLERANCE
        )
        return self._made(rows, factor, loss, found, mean)

    def settled_trial(self, rows: IntArray, factor: FloatArray, mean: FloatArray | None = None) -> Trials:
        """Return the trials of factors whose conductances belong to their own means."""
        mean = self._hottest[rows] if mean is None else mean
        trial = self.trial(rows, factor, None, mean)
        for _ in range(MOST_STEPS - 1):
            with np.errstate(invalid="ignore"):
                astray = trial.there & (trial.residual > COEFFICIENT_TOLERANCE)
            if not astray.any():
                break
            again = self.trial(rows[astray], factor[astray], None, trial.mean[astray])
            trial = trial.with_rows(astray, again)
        return trial

    def second_point(self, rows: IntArray, full: Trials) -> Trials:
        """Return a second point good enough for the first prediction, found without the cycle."""
        return self._at_the_limit(rows, full) if self._group.follows else self._without_loss(rows)

    def _pieces(self, rows: IntArray, mean: FloatArray) -> PieceRows:
        pieces = self._states.pieces
        if not self._group.follows:
            return pieces.only(rows)
        return self._group.pieces(self._states.rows[rows], pieces.cut.per_ramp, mean)

    def _made(
        self, rows: IntArray, factor: FloatArray, reference: FloatArray, found: StateRows, mean: FloatArray
    ) -> Trials:
        """Return the trials that came out of states."""
        share, w = self._share[rows], self._group.network.winding
        peak = found.peak[:, :-1].copy()
        peak[:, w] = found.peak[:, -1]
        with np.errstate(all="ignore"):
            actual = (share * found.loss).sum(axis=1)
            cold = (share * reference).sum(axis=1)
            spread = np.where(cold > 0.0, actual / cold / self.increase(rows, found.mean), np.nan)
            residual = np.abs(found.mean - mean).max(axis=1)
        if not self._group.follows:
            residual = np.zeros(rows.size)
        return Trials(found.settled, factor, actual, spread, found.mean, peak, found.magnets, residual)

    def _without_loss(self, rows: IntArray) -> Trials:
        """Return the state of the averaged network heated by drag alone; factor -1 is no real trial's."""
        base, _ = self._response(rows, self._states.pieces.only(rows))
        none = np.zeros(rows.size)
        count = self._share.shape[1]
        magnets = np.repeat(base[:, self._group.network.magnets, None], count, axis=1)
        return Trials(
            np.ones(rows.size, dtype=bool), none - 1.0, none, none + np.nan, base, base, magnets, none
        )

    def _at_the_limit(self, rows: IntArray, full: Trials) -> Trials:
        """Return a guess of the state at the first limit, as `torque_reserve` makes it."""
        own_base, own_rise = self._response(rows, self._states.pieces.only(rows))
        full_loss = full.loss[:, None]
        added = full.mean - own_base - own_rise * full_loss
        ripple = (full.peak - full.mean) / full_loss
        cold, limits = self._cold[rows][:, None], self.limits[rows]
        above = full.peak > cold
        room = np.where(above, (limits - cold) / np.maximum(full.peak - cold, 1e-9), np.inf)
        mean = cold + (full.mean - cold) * np.minimum(room.min(axis=1), MOST_RISE)[:, None]
        loss, open_ = full.loss.copy(), np.arange(rows.size)
        for _ in range(MOST_GUESSES):
            base, rise = self._response(rows[open_], self._pieces(rows[open_], mean[open_]))
            base = base + added[open_]
            reach = (limits[open_] - base) / np.maximum(rise + ripple[open_], 1e-9)
            loss[open_] = np.clip(reach.min(axis=1), 0.1 * full.loss[open_], 1e3 * full.loss[open_])
            before, mean[open_] = mean[open_], base + rise * loss[open_][:, None]
            open_ = open_[np.abs(mean[open_] - before).max(axis=1) > GUESS_TOLERANCE]
            if not open_.size:
                break
        # two points on one spot give no line
        loss = np.where(np.abs(loss - full.loss) < 1e-3 * full.loss, 1.01 * loss, loss)
        magnets = full.magnets + (mean - full.mean)[:, self._group.network.magnets, None]
        none = np.zeros(rows.size)
        there = np.ones(rows.size, dtype=bool)
        return Trials(
            there, none - 1.0, loss, full.spread, mean, mean + ripple * loss[:, None], magnets, none
        )

    def _response(self, rows: IntArray, pieces: PieceRows) -> tuple[FloatArray, FloatArray]:
        """Return the means of the averaged network without copper loss and their rise per watt of it."""
        share, (count, n) = self._share[rows][:, None], pieces.inflow.shape[1:]
        matrix = (share @ pieces.conductance.reshape(rows.size, count, n * n)).reshape(-1, n, n)
        both = np.zeros((rows.size, n, 2))
        both[..., 0] = (share @ pieces.inflow)[:, 0]
        both[:, self._group.network.winding, 1] = 1.0
        found: FloatArray = np.asarray(np.linalg.solve(matrix, both), dtype=np.float64)
        return found[..., 0], found[..., 1]


def _with_magnets(trials: Trials, magnets: FloatArray) -> Trials:
    return Trials(
        trials.there,
        trials.factor,
        trials.loss,
        trials.spread,
        trials.mean,
        trials.peak,
        magnets,
        np.zeros(trials.factor.size),
    )
