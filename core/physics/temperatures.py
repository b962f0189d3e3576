r"""Temperatures of a motor that repeats a cycle for ever, or the finding that it runs away.

`repeating_state` solves one cycle; `settled_state` also halves the pieces of its ramps until the result
stands still; `cycle_trace` gives the course for drawing.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import numpy as np

from core.numeric import FloatArray, IntArray, read_only
from core.physics.cycle_peaks import cycle_peaks
from core.physics.cycle_rounds import CycleProblem
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.physics.ramp_halving import Course, change_by_halving, course, places_within
from core.physics.repeating_cycle import CycleSolution, solve_cycles
from core.physics.segment_maps import PieceModes, temperatures_within
from core.records import dataclass

# Pieces of a ramp are halved until peaks and means change by less than this. [K]
RAMP_TOLERANCE = 1e-3
MOST_PIECES_PER_RAMP = 256
# What halving would change is estimated; below this share of the tolerance it need not be done. [K]
SURE = 0.5 * RAMP_TOLERANCE


@dataclass(frozen=True, slots=True)
class RepeatingState:
    """Temperatures of a cycle that repeats for ever.

    Parameters
    ----------
    start_temp : ndarray, shape (n,)
        Temperatures at the start (and end) of the cycle. [degC]
    piece_start, piece_end, piece_mean : ndarray, shape (m, n)
        Temperatures at the ends of, and mean over, every piece. [degC]
    peak : ndarray, shape (n,)
        Highest temperatures, inside pieces too. [degC]
    peak_time : ndarray, shape (n,)
        When they are reached, from the start of the cycle. [s]
    peak_segment : ndarray of int, shape (n,)
        Segments in which they are reached. [-]
    mean : ndarray, shape (n,)
        Time means over the cycle. [degC]
    copper_loss : ndarray, shape (m,)
        Copper loss at the actual temperatures, mean over each piece. [W]
    hot_phase_peak : float
        Highest temperature of the hottest phase; the winding's peak where no piece holds still. [degC]
    hot_phase_time : float
        When it is reached. [s]
    hot_phase_segment : int
        Segment in which it is reached. [-]
    cycle_map : ndarray, shape (n, n)
        What one cycle does to a deviation, magnets' loss of flux held, less the identity. [-]
    residual : float
        Largest difference between the mean magnet temperatures used for the loss and found. [K]
    iterations : int
        Number of times the maps were formed. [-]
    modes : PieceModes
        Modes of the pieces at these temperatures. [-]

    References
    ----------
    Own formulation.
    """

    start_temp: FloatArray
    piece_start: FloatArray
    piece_end: FloatArray
    piece_mean: FloatArray
    peak: FloatArray
    peak_time: FloatArray
    peak_segment: IntArray
    mean: FloatArray
    copper_loss: FloatArray
    hot_phase_peak: float
    hot_phase_time: float
    hot_phase_segment: int
    cycle_map: FloatArray
    residual: float
    iterations: int
    modes: PieceModes

    @property
    def spectral_radius(self) -> float:
        """Share of a deviation that is left after one cycle, magnets' loss of flux held; below 1. [-]"""
        return _spectral_radius(self.cycle_map)


@dataclass(frozen=True, slots=True)
class RunAway:
    """There is no repeating state: the loss grows faster with temperature than the heat flows off.

    Parameters
    ----------
    reason : str
        "constant duty": one piece that lasts; "cycle": the whole cycle, though single pieces might cool;
        "magnets": the cycle would settle if the magnets kept their flux, but they do not. [-]
    spectral_radius : float
        Growth of a deviation over one cycle with the magnets as cold as they can be; below 1 for
        "magnets". [-]
    slowest_rate : float
        Smallest rate of any piece; negative where a piece alone would run away. [1/s]
    iterations : int
        Number of times the maps were formed. [-]

    References
    ----------
    Own formulation.
    """

    reason: Literal["constant duty", "cycle", "magnets"]
    spectral_radius: float
    slowest_rate: float
    iterations: int


