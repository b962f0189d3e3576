r"""Torque at the input axis of a mechanism, its causes kept apart at every instant.

Every mechanism is brought to one form, `AxisLoad`: what its payload and its parts ask of its input
axis. From it and the motion come acceleration, gravity, friction and process, piece by piece.
"""

from __future__ import annotations

import math

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.input_ranges import require_finite, require_not_negative
from core.physics.motion import LoadMotion, scaled, split_at, split_at_reversals, subdivided
from core.records import dataclass

# A sine between knots one step apart keeps its mean; its peak is met within step^2/12, here 0.1 %.
GRAVITY_STEP = 0.109
COARSEST_GRAVITY_STEP = math.pi / 6.0
MOST_GRAVITY_PIECES = 2000
SPEED_SQUARE_PARTS = 16


@dataclass(frozen=True, slots=True)
class AxisLoad:
    r"""What a mechanism asks of its input axis, whatever its kind.

    "Behind" is the payload's side of the mechanism's own losses, "before" the side of the input.

    Attributes
    ----------
    input_per_payload : float
        Angle of the input axis per unit of the payload's coordinate. [rad/m or -]
    payload_inertia : float
        Inertia behind the losses, seen at the axis. [kg m2]
    own_inertia : float
        Inertia before the losses. [kg m2]
    gravity_torque : float
        Gravity in a fixed direction; positive resists positive motion. [N m]
    gravity_swing : float
        Amplitude of the gravity torque that goes with the sine of the position. [N m]
    gravity_phase : float
        Angle of that sine at position 0. [rad]
    friction_torque : float
        Constant friction behind the losses, against the motion. [N m]
    friction_viscous : float
        Friction proportional to speed. [N m s/rad]
    own_friction : float
        Constant friction before the losses, as the preload of a nut. [N m]
    breakaway_torque : float
        Friction at the instant of moving off, own friction included; never less than the running
        one. [N m]
    steady_torque : float
        Process in a fixed direction, present at rest too; positive resists positive motion. [N m]
    resisting_torque : float
        Process against the motion, absent at rest. [N m]
    square_torque : float
        Process against the motion that goes with the square of the speed. [N m s2/rad2]
    efficiency : float
        Output over input while the load takes power, friction above not included. [-]
    back_efficiency : float
        Torque arriving over lossless torque while the load gives power; negative: self-locking. [-]
    """

    input_per_payload: float = 1.0
    payload_inertia: float = 0.0
    own_inertia: float = 0.0
    gravity_torque: float = 0.0
    gravity_swing: float = 0.0
    gravity_phase: float = 0.0
    friction_torque: float = 0.0
    friction_viscous: float = 0.0
    own_friction: float = 0.0
    breakaway_torque: float = 0.0
    steady_torque: float = 0.0
    resisting_torque: float = 0.0
    square_torque: float = 0.0
    efficiency: float = 1.0
    back_efficiency: float = 1.0

    def __post_init__(self) -> None:
        """Refuse friction that drives and losses that give."""
        for name in ("payload_inertia", "own_inertia", "friction_torque", "friction_viscous"):
            require_not_negative(name.replace("_", " "), getattr(self, name), "")
        for name in ("own_friction", "breakaway_torque", "resisting_torque", "square_torque"):
            require_not_negative(name.replace("_", " "), getattr(self, name), "")
        for name in ("input_per_payload", "gravity_torque", "gravity_swing", "steady_torque"):
            require_finite(name.replace("_", " "), getattr(self, name), "")
        if not 0.0 < self.efficiency <= 1.0:
            raise InputRangeError("efficiency", self.efficiency, "", "> 0 and <= 1")
        if not self.back_efficiency <= 1.0:
            raise InputRangeError("back-driving efficiency", self.back_efficiency, "", "<= 1")

    @property
    def inertia(self) -> float:
        """All inertia seen at the axis. [kg m2]"""
        return self.payload_inertia + self.own_inertia

    @property
    def running_friction(self) -> float:
        """Constant friction while moving, without the losses of the efficiency. [N m]"""
        return self.friction_torque + self.own_friction

    @property
    def starting_friction(self) -> float:
        """Friction at the instant of moving off, without the losses of the efficiency. [N m]"""
        return max(self.breakaway_torque, self.running_friction)


