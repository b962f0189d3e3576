r"""What Hall sensors, an encoder or the EMF alone tell about speed and position.

A sensor gives edges: so many a turn, evenly spread but for an error of each. Everything follows from
their number: how fine the position is, how often the speed is news, and how coarse it is read.
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from core.errors import InputRangeError
from core.numeric import Numeric
from core.physics.electrical_frequency import electrical_frequency
from core.physics.input_ranges import require_finite, require_not_negative, require_one_of, require_positive
from core.physics.low_speed import hall_start_torque
from core.records import dataclass

EncoderStart = Literal["absolute", "Hall signals", "alignment"]
ENCODER_STARTS: tuple[str, ...] = ("absolute", "Hall signals", "alignment")


@dataclass(frozen=True, slots=True)
class HallSensors:
    """Switching Hall sensors that see the poles of the rotor, or a ring with as many.

    Attributes
    ----------
    pole_pairs : int
        Pole pairs. [-]
    sensors : int
        Sensors, spread evenly over half an electrical turn. [-]
    edge_error : float
        By how much an edge may lie beside its place; 0 is an ideal sensor. [rad electrical]
    largest_signal_frequency : float, optional
        Of one sensor. [Hz]
    """

    pole_pairs: int
    sensors: int = 3
    edge_error: float = 0.0
    largest_signal_frequency: float | None = None

    def __post_init__(self) -> None:
        """Refuse sensors that cannot be."""
        require_whole_number("pole_pairs", self.pole_pairs)
        hall_start_torque(self.sensors, self.edge_error)  # has the rules for both
        _require_frequency_limit(self.largest_signal_frequency)

    @property
    def edges_per_turn(self) -> int:
        """Changes of state per mechanical turn, as many as there are states. [1/turn]"""
        return 2 * self.sensors * self.pole_pairs

    @property
    def position_error(self) -> float:
        """How far the rotor may be from where it is taken to be: a state and the edge's error. [rad]"""
        return position_step(self.edges_per_turn) + self.edge_error / self.pole_pairs

    @property
    def least_start_torque(self) -> float:
        """Torque at start, at worst, over that of the best angle. [-]"""
        return hall_start_torque(self.sensors, self.edge_error).least

    def signal_frequency(self, speed: Numeric) -> Numeric:
        """Frequency of one sensor's signal: the electrical frequency. [Hz]"""
        return electrical_frequency(speed, self.pole_pairs)


@dataclass(frozen=True, slots=True)
class Encoder:
    """An encoder on the motor shaft or at the load.

    Attributes
    ----------
    counts : int
        Counts per turn of its own shaft, all edges counted: four per line with two tracks. [1/turn]
    edges_per_line : int
        Counts per period of the signal. [-]
    start : {"absolute", "Hall signals", "alignment"}
        How the electrical angle is known before the first turn: by the encoder itself, by Hall signals
        or tracks, or by pulling the rotor to a known angle. [-]
    index : bool
        Whether the count is set right once a turn. [-]
    at_load : bool
        Whether it sits at the load, behind the transmission. [-]
    largest_signal_frequency : float, optional
        Of one track, the lower of encoder and receiver. [Hz]
    """

    counts: int
    edges_per_line: int = 4
    start: EncoderStart = "alignment"
    index: bool = True
    at_load: bool = False
    largest_signal_frequency: float | None = None

    def __post_init__(self) -> None:
        """Refuse encoders that cannot be."""
        require_whole_number("counts", self.counts)
        require_whole_number("edges_per_line", self.edges_per_line)
        require_one_of("start of the encoder", self.start, ENCODER_STARTS)
        _require_frequency_limit(self.largest_signal_frequency)

    @property
    def position_error(self) -> float:
        """How far its shaft may be from where it is taken to be: one count. [rad]"""
        return position_step(self.counts)

    def signal_frequency(self, speed: Numeric) -> Numeric:
        """Frequency of one track at a speed of the encoder's own shaft. [Hz]"""
        return edge_rate(self.counts, speed) / self.edges_per_line

    def counts_per_pole_pair(self, pole_pairs: int) -> float:
        """Counts in one electrical turn; only a whole number lets the angle be counted. [-]"""
        return self.counts / pole_pairs

    def counts_lost_per_turn(self, pole_pairs: int) -> int:
        """Counts that a counter of whole counts per pole pair loses in a mechanical turn. [1/turn]"""
        return self.counts % pole_pairs

    def angle_drift(self, pole_pairs: int) -> float:
        """Error of the counted electrical angle where the last pole pair of a turn begins. [rad]

        Within that pole pair it grows to the error of the whole turn; without an index it goes on
        growing from turn to turn.
        """
        return self.angle_drift_per_turn(pole_pairs) * (pole_pairs - 1) / pole_pairs

    def angle_drift_per_turn(self, pole_pairs: int) -> float:
        """Error of the counted electrical angle at the end of a turn, before an index. [rad]"""
        return 2.0 * math.pi * pole_pairs * self.counts_lost_per_turn(pole_pairs) / self.counts


