r"""Heating up: from a given start to the repeating state, or to a limit when the cycle runs away.

The cost does not grow with the number of cycles. The first cycles are solved one by one. After that the
magnets change little from cycle to cycle: the map of the cycle is kept for a ladder of magnet
temperatures, and whole runs of cycles are taken as powers of it, each run no longer than lets the magnets
change by 0.3 K. All temperatures stay within 0.05 K of a march through every cycle.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.numeric import FloatArray
from core.physics.cycle_rounds import CycleProblem
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.physics.segment_maps import (
    Chain,
    PieceModes,
    chain,
    mean_temperatures,
    piece_ends,
    piece_maps,
    piece_modes,
    temperatures_within,
)
from core.physics.temperatures import RepeatingState, RunAway, cycle_problem, repeating_state
from core.records import dataclass

# Cycles solved one by one at the start; all of them, where the state is settled after that many.
_SINGLE_CYCLES, _ALL_SINGLE = 12, 60
# Longest step of the mean magnet temperature in one run of cycles. [K]
_MAGNET_STEP = 0.3
# Magnet temperatures of a ladder around the present one, and how far they serve. [K]
_LADDER = tuple(float(step) for step in range(-8, 9, 2))
_LADDER_REACH = 6.0
# Output times grow by this ratio once cycles are skipped: about 200 for 10^8 cycles.
_OUTPUT_RATIO = 1.08
_MOST_OUTPUTS = 400
# Distance from the repeating state that counts as settled, and at which the course ends. [K]
_SETTLED_WITHIN, _ENDS_WITHIN = 1.0, 0.05
_SHARES = np.linspace(0.0, 1.0, 9)
_LEAST_FLUX = 0.05
# No start of a cycle above this is followed. [degC]
_BEYOND = 1e4


@dataclass(frozen=True, slots=True)
class HeatingUp:
    """The envelope of all node temperatures from the start on.

    Parameters
    ----------
    time : ndarray, shape (k,)
        Starts of the cycles shown. [s]
    low, high : ndarray, shape (k, n)
        Lowest and highest temperature of every node within that cycle. [degC]
    settling_time : float
        Start of the first shown cycle from which all nodes' extremes stay within 1 K of those of the
        repeating state; infinite for a run-away. [s]
    time_to_limit : ndarray, shape (n,)
        When each node first passes its limit; infinite where it never does. [s]

    References
    ----------
    Own formulation.
    """

    time: FloatArray
    low: FloatArray
    high: FloatArray
    settling_time: float
    time_to_limit: FloatArray


@dataclass(frozen=True, slots=True)
class _Ladder:
    """Maps of the whole cycle, and of its mean magnet temperature, by mean magnet temperature."""

    middle: float  # [degC]
    steps: int  # L, 1 without feedback of the magnets
    cycle: FloatArray  # (L, n+1, n+1) less the identity
    magnet_row: FloatArray  # (L, n+1): mean magnet temperature of a cycle from (start, 1)

    def at(self, magnet_temp: float) -> tuple[FloatArray, FloatArray]:
        if self.steps == 1:
            return self.cycle[0], self.magnet_row[0]
        place = (magnet_temp - self.middle - _LADDER[0]) / (_LADDER[1] - _LADDER[0])
        if not np.isfinite(place):  # the temperatures have overflowed, and the caller will see it
            place = 0.0
        i = min(max(int(place), 0), self.steps - 2)
        f = place - i
        return (
            (1.0 - f) * self.cycle[i] + f * self.cycle[i + 1],
            (1.0 - f) * self.magnet_row[i] + f * self.magnet_row[i + 1],
        )


def heating_up(
    network: HeatNetwork,
    pieces: HeatPieces,
    law: CopperLaw,
    start_temp: FloatArray,
    limits: FloatArray,
    state: RepeatingState | RunAway,
    torque_factor: float = 1.0,
) -> HeatingUp:
    """Return how the temperatures rise, cycle after cycle, from a given start.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    pieces : HeatPieces
        The cycle. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]
    start_temp : ndarray, shape (n,)
        Temperatures at the start of the first cycle; for a cold motor those of the surroundings. [degC]
    limits : ndarray, shape (n,)
        Limits of the nodes, infinite where there is none. [degC]
    state : RepeatingState or RunAway
        What the cycle comes to, from `repeating_state` with the same pieces and factor. [-]
    torque_factor : float
        Factor on the delivered torque. [-]

    Returns
    -------
    course : HeatingUp
        Envelope on up to about 200 cycles; a run-away ends 50 K above the highest limit (or start). [-]

    Notes
    -----
    Temperatures to 0.05 K; extremes of a cycle are read at nine points per piece. The passing of a limit
    is placed in its cycle on the assumption that between two shown cycles the extremes rise steadily.

    References
    ----------
    Own formulation.
    """
    problem = cycle_problem(
        network, pieces, law, np.maximum(pieces.copper_at_reference(torque_factor), 0.0)[None]
    )
    start = np.asarray(start_temp, dtype=np.float64)
    finite = limits[np.isfinite(limits)]
    ceiling = max([*finite.tolist(), *start.tolist(), *network.sink_temp.tolist()]) + 50.0
    with np.errstate(over="ignore", invalid="ignore"):
        if isinstance(state, RepeatingState):
            ceiling = np.inf
            last_cycle = _cycles_to_settle(state, start)
        else:
            last_cycle = 10**12
        numbers, starts = _march(problem, start, state, last_cycle, ceiling)
        low, high = _envelope(problem, starts)
        passing = _passing_times(problem, numbers, starts, high, limits)
    time = numbers * float(pieces.duration.sum())
    settling = np.inf
    if isinstance(state, RepeatingState):
        settling = _settling_time(time, low, high, *_envelope(problem, state.start_temp[None]))
    return HeatingUp(time, low, high, settling, passing)


def _settling_time(
    time: FloatArray, low: FloatArray, high: FloatArray, final_low: FloatArray, final_high: FloatArray
) -> float:
    away = (np.abs(low - final_low) > _SETTLED_WITHIN) | (np.abs(high - final_high) > _SETTLED_WITHIN)
    late = np.flatnonzero(away.any(axis=1))
    return float(time[min(int(late[-1]) + 1, time.size - 1)]) if late.size else 0.0


def time_to_limit(
    network: HeatNetwork,
    pieces: HeatPieces,
    law: CopperLaw,
    limits: FloatArray,
    start_temp: FloatArray,
    torque_factor: float = 1.0,
) -> float:
    """Return when the first node passes its limit while the cycle repeats from a given start.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    pieces : HeatPieces
        The cycle. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]
    limits : ndarray, shape (n,)
        Limits of the nodes, infinite where there is none. [degC]
    start_temp : ndarray, shape (n,)
        Temperatures at the start of the first cycle. [degC]
    torque_factor : float
        Factor on the delivered torque. [-]

    Returns
    -------
    time : float
        Time from the start; infinite if no limit is ever passed. [s]

    References
    ----------
    Own formulation, `heating_up`.
    """
    state = repeating_state(network, pieces, law, torque_factor)
    course = heating_up(network, pieces, law, start_temp, limits, state, torque_factor)
    return float(course.time_to_limit.min())


def _cycles_to_settle(state: RepeatingState, start: FloatArray) -> int:
    distance = float(np.abs(start - state.start_temp).max())
    if distance <= _ENDS_WITHIN or state.spectral_radius <= 0.0:
        return 2
    # the feedback of the magnets slows the last kelvins, hence twice the time without it
    cycles = 2.0 * np.log(_ENDS_WITHIN / distance) / np.log(state.spectral_radius)
    return int(min(np.ceil(cycles) + 2.0, 1e12))


def _march(
    problem: CycleProblem,
    start: FloatArray,
    state: RepeatingState | RunAway,
    last_cycle: int,
    ceiling: float,
) -> tuple[FloatArray, FloatArray]:
    """Return the numbers of the shown cycles (from 0) and the temperatures at their starts."""
    temps, number = start, 0
    numbers, starts = [0], [start]
    settles = isinstance(state, RepeatingState)
    singles = last_cycle if last_cycle <= _ALL_SINGLE else _SINGLE_CYCLES if settles else _ALL_SINGLE
    magnets = np.full(problem.copper_loss.shape, start[problem.magnets])
    while number < singles and temps.max() <= ceiling:
        temps, magnets = _one_cycle(problem, temps, magnets)
        if not temps.max() < _BEYOND:  # the cycle before already passes every limit on its way there
            return np.array(numbers, dtype=np.float64), np.array(starts)
        number += 1
        numbers.append(number)
        starts.append(temps)
    if number >= last_cycle or not temps.max() <= ceiling:
        return np.array(numbers, dtype=np.float64), np.array(starts)
    ladder, stop = _ladder(problem, temps), min(ceiling + 100.0, _BEYOND)
    while number < last_cycle and temps.max() <= ceiling and len(numbers) < _MOST_OUTPUTS:
        target = min(max(number + 1, int(number * _OUTPUT_RATIO)), last_cycle)
        ahead, ladder_ahead = _advance(problem, ladder, temps, target - number, stop)
        while not ahead.max() < stop and target > number + 1:
            target = (target + number) // 2
            ahead, ladder_ahead = _advance(problem, ladder, temps, target - number, stop)
        if not ahead.max() < stop:
            break
        number, temps, ladder = target, ahead, ladder_ahead
        numbers.append(number)
        starts.append(temps)
    return np.array(numbers, dtype=np.float64), np.array(starts)


def _one_cycle(
    problem: CycleProblem, temps: FloatArray, magnets: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the temperatures after one cycle and the piece means of the magnets in it, shape (1, m)."""
    for _ in range(8):
        modes, joined = _maps(problem, magnets)
        starts, ends = piece_ends(joined, temps[None])
        found = mean_temperatures(modes, starts)[..., problem.magnets]
        if not np.abs(found - magnets).max() > 1e-3:
            break
        magnets = found
    return ends[0, -1], magnets


