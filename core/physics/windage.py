r"""Power that a turning rotor loses to the air over speed, by cause, from its dimensions.

The rotor is a bell: a rim, one or two flat faces, magnets around a stator. Open, its rim and faces turn in
free air and it may throw air out through openings; enclosed, they turn inside a housing.
"""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import BoolArray, FloatArray, Numeric
from core.physics.air_friction import (
    cylinder_skin_friction,
    disc_face_power,
    disc_reynolds,
    enclosed_disc_moment_coefficient,
    enclosed_disc_outside_range,
    free_disc_in_transition,
    free_disc_moment_coefficient,
)
from core.physics.annular_gap import couette_power, magnetic_gap_outside_range
from core.physics.input_ranges import require_finite, require_positive
from core.physics.turning_cup_gap import gap_friction_outside_range, turning_inner_power
from core.physics.ventilation import BellOpenings, pumping_power
from core.records import dataclass

# At rest the coefficients grow beyond all bounds while the power vanishes: a Reynolds number this small
# stands for rest, and the cube of the speed then gives exactly zero.
AT_REST = 1e-9


@dataclass(frozen=True, slots=True)
class MagneticGap:
    """Gap between the stator and the magnets that turn around it.

    Attributes
    ----------
    stator_radius : float
        Outer radius of the stator. [m]
    gap : float
        Mechanical width between stator and magnets. [m]
    length : float
        Axial length of the overlap. [m]
    """

    stator_radius: float
    gap: float
    length: float

    def __post_init__(self) -> None:
        """Refuse a gap that cannot be."""
        for name in ("stator_radius", "gap", "length"):
            _require_length(f"magnetic gap: {name}", getattr(self, name))


@dataclass(frozen=True, slots=True)
class FreeRotor:
    """A rotor that turns in the open.

    Attributes
    ----------
    radius : float
        Outer radius of the rim. [m]
    length : float
        Axial length of the rim. [m]
    magnetic_gap : MagneticGap
        Gap to the stator inside.
    faces : int
        Flat faces that turn in free air: 1 for a bell with one open end, or 2. [-]
    openings : BellOpenings, optional
        Where it throws air out; a closed bell when left out.
    """

    radius: float
    length: float
    magnetic_gap: MagneticGap
    faces: int = 1
    openings: BellOpenings | None = None

    def __post_init__(self) -> None:
        """Refuse a rotor that cannot be."""
        _require_length("rotor radius", self.radius)
        _require_length("rotor length", self.length)
        if self.faces not in (1, 2):
            raise InputRangeError("number of free faces of the rotor", self.faces, "", "1 or 2")


