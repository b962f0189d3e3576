"""Forces on the shaft end and what they do to the two bearings of the motor.

The shaft stands out of the flange; behind the flange come the front and, a span further, the rear
bearing.
"""

from __future__ import annotations

import numpy as np

from core.numeric import FloatArray, Numeric
from core.physics.bearing_life import (
    RADIAL_FACTOR,
    Bearing,
    axial_load_factor,
    cubic_mean_load,
    equivalent_load,
    rating_life,
    required_rating,
)
from core.physics.input_ranges import require_not_negative, require_one_of, require_positive
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class BearingPair:
    """The two bearings of a motor and where they sit.

    Attributes
    ----------
    front : Bearing
        The one next to the flange. [-]
    rear : Bearing
        The other one. [-]
    front_distance : float
        From the flange face back to the middle of the front bearing. [m]
    span : float
        Between the middles of the bearings. [m]
    locating : str
        "front" or "rear": which one takes the axial force from outside. [-]
    preload : float
        Axial force of a spring between them, on both. [N]
    """

    front: Bearing
    rear: Bearing
    front_distance: float
    span: float
    locating: str = "front"
    preload: float = 0.0

    def __post_init__(self) -> None:
        """Refuse places that no pair has."""
        require_not_negative("front_distance", self.front_distance, "m")
        require_positive("span", self.span, "m")
        require_one_of("locating bearing", self.locating, ("front", "rear"))
        require_not_negative("preload", self.preload, "N")


def bearing_reactions(
    pair: BearingPair, radial_force: Numeric, distance: Numeric
) -> tuple[FloatArray, FloatArray]:
    r"""Return the radial forces with which the bearings answer a force on the shaft end.

    Parameters
    ----------
    pair : BearingPair
        The bearings. [SI]
    radial_force : float or ndarray, any shape
        Force on the shaft end. [N]
    distance : float or ndarray, shape that broadcasts
        From the flange face out to the force. [m]

    Returns
    -------
    front : ndarray, broadcast shape
        Against the force, larger than it. [N]
    rear : ndarray, broadcast shape
        Along the force: the shaft is a lever on the front bearing. [N]

    Raises
    ------
    InputRangeError
        If the distance is negative.

    Notes
    -----
    :math:`F_f = F (x + a + b)/b`, :math:`F_r = F (x + a)/b` with the front bearing at a behind the
    flange and the span b. Weight and magnetic pull of the rotor are left out.

    References
    ----------
    .. [1] Statics of a beam with an overhang, first principles.

    Examples
    --------
    >>> bearing = Bearing(dynamic_rating=2000.0, static_rating=1000.0)
    >>> pair = BearingPair(bearing, bearing, front_distance=0.005, span=0.030)
    >>> front, rear = bearing_reactions(pair, 60.0, 0.010)  # lever 15 mm on 30 mm
    >>> round(float(front), 9), round(float(rear), 9)
    (90.0, 30.0)
    """
    require_not_negative("distance from the flange", distance, "m")
    force = np.asarray(radial_force, dtype=float)
    rear = force * (np.asarray(distance, dtype=float) + pair.front_distance) / pair.span
    return np.asarray(force + rear), np.asarray(rear)


def bearing_axial_forces(pair: BearingPair, axial_force: Numeric) -> tuple[FloatArray, FloatArray]:
    """Return the axial forces on the bearings.

    Parameters
    ----------
    pair : BearingPair
        The bearings. [SI]
    axial_force : float or ndarray, any shape
        Force along the shaft from outside and from the magnets of a flat rotor; its sign does not
        matter. [N]

    Returns
    -------
    front : ndarray, shape of `axial_force`
        Preload, and the force from outside where this bearing is the locating one. [N]
    rear : ndarray, shape of `axial_force`
        The same for the rear. [N]

    Notes
    -----
    The force is added to the preload whichever way it points: on the safe side for one direction.

    References
    ----------
    .. [1] Statics, first principles.

    Examples
    --------
    >>> bearing = Bearing(dynamic_rating=2000.0, static_rating=1000.0)
    >>> pair = BearingPair(bearing, bearing, 0.005, 0.030, locating="rear", preload=10.0)
    >>> [float(force) for force in bearing_axial_forces(pair, -25.0)]
    [10.0, 35.0]
    """
    outside = np.abs(np.asarray(axial_force, dtype=float))
    alone, loaded = np.full(outside.shape, pair.preload), np.asarray(outside + pair.preload)
    return (loaded, alone) if pair.locating == "front" else (alone, loaded)