def _maps(problem: CycleProblem, magnets: FloatArray) -> tuple[PieceModes, Chain]:
    law = problem.law
    flux = np.maximum(1.0 + law.magnet_temp_coefficient * (magnets - law.magnet_ref_temp), _LEAST_FLUX)
    modes = piece_modes(
        problem.conductance, problem.inflow, problem.copper_loss / flux**2, problem.duration,
        problem.capacity, problem.winding, law,
    )  # fmt: skip
    return modes, chain(piece_maps(modes))


def _ladder(problem: CycleProblem, temps: FloatArray) -> _Ladder:
    """Return the ladder around the present state, which also gives the differences between pieces."""
    flat = np.full(problem.copper_loss.shape, temps[problem.magnets])
    _, magnets = _one_cycle(problem, temps, flat)
    share = problem.duration[0] / problem.duration.sum()
    middle = float(magnets[0] @ share)
    feedback = problem.law.magnet_temp_coefficient != 0.0
    steps = np.array(_LADDER if feedback else _LADDER[:1])
    many = replace(problem, copper_loss=np.repeat(problem.copper_loss, steps.size, axis=0))
    modes, joined = _maps(many, magnets + steps[:, None])
    n = temps.size
    rows = np.empty((steps.size, n + 1))
    for k in range(n + 1):
        probe = np.zeros((steps.size, n))
        if k < n:
            probe[:, k] = 1.0
        starts, _ = piece_ends(joined, probe)
        rows[:, k] = mean_temperatures(modes, starts)[..., problem.magnets] @ share
    rows[:, :n] -= rows[:, n:]
    return _Ladder(middle, steps.size, joined.cycle, rows)