@dataclass(frozen=True, slots=True)
class EnclosedRotor:
    """A rotor that turns in a closed housing.

    Attributes
    ----------
    radius : float
        Outer radius of the rim. [m]
    length : float
        Axial length of the rim. [m]
    magnetic_gap : MagneticGap
        Gap to the stator inside.
    rim_gap : float
        Radial clearance between rim and housing. [m]
    face_clearances : tuple of float
        Axial clearance of each flat face to the wall opposite. [m]
    """

    radius: float
    length: float
    magnetic_gap: MagneticGap
    rim_gap: float
    face_clearances: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse a rotor that cannot be."""
        for name in ("radius", "length", "rim_gap"):
            _require_length(f"enclosed rotor: {name}", getattr(self, name))
        for clearance in self.face_clearances:
            _require_length("enclosed rotor: clearance of a face", clearance)
        if len(self.face_clearances) not in (1, 2):
            raise InputRangeError("number of faces in the housing", len(self.face_clearances), "", "1 or 2")


@dataclass(frozen=True, slots=True)
class Windage:
    """Power lost to the air, by cause.

    Attributes
    ----------
    faces : ndarray, shape of the speed
        Friction of the flat faces. [W]
    rim : ndarray, same shape
        Friction of the rim. [W]
    magnetic_gap : ndarray, same shape
        Friction between magnets and stator. [W]
    pumping : ndarray, same shape
        Air thrown out through the openings. [W]
    """

    faces: FloatArray
    rim: FloatArray
    magnetic_gap: FloatArray
    pumping: FloatArray

    @property
    def total(self) -> FloatArray:
        """Return the power of all causes, shape of the speed. [W]"""
        return self.faces + self.rim + self.magnetic_gap + self.pumping


def free_rotor_windage(
    rotor: FreeRotor, speed: Numeric, density: Numeric, dynamic_viscosity: Numeric
) -> Windage:
    r"""Return what an open rotor loses to the air.

    Parameters
    ----------
    rotor : FreeRotor
        Dimensions. [SI]
    speed : float or ndarray, any shape
        Shaft speed; its sign does not matter. [rad/s]
    density : float or ndarray, shape that broadcasts
        Density of the air. [kg/m3]
    dynamic_viscosity : float or ndarray, shape that broadcasts
        Dynamic viscosity of the air. [Pa s]

    Returns
    -------
    windage : Windage
        Power by cause, broadcast shape; zero at rest. [W]

    Raises
    ------
    InputRangeError
        If density or viscosity is not positive, or the speed not finite.

    Notes
    -----
    Faces :math:`\frac{n}{2}\frac{C_m}{2}\rho\omega^3r^5`, rim :math:`\pi c_f\rho\omega^3r^4L`. Smooth
    surfaces: bolts, ribs and the edges of openings are left out. Friction grows as :math:`\omega^{2.5}`
    while laminar and :math:`\omega^{2.8}` once turbulent, pumping as :math:`\omega^3`, the gap as
    :math:`\omega^2`.

    References
    ----------
    .. [1] See `air_friction`, `annular_gap.couette_power` and `ventilation.pumping_power`.

    Examples
    --------
    >>> gap = MagneticGap(stator_radius=0.0240, gap=0.0005, length=0.01)
    >>> w = free_rotor_windage(FreeRotor(0.0275, 0.012, gap, faces=2), 1000.0, 1.184, 1.837e-5)
    >>> round(float(w.faces), 3)  # 1000 rad/s * 1.632e-4 N m
    0.163
    """
    w, rho, mu = _air(speed, density, dynamic_viscosity)
    reynolds = np.maximum(disc_reynolds(w, rotor.radius, mu / rho), AT_REST)
    both = disc_face_power(w, rotor.radius, free_disc_moment_coefficient(reynolds), rho)
    rim_size = np.pi * rotor.radius**4 * rotor.length
    rim = rim_size * cylinder_skin_friction(reynolds) * rho * np.abs(w) ** 3
    nothing = np.zeros_like(w)
    pumping = nothing if rotor.openings is None else pumping_power(w, rotor.openings, rho)
    return Windage(
        faces=np.asarray(0.5 * rotor.faces * both),
        rim=np.asarray(rim),
        magnetic_gap=_magnetic_gap_power(rotor.magnetic_gap, w, mu),
        pumping=np.asarray(pumping),
    )


def enclosed_rotor_windage(
    rotor: EnclosedRotor, speed: Numeric, density: Numeric, dynamic_viscosity: Numeric
) -> Windage:
    """Return what a rotor in a closed housing loses to the air.

    Parameters
    ----------
    rotor : EnclosedRotor
        Dimensions. [SI]
    speed : float or ndarray, any shape
        Shaft speed; its sign does not matter. [rad/s]
    density : float or ndarray, shape that broadcasts
        Density of the air inside. [kg/m3]
    dynamic_viscosity : float or ndarray, shape that broadcasts
        Dynamic viscosity of the air inside. [Pa s]

    Returns
    -------
    windage : Windage
        Power by cause, broadcast shape; zero at rest; nothing is pumped. [W]

    Raises
    ------
    InputRangeError
        If density or viscosity is not positive, or the speed not finite.

    Notes
    -----
    The air that circulates inside is part of the friction of the faces, as it was in the tests behind it.

    References
    ----------
    .. [1] See `air_friction.enclosed_disc_moment_coefficient`, `turning_cup_gap.turning_inner_power` and
       `annular_gap.couette_power`.

    Examples
    --------
    >>> gap = MagneticGap(stator_radius=0.0240, gap=0.0005, length=0.01)
    >>> rotor = EnclosedRotor(0.03, 0.012, gap, rim_gap=0.0015, face_clearances=(0.0006,))
    >>> w = enclosed_rotor_windage(rotor, 200.0, 1.2, 2.16e-5)  # Re 10000, G 0.02: merged, pi mu w^2 r^4/2s
    >>> round(float(w.faces) * 1e3, 3)
    1.832
    """
    w, rho, mu = _air(speed, density, dynamic_viscosity)
    reynolds = np.maximum(disc_reynolds(w, rotor.radius, mu / rho), AT_REST)
    faces = np.zeros_like(w)
    for clearance in rotor.face_clearances:
        coefficient = enclosed_disc_moment_coefficient(reynolds, clearance / rotor.radius)
        faces = faces + disc_face_power(w, rotor.radius, coefficient, rho)
    return Windage(
        faces=np.asarray(faces),
        rim=np.asarray(turning_inner_power(w, rotor.radius, rotor.rim_gap, rotor.length, rho, mu)),
        magnetic_gap=_magnetic_gap_power(rotor.magnetic_gap, w, mu),
        pumping=np.zeros_like(w),
    )


def windage_outside_range(
    rotor: FreeRotor | EnclosedRotor, speed: Numeric, kinematic_viscosity: Numeric
) -> dict[str, BoolArray]:
    """Return at which speeds which part of the windage is less certain than its law.

    Parameters
    ----------
    rotor : FreeRotor or EnclosedRotor
        Dimensions. [SI]
    speed : float or ndarray, any shape
        Shaft speed. [rad/s]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]

    Returns
    -------
    outside : dict of str to ndarray of bool, broadcast shape
        By the names of `Windage`: free faces within their transition, enclosed faces, rim gap and magnetic
        gap beyond what was measured. The law of the free rim has no upper end. [-]

    References
    ----------
    .. [1] See the `..._outside_range` functions of `air_friction`, `turning_cup_gap` and `annular_gap`.

    Examples
    --------
    >>> gap = MagneticGap(stator_radius=0.0240, gap=0.0005, length=0.01)
    >>> outside = windage_outside_range(FreeRotor(0.06, 0.012, gap), 1000.0, 1.8e-5)  # Re 200000
    >>> {cause: bool(where) for cause, where in outside.items()}
    {'magnetic_gap': False, 'faces': True}
    """
    gap, nu = rotor.magnetic_gap, kinematic_viscosity
    outside = {"magnetic_gap": magnetic_gap_outside_range(speed, gap.stator_radius, gap.gap, nu)}
    if isinstance(rotor, FreeRotor):
        return outside | {"faces": free_disc_in_transition(speed, rotor.radius, nu)}
    faces = [enclosed_disc_outside_range(speed, rotor.radius, s, nu) for s in rotor.face_clearances]
    rim = gap_friction_outside_range(speed, rotor.radius, rotor.rim_gap, nu)
    return outside | {"faces": np.logical_or.reduce(faces), "rim": rim}


def _magnetic_gap_power(gap: MagneticGap, speed: FloatArray, dynamic_viscosity: FloatArray) -> FloatArray:
    return np.asarray(couette_power(speed, gap.stator_radius, gap.gap, gap.length, dynamic_viscosity))


def _air(
    speed: Numeric, density: Numeric, dynamic_viscosity: Numeric
) -> tuple[FloatArray, FloatArray, FloatArray]:
    require_finite("speed", speed, "rad/s")
    require_positive("density of the air", density, "kg/m3")
    require_positive("dynamic viscosity of the air", dynamic_viscosity, "Pa s")
    w, rho, mu = np.broadcast_arrays(
        np.asarray(speed, float), np.asarray(density, float), np.asarray(dynamic_viscosity, float)
    )
    return w, rho, mu


def _require_length(name: str, value: float) -> None:
    require_positive(name, value, "m")
    require_finite(name, value, "m")
