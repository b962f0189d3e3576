"""What belts and gears put on the end of a shaft: the forces that `shaft_load` takes to the bearings."""

from __future__ import annotations

import math

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, Numeric
from core.physics.input_ranges import require_not_negative, require_positive
from core.records import dataclass

BELT_FACTOR = 2.0
"""Common practice, no source: force on the shaft over pull of the belt, 1.5 to 2.2 for toothed belts and
2.2 to 3 for flat ones, tension at rest included."""


def belt_shaft_force(torque: Numeric, pulley_diameter: float, belt_factor: float = BELT_FACTOR) -> FloatArray:
    """Return the radial force of a tensioned belt on the shaft that carries its pulley.

    Parameters
    ----------
    torque : float or ndarray, any shape
        Largest torque that the belt carries; the sign does not matter. [N m]
    pulley_diameter : float
        Pitch diameter. [m]
    belt_factor : float, default 2.0
        Force on the shaft over pull of the belt. [-]

    Returns
    -------
    force : ndarray, shape of `torque`
        Radial force. The tension stays when the torque goes: take the force of the largest torque for
        the whole cycle. [N]

    Raises
    ------
    InputRangeError
        If the diameter is not positive or the factor below 1.

    References
    ----------
    .. [1] Common practice, no source.

    Examples
    --------
    >>> float(belt_shaft_force(0.5, 0.020, belt_factor=2.0))  # 50 N of pull
    100.0
    """
    require_positive("pulley diameter", pulley_diameter, "m")
    if not belt_factor >= 1.0:
        raise InputRangeError("belt factor", belt_factor, "", ">= 1")
    return np.asarray(belt_factor * 2.0 * np.abs(torque) / pulley_diameter)


def belt_squeeze_force(squeeze_force: Numeric, deflection: Numeric, free_length: float) -> FloatArray:
    r"""Return the force on the shafts when both strands of a belt are squeezed together by hand.

    Parameters
    ----------
    squeeze_force : float or ndarray, any shape
        Force of the fingers on each strand, in the middle of its free length. [N]
    deflection : float or ndarray, shape that broadcasts
        How far each strand gives way. [m]
    free_length : float
        Of a strand between the pulleys. [m]

    Returns
    -------
    force : ndarray, broadcast shape
        Force that pulls the two shafts together. [N]

    Raises
    ------
    InputRangeError
        If force, deflection or length is not positive.

    Notes
    -----
    A strand deflected by an angle takes the force F on its two halves: the pull is F/(2 sin a), and
    along the shafts' line the two strands add up to

    .. math:: F_s = 2 \cdot \frac{F}{2 \sin a} \cos a = \frac{F}{\tan a}, \qquad \tan a = \frac{d}{l/2}

    The tighter the belt, the smaller the angle and the larger the force for the same squeeze.

    References
    ----------
    .. [1] D. P. Labriola, "Improperly Testing Belt Tension Can Easily Damage Small Motors", Power
       Transmission Engineering, January 2019 (web edition read): 22 N with a tangent of 0.132 give
       about 170 N. The text calls that angle 5 degrees; its tangent and its deflection of 6.6 mm on
       half of 100 mm are those of 7.5 degrees.

    Examples
    --------
    >>> float(belt_squeeze_force(20.0, 0.005, 0.100))  # tangent 0.1
    200.0
    """
    require_positive("squeezing force", squeeze_force, "N")
    require_positive("deflection", deflection, "m")
    require_positive("free length", free_length, "m")
    return np.asarray(np.asarray(squeeze_force, dtype=float) * 0.5 * free_length / deflection)


@dataclass(frozen=True, slots=True)
class GearMeshForces:
    """Forces between two meshing gears.

    Attributes
    ----------
    tangential : ndarray, shape of the torque
        Along the motion. [N]
    separating : ndarray, shape of the torque
        From the mesh towards the shaft. [N]
    axial : ndarray, shape of the torque
        Along the shaft; zero for spur gears. [N]
    """

    tangential: FloatArray
    separating: FloatArray
    axial: FloatArray

    @property
    def radial(self) -> FloatArray:
        """Force square to the shaft, shape of the torque. [N]"""
        return np.hypot(self.tangential, self.separating)


def gear_mesh_forces(
    torque: Numeric,
    pitch_diameter: float,
    pressure_angle: float = math.radians(20.0),
    helix_angle: float = 0.0,
) -> GearMeshForces:
    r"""Return the forces of a spur or helical pinion on its shaft.

    Parameters
    ----------
    torque : float or ndarray, any shape
        Torque of the pinion; the sign does not matter. [N m]
    pitch_diameter : float
        Of the pinion. [m]
    pressure_angle : float, default 20 degrees
        In the normal section. [rad]
    helix_angle : float, default 0
        At the pitch cylinder. [rad]

    Returns
    -------
    forces : GearMeshForces
        Magnitudes. [N]

    Raises
    ------
    InputRangeError
        If the diameter is not positive or an angle not in 0 to below 45 degrees.

    Notes
    -----
    :math:`F_t = 2T/d`, :math:`F_r = F_t \tan\alpha_n / \cos\beta`, :math:`F_a = F_t \tan\beta`.
    Friction between the teeth and the moment of the axial force about the shaft are left out.

    References
    ----------
    .. [1] J. E. Shigley, R. G. Budynas, Mechanical Engineering Design, force analysis of spur and
       helical gears (from memory).

    Examples
    --------
    >>> forces = gear_mesh_forces(1.0, 0.020)
    >>> float(forces.tangential), round(float(forces.radial), 3)  # 100 N over cos 20 degrees
    (100.0, 106.418)
    """
    require_positive("pitch diameter", pitch_diameter, "m")
    for name, angle in (("pressure angle", pressure_angle), ("helix angle", helix_angle)):
        require_not_negative(name, angle, "rad")
        if not angle < math.pi / 4.0:
            raise InputRangeError(name, angle, "rad", "below 45 degrees")
    tangential = np.asarray(2.0 * np.abs(torque) / pitch_diameter)
    separating = tangential * (math.tan(pressure_angle) / math.cos(helix_angle))
    return GearMeshForces(tangential, separating, tangential * math.tan(helix_angle))
