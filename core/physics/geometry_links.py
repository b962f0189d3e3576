r"""Links of a heat network on the grids of its tables, and how they are put together.

A link is three columns: what stays whatever turns (over the mean of its two temperatures), natural
convection (over their difference) and what the rotor drives (over speed). The network adds them as
:math:`G_f + (G_n^3 + G_w^3)^{1/3}`.
"""

from __future__ import annotations

from dataclasses import field

import numpy as np

from core.numeric import FloatArray, IntArray, Numeric
from core.physics.conductance_tables import ForcedTable, TemperatureTable
from core.physics.motor_dimensions import HeatPlace, LawFactors
from core.records import dataclass

USUAL_RISE = 60.0
"""Rise over ambient of every node in the state that the parts of a new network stand for. [K]"""

MEAN_START, MEAN_STEP, MEANS = -60.0, 5.0, 63
DIFFERENCE_STEP, DIFFERENCES = 0.25, 65
SPEEDS = 129


@dataclass(frozen=True, slots=True)
class LinkGrid:
    """The points at which links are tabulated.

    Parameters
    ----------
    ambient_temp : float
        Of the air around. [degC]
    mean : ndarray, shape (k,)
        Means of the two temperatures of a link. [degC]
    difference : ndarray, shape (d,)
        Differences of its two temperatures. [K]
    speed : ndarray, shape (m,)
        Speeds, even in their root. [rad/s]

    References
    ----------
    Own formulation.
    """

    ambient_temp: float
    mean: FloatArray
    difference: FloatArray
    speed: FloatArray

    @property
    def usual_temp(self) -> float:
        """Temperature of the air inside the motor, for which rotor-driven parts are taken. [degC]"""
        return self.ambient_temp + USUAL_RISE

    @property
    def usual_film_temp(self) -> float:
        """Temperature of the air at outer surfaces, for which rotor-driven parts are taken. [degC]"""
        return self.ambient_temp + 0.5 * USUAL_RISE


def link_grid(ambient_temp: float, highest_speed: float) -> LinkGrid:
    r"""Return the grid: means from 60 K below to 250 K above ambient, differences to 256 K.

    Parameters
    ----------
    ambient_temp : float
        Of the air around. [degC]
    highest_speed : float
        Last speed of the table. [rad/s]

    Returns
    -------
    grid : LinkGrid
        63 means 5 K apart, 65 differences even in their root, 129 speeds even in theirs. [-]

    Notes
    -----
    A straight line over 5 K errs by :math:`24\sigma T\,(5\,\mathrm{K})^2/8` of the radiation
    coefficient, 0.03 %. Natural convection follows about the root of the root of the difference, far
    from its foot nearly straight in its root: 1 % off at most from 0.06 to 1 K, 0.1 % above.

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> grid = link_grid(20.0, 128.0)
    >>> [float(x[1]) for x in (grid.mean, grid.difference, grid.speed)]
    [-35.0, 0.0625, 0.0078125]
    """
    mean = ambient_temp + MEAN_START + MEAN_STEP * np.arange(MEANS, dtype=float)
    difference = (DIFFERENCE_STEP * np.arange(DIFFERENCES, dtype=float)) ** 2
    speed = highest_speed * (np.arange(SPEEDS, dtype=float) / (SPEEDS - 1)) ** 2
    return LinkGrid(ambient_temp, mean, difference, speed)


@dataclass(frozen=True, slots=True)
class LinkSetting:
    """What the laws of all links need beside the motor.

    Parameters
    ----------
    grid : LinkGrid
        Where links are tabulated. [-]
    place : HeatPlace
        Ambient air and carrier. [-]
    factors : LawFactors
        Factors on the laws. [-]

    References
    ----------
    Own formulation.
    """

    grid: LinkGrid
    place: HeatPlace
    factors: LawFactors

    @property
    def has_air(self) -> bool:
        """False in vacuum, where only solids conduct and surfaces radiate."""
        return self.place.pressure > 0.0


@dataclass(frozen=True, slots=True)
class GeometryLink:
    """One link between two ends.

    Parameters
    ----------
    name : str
        What it is, in plain words. [-]
    ends : tuple of int
        Its two ends, nodes first, then sinks. [-]
    fixed : float or ndarray, shape (k,)
        Conduction and radiation over the mean temperature. [W/K]
    natural : float or ndarray, shape (d,)
        Natural convection over the temperature difference. [W/K]
    forced : float or ndarray, shape (m,)
        What the rotor drives, over speed. [W/K]

    References
    ----------
    Own formulation.
    """

    name: str
    ends: tuple[int, int]
    fixed: Numeric = field(default=0.0)
    natural: Numeric = field(default=0.0)
    forced: Numeric = field(default=0.0)


@dataclass(frozen=True, slots=True)
class LinkTables:
    """All links of a network as the network takes them.

    Parameters
    ----------
    names : tuple of str, length l
        What each link is. [-]
    end_a, end_b : ndarray of int, shape (l,)
        Their ends. [-]
    by_temperature : TemperatureTable
        Their fixed and natural parts. [-]
    forced : ForcedTable
        Their rotor-driven parts. [-]

    References
    ----------
    Own formulation.
    """

    names: tuple[str, ...]
    end_a: IntArray
    end_b: IntArray
    by_temperature: TemperatureTable
    forced: ForcedTable


def link_tables(links: list[GeometryLink], grid: LinkGrid) -> LinkTables:
    """Return the tables of a list of links; links that carry nothing at all are left out.

    Parameters
    ----------
    links : list of GeometryLink
        The links. [-]
    grid : LinkGrid
        Where they are tabulated. [-]

    Returns
    -------
    tables : LinkTables
        The links that carry something. [-]

    Raises
    ------
    InputRangeError
        If a conductance is negative.

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> links = [GeometryLink("plate", (0, 1), fixed=0.2), GeometryLink("air", (0, 1))]
    >>> tables = link_tables(links, link_grid(20.0, 100.0))
    >>> tables.names, float(tables.by_temperature.fixed[5, 0])
    (('plate',), 0.2)
    """
    used = [link for link in links if any(np.any(part) for part in (link.fixed, link.natural, link.forced))]
    return LinkTables(
        names=tuple(link.name for link in used),
        end_a=np.array([link.ends[0] for link in used]),
        end_b=np.array([link.ends[1] for link in used]),
        by_temperature=TemperatureTable(
            mean_start=float(grid.mean[0]),
            mean_step=MEAN_STEP,
            fixed=_columns([link.fixed for link in used], grid.mean.size),
            difference_step=DIFFERENCE_STEP,
            natural=_columns([link.natural for link in used], grid.difference.size),
        ),
        forced=ForcedTable(float(grid.speed[-1]), _columns([link.forced for link in used], grid.speed.size)),
    )


def _columns(parts: list[Numeric], rows: int) -> FloatArray:
    """Return one column per part, shape (rows, l)."""
    table = np.empty((rows, len(parts)))
    for column, part in enumerate(parts):
        table[:, column] = part
    return table
