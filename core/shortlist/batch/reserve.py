"""The torque reserve of many candidates: the search of `torque_reserve`, side by side.

Each candidate takes the very steps that it would take alone, so that it gets the same factor.
"""

from __future__ import annotations

import numpy as np

from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.torque_reserve import (
    FACTOR_TOLERANCE,
    LARGEST_FACTOR,
    MOST_STEPS,
    NEAR,
    PATIENCE,
)
from core.records import dataclass
from core.shortlist.batch.heat_rows import HeatGroup
from core.shortlist.batch.states import StateRows
from core.shortlist.batch.trials import TrialMaker, Trials, none_of

_BETWEEN = np.linspace(0.9, 0.1, 9)


def reserve_factors(group: HeatGroup, states: StateRows) -> FloatArray:
    """Return the torque reserve of some rows whose ramps are cut alike, shape (rows,).

    Infinite where the cycle asks for no torque that could grow, 0 where drag alone is too hot.
    """
    maker = TrialMaker(group, states)
    every = np.arange(len(states.rows))
    full = maker.known(every)
    fits = maker.feasible(full, every)
    grows = (states.pieces.copper[..., 2] > 0.0).any(axis=1)
    factor = np.where(fits, np.inf, 0.0)
    rows = every[grows]
    if rows.size:
        factor[rows] = _Search(maker, rows, full.only(rows), fits[rows]).factor()
    return factor


class _Brackets:
    """Whether the brackets of searches still narrow, as `torque_reserve` asks for one."""

    def __init__(self, low: FloatArray, high: FloatArray) -> None:
        self._low, self._high, self._since = low.copy(), high.copy(), np.zeros(low.size, dtype=np.int64)

    def narrows(self, at: IntArray, low: FloatArray, high: FloatArray) -> BoolArray:
        """Return which of some rows are half as wide, or open but further up, as a few steps ago."""
        was_low, was_high = self._low[at], self._high[at]
        with np.errstate(invalid="ignore"):
            halved = high - low <= 0.5 * (was_high - was_low)
        sound = np.where(np.isfinite(was_high), halved, np.isfinite(high))
        sound |= np.isinf(high) & (low >= 1.01 * was_low)
        since = self._since[at] + 1
        patient = since < PATIENCE
        self._low[at[sound]], self._high[at[sound]] = low[sound], high[sound]
        self._since[at] = np.where(sound | ~patient, 0, since)
        goes_on: BoolArray = sound | patient
        return goes_on


