"""What a transmission is asked for against its limits, and the mistakes that are made with gears."""

from __future__ import annotations

from typing import Final

import numpy as np

from core.findings import Finding
from core.physics.input_ranges import require_not_negative
from core.physics.transmission import ShaftTimeline, Transmission, back_driving_torque
from core.records import dataclass
from core.sentences import sentence
from core.units import Kind, format_number

# Below this share of its continuous torque a gear loses mostly torque that does not follow the load.
_LIGHT_LOAD: Final = 0.2
# Above this torque at the output a gear is hard to turn from the load: share of its continuous torque.
_HARD_TO_TURN: Final = 0.5
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(3)


@dataclass(frozen=True, slots=True)
class GearDemand:
    """What a duty asks of a transmission.

    Parameters
    ----------
    peak_torque : float
        Largest output torque. [N m]
    mean_torque : float
        Cubic mean of the output torque, weighted by speed; the rms torque where nothing moves. [N m]
    peak_input_speed : float
        Largest speed at the input. [rad/s]
    peak_torque_piece, peak_speed_piece : int
        Pieces of the load motion in which the peaks occur. [-]

    References
    ----------
    Own formulation.
    """

    peak_torque: float
    mean_torque: float
    peak_input_speed: float
    peak_torque_piece: int
    peak_speed_piece: int


def gear_demand(timeline: ShaftTimeline) -> GearDemand:
    r"""Return the peaks and the mean that the limits of a transmission are compared with.

    Parameters
    ----------
    timeline : ShaftTimeline
        The duty. [SI]

    Returns
    -------
    demand : GearDemand
        Peaks and mean. [SI]

    Notes
    -----
    .. math:: \bar T = \Big(\frac{\int |\omega|\,|T|^3\,dt}{\int |\omega|\,dt}\Big)^{1/3}

    The integrand is of degree 4 within a part, for which three Gauss-Legendre nodes are exact.

    References
    ----------
    Cubic mean over turns as in ISO 281 for ball bearings; for gears common practice, no source.
    """
    torque, speed = np.abs(timeline.load_torque), np.abs(timeline.speed)
    share = 0.5 * (1.0 + _NODES)
    t = torque[:, :1] + (torque[:, 1:] - torque[:, :1]) * share
    w = speed[:, :1] + (speed[:, 1:] - speed[:, :1]) * share
    turned = float(timeline.duration @ (w @ _WEIGHTS))
    cubes = float(timeline.duration @ ((w * t**3) @ _WEIGHTS))
    squares = float(timeline.duration @ ((t**2) @ _WEIGHTS)) / (2.0 * float(timeline.duration.sum()))
    highest, fastest = torque.max(axis=1), speed.max(axis=1)
    return GearDemand(
        peak_torque=float(highest.max()),
        mean_torque=float(np.cbrt(cubes / turned)) if turned > 0.0 else float(np.sqrt(squares)),
        peak_input_speed=float(fastest.max()),
        peak_torque_piece=int(timeline.piece[highest.argmax()]),
        peak_speed_piece=int(timeline.piece[fastest.argmax()]),
    )


def gear_findings(
    timeline: ShaftTimeline,
    transmission: Transmission,
    rotor_inertia: float,
    load_inertia: float | None = None,
    motor_drag: float = 0.0,
    position_tolerance: float | None = None,
) -> tuple[Finding, ...]:
    """Return what is wrong or worth knowing about a transmission under its duty.

    Parameters
    ----------
    timeline : ShaftTimeline
        The duty at the motor shaft. [SI]
    transmission : Transmission
        The transmission. [SI]
    rotor_inertia : float
        Moment of inertia of the rotor. [kg m2]
    load_inertia : float, optional
        Largest moment of inertia of the load at the output. [kg m2]
    motor_drag : float
        Drag and cogging torque of the motor near standstill. [N m]
    position_tolerance : float, optional
        Position error that the load may have. [rad]

    Returns
    -------
    findings : tuple of Finding
        Codes `gear_...`. [SI]

    Raises
    ------
    InputRangeError
        If an inertia is negative.

    Notes
    -----
    The torque that turns the motor from the load is set against half the continuous torque of the
    gear: above it the gear is loaded by its own drive whenever someone pushes the load.

    References
    ----------
    Common practice, no source.
    """
    require_not_negative("rotor inertia", rotor_inertia, "kg m2")
    demand = gear_demand(timeline)
    found = _limit_findings(demand, transmission)
    found += _efficiency_findings(timeline, demand, transmission)
    if load_inertia is not None and abs(transmission.ratio) > 1.0:
        require_not_negative("load inertia", load_inertia, "kg m2")
        found += _inertia_finding(transmission, rotor_inertia, load_inertia)
    found += _back_driving_finding(transmission, motor_drag)
    return (*found, *_backlash_finding(transmission, position_tolerance))


def _exceeded(
    code: str, what: str, value: float, limit: float, kind: Kind, segment: int | None
) -> list[Finding]:
    if value <= limit:
        return []
    text = sentence(
        f"{what} is {{value}}, the transmission takes {{limit}}.", value=(value, kind), limit=(limit, kind)
    )
    key = "rad_s" if kind is Kind.SPEED else "Nm"
    return [Finding(code, "serious", text, {f"value_{key}": value, f"limit_{key}": limit}, segment)]