@dataclass(frozen=True, slots=True)
class Sensorless:
    """No sensor: the drive reads the EMF, which must stand out of the noise.

    Attributes
    ----------
    pole_pairs : int
        Pole pairs. [-]
    least_emf_share : float
        Least peak line-to-line EMF over link voltage at which it is read. [-]
    start_torque_share : float
        Torque of the forced start, in which the angle is not known, over that at the best angle. [-]
    """

    pole_pairs: int
    least_emf_share: float = 0.1
    start_torque_share: float = 0.3

    def __post_init__(self) -> None:
        """Refuse shares that no drive has."""
        require_whole_number("pole_pairs", self.pole_pairs)
        for name in ("least_emf_share", "start_torque_share"):
            if not 0.0 < getattr(self, name) <= 1.0:
                raise InputRangeError(name, getattr(self, name), "", "in (0, 1]")

    @property
    def edges_per_turn(self) -> int:
        """Zeros of the three phase EMFs per mechanical turn. [1/turn]"""
        return 6 * self.pole_pairs

    def lowest_speed(self, link_voltage: float, back_emf_constant: float) -> float:
        """Speed at which the EMF reaches its least share of the link voltage. [rad/s]"""
        require_positive("link_voltage", link_voltage, "V")
        require_positive("back_emf_constant", back_emf_constant, "V s/rad")
        return self.least_emf_share * link_voltage / back_emf_constant


Feedback = HallSensors | Encoder | Sensorless


def position_step(edges_per_turn: int) -> float:
    """Return the angle from one edge to the next.

    Parameters
    ----------
    edges_per_turn : int
        Edges, states or counts per turn of the sensor's shaft. [1/turn]

    Returns
    -------
    step : float
        Angle at that shaft. [rad]

    Raises
    ------
    InputRangeError
        If there is not at least one.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> round(math.degrees(position_step(HallSensors(pole_pairs=7).edges_per_turn)), 3)  # 42 states
    8.571
    """
    require_whole_number("edges_per_turn", edges_per_turn)
    return 2.0 * math.pi / edges_per_turn


def edge_rate(edges_per_turn: int, speed: Numeric) -> Numeric:
    """Return how many edges arrive a second.

    Parameters
    ----------
    edges_per_turn : int
        Edges, states or counts per turn of the sensor's shaft. [1/turn]
    speed : float or ndarray, any shape
        Speed of that shaft; its sign does not matter. [rad/s]

    Returns
    -------
    rate : float or ndarray, shape of `speed`
        Edges per second. [Hz]

    Raises
    ------
    InputRangeError
        If there is not at least one edge.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> round(float(edge_rate(24, 10.0)), 1)  # steps of 15 degrees
    38.2
    """
    rate: Numeric = np.abs(speed) / position_step(edges_per_turn)
    return rate


def counted_speed_step(edges_per_turn: int, window: float) -> float:
    r"""Return the step of a speed that is read by counting edges for a fixed time.

    Parameters
    ----------
    edges_per_turn : int
        Edges per turn. [1/turn]
    window : float
        Time of counting, the period of the speed loop or longer. [s]

    Returns
    -------
    step : float
        Change of the reading by one edge more; the same at every speed. [rad/s]

    Raises
    ------
    InputRangeError
        If the window is not positive.

    Notes
    -----
    .. math:: \Delta\omega = \frac{2\pi}{N T}

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> round(counted_speed_step(2000, 1e-3) * 30.0 / math.pi, 6)  # rpm: 60/(2000 * 0.001)
    30.0
    """
    require_positive("window", window, "s")
    return position_step(edges_per_turn) / window


