r"""A closed box around a motor: what its walls let through to the ambient, and how much heat it holds."""

from __future__ import annotations

from functools import partial

from core.numeric import FloatArray
from core.physics.enclosing_walls import Film, air_capacity, require_emissivity, through_wall
from core.physics.input_ranges import require_not_negative, require_positive
from core.physics.natural_convection import face_up_coefficient, vertical_plate_coefficient
from core.records import dataclass

WALL_HEAT_CAPACITY = 2.0e6
"""Heat capacity of a wall per volume: plastics 1.5 to 2, aluminium 2.4, steel 3.6. Assumed. [J/(m3 K)]"""


@dataclass(frozen=True, slots=True)
class ClosedBox:
    """A closed box that stands on its floor.

    Parameters
    ----------
    width, depth, height : float
        Inside dimensions. [m]
    wall_thickness, wall_conductivity : float
        [m, W/(m K)]
    emissivity : float
        Of the walls, inside and outside. [-]
    other_heat : float, default 0
        Heat of everything else in the box. [W]

    References
    ----------
    Own formulation.
    """

    width: float
    depth: float
    height: float
    wall_thickness: float
    wall_conductivity: float
    emissivity: float = 0.85
    other_heat: float = 0.0

    def __post_init__(self) -> None:
        for name in ("width", "depth", "height", "wall_thickness", "wall_conductivity"):
            require_positive(f"{name.replace('_', ' ')} of the box", getattr(self, name), "SI")
        require_emissivity("box", self.emissivity)
        require_not_negative("other heat in the box", self.other_heat, "W")

    @property
    def side_area(self) -> float:
        """Area of the four sides. [m2]"""
        return 2.0 * (self.width + self.depth) * self.height

    @property
    def lid_area(self) -> float:
        """Area of the lid. [m2]"""
        return self.width * self.depth


def box_wall_conductance(
    box: ClosedBox, difference: FloatArray, ambient_temp: float, pressure: float
) -> FloatArray:
    r"""Return the conductance from the air in a box to the ambient through sides and lid.

    Parameters
    ----------
    box : ClosedBox
        The box. [-]
    difference : ndarray, shape (d,)
        Air in the box above the ambient. [K]
    ambient_temp : float
        Of the air around. [degC]
    pressure : float
        Of the air inside and outside; 0 is vacuum. [Pa]

    Returns
    -------
    conductance : ndarray, shape (d,)
        Of the five walls. [W/K]

    Notes
    -----
    `through_wall` with natural convection of upright plates at the sides and of a plate with its hot face
    up at both faces of the lid, characteristic length area over outline. Assumed: inside and outside
    areas are equal, the air in the box has one temperature, the floor gives off nothing, and edges add
    nothing. Rules for switchgear leave the floor out too.

    References
    ----------
    IEC TR 60890, effective cooling surface, floor not counted (from memory).

    Examples
    --------
    Foam of 3 m2 K/W between two films of about 8 W/(m2 K), 0.25 m2: 0.25 / (3 + 2/8) = 0.077 W/K.

    >>> import numpy as np
    >>> foam = ClosedBox(0.25, 0.25, 0.1875, 0.12, 0.04)
    >>> round(float(box_wall_conductance(foam, np.array([30.0]), 20.0, 101325.0)[0]), 3)
    0.077
    """
    slab = box.wall_thickness / box.wall_conductivity
    side: Film | None = None
    lid: Film | None = None
    if pressure > 0.0:
        side = partial(vertical_plate_coefficient, box.height, pressure=pressure)
        length = 0.5 * box.lid_area / (box.width + box.depth)
        lid = partial(face_up_coefficient, length, pressure=pressure)
    sides = box.side_area * through_wall(difference, ambient_temp, slab, box.emissivity, side)
    total: FloatArray = sides + box.lid_area * through_wall(
        difference, ambient_temp, slab, box.emissivity, lid
    )
    return total


def box_capacity(box: ClosedBox, temp: float, pressure: float) -> float:
    r"""Return the heat capacity of the air in a box with half its walls.

    Parameters
    ----------
    box : ClosedBox
        The box. [-]
    temp, pressure : float
        Of the air. [degC, Pa]

    Returns
    -------
    capacity : float
        Heat capacity; a wall is about half as warm as the air inside. [J/K]

    References
    ----------
    Own formulation; heat capacity per volume of wall assumed, no source.

    Examples
    --------
    One litre of plastic walls, 2 MJ/(m3 K), counts half; without air nothing else:

    >>> round(box_capacity(ClosedBox(1.0, 1.0, 1.0, 0.0002, 0.2), 20.0, 0.0), 9)
    1000.0
    """
    walls = (box.side_area + box.lid_area) * box.wall_thickness
    volume = box.lid_area * box.height
    return 0.5 * WALL_HEAT_CAPACITY * walls + air_capacity(volume, temp, pressure)