@dataclass(frozen=True, slots=True)
class LoadTerms:
    r"""Torque that the drive must supply at the input axis, by cause, at both ends of each piece.

    Positive in the reference direction; between the ends torque is linear.

    Attributes
    ----------
    acceleration, gravity, friction, process : ndarray, shape (k, 2)
        The four causes. [N m]
    inertia : ndarray, shape (k,)
        Inertia seen at the axis. [kg m2]
    breakaway : ndarray, shape (k,)
        Constant friction at the instant of moving off in the pieces that start from rest, in place
        of the running friction; signed, 0 elsewhere and not in `total`. [N m]
    running_friction : ndarray, shape (k,)
        The part of `friction` that `breakaway` replaces at such a start, signed. [N m]
    """

    acceleration: FloatArray
    gravity: FloatArray
    friction: FloatArray
    process: FloatArray
    inertia: FloatArray
    breakaway: FloatArray
    running_friction: FloatArray

    @property
    def total(self) -> FloatArray:
        """Sum of the four causes, shape (k, 2). [N m]"""
        return self.acceleration + self.gravity + self.friction + self.process

    @property
    def starting_torque(self) -> FloatArray:
        """Torque at the instant of moving off, 0 in pieces that do not start from rest, shape (k,). [N m]"""
        start = self.total[:, 0] + self.breakaway - self.running_friction
        return np.where(self.breakaway != 0.0, start, 0.0)


def linear_work(torque: FloatArray, speed: FloatArray, duration: FloatArray) -> FloatArray:
    r"""Return the work of a torque at a speed, both linear in time within each piece.

    Parameters
    ----------
    torque : ndarray, shape (k, 2)
        Torque at both ends. [N m]
    speed : ndarray, shape (k, 2)
        Speed at both ends. [rad/s]
    duration : ndarray, shape (k,)
        Durations. [s]

    Returns
    -------
    work : ndarray, shape (k,)
        Integral of torque times speed. [J]

    References
    ----------
    Integral of a product of two linear functions, first principles.

    Examples
    --------
    >>> linear_work(np.array([[0.0, 3.0]]), np.array([[0.0, 2.0]]), np.array([1.0])).tolist()  # 6 t^2
    [2.0]
    """
    t0, t1, v0, v1 = torque[:, 0], torque[:, 1], speed[:, 0], speed[:, 1]
    work: FloatArray = duration / 6.0 * (t0 * (2.0 * v0 + v1) + t1 * (v0 + 2.0 * v1))
    return work


def axis_terms(load: AxisLoad, motion: LoadMotion) -> tuple[LoadMotion, LoadTerms]:
    r"""Return motion and torque at the input axis of a mechanism.

    Parameters
    ----------
    load : AxisLoad
        What the mechanism asks of its axis. [SI]
    motion : LoadMotion
        Motion of the payload. [rad or m]

    Returns
    -------
    motion : LoadMotion
        Motion of the input axis, cut where torque would not be linear or turns round. [rad]
    terms : LoadTerms
        Torque by cause on the same pieces. [N m]

    Notes
    -----
    .. math:: T = J\alpha + T_g(\theta) + T_f\,\mathrm{sign}\,\omega + b\omega + T_p(\omega)

    The losses of the mechanism count as friction: with the torque :math:`T_L` behind them,
    :math:`T_L(1/\eta - 1)` while the load takes power and :math:`T_L(\eta' - 1)` while it gives it.
    At rest under power gravity and steady process count and friction gets no credit; released, nothing
    counts. Gravity that swings with the position and process that goes with the square of the speed
    keep the exact work of each piece.

    References
    ----------
    Newton's second law and power balance; directions of the efficiency as for a screw (from memory).

    Examples
    --------
    >>> from core.physics.motion import motion_of_speeds
    >>> turn = motion_of_speeds(np.array([0.0, 1.0]), np.array([0.0, 10.0]))
    >>> terms = axis_terms(AxisLoad(payload_inertia=0.02, friction_torque=0.1), turn)[1]
    >>> terms.total.tolist()  # 0.02 * 10 + 0.1
    [[0.30000000000000004, 0.30000000000000004]]
    """
    axis = _refined(load, split_at_reversals(scaled(motion, load.input_per_payload)))
    terms = _lossless_terms(load, axis)
    if load.efficiency == 1.0 and load.back_efficiency == 1.0:
        return axis, terms
    behind = _torque_behind(load, axis, terms)
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = behind[:, 0] / (behind[:, 0] - behind[:, 1])
    parts = split_at(axis, np.where(behind[:, 0] * behind[:, 1] < 0.0, crossing, np.nan))
    if parts is not axis:
        axis, terms = parts, _lossless_terms(load, parts)
        behind = _torque_behind(load, axis, terms)
    return axis, _with_losses(load, axis, terms, behind)


