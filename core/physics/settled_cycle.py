r"""A repeating cycle whose surface coefficients belong to the temperatures it reaches.

Natural convection and radiation follow the temperatures (`HeatNetwork.by_temperature`), and the
temperatures follow from them. Coefficients are taken at the time means of the node temperatures, since
surfaces are slow: first at the steady state of the averaged network, then at the means of the cycle itself,
until both agree.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, Protocol

import numpy as np

from core.numeric import FloatArray
from core.physics.heat_network import HeatNetwork, conductance_parts, node_matrices, settled_at
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.physics.temperatures import RepeatingState, RunAway, coarse_state, settled_state
from core.records import dataclass

# Coefficients off by as much as 0.3 K moves them shift the temperatures by less than 0.1 K, because a
# natural coefficient follows the fourth root of its temperature difference. [K]
RESIDUAL: Final = 0.3
_MOST_ROUNDS: Final = 24
_MOST_AVERAGED_ROUNDS: Final = 30
_COMES_BACK: Final = 0.2
_AVERAGED_TOLERANCE: Final = 0.05  # [K]
_SAME_STATE: Final = 1.0  # [K]
_STEP_DOWN: Final = 0.02  # of the copper loss, to see whether there is a cooler state
# Temperatures beyond which nothing survives, so that a run-away is judged with the best cooling it could
# ever have. [K above the warmest sink]
_HOTTEST: Final = 400.0
_EDGE: Final = 5.0  # [K]
_FURTHEST: Final = 6.0  # times the last change
_LEAST_FLUX: Final = 0.05
_FULL_TORQUE: Final = np.array([1.0, 2.0, 1.0])  # the polynomial of the copper loss at factor 1


@dataclass(frozen=True, slots=True)
class SettledCycle:
    """A repeating state with the network whose coefficients belong to it.

    Parameters
    ----------
    network : HeatNetwork
        The network at the mean temperatures of the cycle. [-]
    state : RepeatingState or RunAway
        What comes of the cycle. [-]
    pieces : HeatPieces
        The cycle as cut for it. [-]
    pieces_per_ramp : int
        Into how many pieces each ramp was cut. [-]
    residual : float
        Largest difference between the mean temperatures of the state and those of the coefficients;
        0 where the coefficients do not follow the temperatures. [K]

    References
    ----------
    Own formulation.
    """

    network: HeatNetwork
    state: RepeatingState | RunAway
    pieces: HeatPieces
    pieces_per_ramp: int
    residual: float


class _CutOn:
    """A cycle put on one network, as finely as asked for, each time once."""

    def __init__(
        self, cut: Callable[[int], CutCycle], network: HeatNetwork, temps: FloatArray | None = None
    ) -> None:
        self._cut, self._network, self._temps = cut, network, temps
        self._made: dict[int, HeatPieces] = {}

    def __call__(self, pieces_per_ramp: int) -> HeatPieces:
        if pieces_per_ramp not in self._made:
            self._made[pieces_per_ramp] = self._cut(pieces_per_ramp).on(self._network, self._temps)
        return self._made[pieces_per_ramp]

    def fineness(self, pieces: HeatPieces) -> int:
        """Return for how many pieces per ramp these pieces were made. [-]"""
        return next(count for count, made in self._made.items() if made is pieces)


class CutCycle(Protocol):
    """A cycle in pieces that can be put on any network; `core.physics.cycle_heat.CycleCut` is one."""

    @property
    def duration(self) -> FloatArray:
        """Durations of the pieces, shape (m,). [s]"""

    @property
    def core_power(self) -> FloatArray:
        """Mean heat of the drag in the core, shape (m,). [W]"""

    @property
    def air_power(self) -> FloatArray:
        """Mean heat of the drag in the air, shape (m,). [W]"""

    @property
    def copper(self) -> FloatArray:
        """Copper loss as a polynomial of the factor, shape (m, 3). [W]"""

    def links(self, network: HeatNetwork, temps: FloatArray | None = None) -> FloatArray:
        """Return the mean conductance of each link in each piece, shape (m, l). [W/K]"""

    def on(self, network: HeatNetwork, temps: FloatArray | None = None) -> HeatPieces:
        """Return the pieces with the conductances of a network at temperatures of its nodes. [SI]"""


class MoreCopper(Protocol):
    """Copper loss of a cycle that follows the temperatures otherwise than by `CopperLaw`."""

    def __call__(self, temps: FloatArray) -> float:
        """Return its mean at the reference temperatures, at node temperatures, shape (n,). [W]"""

    def is_convex(self, temps: FloatArray) -> bool:
        """Return whether it bends upward only, from cold to these node temperatures."""


def settled_cycle(
    network: HeatNetwork,
    cut: Callable[[int], CutCycle],
    law: CopperLaw,
    more: MoreCopper | None = None,
) -> SettledCycle:
    """Return the repeating state of a cycle with coefficients that belong to its mean temperatures.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    cut : callable
        Gives the cycle with every ramp cut into so many equal pieces. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]
    more : MoreCopper, optional
        Where the heat of the cycle, too, belongs to the temperatures it is put on: the mean copper loss at
        the reference temperatures that it has at node temperatures, shape (n,), beyond what `cut` tells.
        It rises with them, so that a residual counts several times: a third of the usual one is allowed. [W]

    Returns
    -------
    cycle : SettledCycle
        State, network and residual, at most `RESIDUAL` where there is a state. [-]

    Notes
    -----
    A change of a node by 1 K moves the coefficients by less than 1 %, and these the node by less than
    0.3 K: every round brings the residual to less than a third; near a run-away halving does. A cycle that
    runs away with the coefficients of a hot motor (400 K above the warmest sink) runs away in any case, and
    so does one that runs away with those of a winding within 5 K of where it would not, but be cooler.
    With `more` there may be a state although a hot motor runs away or stays hot: it is looked for from below.

    References
    ----------
    Own formulation, fixed-point iteration (from memory).
    """
    if network.by_temperature is None and more is None:
        build = _CutOn(cut, network)
        state, pieces = settled_state(network, build, law)
        return SettledCycle(network, state, pieces, build.fineness(pieces), 0.0)
    hottest, allowed = _hottest(network), RESIDUAL if more is None else RESIDUAL / 3.0
    between = _Between(network.winding, more is not None)
    next_temps = averaged_temps(network, cut(1), law, more)
    for _ in range(_MOST_ROUNDS):
        temps = next_temps
        build = _CutOn(cut, network, temps)
        coarse = coarse_state(network, build(1), law)
        found = hottest if coarse is None else np.minimum(coarse.mean, hottest)
        if np.abs(found - temps).max() <= allowed:
            break
        next_temps = between.after(temps, found)
        if coarse is None and between.width <= _EDGE:
            break
    return _refined(network, temps, cut, law, build, coarse, allowed)


class _Between:
    """Where to look next for temperatures that give themselves.

    Coefficients of a hotter motor cool better: what they give falls where they rise, and lies on the other
    side. Near a run-away that overshoots, and halving takes over.
    """

    def __init__(self, winding: int, rising: bool) -> None:
        self._winding, self._rising = winding, rising
        self._before: tuple[FloatArray, FloatArray] | None = None
        self._low: FloatArray | None = None
        self._high: FloatArray | None = None

    @property
    def width(self) -> float:
        """How far the winding is known to within. [K]"""
        if self._low is None or self._high is None:
            return np.inf
        return float(self._high[self._winding] - self._low[self._winding])

    def after(self, temps: FloatArray, found: FloatArray) -> FloatArray:
        """Return the next temperatures when these gave those found."""
        w = self._winding
        if found[w] > temps[w]:
            self._low = temps
        else:
            self._high = temps
        change = found - temps
        likely = found if self._before is None or not self._rising else _along(found, change, self._before)
        self._before = (found, change)
        if self._low is None or self._high is None or self._low[w] < likely[w] < self._high[w]:
            return likely
        return 0.5 * (self._low + self._high)


def _along(found: FloatArray, change: FloatArray, before: tuple[FloatArray, FloatArray]) -> FloatArray:
    """Return where the change would vanish along the last two rounds, if they close in."""
    bend = change - before[1]
    share = float(change @ bend) / (float(bend @ bend) + 1e-30)
    secant: FloatArray = found - min(max(share, -_FURTHEST), 1.0) * (found - before[0])
    return secant


def _refined(
    network: HeatNetwork,
    temps: FloatArray,
    cut: Callable[[int], CutCycle],
    law: CopperLaw,
    build: _CutOn,
    coarse: RepeatingState | None,
    allowed: float,
) -> SettledCycle:
    """Return the state with ramps cut finely, its coefficients followed up where cutting moved it."""
    for _ in range(_MOST_ROUNDS):
        state, pieces = settled_state(network, build, law, coarse=coarse)
        fineness = build.fineness(pieces)
        residual = 0.0 if isinstance(state, RunAway) else float(np.abs(state.mean - temps).max())
        if isinstance(state, RunAway) or residual <= allowed:
            break
        temps, coarse = state.mean, None
        build = _CutOn(cut, network, temps)
    return SettledCycle(settled_at(network, temps), state, pieces, fineness, residual)


def averaged_temps(
    network: HeatNetwork,
    cut: CutCycle,
    law: CopperLaw,
    more: MoreCopper | None = None,
) -> FloatArray:
    """Return the steady temperatures of the network averaged over a cycle, coefficients included.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    cut : CutCycle
        The cycle. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]
    more : MoreCopper, optional
        Mean copper loss beyond at node temperatures, shape (n,), as in `settled_cycle`. [W]

    Returns
    -------
    temps : ndarray, shape (n,)
        Node temperatures, good to about a kelvin in short cycles; at most 400 K above the warmest
        sink where nothing holds the motor. [degC]

    Notes
    -----
    What the rotor drives over the cycle is one rotor-driven conductance per link that gives the same mean
    beside the coefficients of the network as it comes.

    References
    ----------
    Own formulation, fixed-point iteration (from memory).
    """
    share = cut.duration / np.add.reduce(cut.duration)
    beside = share @ cut.links(network) - network.fixed
    driven = np.maximum(beside**3 - network.natural**3, 0.0)
    heat = np.zeros(len(network.nodes))
    heat[network.core] += share @ cut.core_power
    if network.air >= 0:
        heat[network.air] += share @ cut.air_power
    copper = float((share @ cut.copper) @ _FULL_TORQUE)
    hottest = _hottest(network)
    temps: FloatArray = 0.75 * float(network.sink_temp.max()) + 0.25 * hottest
    before: tuple[FloatArray, FloatArray] | None = None
    settled = False
    left: float | None = None
    for _ in range(_MOST_AVERAGED_ROUNDS):
        fixed, natural = conductance_parts(network, temps)
        matrix, sinks = node_matrices(network, (fixed + np.cbrt(natural**3 + driven))[None])
        whole = copper if more is None else copper + more(temps)
        found = _steady(matrix[0], sinks[0] + heat, whole, temps, network, law)
        found = np.minimum(np.where(np.isfinite(found), found, hottest), hottest)
        change = found - temps
        temps, before = np.minimum(_followed(found, change, before), hottest), (found, change)
        last, left = left, float(np.abs(change).max())
        # changes shrink by a steady ratio, and a step along two of them by more: one that will be small
        # enough is not waited for
        settled = left * (1.0 if last is None else min(left / last, 1.0)) <= _AVERAGED_TOLERANCE
        if settled:
            break
    if more is None or more(temps) == 0.0:
        return temps

    def asked(at: FloatArray) -> float:
        return (copper + more(at)) * _increase_of(at, network, law)

    sound = settled and (temps < hottest).all() and more.is_convex(temps)
    if sound and _is_coolest(matrix[0], temps, asked, network):
        return temps
    coolest = _coolest(network, driven, heat, asked)
    return temps if np.abs(coolest - temps).max() <= _SAME_STATE else coolest


def _is_coolest(
    matrix: FloatArray, temps: FloatArray, asked: Callable[[FloatArray], float], network: HeatNetwork
) -> bool:
    """Return whether no state but those within a fiftieth of the copper loss is cooler than this one.

    Only for a convex loss: above that of the states just below this one, it is above all the way down.
    With the conductances of this state, the best ones, the step down in temperature is too long rather than
    too short.
    """
    loss, watt = asked(temps), np.zeros(temps.size)
    watt[network.winding] = 1.0
    step = np.linalg.solve(matrix, watt) * (_STEP_DOWN * loss)
    return asked(temps - step) > (1.0 - _STEP_DOWN) * loss


def _coolest(
    network: HeatNetwork, driven: FloatArray, heat: FloatArray, asked_at: Callable[[FloatArray], float]
) -> FloatArray:
    """Return the steady state that is met first from no copper loss upward; the hottest where there is none.

    Where the loss feeds on the magnets there may be a second, unstable state, no way down from above it, and
    a hotter one still where it feeds no further.
    The loss that temperatures ask for is convex in the loss that makes them, so that lines through two
    losses below the state never lead beyond it.
    """
    w, hottest = network.winding, _hottest(network)
    temps: FloatArray = np.full(len(network.nodes), float(network.sink_temp.max()))
    loss, before = 0.0, (0.0, 0.0)
    for _ in range(_MOST_AVERAGED_ROUNDS):
        cooler, temps = temps, _steady_at(network, driven, heat, loss, temps)
        asked = asked_at(temps)
        if loss > 0.0 and np.abs(temps - cooler).max() <= _AVERAGED_TOLERANCE:
            return temps
        slope = (asked - before[1]) / (loss - before[0]) if loss > 0.0 else 0.0
        if slope >= 1.0 or temps[w] >= hottest[w]:
            break
        before, loss = (loss, asked), loss + max(asked - loss, 0.0) / (1.0 - slope)
        if loss <= before[0]:
            return temps
    return hottest


def _steady_at(
    network: HeatNetwork, driven: FloatArray, heat: FloatArray, loss: float, temps: FloatArray
) -> FloatArray:
    """Return the steady state at a copper loss, the coefficients followed from other temperatures."""
    before: tuple[FloatArray, FloatArray] | None = None
    for _ in range(_MOST_AVERAGED_ROUNDS):
        fixed, natural = conductance_parts(network, temps)
        matrix, sinks = node_matrices(network, (fixed + np.cbrt(natural**3 + driven))[None])
        flow = sinks[0] + heat
        flow[network.winding] += loss
        found: FloatArray = np.linalg.solve(matrix[0], flow)
        change = found - temps
        if np.abs(change).max() <= 0.1 * _AVERAGED_TOLERANCE:
            return found
        temps, before = _followed(found, change, before), (found, change)
    return temps


def _increase_of(temps: FloatArray, network: HeatNetwork, law: CopperLaw) -> float:
    """Return the copper loss with the nodes at these temperatures over that at the reference ones."""
    flux = 1.0 + law.magnet_temp_coefficient * (float(temps[network.magnets]) - law.magnet_ref_temp)
    warmer = law.copper_constant + float(temps[network.winding])
    return warmer / (law.copper_constant + law.winding_ref_temp) / max(flux, _LEAST_FLUX) ** 2


def _followed(
    found: FloatArray, change: FloatArray, before: tuple[FloatArray, FloatArray] | None
) -> FloatArray:
    """Return the next temperatures: along the last two rounds to where the change would vanish."""
    if before is None:
        # temperatures that are too high cool too well: about a fifth of the first change comes back
        back: FloatArray = found - change * (_COMES_BACK / (1.0 + _COMES_BACK))
        return back
    bend = change - before[1]
    share = float(change @ bend) / (float(bend @ bend) + 1e-30)
    secant: FloatArray = found - min(max(share, -1.0), 1.0) * (found - before[0])
    return secant


def _steady(
    matrix: FloatArray,
    heat: FloatArray,
    copper: float,
    temps: FloatArray,
    network: HeatNetwork,
    law: CopperLaw,
) -> FloatArray:
    """Return the steady state with copper loss linear in the winding's temperature; infinite in run-away."""
    w = network.winding
    flux = 1.0 + law.magnet_temp_coefficient * (float(temps[network.magnets]) - law.magnet_ref_temp)
    slope = copper / max(flux, _LEAST_FLUX) ** 2 / (law.copper_constant + law.winding_ref_temp)
    both = np.zeros((heat.size, 2))
    both[:, 0] = heat
    both[w, 1] = 1.0
    base, rise = np.linalg.solve(matrix, both).T
    # T = base + rise * slope * (k + T_w): the loss feeds on the temperature that it makes
    left = 1.0 - slope * rise[w]
    if left <= 0.0:
        return np.full(heat.size, np.inf)
    loss = slope * (law.copper_constant + base[w]) / left
    steady: FloatArray = base + rise * loss
    return steady


def _hottest(network: HeatNetwork) -> FloatArray:
    return np.full(len(network.nodes), float(network.sink_temp.max()) + _HOTTEST)
