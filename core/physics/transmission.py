r"""The transmission between load and motor: which torque of the load arrives at the motor shaft, and when.

Power decides which efficiency holds: a load that takes power divides by the driving efficiency, a load
that gives power multiplies by the back-driving efficiency. The duty is split where this turns round.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from core.errors import InputRangeError
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.input_ranges import require_finite, require_not_negative, require_positive
from core.records import dataclass

# Roots closer to the end of a piece, or to each other, than this share of the piece are one point.
_SAME_POINT: Final = 1e-12


@dataclass(frozen=True, slots=True)
class Transmission:
    r"""A gear, belt or screw stage between motor and load; `DIRECT` is none.

    Parameters
    ----------
    ratio : float, default 1
        Motor speed over load speed; negative where the direction turns round. [-]
    efficiency : float, default 1
        Share of the power that reaches the load while the motor drives. [-]
    back_driving_efficiency : float, optional
        Torque that arrives at the motor over the lossless one while the load drives; `2 - 1/efficiency`
        when left out. Zero or below: self-locking, the motor must drive the load down. [-]
    drag_torque : float, default 0
        Torque at the input that does not depend on the load: seals, grease, churning. [N m]
    input_inertia : float, default 0
        Moment of inertia of the transmission as seen at its input. [kg m2]
    backlash : float, default 0
        Free play at the output. [rad]
    continuous_torque, intermittent_torque : float, optional
        Limits of the output torque, lasting and for moments. [N m]
    largest_input_speed : float, optional
        Limit of the speed at the input. [rad/s]

    Raises
    ------
    InputRangeError
        If the ratio is zero, the efficiency not in (0, 1], the back-driving efficiency above 1, or
        another figure negative.

    Notes
    -----
    :math:`2 - 1/\eta` says that as much torque is lost backwards as forwards. For a screw it is close to
    :math:`\tan(\lambda-\varphi)/\tan\lambda` with lead angle and angle of friction.

    References
    ----------
    Common practice, no source; for the screw R. L. Norton, Machine Design, power screws (from memory).

    Examples
    --------
    >>> Transmission(ratio=10.0, efficiency=0.8).back_efficiency
    0.75
    >>> Transmission(ratio=10.0, efficiency=0.4).self_locking
    True
    """

    ratio: float = 1.0
    efficiency: float = 1.0
    back_driving_efficiency: float | None = None
    drag_torque: float = 0.0
    input_inertia: float = 0.0
    backlash: float = 0.0
    continuous_torque: float | None = None
    intermittent_torque: float | None = None
    largest_input_speed: float | None = None

    def __post_init__(self) -> None:
        """Refuse what no transmission can be."""
        require_finite("gear ratio", self.ratio, "")
        if self.ratio == 0.0:
            raise InputRangeError("gear ratio", self.ratio, "", "other than 0")
        if not 0.0 < self.efficiency <= 1.0:
            raise InputRangeError("gear efficiency", self.efficiency, "", "> 0 and <= 1")
        back = self.back_driving_efficiency
        if back is not None and not -np.inf < back <= 1.0:
            raise InputRangeError("back-driving efficiency", back, "", "finite and <= 1")
        for name, value, unit in (
            ("gear drag torque", self.drag_torque, "N m"),
            ("gear input inertia", self.input_inertia, "kg m2"),
            ("gear backlash", self.backlash, "rad"),
        ):
            require_not_negative(name, value, unit)
            require_finite(name, value, unit)
        for name, limit, unit in (
            ("continuous gear torque", self.continuous_torque, "N m"),
            ("intermittent gear torque", self.intermittent_torque, "N m"),
            ("largest gear input speed", self.largest_input_speed, "rad/s"),
        ):
            if limit is not None:
                require_positive(name, limit, unit)

    @property
    def back_efficiency(self) -> float:
        """Factor on the torque of a load that drives; below zero the motor drives instead. [-]"""
        if self.back_driving_efficiency is None:
            return 2.0 - 1.0 / self.efficiency
        return self.back_driving_efficiency

    @property
    def self_locking(self) -> bool:
        """Whether no torque at the load turns the motor."""
        return self.back_efficiency <= 0.0


DIRECT: Final = Transmission()


@dataclass(frozen=True, slots=True)
class ShaftTimeline:
    r"""Duty at the motor shaft in parts with one direction of speed and of load-side power.

    Parameters
    ----------
    duration : ndarray, shape (m,)
        Durations, each positive. [s]
    torque : ndarray, shape (m, 2)
        Torque at both ends of each part, linear between: what the rotor must deliver, the inertia of
        the transmission included, its own not. [N m]
    speed : ndarray, shape (m, 2)
        Motor speed at both ends, of one sign. [rad/s]
    piece : ndarray of int, shape (m,)
        Piece of the load motion to which each part belongs, from 0. [-]
    load_torque : ndarray, shape (m, 2)
        Torque at the output of the transmission, of one sign. [N m]

    References
    ----------
    Own formulation.
    """

    duration: FloatArray
    torque: FloatArray
    speed: FloatArray
    piece: IntArray
    load_torque: FloatArray


def shaft_timeline(
    time: FloatArray,
    load_speed: FloatArray,
    load_torque: FloatArray,
    transmission: Transmission = DIRECT,
    held: BoolArray | None = None,
) -> ShaftTimeline:
    r"""Return the duty at the motor shaft from motion and torque at the output of the transmission.

    Parameters
    ----------
    time : ndarray, shape (k + 1,)
        Knots of the motion. [s]
    load_speed : ndarray, shape (k + 1,)
        Speed of the load at the knots, linear between. [rad/s]
    load_torque : ndarray, shape (k, 2)
        Torque that the load asks for at both ends of each piece, its inertia included, positive in the
        reference direction. [N m]
    transmission : Transmission
        What is between. [SI]
    held : ndarray of bool, shape (k,), optional
        Whether a piece at rest is held by the motor; all are when left out. A piece that is neither
        moving nor held asks the motor for nothing. [-]

    Returns
    -------
    timeline : ShaftTimeline
        Up to three parts for each piece. [SI]

    Raises
    ------
    InputRangeError
        If the knots do not go forward or a value is not finite.

    Notes
    -----
    With :math:`P = T_L \omega_L` including :math:`J_L\alpha`,

    .. math:: T = \frac{T_L}{i}\,\Big\{\tfrac1\eta \; (P>0),\quad \eta_b \; (P<0),\quad
        1 \; (\omega=0)\Big\} + T_d\,\mathrm{sgn}\,\omega + J_i\, i\, \alpha_L

    P changes sign only where torque or speed does, and each is linear, so the points are exact. At rest
    the friction of the transmission may help to hold or may not: no credit is taken.

    References
    ----------
    B. R. Gupta & V. Singhal, Fundamentals of Electric Drives and Control, Ex. 3.2, p. 34 [as re-worked
    in a public textbook-companion notebook; the printed page was not seen]; back-driving: power balance,
    first principles.

    Examples
    --------
    10 N m driven at 2 rad/s, then driving at -2 rad/s, through 20:1 with 80 %:

    >>> gear = Transmission(ratio=20.0, efficiency=0.8)
    >>> load = np.full((2, 2), 10.0)
    >>> up = shaft_timeline(np.array([0.0, 1.0]), np.array([2.0, 2.0]), load[:1], gear)
    >>> down = shaft_timeline(np.array([0.0, 1.0]), np.array([-2.0, -2.0]), load[:1], gear)
    >>> up.torque.tolist(), down.torque.tolist(), up.speed.tolist()
    ([[0.625, 0.625]], [[0.375, 0.375]], [[40.0, 40.0]])
    """
    step = _checked_steps(time, load_speed, load_torque)
    speed = np.stack([load_speed[:-1], load_speed[1:]], axis=1)
    begin, end, piece, torque_parts, speed_parts = _split(load_torque, speed)
    middle_speed = speed_parts.sum(axis=1)
    power = torque_parts.sum(axis=1) * middle_speed
    driving = np.where(power < 0.0, transmission.back_efficiency, 1.0 / transmission.efficiency)
    factor = np.where(middle_speed == 0.0, 1.0, driving) / transmission.ratio
    acceleration = (load_speed[1:] - load_speed[:-1]) / step * transmission.ratio
    moving = np.sign(middle_speed * transmission.ratio)
    beside = transmission.drag_torque * moving + transmission.input_inertia * acceleration[piece]
    torque = torque_parts * factor[:, None] + beside[:, None]
    if held is not None:
        torque = np.where(((middle_speed == 0.0) & ~held[piece])[:, None], 0.0, torque)
    return ShaftTimeline(
        duration=step[piece] * (end - begin),
        torque=torque,
        speed=speed_parts * transmission.ratio,
        piece=piece,
        load_torque=torque_parts,
    )


def _checked_steps(time: FloatArray, load_speed: FloatArray, load_torque: FloatArray) -> FloatArray:
    step: FloatArray = np.diff(time)
    if load_speed.shape != time.shape or load_torque.shape != (step.size, 2):
        raise InputRangeError("number of load torques", len(load_torque), "", "one less than knots")
    require_positive("duration of a piece of the motion", step, "s")
    require_finite("load speed", load_speed, "rad/s")
    require_finite("load torque", load_torque, "N m")
    return step


def _root(value: FloatArray) -> FloatArray:
    """Share of each piece after which a linear quantity passes zero; 1 where it does not."""
    a, b = value[:, 0], value[:, 1]
    with np.errstate(invalid="ignore", divide="ignore"):
        x = np.where(a * b < 0.0, a / (a - b), 1.0)
    return np.where((x > _SAME_POINT) & (x < 1.0 - _SAME_POINT), x, 1.0)


def _split(
    torque: FloatArray, speed: FloatArray
) -> tuple[FloatArray, FloatArray, IntArray, FloatArray, FloatArray]:
    """Cut the pieces where torque or speed passes zero; shares of the piece, piece, values at the ends."""
    at_torque, at_speed = _root(torque), _root(speed)
    at_torque = np.where(np.abs(at_torque - at_speed) < _SAME_POINT, at_speed, at_torque)
    cuts = np.zeros((len(torque), 4))
    cuts[:, 1], cuts[:, 2] = np.minimum(at_torque, at_speed), np.maximum(at_torque, at_speed)
    cuts[:, 3] = 1.0
    piece, part = np.nonzero(np.diff(cuts, axis=1) > 0.0)
    begin, end = cuts[piece, part], cuts[piece, part + 1]
    ends = np.stack([begin, end], axis=1)

    def at(value: FloatArray, root: FloatArray) -> FloatArray:
        a, b = value[piece, 0][:, None], value[piece, 1][:, None]
        inner = np.where(ends == root[piece, None], 0.0, a + (b - a) * ends)
        return np.where(ends == 0.0, a, np.where(ends == 1.0, b, inner))

    return begin, end, piece, at(torque, at_torque), at(speed, at_speed)


@dataclass(frozen=True, slots=True)
class GearWork:
    """Where the work goes in each part of a timeline.

    Parameters
    ----------
    at_input : ndarray, shape (m,)
        Work that the rotor delivers. [J]
    at_output : ndarray, shape (m,)
        Work that the load takes. [J]
    stored : ndarray, shape (m,)
        Gain of energy in the inertia of the transmission. [J]
    loss : ndarray, shape (m,)
        What is left: heat in the transmission, never negative while it moves. [J]

    References
    ----------
    Own formulation.
    """

    at_input: FloatArray
    at_output: FloatArray
    stored: FloatArray
    loss: FloatArray


def gear_work(timeline: ShaftTimeline, transmission: Transmission) -> GearWork:
    r"""Return the energy balance of the transmission.

    Parameters
    ----------
    timeline : ShaftTimeline
        The duty. [SI]
    transmission : Transmission
        The transmission it was made with. [SI]

    Returns
    -------
    work : GearWork
        Work in, out, stored and lost in each part. [J]

    Notes
    -----
    The product of two linear courses: :math:`t\,(2 a c + a d + b c + 2 b d)/6`.

    References
    ----------
    Balance of energy, first principles.

    Examples
    --------
    >>> gear = Transmission(ratio=10.0, efficiency=0.8)
    >>> line = shaft_timeline(np.array([0.0, 1.0]), np.array([2.0, 2.0]), np.full((1, 2), 4.0), gear)
    >>> work = gear_work(line, gear)
    >>> work.at_input.tolist(), work.at_output.tolist(), work.loss.tolist()
    ([10.0], [8.0], [2.0])
    """
    at_input = _work(timeline.duration, timeline.torque, timeline.speed)
    at_output = _work(timeline.duration, timeline.load_torque, timeline.speed / transmission.ratio)
    squares = timeline.speed**2
    stored = 0.5 * transmission.input_inertia * (squares[:, 1] - squares[:, 0])
    return GearWork(at_input, at_output, stored, at_input - at_output - stored)


def _work(duration: FloatArray, torque: FloatArray, speed: FloatArray) -> FloatArray:
    crossed = torque * (2.0 * speed + speed[:, ::-1])
    work: FloatArray = duration * crossed.sum(axis=1) / 6.0
    return work


def back_driving_torque(transmission: Transmission, motor_drag: float = 0.0) -> float:
    r"""Return the torque at the output that just turns the motor backwards.

    Parameters
    ----------
    transmission : Transmission
        The transmission. [SI]
    motor_drag : float
        Drag and cogging torque of the motor. [N m]

    Returns
    -------
    torque : float
        :math:`|i|\,(T_m + T_d)/\eta_b`; infinite where it locks itself. [N m]

    References
    ----------
    Balance of torque, first principles.

    Examples
    --------
    >>> round(back_driving_torque(Transmission(ratio=7.0, efficiency=1.0), 0.1), 9)
    0.7
    """
    require_not_negative("motor drag torque", motor_drag, "N m")
    if transmission.self_locking:
        return float("inf")
    return abs(transmission.ratio) * (motor_drag + transmission.drag_torque) / transmission.back_efficiency
