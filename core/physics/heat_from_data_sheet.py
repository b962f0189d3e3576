r"""The heat network of a motor from the few thermal figures that a data sheet gives.

Two thermal resistances and two time constants make a network of winding and housing. An open rotor
also cools itself while it turns: its strength is solved from one stated continuous torque at a rated
speed. What the figures do not say is assumed, and every assumption comes back as a finding.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.errors import AmpturnError, InputRangeError
from core.findings import Finding
from core.numeric import FloatArray
from core.physics.continuous_torque import continuous_torque
from core.physics.heat_figure_findings import assumption_findings
from core.physics.heat_figures import DataSheetNetwork, HeatFigures, Mounting, RatedPoint, RotorFigures
from core.physics.heat_network import HeatNetwork, link_conductance
from core.physics.operating_heat import OperatingHeat, operating_heat
from core.physics.short_time import bracketed_root
from core.sentences import sentence
from core.units import Kind

FIXED_SHARE = 0.5
"""Share of the standstill heat that leaves by radiation and conduction. Common practice, no source. [-]"""

ROTATING_EXPONENT = 0.6
"""Exponent of speed of self-ventilation: between 0.5 (laminar) and 0.8 (turbulent disc). [-]"""

WINDING, CORE, ROTOR = 0, 1, 2

_MOST_NEWTON_STEPS = 50
_SAME_TEMP = 1e-12  # [K]


class CoolingContradictionError(AmpturnError, ValueError):
    """The stated continuous torque cannot belong to the stated thermal figures.

    `rated_torque` is the stated torque, `standstill_torque` what the cooling at standstill alone would
    carry at the rated speed, `unlimited_torque` what endless cooling of the surface would. [N m]
    """

    def __init__(
        self, reason: str, rated_torque: float, standstill_torque: float, unlimited_torque: float
    ) -> None:
        super().__init__(
            f"{reason}: stated {rated_torque:.4g} N m, with the cooling at standstill "
            f"{standstill_torque:.4g} N m, with endless cooling {unlimited_torque:.4g} N m"
        )
        self.rated_torque = rated_torque
        self.standstill_torque = standstill_torque
        self.unlimited_torque = unlimited_torque


def enclosed_network(
    figures: HeatFigures,
    mounting: Mounting,
    rotor: RotorFigures | None = None,
    rated: RatedPoint | None = None,
    fixed_share: float | None = None,
) -> DataSheetNetwork:
    r"""Return the network of an enclosed motor: winding and housing, with a rotor where it is known.

    Parameters
    ----------
    figures : HeatFigures
        Resistances and time constants. [-]
    mounting : Mounting
        The project's surroundings. [-]
    rotor : RotorFigures, optional
        A third node for the magnets, which the housing encloses. [-]
    rated : RatedPoint, optional
        A stated continuous torque: it checks the network and changes nothing. [-]
    fixed_share : float, optional
        Share of radiation and conduction in 1/R_ha, by default `FIXED_SHARE`, marked assumed. [-]

    Returns
    -------
    result : DataSheetNetwork
        Network and findings. [-]

    Raises
    ------
    InputRangeError
        If a figure leaves its range.

    Notes
    -----
    :math:`C_w = \tau_w/R_{wh}`, :math:`C_h = \tau_m/R_{ha} - C_w`. The mounting changes the
    conductance to ambient, not the capacities. The plate keeps its temperature.

    References
    ----------
    Definitions of the time constants: common practice, no source.

    Examples
    --------
    tau_w = 20 s at 2 K/W is 10 J/K; tau_m = 400 s at 4 K/W is 100 J/K for both:

    >>> result = enclosed_network(HeatFigures(2.0, 4.0, 20.0, 400.0), Mounting(ambient_temp=40.0))
    >>> [float(c) for c in result.network.capacity]
    [10.0, 90.0]
    """
    share, assumed = _share(fixed_share)
    network = _assembled(figures, mounting, rotor, share, "housing")
    findings = assumption_findings(figures, mounting, rotor, assumed, network)
    if rated is not None:
        findings.append(
            _rated_check(_assembled(figures, _rated_mounting(rated), rotor, share, "housing"), rated)
        )
    return DataSheetNetwork(network, tuple(findings))


def open_network(
    figures: HeatFigures,
    rated: RatedPoint,
    mounting: Mounting,
    rotor: RotorFigures | None = None,
    fixed_share: float | None = None,
) -> DataSheetNetwork:
    r"""Return the network of an open-rotor motor, its self-ventilation solved from the rated point.

    Parameters
    ----------
    figures : HeatFigures
        Resistances at standstill and time constants; "housing" is the stator with its flange. [-]
    rated : RatedPoint
        The stated continuous torque; its drag is taken off first. [-]
    mounting : Mounting
        The project's surroundings. [-]
    rotor : RotorFigures, optional
        A third node for the magnets; its surface is ventilated in the same ratio as the stator. [-]
    fixed_share : float, optional
        Share of radiation and conduction in 1/R_ha, by default `FIXED_SHARE`, marked assumed. [-]

    Returns
    -------
    result : DataSheetNetwork
        Network and findings. [-]

    Raises
    ------
    InputRangeError
        If a figure leaves its range, or the mounting leaves no room for natural convection.
    CoolingContradictionError
        If the stated torque needs less cooling than standstill has (g below zero), or more than an
        endlessly cooled surface could give.

    Notes
    -----
    Every surface carries :math:`G_f + (G_n^3 + (g s\,\omega^{0.6})^3)^{1/3}`, s its share of the
    standstill conductance; g is the root of continuous torque = stated torque, at the stated ambient
    and winding limit, on the stated plate. It rises with g, so the root is the only one.

    References
    ----------
    Blend: S. W. Churchill, AIChE Journal 23 (1977) 10 (from memory). Exponent between laminar 0.5 and
    turbulent 0.8, common practice, no source.

    Examples
    --------
    Rated at 0.5 N m, 300 rad/s, 0.05 N m of iron drag: 5 K/W in all would carry less.

    >>> rated = RatedPoint(0.5, 300.0, 25.0, 125.0, 0.05, 0.05, copper_per_torque_squared=60.0)
    >>> result = open_network(HeatFigures(1.0, 4.0, 20.0, 400.0), rated, Mounting(ambient_temp=25.0))
    >>> heat = operating_heat(result.network, np.array([300.0]), limit=np.array([125.0, np.inf]),
    ...     copper_per_torque_squared=60.0, drag_torque=0.05, fixed_heat=np.array([0.0, 15.0]))
    >>> round(float(continuous_torque(heat).motoring[0]), 6)
    0.5
    """
    share, assumed = _share(fixed_share)
    at_rating = _assembled(figures, _rated_mounting(rated), rotor, share, "stator")
    strength = _strength_of_surface(at_rating, rated) if rotor is None else None
    if strength is None:
        strength = _ventilation_strength(at_rating, rated)
    network = _assembled(figures, mounting, rotor, share, "stator")
    surface = strength * mounting.convection_factor * _surface_share(at_rating)
    findings = assumption_findings(figures, mounting, rotor, assumed, network)
    findings.append(_ventilation_finding(at_rating, rated, strength))
    # with a plate the network has one link more, at the end, that no air moves
    rotating = np.zeros_like(network.rotating)
    rotating[: surface.size] = surface
    return DataSheetNetwork(replace(network, rotating=rotating), tuple(findings))


def _share(fixed_share: float | None) -> tuple[float, float | None]:
    """Return the share of radiation and conduction, and again if it was assumed."""
    share = FIXED_SHARE if fixed_share is None else fixed_share
    if not 0.0 <= share <= 1.0:
        raise InputRangeError("share of radiation and conduction", share, "", "from 0 to 1")
    return share, share if fixed_share is None else None


def _rated_mounting(rated: RatedPoint) -> Mounting:
    return Mounting(ambient_temp=rated.ambient_temp)


def _assembled(
    figures: HeatFigures, mounting: Mounting, rotor: RotorFigures | None, share: float, second: str
) -> HeatNetwork:
    """Return the network without rotor-driven parts; links to the plate come last."""
    fixed, natural = _surface(figures, mounting, share, open_rotor=second == "stator")
    to_plate = mounting.plate_share * (fixed + natural)
    if to_plate > fixed:
        most = fixed / (fixed + natural)
        rule = f"at most {most:.3g}, the share of radiation and conduction"
        raise InputRangeError("share of heat into the plate", mounting.plate_share, "", rule)
    n = 2 if rotor is None else 3
    links = [(WINDING, CORE, 1.0 / figures.winding_to_housing, 0.0)]
    links.append((CORE, n, fixed - to_plate, natural * mounting.convection_factor))
    capacity = [figures.winding_capacity, figures.housing_capacity]
    if rotor is not None:
        links.append((CORE, ROTOR, 1.0 / rotor.core_to_rotor, 0.0))
        capacity.append(rotor.capacity)
        if rotor.rotor_to_ambient is not None:
            g = 1.0 / rotor.rotor_to_ambient
            links.append((ROTOR, n, share * g, (1.0 - share) * g * mounting.convection_factor))
    sinks, temps = ["ambient air"], [mounting.ambient_temp]
    if to_plate > 0.0:
        links.append((CORE, n + 1, to_plate, 0.0))
        sinks.append("mounting plate")
        temps.append(mounting.ambient_temp if mounting.plate_temp is None else mounting.plate_temp)
    ends = np.array([link[:2] for link in links])
    return HeatNetwork(
        nodes=("winding", second, "rotor")[:n],
        capacity=np.array(capacity),
        sinks=tuple(sinks),
        sink_temp=np.array(temps),
        end_a=ends[:, 0],
        end_b=ends[:, 1],
        fixed=np.array([link[2] for link in links]),
        natural=np.array([link[3] for link in links]),
        rotating=np.zeros(len(links)),
        exponent=np.full(len(links), ROTATING_EXPONENT),
        winding=WINDING,
        core=CORE,
        magnets=n - 1,
        outside=CORE,
        # windage leaves an open motor with the air, but stays inside a housing
        air=-1 if second == "stator" else CORE,
    )


def _surface(figures: HeatFigures, mounting: Mounting, share: float, open_rotor: bool) -> tuple[float, float]:
    """Return the fixed and the natural part of the conductance to ambient, at sea level."""
    stated = 1.0 / figures.housing_to_ambient
    if mounting.housing_to_ambient is None:
        return share * stated, (1.0 - share) * stated
    here, natural = 1.0 / mounting.housing_to_ambient, (1.0 - share) * stated
    if here >= natural:  # another plate changes the conduction and leaves the convection alone
        return here - natural, natural
    if open_rotor:
        rule = f"at most {1.0 / natural:.4g} K/W, or natural convection alone would carry more"
        raise InputRangeError("thermal resistance of the mounting", 1.0 / here, "K/W", rule)
    return share * here, (1.0 - share) * here


def _surface_share(network: HeatNetwork) -> FloatArray:
    """Return each link's share of the standstill conductance to the air, zero inside the motor."""
    to_air = network.end_b >= len(network.nodes)
    conductance = np.where(to_air, network.fixed + network.natural, 0.0)
    share: FloatArray = conductance / conductance.sum()
    return share