def timed_speed_step(
    edges_per_turn: int, speed: Numeric, clock_frequency: float, edges: int = 1, spacing_error: float = 0.0
) -> Numeric:
    r"""Return the uncertainty of a speed that is read by timing the way from edge to edge.

    Parameters
    ----------
    edges_per_turn : int
        Edges per turn. [1/turn]
    speed : float or ndarray, any shape
        Speed; its sign does not matter. [rad/s]
    clock_frequency : float
        Of the timer. [Hz]
    edges : int, default 1
        Steps over which the time is taken. [-]
    spacing_error : float, default 0
        By how much one edge may lie beside its place; zero also for a whole electrical turn of Hall
        sensors, which ends at the edge at which it began. [rad]

    Returns
    -------
    step : float or ndarray, shape of `speed`
        One tick of the timer plus the error of both edges. [rad/s]

    Raises
    ------
    InputRangeError
        If the frequency or the number of edges is not positive, or the error is negative.

    Notes
    -----
    With :math:`\beta = 2\pi k/N` the angle of k steps, to first order

    .. math:: \frac{\Delta\omega}{\omega} = \frac{\omega}{\beta f_c} + \frac{2\epsilon}{\beta}

    Timing is fine where counting is coarse, at low speed; but the reading is as old as the last edge.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> round(float(timed_speed_step(42, 10.0, 1e6)), 6)  # 10^2 * 42/(2 pi * 1e6)
    0.000668
    """
    require_positive("clock_frequency", clock_frequency, "Hz")
    require_whole_number("edges", edges)
    require_not_negative("spacing_error", spacing_error, "rad")
    angle = edges * position_step(edges_per_turn)
    w = np.abs(speed)
    step: Numeric = w * (w / (angle * clock_frequency) + 2.0 * spacing_error / angle)
    return step


def position_error_at_load(
    feedback: HallSensors | Encoder, gear_ratio: float = 1.0, backlash: float = 0.0
) -> float:
    r"""Return how far the load may be from where the feedback takes it to be.

    Parameters
    ----------
    feedback : HallSensors or Encoder
        The sensor. [SI]
    gear_ratio : float, default 1
        Motor speed over load speed; its sign does not matter. [-]
    backlash : float, default 0
        Whole free play of the transmission at its output. [rad]

    Returns
    -------
    error : float
        To either side. [rad at the load]

    Raises
    ------
    InputRangeError
        If the ratio is zero or the backlash negative.

    Notes
    -----
    At the motor: error of the sensor over the ratio, plus half the play, as the load may lie on either
    side of it; a load that always presses to one side does better. At the load: the error of the
    sensor alone. A whole step is counted, since a loop may come to rest anywhere between two edges.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> gear = position_error_at_load(HallSensors(7), gear_ratio=20.0, backlash=math.radians(1.0))
    >>> round(math.degrees(gear), 4)  # 8.5714/20 + 1/2
    0.9286
    """
    require_positive("gear_ratio", abs(gear_ratio), "")
    require_not_negative("backlash", backlash, "rad")
    if isinstance(feedback, Encoder) and feedback.at_load:
        return feedback.position_error
    return feedback.position_error / abs(gear_ratio) + 0.5 * backlash


def require_whole_number(name: str, value: float) -> None:
    """Refuse a count that is not a whole number above zero.

    Parameters
    ----------
    name : str
        Quantity as the message shall name it. [-]
    value : float
        The count. [-]

    Raises
    ------
    InputRangeError
        If it is below one or not whole.

    References
    ----------
    None: input check, no physics. Common practice, no source.

    Examples
    --------
    >>> require_whole_number("counts", 4096)
    """
    if not value >= 1 or value % 1 != 0:
        raise InputRangeError(name, value, "", "a whole number >= 1")


def _require_frequency_limit(limit: float | None) -> None:
    if limit is not None:
        require_positive("largest_signal_frequency", limit, "Hz")
        require_finite("largest_signal_frequency", limit, "Hz")
