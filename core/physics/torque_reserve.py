r"""Torque reserve: how much more torque the whole cycle could ask for before something gets too hot.

The factor :math:`\lambda` multiplies what the motor delivers (shaft torque and the acceleration of its
rotor), never its own drag. The first node to reach its limit in the repeating state ends the search; a
cycle that runs away counts as beyond.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Literal

import numpy as np

from core.numeric import FloatArray
from core.physics.cycle_peaks import cycle_peaks
from core.physics.false_position import rising_root
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperBeyond, CopperLaw, HeatPieces
from core.physics.repeating_cycle import solve_cycles
from core.physics.temperatures import RepeatingState, RunAway, cycle_problem
from core.records import dataclass

# The factor is found to this share of itself.
FACTOR_TOLERANCE = 1e-4
# Magnets off by as much as moves the winding by this move the factor by about 3e-5 of itself. [K]
FEEDBACK_TOLERANCE = 3e-3
LARGEST_FACTOR = 1e6
# The last prediction may reach this far. [K]
NEAR = 1.0
MOST_STEPS = 80
PATIENCE = 6  # predictions in a row that narrow nothing, before the bracket is halved instead
# Surface coefficients that belong to temperatures off by so much change the factor by about 2e-4 of itself,
# less where radiation and solid conduction carry their part. [K]
COEFFICIENT_TOLERANCE = 0.3
# The first guess of a limit state; what is left after a change by this is a tenth of it. [K]
GUESS_TOLERANCE = 0.1
MOST_GUESSES = 4
# No first prediction of a limit state goes beyond this multiple of the present rises.
MOST_RISE = 20.0
_LITTLE = 0.02  # of the copper loss of the cycle

ReserveEnd = Literal["limit", "run-away", "saturation", "drag alone", "no torque"]


@dataclass(frozen=True, slots=True)
class TorqueReserve:
    """The torque reserve and what ends it.

    Parameters
    ----------
    factor : float
        Lambda; infinite where nothing ends it. [-]
    end : str
        "limit": a node reaches its limit; "run-away": no repeating state beyond; "saturation":
        no current makes more torque; "drag alone": too hot
        with no delivered torque at all, factor 0; "no torque": the cycle asks for none that could grow,
        factor infinite. [-]
    node : int
        Node that reaches its limit first, -1 for none. [-]
    hot_phase : bool
        True where it is the hottest phase at standstill rather than the mean winding. [-]
    peak : ndarray, shape (n,)
        Highest temperatures at that factor (at 0 and 1 for "drag alone" and "no torque"); the winding's
        is that of its hottest phase. NaN where there is no state. [degC]

    References
    ----------
    Own definition.
    """

    factor: float
    end: ReserveEnd
    node: int
    hot_phase: bool
    peak: FloatArray


@dataclass(frozen=True, slots=True)
class _Trial:
    """One factor that has a repeating state."""

    factor: float
    actual_loss: float  # time mean of the copper loss at actual temperatures [W]
    spread: float | None  # actual over reference loss, relative to that at the mean temperatures [-]
    mean: FloatArray  # time means of the nodes [degC]
    peak: FloatArray
    magnet_mean: FloatArray
    hot_phase: bool
    residual: float = 0.0  # of the temperatures to which the surface coefficients belong [K]
    pieces: HeatPieces | None = None  # with those coefficients


@dataclass(frozen=True, slots=True)
class _Ahead:
    """The factor at which a straight line through two trials meets the first limit, and what is there."""

    factor: float
    node: int
    magnets: FloatArray
    mean: FloatArray
    peak: FloatArray


@dataclass(frozen=True, slots=True)
class _Search:
    network: HeatNetwork
    pieces: HeatPieces
    law: CopperLaw
    limits: FloatArray
    share: FloatArray  # of each piece in the cycle [-]
    pieces_at: Callable[[FloatArray], HeatPieces] | None  # for mean temperatures of the nodes
    beyond: CopperBeyond | None

    @property
    def hottest(self) -> FloatArray:
        """Temperatures to start coefficients from where none are known: the limits. [degC]"""
        finite = self.limits[np.isfinite(self.limits)]
        warm = finite.max() if finite.size else float(self.network.sink_temp.max())
        return np.where(np.isfinite(self.limits), self.limits, warm)

    def feasible(self, trial: _Trial | None) -> bool:
        return trial is not None and bool((trial.peak <= self.limits).all())


def torque_reserve(
    network: HeatNetwork,
    pieces: HeatPieces,
    law: CopperLaw,
    limits: FloatArray,
    state: RepeatingState | RunAway | None = None,
    pieces_at: Callable[[FloatArray], HeatPieces] | None = None,
    beyond: CopperBeyond | None = None,
) -> TorqueReserve:
    r"""Return the largest factor on the delivered torque that keeps every node within its limit.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    pieces : HeatPieces
        The cycle, its copper loss a polynomial of the factor. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]
    limits : ndarray, shape (n,)
        Limits of the nodes, infinite where there is none; the winding's already less its hot-spot
        allowance. [degC]
    state : RepeatingState or RunAway, optional
        What comes of the cycle at factor 1, if it is known. [-]
    pieces_at : callable, optional
        Gives the cycle, cut as `pieces`, with the surface coefficients that belong to mean temperatures
        of the nodes, shape (n,); without it the coefficients stay as they are. [-]
    beyond : callable, optional
        Gives for a factor and a mean temperature of the magnets the copper loss at the reference
        temperatures that is no polynomial of the factor, as that of saturation, shape (m,); it rises with
        the factor, and `state` has it. [W]

    Returns
    -------
    reserve : TorqueReserve
        Factor to 1e-4 of itself and what ends it. [-]

    Notes
    -----
    Every peak is a convex function of the factor, so the factors within all limits form one interval; its
    upper end is sought. Peaks, means and magnet temperatures are all but affine in the actual mean copper
    loss; the loss at reference temperatures follows from it by the resistance and flux at the means, so in
    short cycles the state at factor 1 predicts the end within about 1e-5. Every trial narrows a bracket that
    takes over where a prediction leaves it. Every trial takes its surface coefficients at the means that
    are predicted for it, and one whose own means are off by more than 0.3 K only serves the next
    prediction. Where drag alone is too hot and so is the cycle itself, eight
    factors between are tried before the reserve is called zero.

    References
    ----------
    Own definition and method.
    """
    search = _Search(network, pieces, law, np.asarray(limits, dtype=np.float64),
                     pieces.duration / pieces.duration.sum(), pieces_at, beyond)  # fmt: skip
    n = len(network.nodes)
    if not (pieces.copper[:, 2] > 0.0).any():
        trial = _settled_trial(search, 1.0, search.hottest) if state is None else _known(search, state)
        end: ReserveEnd = "no torque" if search.feasible(trial) else "drag alone"
        peak = trial.peak if trial is not None else np.full(n, np.nan)
        node = -1 if trial is None or end == "no torque" else int((peak - search.limits).argmax())
        return TorqueReserve(np.inf if end == "no torque" else 0.0, end, node, False, peak)
    full = _known(search, state)
    if state is None:
        full = _settled_trial(search, 1.0, search.hottest)
    if state is not None and full is not None and search.feasible(full):
        # a factor below zero keeps it apart from every real trial; on average no second one is needed
        idle: _Trial | None = None if pieces_at is not None else _without_copper_loss(search, -1.0)
    else:
        idle = _idle(search)
    trials = [trial for trial in (idle, full) if trial is not None]
    low = full if search.feasible(full) else idle if search.feasible(idle) else None
    high = np.inf if low is full else 1.0
    if low is None:
        between = [_settled_trial(search, k, search.hottest) for k in np.linspace(0.9, 0.1, 9).tolist()]
        tried = [trial for trial in between if trial is not None]
        fitting = [trial for trial in tried if search.feasible(trial)]
        if not fitting:
            peak = idle.peak if idle is not None else np.full(n, np.nan)
            node = int((peak - search.limits).argmax()) if idle is not None else -1
            return TorqueReserve(0.0, "drag alone", node, bool(idle and idle.hot_phase), peak)
        low, high = fitting[0], min(1.0, fitting[0].factor + 0.1)
        trials = tried
    return _upper_end(search, trials, low, high)


def _upper_end(search: _Search, trials: list[_Trial], low: _Trial, high: float) -> TorqueReserve:
    beyond: _Trial | None = None
    last, bracket = trials[-1], _Bracket(low.factor, high)
    for _ in range(MOST_STEPS):
        ahead = _ahead(search, trials, last)
        inside = ahead is not None and low.factor < ahead.factor < high
        # a prediction that falls a hair below the last trial is as good as one that rises a hair above it
        near = high if search.pieces_at is None else high * (1.0 + FACTOR_TOLERANCE)
        close = ahead is not None and low.factor * (1.0 - FACTOR_TOLERANCE) < ahead.factor < near
        if ahead is not None and close and _is_there(ahead, last):
            hot = last.hot_phase and ahead.node == search.network.winding
            return TorqueReserve(ahead.factor, "limit", ahead.node, hot, ahead.peak)
        if np.isfinite(high) and high - low.factor <= FACTOR_TOLERANCE * high:
            break
        if low.factor >= LARGEST_FACTOR:
            return TorqueReserve(np.inf, "no torque", -1, False, low.peak)
        if ahead is not None and inside and bracket.narrows(low.factor, high):
            factor = ahead.factor
            trial = _trial_at(search, factor, ahead.magnets, ahead.mean)
        else:
            factor = _fallback(low.factor, high)
            trial = _settled_trial(search, factor, last.mean)
        if trial is not None and trial.residual > COEFFICIENT_TOLERANCE:
            pass  # its peaks belong to other temperatures: no bound for the bracket
        elif search.feasible(trial) and trial is not None:
            low = trial
        else:
            high, beyond = factor, trial
        if trial is not None:
            trials.append(trial)
            last = trial
        else:
            last = low
    if beyond is None:
        return TorqueReserve(low.factor, "run-away", -1, False, low.peak)
    node = int((beyond.peak - search.limits).argmax())
    return TorqueReserve(
        low.factor, "limit", node, beyond.hot_phase and node == search.network.winding, low.peak
    )


class _Bracket:
    """Whether the bracket of a search still narrows; where it does not, predictions lead nowhere.

    That happens where saturation ends a torque: the loss leaps there, and no line foresees it.
    """

    def __init__(self, low: float, high: float) -> None:
        self._low, self._high, self._since = low, high, 0

    def narrows(self, low: float, high: float) -> bool:
        """Return whether it is half as wide, or open but further up, as a few steps ago."""
        halved = (
            high - low <= 0.5 * (self._high - self._low) if np.isfinite(self._high) else np.isfinite(high)
        )
        if halved or (np.isinf(high) and low >= 1.01 * self._low):
            self._low, self._high, self._since = low, high, 0
            return True
        self._since += 1
        if self._since < PATIENCE:
            return True
        self._since = 0
        return False


def _is_there(ahead: _Ahead, last: _Trial) -> bool:
    # peaks bend upward, so the root lies between the last trial and what a straight line predicts;
    # near a run-away a small step of the factor may be a long way in temperature, and none to trust
    near = abs(float(ahead.peak[ahead.node] - last.peak[ahead.node])) <= NEAR
    step = abs(ahead.factor - last.factor) / ahead.factor
    return near and step <= 0.8 * FACTOR_TOLERANCE and last.residual <= COEFFICIENT_TOLERANCE


def _settled_trial(search: _Search, factor: float, mean: FloatArray) -> _Trial | None:
    """Return a trial whose coefficients belong to its own means, starting from some others."""
    trial: _Trial | None = None
    for _ in range(MOST_STEPS):
        trial = _trial_at(search, factor, None, mean)
        if trial is None or trial.residual <= COEFFICIENT_TOLERANCE:
            break
        mean = trial.mean
    return trial


def _fallback(low: float, high: float) -> float:
    return 4.0 * max(low, 0.25) if np.isinf(high) else 0.5 * (low + high)


def _nearest(trials: list[_Trial], to: _Trial) -> _Trial | None:
    others = [trial for trial in trials if trial.factor != to.factor]
    # one whose coefficients belong to other temperatures gives no slope that a small step could trust
    sound = [trial for trial in others if trial.residual <= COEFFICIENT_TOLERANCE]
    others = sound or others
    return min(others, key=lambda trial: abs(trial.factor - to.factor)) if others else None


def _ahead(search: _Search, trials: list[_Trial], two: _Trial) -> _Ahead | None:
    """Return the factor at which the first limit is met, as the last trial foresees it; None without one."""
    if search.pieces_at is not None:
        return _ahead_on_average(search, two)
    # all peaks follow the actual mean loss on straight lines through the last trial and the nearest other
    one = _nearest(trials, two)
    step = 0.0 if one is None else two.actual_loss - one.actual_loss
    if one is None or step == 0.0:
        return None
    slope = (two.peak - one.peak) / step
    rising = (slope > 0.0) & np.isfinite(search.limits)
    if not rising.any():
        return None
    reach = np.where(rising, (search.limits - two.peak) / np.where(rising, slope, 1.0), np.inf)
    node = int(reach.argmin())
    loss = two.actual_loss + float(reach[node])
    further = float(reach[node]) / step
    magnets = two.magnet_mean + (two.magnet_mean - one.magnet_mean) * further
    # means follow the loss too, and the resistance and flux they give bend more than a straight line may
    mean = two.mean + (two.mean - one.mean) * further
    increase = _increase(search, mean)
    if two.spread is not None:
        increase *= two.spread + (0.0 if one.spread is None else (two.spread - one.spread) * further)
    if loss <= 0.0 or not 0.0 < increase < np.inf:
        return None
    factor = _factor_of(search, loss / increase, two.factor, float(magnets @ search.share))
    if factor is None:
        return None
    return _Ahead(factor, node, magnets, mean, two.peak + slope * reach[node])


def _factor_of(search: _Search, loss: float, start: float, magnets: float) -> float | None:
    """Return the factor at which the mean copper loss at the reference temperatures is this, None without.

    What is no polynomial only adds to the loss, so that the root of the polynomial is a bound from above.
    """
    c0, c1, c2 = (search.share @ search.pieces.copper).tolist()
    inside = c1 * c1 - c2 * (c0 - loss)
    if inside < 0.0:
        return None
    top = (-c1 + inside**0.5) / c2
    if search.beyond is None or top <= 0.0:
        return float(top)
    more = search.beyond.mean

    def excess(factor: float) -> float:
        total = c0 + (2.0 * c1 + c2 * factor) * factor + more(factor, magnets)
        return math.log(max(total, 1e-9 * loss) / loss)

    # copper loss rises at least with the square of the torque, but for what is there without any
    return rising_root(excess, min(start, top) if start > 0.0 else 0.5 * top, float(top), 2.0)


def _reference_loss(search: _Search, pieces: HeatPieces, factor: float, magnets: float) -> FloatArray:
    """Return the copper loss of each piece at the reference temperatures, shape (m,). [W]"""
    loss = pieces.copper_at_reference(factor)
    if search.beyond is not None and factor > 0.0:
        loss = loss + search.beyond(factor, magnets)
    return np.maximum(loss, 0.0)


def _increase(search: _Search, mean: FloatArray) -> float:
    """Return the copper loss with the nodes at these temperatures over that at the reference ones."""
    law = search.law
    winding, magnet = mean[[search.network.winding, search.network.magnets]].tolist()
    flux = 1.0 + law.magnet_temp_coefficient * (magnet - law.magnet_ref_temp)
    if flux <= 0.0:
        return np.inf
    return float((law.copper_constant + winding) / (law.copper_constant + law.winding_ref_temp) / flux**2)


def _known(search: _Search, state: RepeatingState | RunAway | None) -> _Trial | None:
    if not isinstance(state, RepeatingState):
        return None
    peak = state.peak.copy()
    w = search.network.winding
    peak[w] = state.hot_phase_peak
    reference = _reference_loss(search, search.pieces, 1.0, float(state.mean[search.network.magnets]))
    return _trial(
        search, 1.0, reference, state.copper_loss, peak, state.mean,
        state.piece_mean[:, search.network.magnets], bool(peak[w] > state.peak[w]), search.pieces,
    )  # fmt: skip


def _without_copper_loss(search: _Search, factor: float) -> _Trial:
    # the network averaged over the cycle and heated by drag alone, without a cycle
    share, network = search.share, search.network
    matrix = search.pieces.mean_conductance(share)
    mean = np.asarray(np.linalg.solve(matrix, share @ search.pieces.inflow), dtype=np.float64)
    magnets, none = np.full(share.size, mean[network.magnets]), np.zeros(share.size)
    return _trial(search, factor, none, none, mean, mean, magnets, False, search.pieces)


def _idle(search: _Search) -> _Trial | None:
    """Return the trial of no delivered torque, without its cycle where it is far from all limits."""
    always, _, _ = search.share @ search.pieces.copper  # ripple and weakening heat without torque, too
    if search.pieces_at is not None and always <= _LITTLE * (search.share @ search.pieces.copper).sum():
        trial = _without_copper_loss(search, 0.0)
        cold = float(search.network.sink_temp.max())
        # coefficients of a hot motor cool a cold one too well, by less than half
        if (cold + 2.0 * (trial.peak - cold) + NEAR <= search.limits).all():
            return trial
    return _settled_trial(search, 0.0, search.hottest)


def _ahead_on_average(search: _Search, last: _Trial) -> _Ahead | None:
    """Return what is ahead where the surface coefficients follow the temperatures.

    Trials with coefficients of different temperatures lie on no straight line. What the cycle adds to its
    own averaged network is all but the same for another loss: with it, the averaged network with the
    coefficients of the limit state gives that state; from all rises in proportion two or three rounds do.
    """
    assert search.pieces_at is not None
    assert last.pieces is not None
    own_base, own_rise = _averaged_response(search, last.pieces)
    added = last.mean - own_base - own_rise * last.actual_loss
    ripple = np.zeros_like(last.peak)
    cold = float(search.network.sink_temp.max())
    room = np.where(last.peak > cold, (search.limits - cold) / np.maximum(last.peak - cold, 1e-9), np.inf)
    if last.factor > 0.0:
        ripple = (last.peak - last.mean) / last.actual_loss
        mean = cold + (last.mean - cold) * min(float(room.min()), MOST_RISE)
    else:
        mean = search.hottest
    for _ in range(MOST_GUESSES):
        base, rise = _averaged_response(search, search.pieces_at(mean))
        base = base + added
        reach = (search.limits - base) / np.maximum(rise + ripple, 1e-9)
        node = int(reach.argmin())
        loss = float(reach[node])
        if not 0.0 < loss < np.inf:
            return None
        before, mean = mean, base + rise * loss
        if np.abs(mean - before).max() <= GUESS_TOLERANCE:
            break
    increase = _increase(search, mean) * (1.0 if last.spread is None else last.spread)
    if not 0.0 < increase < np.inf:
        return None
    magnets = last.magnet_mean + (mean - last.mean)[search.network.magnets]
    factor = _factor_of(search, loss / increase, last.factor, float(magnets @ search.share))
    return None if factor is None else _Ahead(factor, node, magnets, mean, mean + ripple * loss)


def _averaged_response(search: _Search, pieces: HeatPieces) -> tuple[FloatArray, FloatArray]:
    """Return the mean temperatures without copper loss and their rise per watt of it, shapes (n,)."""
    matrix = pieces.mean_conductance(search.share)
    both = np.zeros((len(matrix), 2))
    both[:, 0] = search.share @ pieces.inflow
    both[search.network.winding, 1] = 1.0
    found = np.asarray(np.linalg.solve(matrix, both), dtype=np.float64)
    return found[:, 0], found[:, 1]


def _trial_at(search: _Search, factor: float, magnets: FloatArray | None, mean: FloatArray) -> _Trial | None:
    """Return the trial of a factor, its surface coefficients at given means; None where it runs away."""
    pieces = search.pieces if search.pieces_at is None else search.pieces_at(mean)
    losses = _reference_loss(search, pieces, factor, float(mean[search.network.magnets]))
    problem = cycle_problem(search.network, pieces, search.law, losses[None])
    solution = solve_cycles(problem, None if magnets is None else magnets[None], FEEDBACK_TOLERANCE)
    if not solution.settled[0]:
        return None
    found = cycle_peaks(search.network, pieces, search.law, solution, losses, 0)
    peak, highest = found.nodes.value.copy(), float(found.hot_phase.value[0])
    w = search.network.winding
    hot = bool(highest > peak[w])
    peak[w] = highest
    means = search.share @ found.means
    follows = search.pieces_at is not None or search.beyond is not None
    residual = float(np.abs(means - mean).max()) if follows else 0.0
    magnet_mean = solution.magnet_mean[0]
    return _trial(search, factor, losses, found.copper_loss, peak, means, magnet_mean, hot, pieces, residual)


def _trial(
    search: _Search,
    factor: float,
    reference_loss: FloatArray,
    actual_loss: FloatArray,
    peak: FloatArray,
    mean: FloatArray,
    magnet_mean: FloatArray,
    hot_phase: bool,
    pieces: HeatPieces,
    residual: float = 0.0,
) -> _Trial:
    reference, actual = float(search.share @ reference_loss), float(search.share @ actual_loss)
    spread = actual / reference / _increase(search, mean) if reference > 0.0 else None
    return _Trial(factor, actual, spread, mean, peak, magnet_mean, hot_phase, residual, pieces)