def rated_heat(network: HeatNetwork, *rated: RatedPoint) -> OperatingHeat:
    """Return what heats a motor at rated points; the winding alone has a limit there.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    rated : RatedPoint
        Speed, limit and losses of each point; the copper law is that of the first. [-]

    Returns
    -------
    heat : OperatingHeat
        One row for each point, its limits row by row. [-]

    References
    ----------
    Own formulation.
    """
    speed = np.array([point.speed for point in rated])
    drag = np.array([point.drag_torque for point in rated])
    in_core = np.array([point.core_drag_torque for point in rated])
    heat_in = np.zeros((speed.size, len(network.nodes)))
    heat_in[:, network.core] = in_core * speed
    if network.air >= 0:
        heat_in[:, network.air] += (drag - in_core) * speed
    limits = np.full(heat_in.shape, np.inf)
    limits[:, network.winding] = [point.winding_limit for point in rated]
    heat = operating_heat(
        network,
        speed,
        limit=limits[0],
        copper_per_torque_squared=np.array([point.copper_per_torque_squared for point in rated]),
        drag_torque=drag,
        fixed_heat=heat_in,
        extra_copper=np.array([point.extra_copper for point in rated]),
        copper_law=rated[0].copper_law,
    )
    return replace(heat, limit=limits)


