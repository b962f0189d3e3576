"""The mechanisms there are, and the same mechanism with more or less friction."""

from __future__ import annotations

import math
from dataclasses import replace

from core.physics.body_inertia import kinetic_energy
from core.physics.fluid_mechanisms import DisplacementPump, FanLoad
from core.physics.input_ranges import require_not_negative
from core.physics.linear_mechanisms import BeltDrive, DrumWinch, ScrewDrive, WheelDrive
from core.physics.rotary_mechanisms import DirectRotaryLoad, RotaryTable, SwingArm

RotaryMechanism = RotaryTable | SwingArm | DirectRotaryLoad
LinearMechanism = ScrewDrive | BeltDrive | DrumWinch | WheelDrive
FluidMechanism = FanLoad | DisplacementPump
Mechanism = RotaryMechanism | LinearMechanism | FluidMechanism


def with_friction(mechanism: Mechanism, factor: float) -> Mechanism:
    r"""Return the mechanism with all its friction and losses multiplied, for a low or a high study.

    Parameters
    ----------
    mechanism : Mechanism
        Mechanism as entered. [-]
    factor : float
        Friction over that entered, 0 for none. [-]

    Returns
    -------
    mechanism : Mechanism
        The same kind. [-]

    Notes
    -----
    Losses given as an efficiency change by their torque:
    :math:`1/\eta' - 1 = f\,(1/\eta - 1)`; those given as a friction angle by its tangent, which is the
    coefficient of friction.

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> round(with_friction(BeltDrive(2.0, 0.02, 0.0, efficiency=0.9), 2.0).efficiency, 4)  # 1/(1 + 2/9)
    0.8182
    """
    require_not_negative("factor of friction", factor, "")
    if isinstance(mechanism, ScrewDrive):
        angle, preload = mechanism.friction_angle, factor * mechanism.preload_torque
        return replace(
            mechanism,
            friction=mechanism.friction.times(factor),
            preload_torque=preload,
            friction_angle=None if angle is None else math.atan(factor * math.tan(angle)),
            efficiency=None if mechanism.efficiency is None else _with_losses(mechanism.efficiency, factor),
        )
    if isinstance(mechanism, DisplacementPump):
        return replace(
            mechanism,
            friction=mechanism.friction.times(factor),
            dry_start_torque=factor * mechanism.dry_start_torque,
            efficiency=_with_losses(mechanism.efficiency, factor),
        )
    if isinstance(mechanism, BeltDrive | DrumWinch | WheelDrive):
        return replace(
            mechanism,
            friction=mechanism.friction.times(factor),
            efficiency=_with_losses(mechanism.efficiency, factor),
        )
    return replace(mechanism, friction=mechanism.friction.times(factor))


def _with_losses(efficiency: float, factor: float) -> float:
    return 1.0 / (1.0 + factor * (1.0 / efficiency - 1.0))


def stored_energy(mechanism: Mechanism, payload_speed: float) -> dict[str, float]:
    r"""Return the energy of motion, apart for the payload and for the mechanism's own parts.

    Parameters
    ----------
    mechanism : Mechanism
        Mechanism. [-]
    payload_speed : float
        Speed of the payload. [rad/s or m/s]

    Returns
    -------
    energy : dict of str to float
        Keys payload and own; the rotor of the motor is not in it. Of a vehicle the part of one
        driven wheel. [J]

    References
    ----------
    First principles.

    Examples
    --------
    >>> slide = ScrewDrive(3.0, 0.005, 0.0, efficiency=0.9, screw_inertia=2e-5)
    >>> {name: round(energy, 4) for name, energy in stored_energy(slide, 0.25).items()}
    {'payload': 0.0938, 'own': 0.987}
    """
    load = mechanism.axis_load()
    speed = payload_speed * load.input_per_payload
    return {
        "payload": kinetic_energy(load.payload_inertia, speed),
        "own": kinetic_energy(load.own_inertia, speed),
    }