class _Search:
    """The search of rows whose cycle asks for torque; `rows` are numbers of the maker's rows."""

    def __init__(self, maker: TrialMaker, rows: IntArray, full: Trials, fits: BoolArray) -> None:
        self.maker, self.rows = maker, rows
        self.found = np.full(len(rows), np.nan)
        idle = none_of(full)
        if fits.any():
            idle = idle.with_rows(fits, maker.without_loss(rows[fits]))
        if not fits.all():
            idle = idle.with_rows(~fits, maker.trial(rows[~fits], np.zeros(int((~fits).sum()))))
        drag_fits = ~fits & maker.feasible(idle, rows)
        self.trials = [idle, full]
        self.low = idle.with_rows(fits, full.only(fits))
        self.high = np.where(fits, np.inf, 1.0)
        self.last = idle.with_rows(full.there, full.only(full.there))
        self.open = fits | drag_fits
        self.bracket = _Brackets(self.low.factor, self.high)
        lost = np.flatnonzero(~self.open)
        if lost.size:
            self._between(lost)
            self.bracket = _Brackets(self.low.factor, self.high)

    def _between(self, lost: IntArray) -> None:
        """Try factors between where neither the cycle nor the drag alone keeps the limits."""
        tried = [self.maker.trial(self.rows[lost], np.full(lost.size, k)) for k in _BETWEEN.tolist()]
        open_ = np.zeros(lost.size, dtype=bool)
        low = self.low.only(lost)
        for trial in tried:
            fits = ~open_ & self.maker.feasible(trial, self.rows[lost])
            low = low.with_rows(fits, trial.only(fits))
            open_ |= fits
        self.found[lost[~open_]] = 0.0
        self.low = self.low.with_rows(lost, low)
        self.high[lost] = np.minimum(1.0, low.factor + 0.1)
        self.open[lost] = open_
        gone = none_of(low)
        self.trials = [trial.with_rows(lost, gone) for trial in self.trials]
        last = self.last.only(lost)
        for trial in tried:
            self.trials.append(none_of(self.low).with_rows(lost, trial))
            last = last.with_rows(trial.there, trial.only(trial.there))
        self.last = self.last.with_rows(lost, last)

    def factor(self) -> FloatArray:
        """Return the factors: the bracket is narrowed until a prediction is met."""
        for _ in range(MOST_STEPS):
            at = np.flatnonzero(self.open)
            if not at.size:
                break
            self._step(at)
        rest = np.isnan(self.found)
        self.found[rest] = self.low.factor[rest]
        return self.found

    def _step(self, at: IntArray) -> None:
        """Take one step with the rows that are still open."""
        low, high, last = self.low.factor[at], self.high[at], self.last.only(at)
        ahead = self._ahead(at, last)
        inside = ahead.there & (low < ahead.factor) & (ahead.factor < high)
        # a prediction that falls a hair below the last trial is as good as one that rises a hair above it
        close = ahead.there & (low * (1.0 - FACTOR_TOLERANCE) < ahead.factor) & (ahead.factor < high)
        met = close & _is_there(ahead, last)
        self.found[at[met]] = ahead.factor[met]
        narrow = ~met & np.isfinite(high) & (high - low <= FACTOR_TOLERANCE * high)
        self.found[at[narrow]] = low[narrow]
        endless = ~met & ~narrow & (low >= LARGEST_FACTOR)
        self.found[at[endless]] = np.inf
        over = met | narrow | endless
        self.open[at[over]] = False
        at, inside, ahead = at[~over], inside[~over], ahead.only(~over)
        if at.size:
            inside[inside] = self.bracket.narrows(at[inside], low[~over][inside], high[~over][inside])
            self._take(at, self._tried(at, inside, ahead))

    def _tried(self, at: IntArray, inside: BoolArray, ahead: Ahead) -> Trials:
        """Return trials of some rows where they are foreseen, elsewhere inside or beyond their bracket."""
        trial = none_of(self.last.only(at))
        if inside.any():
            made = self.maker.trial(self.rows[at[inside]], ahead.factor[inside], ahead.magnets[inside])
            trial = trial.with_rows(inside, made)
        if not inside.all():
            low, high = self.low.factor[at[~inside]], self.high[at[~inside]]
            factor = np.where(np.isinf(high), 4.0 * np.maximum(low, 0.25), 0.5 * (low + high))
            trial = trial.with_rows(~inside, self.maker.trial(self.rows[at[~inside]], factor))
        return trial

    def _take(self, at: IntArray, trial: Trials) -> None:
        """Narrow the brackets by a trial of some rows."""
        fits, there = self.maker.feasible(trial, self.rows[at]), trial.there
        self.low = self.low.with_rows(at[fits], trial.only(fits))
        self.high[at[~fits]] = trial.factor[~fits]
        self.trials.append(none_of(self.low).with_rows(at[there], trial.only(there)))
        self.last = self.last.with_rows(at[there], trial.only(there))
        self.last = self.last.with_rows(at[~there], self.low.only(at[~there]))

    def _ahead(self, at: IntArray, two: Trials) -> Ahead:
        """Return where straight lines through the last trial and the nearest other meet the first limit."""
        one = self._nearest(at, two)
        rows, limits = self.rows[at], self.maker.limits[self.rows[at]]
        with np.errstate(all="ignore"):
            step = two.loss - one.loss
            slope = (two.peak - one.peak) / step[:, None]
            rising = (slope > 0.0) & np.isfinite(limits)
            reach = np.where(rising, (limits - two.peak) / np.where(rising, slope, 1.0), np.inf)
            node = reach.argmin(axis=1)
            least = np.take_along_axis(reach, node[:, None], axis=1)[:, 0]
            loss, further = two.loss + least, (least / step)[:, None]
            magnets = two.magnets + (two.magnets - one.magnets) * further
            mean = two.mean + (two.mean - one.mean) * further
            increase = self.maker.increase(rows, mean)
            bend = np.where(np.isnan(one.spread), 0.0, (two.spread - one.spread) * further[:, 0])
            increase = np.where(np.isnan(two.spread), increase, increase * (two.spread + bend))
            c0, c1, c2 = self.maker.polynomial[rows].T
            inside = c1 * c1 - c2 * (c0 - loss / increase)
            factor = (-c1 + np.sqrt(inside)) / c2
            peak = two.peak + slope * least[:, None]
            there = one.there & (step != 0.0) & rising.any(axis=1) & (loss > 0.0)
            there &= (increase > 0.0) & (increase < np.inf) & (inside >= 0.0)
            at_node = np.take_along_axis(peak, node[:, None], axis=1)[:, 0]
            was = np.take_along_axis(two.peak, node[:, None], axis=1)[:, 0]
        return Ahead(there, factor, magnets, np.abs(at_node - was))

    def _nearest(self, at: IntArray, to: Trials) -> Trials:
        """Return of each row the trial whose factor is nearest to another's."""
        with np.errstate(invalid="ignore"):
            away = np.array([
                np.where(
                    one.there[at] & (one.factor[at] != to.factor), np.abs(one.factor[at] - to.factor), np.inf
                )
                for one in self.trials
            ])  # fmt: skip
        which = away.argmin(axis=0)
        nearest = none_of(to)
        for number, trial in enumerate(self.trials):
            mine = (which == number) & np.isfinite(away[number])
            if mine.any():
                nearest = nearest.with_rows(mine, trial.only(at[mine]))
        return nearest


@dataclass(frozen=True, slots=True)
class Ahead:
    """The predicted factor of each row, magnet temperatures there, and how far the limit is away. [K]"""

    there: BoolArray
    factor: FloatArray
    magnets: FloatArray
    distance: FloatArray

    def only(self, chosen: BoolArray) -> Ahead:
        """Return the predictions of some rows."""
        return Ahead(
            self.there[chosen],
            self.factor[chosen],
            self.magnets[chosen],
            self.distance[chosen],
        )


def _is_there(ahead: Ahead, last: Trials) -> BoolArray:
    with np.errstate(all="ignore"):
        step = np.abs(ahead.factor - last.factor) / ahead.factor
        near: BoolArray = (ahead.distance <= NEAR) & (step <= 0.8 * FACTOR_TOLERANCE)
    return near