def _advance(
    problem: CycleProblem, ladder: _Ladder, temps: FloatArray, cycles: int, stop: float = _BEYOND
) -> tuple[FloatArray, _Ladder]:
    """Return the temperatures after so many cycles, or those of the first run that ends above `stop`.

    The runs are as long as the magnets change little.
    """
    full = np.append(temps, 1.0)
    feedback = problem.law.magnet_temp_coefficient != 0.0
    magnet = ladder.middle
    left = run = cycles
    while left > 0 and full.max() < stop:
        magnet = float(ladder.at(magnet)[1] @ full)
        if feedback and abs(magnet - ladder.middle) > _LADDER_REACH:
            ladder = _ladder(problem, full[:-1])
            magnet = ladder.middle
        run = min(run, left)
        while True:
            cycle, row = ladder.at(magnet)
            ahead = full + _power(cycle, run) @ full
            change = float(row @ (ahead - full))
            if run == 1 or abs(change) <= _MAGNET_STEP or not feedback:
                break
            wanted = run * _MAGNET_STEP / abs(change) if np.isfinite(change) else 0.0
            run = max(1, min(run // 2, int(wanted)))
        if feedback:
            # the run sees the magnets half way, less half a cycle
            cycle, _ = ladder.at(magnet + 0.5 * change * (run - 1) / run)
            ahead = full + _power(cycle, run) @ full
        full = ahead
        left -= run
        run *= 2
    return full[:-1], ladder


def _power(cycle: FloatArray, count: int) -> FloatArray:
    """Return the map of so many cycles less the identity, by repeated squaring."""
    result: FloatArray | None = None
    square = cycle
    while True:
        if count & 1:
            result = square if result is None else square + result + square @ result
        count >>= 1
        if count == 0:
            return result if result is not None else np.zeros_like(cycle)
        square = 2.0 * square + square @ square


def _refined(problem: CycleProblem, starts: FloatArray) -> tuple[PieceModes, FloatArray]:
    """Return modes and piece starts of several cycles given by their start temperatures."""
    many = replace(problem, copper_loss=np.repeat(problem.copper_loss, len(starts), axis=0))
    magnets = np.repeat(starts[:, problem.magnets, None], problem.copper_loss.shape[1], axis=1)
    for _ in range(3):
        modes, joined = _maps(many, magnets)
        begins, _ = piece_ends(joined, starts)
        if problem.law.magnet_temp_coefficient == 0.0:
            break
        found = mean_temperatures(modes, begins)[..., problem.magnets]
        if not np.abs(found - magnets).max() > 0.05:
            break
        magnets = found
    return modes, begins


def _envelope(problem: CycleProblem, starts: FloatArray) -> tuple[FloatArray, FloatArray]:
    modes, begins = _refined(problem, starts)
    courses = temperatures_within(modes, begins, _SHARES)
    return courses.min(axis=(1, 2)), courses.max(axis=(1, 2))


def _passing_times(
    problem: CycleProblem,
    numbers: FloatArray,
    starts: FloatArray,
    high: FloatArray,
    limits: FloatArray,
) -> FloatArray:
    times = np.full(limits.size, np.inf)
    for node in range(limits.size):
        over = np.flatnonzero(~(high[:, node] <= limits[node]))
        if not over.size or not np.isfinite(limits[node]):
            continue
        k, limit = int(over[0]), float(limits[node])
        first, temps = int(numbers[k]), starts[k]
        if k > 0 and first - int(numbers[k - 1]) > 1:
            below = int(numbers[k - 1])
            first, temps = _first_cycle_over(problem, below, first, starts[k - 1], node, limit)
        offset = _passing_in_cycle(problem, temps, node, limit)
        times[node] = first * float(problem.duration.sum()) + offset
    return times


def _first_cycle_over(
    problem: CycleProblem, below: int, above: int, temps: FloatArray, node: int, limit: float
) -> tuple[int, FloatArray]:
    """Return the first cycle in (below, above] with the node over its limit; temps: at the start of below."""
    ladder = _ladder(problem, temps)
    found: FloatArray | None = None
    while above - below > 1:
        middle = (above + below) // 2
        trial, ladder = _advance(problem, ladder, temps, middle - below)
        if _envelope(problem, trial[None])[1][0, node] <= limit:
            below, temps = middle, trial
        else:
            above, found = middle, trial
    return above, found if found is not None else _advance(problem, ladder, temps, above - below)[0]


def _passing_in_cycle(problem: CycleProblem, temps: FloatArray, node: int, limit: float) -> float:
    """Return when a node passes its limit in a cycle; the end of the cycle where it does not."""
    modes, begins = _refined(problem, temps[None])
    duration = problem.duration[0]
    courses = temperatures_within(modes, begins, _SHARES)[0, :, :, node]
    over = np.argwhere(courses > limit)
    if not over.size:
        return float(duration.sum())
    piece, k = (int(i) for i in over[0])
    before = float(duration[:piece].sum())
    if k == 0:
        return before
    low, up = _SHARES[k - 1], _SHARES[k]
    for _ in range(50):
        middle = 0.5 * (low + up)
        temp = temperatures_within(modes, begins, np.array([middle]))[0, piece, 0, node]
        low, up = (low, middle) if temp > limit else (middle, up)
    return before + float(up * duration[piece])