@dataclass(frozen=True, slots=True)
class CycleTrace:
    """The course of all temperatures over one cycle, for drawing.

    Parameters
    ----------
    time : ndarray, shape (m k + 1,)
        Times from the start of the cycle. [s]
    temps : ndarray, shape (m k + 1, n)
        Node temperatures. [degC]

    References
    ----------
    Own formulation.
    """

    time: FloatArray
    temps: FloatArray


def repeating_state(
    network: HeatNetwork,
    pieces: HeatPieces,
    law: CopperLaw,
    torque_factor: float = 1.0,
    guess: FloatArray | None = None,
) -> RepeatingState | RunAway:
    r"""Return the temperatures of a cycle that repeats for ever, or that it runs away.

    Parameters
    ----------
    network : HeatNetwork
        The network: capacities, nodes of winding and magnets. [-]
    pieces : HeatPieces
        The cycle. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]
    torque_factor : float
        Factor on the delivered torque of the whole cycle. [-]
    guess : ndarray, shape (m,), optional
        Mean magnet temperatures of a similar cycle with as many pieces. [degC]

    Returns
    -------
    state : RepeatingState or RunAway
        The state to 1e-4 K for the given pieces, always the cooler of two roots. [-]

    Raises
    ------
    InputRangeError
        If a duration is not positive, a copper loss negative or not finite, or the temperature
        coefficient of the magnets positive.

    Notes
    -----
    Exact in every piece with constant loss and conductances. Within a piece the flux is that of the
    piece's mean magnet temperature.

    References
    ----------
    Lumped-parameter network with IEC 60034-1 resistance law (from memory); solution: own formulation.

    Examples
    --------
    One node over 0.5 W/K to air of 20 degC with 10 W whatever its temperature settles at 40 degC:

    >>> one, none = np.ones(1), np.zeros(1)
    >>> network = HeatNetwork(("winding",), 8.0 * one, ("air",), 20.0 * one, np.array([0]), np.array([1]),
    ...                       0.5 * one, none, none, one, 0, 0, 0, 0)
    >>> pieces = HeatPieces(60.0 * one, np.array([0]), np.full((1, 1, 1), 0.5), np.full((1, 1), 20.0),
    ...                     np.zeros((1, 3)), one)
    >>> repeating_state(network, pieces, CopperLaw()).peak.round(9).tolist()
    [40.0]
    """
    loss = np.maximum(pieces.copper_at_reference(torque_factor), 0.0)[None]
    problem = cycle_problem(network, pieces, law, loss)
    start_from = None if guess is None or guess.size != pieces.duration.size else guess[None]
    solution = solve_cycles(problem, start_from)
    if not solution.settled[0]:
        return _run_away(problem, solution)
    return state_of(network, pieces, law, solution, loss[0], 0)


def coarse_state(
    network: HeatNetwork,
    pieces: HeatPieces,
    law: CopperLaw,
    torque_factor: float = 1.0,
    guess: FloatArray | None = None,
) -> RepeatingState | None:
    """Return the state where the quick way finds one, else None.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    pieces : HeatPieces
        The cycle. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]
    torque_factor : float
        Factor on the delivered torque. [-]
    guess : ndarray, shape (m,), optional
        Mean magnet temperatures of a similar cycle with as many pieces. [degC]

    Returns
    -------
    state : RepeatingState or None
        As `repeating_state`, without the proof of a run-away. [-]

    References
    ----------
    As `repeating_state`.
    """
    loss = np.maximum(pieces.copper_at_reference(torque_factor), 0.0)[None]
    problem = cycle_problem(network, pieces, law, loss)
    start_from = None if guess is None or guess.size != pieces.duration.size else guess[None]
    solution = solve_cycles(problem, start_from, prove=False)
    return state_of(network, pieces, law, solution, loss[0], 0) if solution.settled[0] else None


def cycle_problem(
    network: HeatNetwork, pieces: HeatPieces, law: CopperLaw, copper_loss: FloatArray
) -> CycleProblem:
    """Return the cycle with B sets of copper losses as one problem.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    pieces : HeatPieces
        The cycle. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]
    copper_loss : ndarray, shape (B, m)
        Copper losses at the reference temperatures. [W]

    Returns
    -------
    problem : CycleProblem
        B cycles that share everything else. [-]

    References
    ----------
    Own formulation.
    """
    return CycleProblem(
        pieces.conductance[None], pieces.inflow[None], copper_loss, pieces.duration[None],
        network.capacity, network.winding, network.magnets, law,
    )  # fmt: skip