def _rated_torque_of(network: HeatNetwork, rated: RatedPoint) -> float:
    # the torque without its floor at zero: the root needs a function that keeps rising
    return float(continuous_torque(rated_heat(network, rated)).em_torque[0]) - rated.drag_torque


def _strength_of_surface(network: HeatNetwork, rated: RatedPoint) -> float | None:
    """Return g where one surface gives off all heat; None where the rated point contradicts the figures.

    With the winding at its limit the stated torque tells its loss, this the temperature of the stator, and
    that what the surface must conduct.
    """
    limit, law, inside = rated.winding_limit, rated.copper_law, float(network.fixed[0])
    em_torque = rated.shaft_torque + rated.drag_torque
    reference = rated.copper_per_torque_squared * em_torque**2 + rated.extra_copper
    warm = reference * (law.copper_constant + limit) / (law.copper_constant + law.winding_ref_temp)
    core, loss = limit, 0.0
    for _ in range(_MOST_NEWTON_STEPS):
        flux = 1.0 + law.magnet_temp_coefficient * (core - law.magnet_ref_temp)
        if flux <= 0.0:
            return None
        loss = warm / flux**2
        left = inside * (limit - core) - loss
        # weaker magnets ask for more loss, so what is left falls ever faster: each step stays on one side
        step = left / (2.0 * law.magnet_temp_coefficient * loss / flux - inside)
        core -= step
        if abs(step) <= _SAME_TEMP:
            break
    ambient, (_, fixed), (_, natural) = rated.ambient_temp, network.fixed.tolist(), network.natural.tolist()
    if core <= ambient:
        return None
    blended = (loss + rated.core_drag_torque * rated.speed) / (core - ambient) - fixed
    if blended < natural:
        return None
    strength = float(np.cbrt(blended**3 - natural**3))
    return strength / float(rated.speed**ROTATING_EXPONENT)