def _refined(load: AxisLoad, axis: LoadMotion) -> LoadMotion:
    """Cut pieces in which swinging gravity or the square of speed would not be linear in time."""
    before, after = np.abs(axis.speed[:-1]), np.abs(axis.speed[1:])
    counts = np.ones(before.size)
    if load.gravity_swing != 0.0:
        travelled = np.maximum(before, after) * axis.duration
        step = np.clip(travelled.sum() / MOST_GRAVITY_PIECES, GRAVITY_STEP, COARSEST_GRAVITY_STEP)
        counts = np.ceil(travelled / step - 1e-9)
    if load.square_torque != 0.0:
        change = np.abs(after - before) / max(float(before.max()), float(after.max()), 1e-300)
        counts = np.maximum(counts, np.ceil(SPEED_SQUARE_PARTS * change - 1e-9))
    return subdivided(axis, np.maximum(counts, 1.0).astype(np.int64))


def _lossless_terms(load: AxisLoad, axis: LoadMotion) -> LoadTerms:
    """Return the terms without the losses of the efficiency; released rest asks nothing."""
    speed, direction = axis.speed_ends, axis.direction
    powered = (axis.moving | axis.held).astype(float)
    running = load.running_friction * direction
    from_rest = (axis.speed[:-1] == 0.0) & axis.moving
    alpha = load.inertia * axis.acceleration
    process = (load.steady_torque * powered + load.resisting_torque * direction)[:, None]
    return LoadTerms(
        np.column_stack((alpha, alpha)),
        _gravity(load, axis, speed) * powered[:, None],
        running[:, None] + load.friction_viscous * speed,
        process + _square_of_speed(load, axis, speed),
        np.full(direction.size, load.inertia),
        np.where(from_rest, load.starting_friction * direction, 0.0),
        np.where(from_rest, running, 0.0),
    )


def _gravity(load: AxisLoad, axis: LoadMotion, speed: FloatArray) -> FloatArray:
    """Return gravity at both ends of each piece, such that its work over the piece is exact."""
    if load.gravity_swing == 0.0:
        return np.full(speed.shape, load.gravity_torque)
    angle = axis.position / load.input_per_payload + load.gravity_phase
    knots = load.gravity_swing * np.sin(angle)
    ends = np.column_stack((knots[:-1], knots[1:]))
    turned = np.diff(axis.position)
    # potential by sum and difference of angles: no cancellation in short pieces
    half, middle = 0.5 * np.diff(angle), 0.5 * (angle[1:] + angle[:-1])
    exact = 2.0 * load.gravity_swing * load.input_per_payload * np.sin(middle) * np.sin(half)
    linear = linear_work(ends, speed, axis.duration)
    moves = np.abs(turned) > 1e-9
    shift = np.where(moves, (exact - linear) / np.where(moves, turned, 1.0), 0.0)
    return ends + shift[:, None] + load.gravity_torque


def _square_of_speed(load: AxisLoad, axis: LoadMotion, speed: FloatArray) -> FloatArray:
    """Return torque with the square of speed, against it, such that its work over the piece is exact."""
    if load.square_torque == 0.0:
        return np.zeros(speed.shape)
    ends = load.square_torque * speed * np.abs(speed)
    v0, v1 = np.abs(speed[:, 0]), np.abs(speed[:, 1])
    # mean of v^3 while v is linear in time
    exact = load.square_torque * 0.25 * (v0 + v1) * (v0 * v0 + v1 * v1) * axis.duration
    linear = linear_work(ends, speed, axis.duration)
    factor: FloatArray = np.divide(exact, linear, out=np.ones_like(linear), where=linear > 0.0)
    return ends * factor[:, None]


def _torque_behind(load: AxisLoad, axis: LoadMotion, terms: LoadTerms) -> FloatArray:
    """Return the torque behind the losses, shape (k, 2): all but own inertia and own friction."""
    before = load.own_inertia * axis.acceleration + load.own_friction * axis.direction
    return terms.total - before[:, None]


def _with_losses(load: AxisLoad, axis: LoadMotion, terms: LoadTerms, behind: FloatArray) -> LoadTerms:
    """Add the losses of the efficiency to the friction, by the direction of the power of each piece."""
    power = (behind[:, 0] + behind[:, 1]) * axis.direction
    factor = np.where(power > 0.0, 1.0 / load.efficiency, load.back_efficiency) - 1.0
    losses = behind * np.where(power == 0.0, 0.0, factor)[:, None]
    return LoadTerms(
        terms.acceleration,
        terms.gravity,
        terms.friction + losses,
        terms.process,
        terms.inertia,
        terms.breakaway,
        terms.running_friction,
    )