@dataclass(frozen=True, slots=True)
class ShaftLife:
    """Life of both bearings over a cycle.

    Attributes
    ----------
    front_load : float
        Mean equivalent load of the front bearing. [N]
    rear_load : float
        The same of the rear. [N]
    front_life : float
        L10 of the front bearing. [revolutions]
    rear_life : float
        The same of the rear. [revolutions]
    """

    front_load: float
    rear_load: float
    front_life: float
    rear_life: float

    @property
    def life(self) -> float:
        """L10 of the weaker bearing; one of the two fails a little sooner than that. [revolutions]"""
        return min(self.front_life, self.rear_life)


def shaft_life(
    pair: BearingPair, radial_force: Numeric, distance: float, axial_force: Numeric, revolutions: FloatArray
) -> ShaftLife:
    """Return the life of both bearings under the forces of a cycle.

    Parameters
    ----------
    pair : BearingPair
        The bearings. [SI]
    radial_force : float or ndarray, shape (m,)
        Radial force on the shaft end in every segment. [N]
    distance : float
        From the flange face out to the force. [m]
    axial_force : float or ndarray, shape (m,)
        Axial force in every segment. [N]
    revolutions : ndarray, shape (m,)
        Turns of every segment, as in `cubic_mean_load`. [revolutions]

    Returns
    -------
    life : ShaftLife
        Loads and lives. [N, revolutions]

    References
    ----------
    .. [1] ISO 281, as in `rating_life`.

    Examples
    --------
    >>> bearing = Bearing(dynamic_rating=2000.0, static_rating=1000.0)
    >>> pair = BearingPair(bearing, bearing, front_distance=0.005, span=0.030)
    >>> result = shaft_life(pair, 60.0, 0.010, 0.0, np.ones(1))  # 90 N and 30 N
    >>> round(result.front_load, 6), round(result.life / 1e6 * 0.045**3, 6)
    (90.0, 1.0)
    """
    turns = np.asarray(revolutions, dtype=float)
    means, lives = [], []
    for bearing, radial, axial in zip(
        (pair.front, pair.rear),
        bearing_reactions(pair, radial_force, distance),
        bearing_axial_forces(pair, axial_force),
        strict=True,
    ):
        load = np.broadcast_to(equivalent_load(bearing, radial, axial), turns.shape)
        means.append(cubic_mean_load(load, turns))
        lives.append(float(rating_life(bearing.dynamic_rating, means[-1])))
    return ShaftLife(means[0], means[1], lives[0], lives[1])


def allowed_radial_force(
    pair: BearingPair, distance: Numeric, axial_force: float, revolutions: float
) -> FloatArray:
    r"""Return the largest radial force on the shaft end that leaves both bearings a wanted life.

    Parameters
    ----------
    pair : BearingPair
        The bearings. [SI]
    distance : float or ndarray, any shape
        From the flange face out to the force. [m]
    axial_force : float
        Axial force that acts with it. [N]
    revolutions : float
        Wanted L10. [revolutions]

    Returns
    -------
    force : ndarray, shape of `distance`
        Allowed force; zero where the axial force alone costs the life. The strength of the shaft is a
        limit of its own. [N]

    Raises
    ------
    InputRangeError
        If the distance is negative or the wanted life not positive.

    Notes
    -----
    The allowed load :math:`P = C (10^6/L)^{1/3}` of each bearing, resolved for its radial force and
    then for the force at the lever; the smaller of the two.

    References
    ----------
    .. [1] ISO 281, as in `rating_life`; statics as in `bearing_reactions`.

    Examples
    --------
    >>> bearing = Bearing(dynamic_rating=2000.0, static_rating=1000.0)
    >>> pair = BearingPair(bearing, bearing, front_distance=0.005, span=0.030)
    >>> round(float(allowed_radial_force(pair, 0.010, 0.0, 1e9)), 6)  # 200 N on the front, lever 1.5
    133.333333
    """
    unit_reactions = bearing_reactions(pair, 1.0, distance)
    allowed = []
    for bearing, unit, axial in zip(
        (pair.front, pair.rear), unit_reactions, bearing_axial_forces(pair, axial_force), strict=True
    ):
        load = bearing.dynamic_rating / required_rating(1.0, revolutions)
        factor, _ = axial_load_factor(bearing, axial)
        radial = np.clip((load - factor * axial) / RADIAL_FACTOR, 0.0, load)
        # no lever, no force on the rear bearing: it then allows any
        allowed.append(np.divide(radial, unit, out=np.full(unit.shape, np.inf), where=unit > 0.0))
    return np.asarray(np.minimum(allowed[0], allowed[1]))
