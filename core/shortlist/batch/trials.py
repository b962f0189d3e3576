"""Trials of the torque reserve: the repeating states of many candidates at factors on their torque."""

from __future__ import annotations

import numpy as np

from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.torque_reserve import FEEDBACK_TOLERANCE
from core.records import dataclass
from core.shortlist.batch.heat_rows import HeatGroup
from core.shortlist.batch.states import StateRows, solved


@dataclass(frozen=True, slots=True)
class Trials:
    """One trial of each row as `torque_reserve` keeps them; `there` is False where a row runs away.

    `loss` [W] is the time mean of the copper loss, `spread` what it is over that at the mean temperatures,
    NaN without loss; `peak` [degC] has the hottest phase in the place of the winding, `magnets` [degC] are
    those of the pieces.
    """

    there: BoolArray
    factor: FloatArray
    loss: FloatArray
    spread: FloatArray
    mean: FloatArray
    peak: FloatArray
    magnets: FloatArray

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
    )


class TrialMaker:
    """Makes trials of rows whose ramps are cut alike; row numbers are those of `states`."""

    def __init__(self, group: HeatGroup, states: StateRows) -> None:
        self._group, self._states = group, states
        self.limits = group.limit[states.rows]
        self._share = states.pieces.share
        self.polynomial = (self._share[:, None] @ states.pieces.copper)[:, 0]

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
        magnets = states.means[rows][..., self._group.network.magnets]
        return self._made(rows, np.ones(rows.size), reference[rows], states.only(rows), magnets)

    def trial(self, rows: IntArray, factor: FloatArray, magnets: FloatArray | None = None) -> Trials:
        """Return the trials of factors, started from magnet temperatures of the pieces."""
        pieces = self._states.pieces.only(rows)
        loss, members = pieces.loss(factor), self._states.rows[rows]
        found = solved(self._group, members, pieces, loss, magnets, tolerance=FEEDBACK_TOLERANCE)
        return self._made(rows, factor, loss, found, found.magnets)

    def without_loss(self, rows: IntArray) -> Trials:
        """Return the state of the averaged network heated by drag alone; factor -1 is no real trial's."""
        share, pieces = self._share[rows][:, None], self._states.pieces.only(rows)
        count, n = pieces.inflow.shape[1:]
        matrix = (share @ pieces.conductance.reshape(rows.size, count, n * n)).reshape(-1, n, n)
        found = np.linalg.solve(matrix, (share @ pieces.inflow).swapaxes(1, 2))[..., 0]
        mean: FloatArray = np.asarray(found, dtype=np.float64)
        none = np.zeros(rows.size)
        magnets = np.repeat(mean[:, self._group.network.magnets, None], count, axis=1)
        there = np.ones(rows.size, dtype=bool)
        return Trials(there, none - 1.0, none, none + np.nan, mean, mean, magnets)

    def _made(
        self, rows: IntArray, factor: FloatArray, reference: FloatArray, found: StateRows, magnets: FloatArray
    ) -> Trials:
        """Return the trials that came out of states."""
        share, w = self._share[rows], self._group.network.winding
        peak = found.peak[:, :-1].copy()
        peak[:, w] = found.peak[:, -1]
        with np.errstate(all="ignore"):
            actual = (share * found.loss).sum(axis=1)
            cold = (share * reference).sum(axis=1)
            spread = np.where(cold > 0.0, actual / cold / self.increase(rows, found.mean), np.nan)
        return Trials(found.settled, factor, actual, spread, found.mean, peak, magnets)