def _ventilation_strength(network: HeatNetwork, rated: RatedPoint) -> float:
    """Return g so that the network carries exactly the rated torque."""
    share = _surface_share(network)
    # in units of the standstill conductance at rated speed, so that the search spans decades of effect
    unit: float = float((network.fixed + network.natural)[share > 0.0].sum()) / rated.speed**ROTATING_EXPONENT

    def missing(ratio: float) -> float:
        turning = replace(network, rotating=ratio * unit * share)
        return _rated_torque_of(turning, rated) - rated.shaft_torque

    standing, endless = missing(0.0), missing(1e6)
    torques = (rated.shaft_torque, standing + rated.shaft_torque, endless + rated.shaft_torque)
    if standing > 0.0:
        reason = "the stated torque needs less cooling at rated speed than the motor has at standstill"
        raise CoolingContradictionError(reason, *torques)
    if endless < 0.0:
        reason = "no cooling of the surface reaches the stated torque: the winding is too hot over its core"
        raise CoolingContradictionError(reason, *torques)
    # the share that turning has in the whole cooling runs from 0 to 1 and the torque bends little over it
    share_of_turning = bracketed_root(
        lambda shares: np.array([missing(float(shares[0] / (1.0 - shares[0])))]),
        (np.zeros(1), np.full(1, 1e6 / (1.0 + 1e6))),
        (np.array([standing]), np.array([endless])),
        np.ones(1, dtype=bool),
        relative=1e-13,
    )[0]
    return unit * float(share_of_turning / (1.0 - share_of_turning))


def _ventilation_finding(network: HeatNetwork, rated: RatedPoint, strength: float) -> Finding:
    turning = replace(network, rotating=strength * _surface_share(network))
    to_air = network.end_b >= len(network.nodes)
    standing, rotating = (
        float(link_conductance(turning, np.array([w]))[0, to_air].sum()) for w in (0.0, rated.speed)
    )
    return Finding(
        "ventilation_from_rated_torque",
        "note",
        sentence(
            "Cooling by the turning rotor follows from {torque} at {speed}: {rotating} there, {standing} at "
            "standstill.",
            torque=(rated.shaft_torque, Kind.TORQUE),
            speed=(rated.speed, Kind.SPEED),
            rotating=(rotating, Kind.THERMAL_CONDUCTANCE),
            standing=(standing, Kind.THERMAL_CONDUCTANCE),
        ),
        {
            "ventilation_strength_W_K_at_1_rad_s": strength,
            "conductance_standstill_W_K": standing,
            "conductance_rated_speed_W_K": rotating,
            "rated_torque_Nm": rated.shaft_torque,
            "rated_speed_rad_s": rated.speed,
        },
    )


def _rated_check(network: HeatNetwork, rated: RatedPoint) -> Finding:
    predicted = max(_rated_torque_of(network, rated), 0.0)
    ratio = predicted / rated.shaft_torque
    return Finding(
        "rated_torque_check",
        "note" if 0.9 <= ratio <= 1.1 else "warning",
        sentence(
            "The thermal figures give {predicted} at {speed}, the data sheet states {stated}.",
            predicted=(predicted, Kind.TORQUE),
            speed=(rated.speed, Kind.SPEED),
            stated=(rated.shaft_torque, Kind.TORQUE),
        ),
        {"predicted_Nm": predicted, "stated_Nm": rated.shaft_torque, "ratio": ratio},
    )