def state_of(
    network: HeatNetwork,
    pieces: HeatPieces,
    law: CopperLaw,
    solution: CycleSolution,
    copper_loss: FloatArray,
    index: int,
) -> RepeatingState:
    """Return the full state of one settled cycle of a solution.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    pieces : HeatPieces
        The cycle. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]
    solution : CycleSolution
        Solution with cycle `index` settled. [-]
    copper_loss : ndarray, shape (m,)
        Its copper loss at the reference temperatures. [W]
    index : int
        Number of the cycle in the solution. [-]

    Returns
    -------
    state : RepeatingState
        Temperatures, peaks and means. [-]

    References
    ----------
    Own formulation.
    """
    found = cycle_peaks(network, pieces, law, solution, copper_loss, index)
    starts, means, top, hot = found.starts, found.means, found.nodes, found.hot_phase
    ends = np.concatenate([starts[1:], starts[:1]])
    begins = np.cumsum(pieces.duration) - pieces.duration
    peak_time = begins[top.piece] + top.offset
    mean = pieces.duration @ means / pieces.duration.sum()
    n = means.shape[1]
    cycle_map = solution.joined.cycle[index, :n, :n]
    read_only(starts, ends, means, top.value, peak_time, mean, found.copper_loss, cycle_map)
    return RepeatingState(
        start_temp=starts[0], piece_start=starts, piece_end=ends, piece_mean=means,
        peak=top.value, peak_time=peak_time, peak_segment=pieces.segment[top.piece],
        mean=mean, copper_loss=found.copper_loss,
        hot_phase_peak=float(hot.value[0]), hot_phase_time=float(begins[hot.piece[0]] + hot.offset[0]),
        hot_phase_segment=int(pieces.segment[hot.piece[0]]),
        cycle_map=cycle_map, residual=float(solution.residual[index]),
        iterations=solution.iterations, modes=found.modes,
    )  # fmt: skip


def settled_state(
    network: HeatNetwork,
    build: Callable[[int], HeatPieces],
    law: CopperLaw,
    torque_factor: float = 1.0,
    guess: FloatArray | None = None,
    coarse: RepeatingState | None = None,
) -> tuple[RepeatingState | RunAway, HeatPieces]:
    """Return the repeating state with ramps cut finely enough, and the pieces it was found with.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    build : callable
        Gives the cycle with every ramp cut into so many equal pieces. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]
    torque_factor : float
        Factor on the delivered torque. [-]
    guess : ndarray, shape (m,), optional
        Mean magnet temperatures of a similar cycle cut once per ramp. [degC]
    coarse : RepeatingState, optional
        What `coarse_state` gives for this very cycle cut once per ramp, if it is known. [-]

    Returns
    -------
    state : RepeatingState or RunAway
        State whose peaks and means change by less than 1 mK where the ramps are halved. [-]
    pieces : HeatPieces
        The cycle as cut for it. [-]

    Notes
    -----
    A cycle without ramps, the same at one and two pieces per ramp, is solved once, and so is one whose
    ramps are so short that halving them changes less than 0.5 mK by estimate. The error of cutting
    falls with the square of the number of pieces, so the change between one and two tells how many are
    needed; where the next change is larger than that law allows, the pieces are halved one time after
    another. It ends at 256 pieces per ramp: a ramp of that many pieces with 1 mK left is longer than the
    winding's time constant many times over.

    References
    ----------
    Own formulation; error of the midpoint rule (from memory).
    """
    per_ramp, pieces, finer, expected = 2, build(1), build(2), np.inf
    if finer.duration.size == pieces.duration.size:
        return repeating_state(network, pieces, law, torque_factor, guess), pieces
    state: RepeatingState | RunAway | None = coarse or coarse_state(
        network, pieces, law, torque_factor, guess
    )
    if isinstance(state, RepeatingState):
        change = change_by_halving(network, law, pieces, finer, _course_of(state), torque_factor)
        if change <= SURE:
            return state, pieces
    while True:
        carried = _carried_over(state, pieces, finer, network)
        refined = repeating_state(network, finer, law, torque_factor, carried)
        change = _change(state, refined)
        state, pieces = refined, finer
        as_expected = np.isfinite(expected) and change < 0.4 * expected
        if change < RAMP_TOLERANCE or as_expected or per_ramp == MOST_PIECES_PER_RAMP:
            return state, pieces
        # a second jump would trust a law that has just failed
        expected = change if per_ramp == 2 else np.inf
        per_ramp *= 2 if not np.isfinite(expected) else further_halving(expected)
        per_ramp = min(per_ramp, MOST_PIECES_PER_RAMP)
        finer = build(per_ramp)


