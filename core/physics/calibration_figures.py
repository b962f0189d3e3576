r"""What a data sheet states about heat, and what a network says to the same figures.

A calibration compares the two. Every stated figure carries a width: how far an honest figure may lie from
the motor that is delivered.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np

from core.errors import AmpturnError
from core.numeric import FloatArray
from core.physics.continuous_torque import continuous_torque
from core.physics.heat_figures import RatedPoint
from core.physics.heat_from_data_sheet import rated_heat
from core.physics.heat_from_geometry import standstill_resistances
from core.physics.heat_network import HeatNetwork, link_conductance, link_conductance_at, node_matrices
from core.physics.input_ranges import require_positive
from core.records import dataclass
from core.units import Kind

RESISTANCE_WIDTH: Final = 0.05
"""Relative width of a stated thermal resistance. Assumed, no source. [-]"""

TIME_CONSTANT_WIDTH: Final = 0.10
"""Relative width of a stated time constant. Assumed, no source. [-]"""

TORQUE_WIDTH: Final = 0.03
"""Relative width of a stated continuous torque. Assumed, no source. [-]"""

MEASURING_RISE: Final = 80.0
"""Rise of the winding at which resistances are taken to be measured. Common practice, no source. [K]"""

TO_AMBIENT: Final = "resistance from housing to ambient"
"""Name of the figure that tells how the motor was mounted."""

_MOST_ROUNDS: Final = 40
_TOLERANCE: Final = 1e-5  # [K] slopes are taken from changes of about 0.1 K


@dataclass(frozen=True, slots=True)
class FigureWidths:
    """How far honest figures may lie from the motor: one standard deviation, relative.

    Parameters
    ----------
    resistance, time_constant, torque : float
        Of thermal resistances, time constants and continuous torques. [-]

    References
    ----------
    Assumed, no source.
    """

    resistance: float = RESISTANCE_WIDTH
    time_constant: float = TIME_CONSTANT_WIDTH
    torque: float = TORQUE_WIDTH

    def __post_init__(self) -> None:
        for name in self.__slots__:
            require_positive(f"width of a stated {name.replace('_', ' ')}", getattr(self, name), "")


@dataclass(frozen=True, slots=True)
class StatedHeat:
    r"""Thermal figures of a data sheet, as many as there are.

    Parameters
    ----------
    winding_to_housing : float, optional
        R_wh at standstill (open rotor: winding to stator). [K/W]
    housing_to_ambient : float, optional
        R_ha at standstill, on the stated plate (open rotor: stator to ambient). [K/W]
    winding_time_constant : float, optional
        :math:`\tau_w = R_{wh} C_w`. [s]
    motor_time_constant : float, optional
        :math:`\tau_m = R_{ha} (C_w + C_h)`. [s]
    torques : tuple of RatedPoint, default none
        Continuous torques, on the same plate. [-]
    winding_rise : float, default `MEASURING_RISE`
        Rise of the winding over ambient at which the resistances hold. [K]

    Raises
    ------
    InputRangeError
        If a figure is not positive.

    References
    ----------
    Definitions of the time constants: common practice, no source.
    """

    winding_to_housing: float | None = None
    housing_to_ambient: float | None = None
    winding_time_constant: float | None = None
    motor_time_constant: float | None = None
    torques: tuple[RatedPoint, ...] = ()
    winding_rise: float = MEASURING_RISE

    def __post_init__(self) -> None:
        for name, unit in (
            ("winding_to_housing", "K/W"),
            ("housing_to_ambient", "K/W"),
            ("winding_time_constant", "s"),
            ("motor_time_constant", "s"),
        ):
            value = getattr(self, name)
            if value is not None:
                require_positive(f"stated {name.replace('_', ' ')}", value, unit)
        require_positive("rise of the winding at the stated resistances", self.winding_rise, "K")


@dataclass(frozen=True, slots=True)
class Figure:
    """One stated figure.

    Parameters
    ----------
    name : str
        What it is, in plain words. [-]
    kind : Kind
        What it measures. [-]
    stated : float
        Its value, in the SI unit of its kind. [SI]
    width : float
        Relative standard deviation. [-]
    speed : float, default 0
        Speed at which it holds. [rad/s]
    mounted : bool, default True
        Whether it depends on what carries the motor. [-]

    References
    ----------
    Own formulation.
    """

    name: str
    kind: Kind
    stated: float
    width: float
    speed: float = 0.0
    mounted: bool = True

    def deviation(self, modelled: float) -> float:
        r"""Return how far a modelled value lies from the stated one, relative. [-]

        Resistances and times by the logarithm of the quotient, in which products of factors are straight;
        torques by the difference, since drag may leave none at all.
        """
        if self.kind is Kind.TORQUE:
            return modelled / self.stated - 1.0
        return math.log(modelled / self.stated)


@dataclass(frozen=True, slots=True)
class CalibrationRow:
    """One stated figure beside what the network makes of it.

    Parameters
    ----------
    figure : Figure
        Name, kind, stated value, width, speed. [-]
    dimensions : float
        What dimensions alone give. [SI]
    modelled : float
        What the calibrated network gives. [SI]
    expected_width : float
        Standard deviation of `Figure.deviation` that dimensions alone lead to expect. [-]
    used : bool
        False for a figure that was left out: it contradicts the dimensions, or belongs to a mounting whose
        resistance to ambient does. [-]

    References
    ----------
    Own formulation.
    """

    figure: Figure
    dimensions: float
    modelled: float
    expected_width: float
    used: bool

    @property
    def residual(self) -> float:
        """Deviation of the calibrated network from the stated figure, relative. [-]"""
        return self.modelled / self.figure.stated - 1.0

    def expected_range(self, widths: float) -> tuple[float, float]:
        """Return least and most that dimensions alone allow within so many widths. [SI]"""
        room = widths * self.expected_width
        if self.figure.kind is Kind.TORQUE:
            room *= self.figure.stated
            return max(self.dimensions - room, 0.0), self.dimensions + room
        return self.dimensions * math.exp(-room), self.dimensions * math.exp(room)


def figures_of(stated: StatedHeat, widths: FigureWidths) -> tuple[Figure, ...]:
    """Return the stated figures one by one, torques last.

    Parameters
    ----------
    stated : StatedHeat
        The figures. [-]
    widths : FigureWidths
        Their widths. [-]

    Returns
    -------
    figures : tuple of Figure
        In the order of `modelled_figures`. [-]

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> [figure.name for figure in figures_of(StatedHeat(2.0, motor_time_constant=600.0), FigureWidths())]
    ['resistance from winding to housing', 'time constant of the motor']
    """
    resistance, time = (Kind.THERMAL_RESISTANCE, widths.resistance), (Kind.TIME, widths.time_constant)
    every = (
        ("resistance from winding to housing", *resistance, stated.winding_to_housing, False),
        (TO_AMBIENT, *resistance, stated.housing_to_ambient, True),
        ("time constant of the winding", *time, stated.winding_time_constant, False),
        ("time constant of the motor", *time, stated.motor_time_constant, True),
    )
    standing = (
        Figure(name, kind, value, width, mounted=mounted)
        for name, kind, width, value, mounted in every
        if value is not None
    )
    turning = (
        Figure("continuous torque", Kind.TORQUE, rated.shaft_torque, widths.torque, rated.speed)
        for rated in stated.torques
    )
    return (*standing, *turning)


@dataclass(frozen=True, slots=True)
class ModelledFigures:
    """What a network gives for stated figures.

    Parameters
    ----------
    values : ndarray, shape (q,)
        In the order of `figures_of`. [SI]
    temps : ndarray, shape (m, n)
        Node temperatures at each continuous torque. [degC]

    References
    ----------
    Own formulation.
    """

    values: FloatArray
    temps: FloatArray


def modelled_figures(
    network: HeatNetwork, stated: StatedHeat, guess: ModelledFigures | None = None
) -> ModelledFigures:
    """Return what a network gives for each of the stated figures.

    Parameters
    ----------
    network : HeatNetwork
        The motor where its data sheet measured it. [-]
    stated : StatedHeat
        Which figures, and under which conditions. [-]
    guess : ModelledFigures, optional
        The same of a similar network: its temperatures are a start. [-]

    Returns
    -------
    modelled : ModelledFigures
        Values and temperatures. [-]

    References
    ----------
    Definitions of the time constants: common practice, no source.
    """
    wanted = (
        stated.winding_to_housing,
        stated.housing_to_ambient,
        stated.winding_time_constant,
        stated.motor_time_constant,
    )
    values: list[float] = []
    if any(value is not None for value in wanted):
        inner, outer = standstill_resistances(network, stated.winding_rise)
        winding, whole = float(network.capacity[network.winding]), float(network.capacity.sum())
        given = (inner, outer, inner * winding, outer * whole)
        values += [value for value, asked in zip(given, wanted, strict=True) if asked is not None]
    torques, temps = lasting_torques(network, stated.torques, None if guess is None else guess.temps)
    return ModelledFigures(np.array([*values, *torques]), temps)


def capacity_slopes(network: HeatNetwork, stated: StatedHeat) -> FloatArray:
    r"""Return how the stated figures follow the factors on the two heat capacities.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    stated : StatedHeat
        Which figures. [-]

    Returns
    -------
    slopes : ndarray, shape (q, 2)
        Change of `Figure.deviation` with the logarithm of the factor on winding and on all other nodes:
        :math:`\tau_w \propto C_w`, :math:`\tau_m \propto C_w + C_h`, and nothing else. [-]

    References
    ----------
    Definitions of the time constants: common practice, no source.
    """
    share = float(network.capacity[network.winding] / network.capacity.sum())
    every = (
        (stated.winding_to_housing, (0.0, 0.0)),
        (stated.housing_to_ambient, (0.0, 0.0)),
        (stated.winding_time_constant, (1.0, 0.0)),
        (stated.motor_time_constant, (share, 1.0 - share)),
    )
    standing = [slopes for value, slopes in every if value is not None]
    return np.array(standing + [(0.0, 0.0)] * len(stated.torques)).reshape(-1, 2)


class LastingTorques(NamedTuple):
    """Continuous torques and the temperatures they lead to.

    Attributes
    ----------
    shaft_torque : ndarray, shape (m,)
        Below zero where the drag takes more than the heat allows. [N m]
    node_temp : ndarray, shape (m, n)
        Node temperatures. [degC]
    """

    shaft_torque: FloatArray
    node_temp: FloatArray


def lasting_torques(
    network: HeatNetwork, rated: tuple[RatedPoint, ...], start_temp: FloatArray | None = None
) -> LastingTorques:
    r"""Return the continuous torques of a network at rated points, coefficients at its temperatures.

    Parameters
    ----------
    network : HeatNetwork
        The network; all its sinks are taken at the ambient temperature of each point. [-]
    rated : tuple of RatedPoint
        Speed, ambient, limit and losses of m points; their torques are not used. [-]
    start_temp : ndarray, shape (m, n), optional
        Temperatures near those to be found. [degC]

    Returns
    -------
    torques : LastingTorques
        Torques and temperatures. [-]

    Raises
    ------
    AmpturnError
        If the temperatures do not settle.

    Notes
    -----
    Surface coefficients and temperatures follow each other until no node moves by more than 1e-5 K. The
    winding stands at its limit, so that little is left to move.

    References
    ----------
    Duty type S1: IEC 60034-1 (from memory); fixed-point iteration, textbook method (from memory).

    Examples
    --------
    5 K/W and 100 K carry 20 W; copper at 125 degC takes 60 W/(N m)^2 times 360/260:

    >>> chain = HeatNetwork(("winding", "core"), np.array([10.0, 90.0]), ("air",), np.array([20.0]),
    ...     np.array([0, 1]), np.array([1, 2]), np.array([1.0, 0.25]), np.zeros(2), np.zeros(2),
    ...     np.ones(2), 0, 1, 1, 1)
    >>> rated = RatedPoint(0.5, 100.0, 25.0, 125.0, 0.0, 0.0, copper_per_torque_squared=60.0)
    >>> round(float(lasting_torques(chain, (rated,)).shaft_torque[0]), 6)  # sqrt(20/83.08)
    0.490653
    """
    torque, temps = np.empty(len(rated)), np.empty((len(rated), len(network.nodes)))
    alike: dict[tuple[object, ...], list[int]] = {}
    for row, point in enumerate(rated):
        alike.setdefault((point.ambient_temp, point.copper_law), []).append(row)
    for rows in alike.values():
        start = None if start_temp is None else start_temp[rows]
        torque[rows], temps[rows] = _under_same_conditions(network, [rated[row] for row in rows], start)
    return LastingTorques(torque, temps)


def _under_same_conditions(
    network: HeatNetwork, rated: list[RatedPoint], start_temp: FloatArray | None
) -> LastingTorques:
    """Return the continuous torques of points of one ambient and copper law."""
    ambient = rated[0].ambient_temp
    here = replace(network, sink_temp=np.full(len(network.sinks), ambient))
    heat = rated_heat(here, *rated)
    _, from_sinks = node_matrices(here, link_conductance(here, heat.speed))
    losses = heat.inflow - from_sinks
    temps = np.full(losses.shape, ambient) if start_temp is None else start_temp
    for _ in range(_MOST_ROUNDS):
        matrix, inflow = node_matrices(here, link_conductance_at(here, heat.speed, temps))
        result = continuous_torque(replace(heat, matrix=matrix, inflow=inflow + losses))
        change = float(np.abs(result.node_temp - temps).max())
        temps = result.node_temp
        if change <= _TOLERANCE:
            drag = np.array([point.drag_torque for point in rated])
            return LastingTorques(result.em_torque - drag, temps)
    raise AmpturnError(f"temperatures at a rated point do not settle: they still change by {change:.3g} K")