def _limit_findings(demand: GearDemand, transmission: Transmission) -> list[Finding]:
    found: list[Finding] = []
    if transmission.largest_input_speed is not None:
        found += _exceeded(
            "gear_input_speed_exceeded", "The speed at the input", demand.peak_input_speed,
            transmission.largest_input_speed, Kind.SPEED, demand.peak_speed_piece,
        )  # fmt: skip
    if transmission.intermittent_torque is not None:
        found += _exceeded(
            "gear_intermittent_torque_exceeded", "The largest output torque", demand.peak_torque,
            transmission.intermittent_torque, Kind.LOAD_TORQUE, demand.peak_torque_piece,
        )  # fmt: skip
    if transmission.continuous_torque is not None:
        found += _exceeded(
            "gear_continuous_torque_exceeded", "The cubic mean of the output torque", demand.mean_torque,
            transmission.continuous_torque, Kind.LOAD_TORQUE, None,
        )  # fmt: skip
    return found


def _efficiency_findings(
    timeline: ShaftTimeline, demand: GearDemand, transmission: Transmission
) -> list[Finding]:
    found: list[Finding] = []
    power = timeline.load_torque.sum(axis=1) * timeline.speed.sum(axis=1) * transmission.ratio
    back = transmission.back_efficiency
    if (power < 0.0).any() and transmission.efficiency < 1.0:
        values = {"efficiency": transmission.efficiency, "back_driving_efficiency": back}
        if transmission.back_driving_efficiency is None:
            assumed = f"The back-driving efficiency is assumed as 2 − 1/efficiency = {format_number(back)}."
            found.append(Finding("gear_back_efficiency_assumed", "assumed", assumed, values))
    if transmission.self_locking:
        locks = (
            "The transmission is self-locking: the motor must drive the load down as well. Shocks can unlock "
            "it, so it does not replace a brake."
        )
        found.append(Finding("gear_self_locking", "note", locks, {"back_driving_efficiency": back}))
    limit = transmission.continuous_torque
    no_drag = transmission.drag_torque == 0.0 and transmission.efficiency < 1.0
    if limit is not None and no_drag and 0.0 < demand.mean_torque < _LIGHT_LOAD * limit:
        share = demand.mean_torque / limit
        text = sentence(
            "The transmission carries {share} of its continuous torque, but its efficiency of {efficiency} "
            "is that of full load and no drag torque is given: the true loss is larger.",
            share=(share, Kind.RATIO),
            efficiency=(transmission.efficiency, Kind.RATIO),
        )
        found.append(Finding("gear_light_load_efficiency", "warning", text, {"load_share": share}))
    return found


def _inertia_finding(transmission: Transmission, rotor_inertia: float, load_inertia: float) -> list[Finding]:
    motor_side = (rotor_inertia + transmission.input_inertia) * transmission.ratio**2
    if motor_side <= load_inertia:
        return []
    text = sentence(
        "Reflected to the load, rotor and transmission have {motor_side} (inertia times the square of the "
        "ratio), the load itself {load}: most of the accelerating torque is spent on the motor, and whoever "
        "pushes the load from outside moves mostly the inertia of the motor.",
        motor_side=(motor_side, Kind.LOAD_INERTIA),
        load=(load_inertia, Kind.LOAD_INERTIA),
    )
    values = {"motor_inertia_at_load_kg_m2": motor_side, "load_inertia_kg_m2": load_inertia}
    return [Finding("gear_rotor_inertia_dominates", "warning", text, values)]


def _back_driving_finding(transmission: Transmission, motor_drag: float) -> list[Finding]:
    torque = back_driving_torque(transmission, motor_drag)
    limit = transmission.continuous_torque
    if limit is None or not _HARD_TO_TURN * limit < torque < float("inf"):
        return []
    text = sentence(
        "Turning the motor from the load takes {torque} at the output.", torque=(torque, Kind.LOAD_TORQUE)
    )
    return [Finding("gear_hard_to_back_drive", "note", text, {"back_driving_torque_Nm": torque})]


def _backlash_finding(transmission: Transmission, tolerance: float | None) -> list[Finding]:
    play = transmission.backlash
    if play == 0.0:
        return []
    values = {"backlash_rad": play}
    words = "The backlash lets the load move by {play}, which a sensor at the motor does not see."
    text = sentence(words, play=(play, Kind.ANGLE))
    if tolerance is None:
        return [Finding("gear_backlash", "note", text, values)]
    values["position_tolerance_rad"] = tolerance
    if play <= tolerance:
        return [Finding("gear_backlash", "note", text, values)]
    text = sentence(
        words + " It is more than the {tolerance} that are allowed.",
        play=(play, Kind.ANGLE),
        tolerance=(tolerance, Kind.ANGLE),
    )
    return [Finding("gear_backlash_exceeds_tolerance", "serious", text, values)]