def further_halving(change: float) -> int:
    """Return by how much finer ramps are cut after the first halving.

    Parameters
    ----------
    change : float
        What the first halving changed. [K]

    Returns
    -------
    factor : int
        A power of 2, so that the next change should be the last. [-]

    References
    ----------
    As `settled_state`.

    Examples
    --------
    >>> further_halving(0.004)
    2
    """
    # change at the first halving: 3/4 of the error of one piece; wanted: 3 errors below the tolerance
    return int(2 ** max(1.0, np.ceil(0.5 * np.log2(4.0 * change / RAMP_TOLERANCE)) - 1.0))


def _change(coarse: RepeatingState | RunAway | None, fine: RepeatingState | RunAway) -> float:
    if isinstance(fine, RunAway):
        return np.inf if isinstance(coarse, RepeatingState) else 0.0
    if not isinstance(coarse, RepeatingState):
        return np.inf
    return max(
        float(np.abs(fine.peak - coarse.peak).max()),
        float(np.abs(fine.mean - coarse.mean).max()),
        abs(fine.hot_phase_peak - coarse.hot_phase_peak),
    )


def _carried_over(
    state: RepeatingState | RunAway | None, coarse: HeatPieces, fine: HeatPieces, network: HeatNetwork
) -> FloatArray | None:
    if not isinstance(state, RepeatingState):
        return None
    temps: FloatArray = _course_of(state).mean(*places_within(coarse, fine))[:, network.magnets]
    return temps


def _course_of(state: RepeatingState) -> Course:
    return course(state.piece_start, state.piece_mean, state.piece_end)


def cycle_trace(state: RepeatingState, pieces: HeatPieces, samples: int = 8) -> CycleTrace:
    """Return the course of all node temperatures over the cycle.

    Parameters
    ----------
    state : RepeatingState
        The repeating state. [-]
    pieces : HeatPieces
        The cycle it belongs to. [-]
    samples : int
        Points per piece. [-]

    Returns
    -------
    trace : CycleTrace
        Points from the start to the end of the cycle, the ends of all pieces among them. [-]

    References
    ----------
    Modal solution, textbook method (from memory).
    """
    shares = np.arange(samples) / samples
    temps = temperatures_within(state.modes, state.piece_start, shares)
    begins = np.cumsum(pieces.duration) - pieces.duration
    time = (begins[:, None] + pieces.duration[:, None] * shares).ravel()
    return CycleTrace(
        np.append(time, pieces.duration.sum()),
        np.concatenate([temps.reshape(-1, temps.shape[-1]), state.piece_end[-1:]]),
    )


def _run_away(problem: CycleProblem, solution: CycleSolution) -> RunAway:
    slowest = float(solution.modes.rate.min())
    n = solution.joined.cycle.shape[-1] - 1
    cycle = solution.joined.cycle[0, :n, :n]
    radius = np.inf
    if np.isfinite(cycle).all():
        radius = _spectral_radius(cycle)
    reason: Literal["constant duty", "cycle", "magnets"] = "magnets"
    if solution.linear_run_away[0]:
        reason = "constant duty" if problem.copper_loss.shape[-1] == 1 else "cycle"
    return RunAway(reason, radius, slowest, solution.iterations)


def _spectral_radius(cycle_map: FloatArray) -> float:
    return 1.0 + float(np.linalg.eigvals(cycle_map).real.max())
