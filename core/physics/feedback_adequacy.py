"""Is a feedback good enough? Each requirement with what is asked, what the feedback can do, and why."""

from __future__ import annotations

import math
from collections.abc import Callable

from core.physics.feedback import (
    Encoder,
    Feedback,
    HallSensors,
    Sensorless,
    counted_speed_step,
    edge_rate,
    position_error_at_load,
    position_step,
    require_whole_number,
    timed_speed_step,
)
from core.physics.input_ranges import require_finite, require_not_negative, require_positive
from core.physics.low_speed import hall_start_torque
from core.records import dataclass
from core.sentences import Sentence, sentence
from core.units import Kind, format_number


@dataclass(frozen=True, slots=True)
class FeedbackNeeds:
    """What is asked of the feedback; what is left out is not asked for.

    Attributes
    ----------
    lowest_speed : float, optional
        Lowest speed of the motor at which the speed is controlled. [rad/s]
    highest_speed : float, optional
        Highest speed of the motor. [rad/s]
    speed_ripple : float, optional
        Largest uncertainty of the speed reading at the lowest speed, as a share of it. [-]
    position_accuracy : float, optional
        Largest error at the load, to either side. [rad]
    loop_bandwidth : float, optional
        Of the speed loop. [Hz]
    start_torque_share : float, optional
        Torque to break away under load over the torque that the largest current gives at the best
        angle. [-]
    edges_per_bandwidth : float
        Edges per second for one hertz of bandwidth. [-]
    angle_error : float
        Largest error of the electrical angle by counting; 10 degrees cost 1.5 % of the torque.
        [rad electrical]
    """

    lowest_speed: float | None = None
    highest_speed: float | None = None
    speed_ripple: float | None = None
    position_accuracy: float | None = None
    loop_bandwidth: float | None = None
    start_torque_share: float | None = None
    edges_per_bandwidth: float = 10.0
    angle_error: float = math.radians(10.0)

    def __post_init__(self) -> None:
        """Refuse needs that nobody has."""
        for name in self.__slots__:
            if getattr(self, name) is not None:
                require_positive(name, getattr(self, name), "")
                require_finite(name, getattr(self, name), "")


@dataclass(frozen=True, slots=True)
class FeedbackPlace:
    """What lies around the feedback: motor, transmission, supply, and how the speed is read.

    Attributes
    ----------
    pole_pairs : int
        Pole pairs of the motor. [-]
    gear_ratio : float
        Motor speed over load speed. [-]
    backlash : float
        Whole free play of the transmission at its output. [rad]
    link_voltage : float, optional
        Highest link voltage; only for running without a sensor. [V]
    back_emf_constant : float, optional
        Least peak line-to-line EMF per speed: magnets hot. [V s/rad]
    counting_window : float, optional
        Time of counting edges for the speed. [s]
    timer_frequency : float, optional
        Clock that times the way between edges. [Hz]
    """

    pole_pairs: int
    gear_ratio: float = 1.0
    backlash: float = 0.0
    link_voltage: float | None = None
    back_emf_constant: float | None = None
    counting_window: float | None = None
    timer_frequency: float | None = None

    def __post_init__(self) -> None:
        """Refuse surroundings that cannot be."""
        require_whole_number("pole_pairs", self.pole_pairs)
        require_positive("gear_ratio", abs(self.gear_ratio), "")
        require_not_negative("backlash", self.backlash, "rad")


@dataclass(frozen=True, slots=True)
class FeedbackCheck:
    """One requirement against one feedback.

    Attributes
    ----------
    requirement : str
        What is asked for, in words. [-]
    demand : float
        What is asked for, SI unit of `kind`. [SI]
    ability : float, optional
        What the feedback can do; None where there is no such thing or data are missing. [SI]
    kind : Kind
        What the numbers measure. [-]
    ok : bool, optional
        Whether the ability meets the demand; None is not checked, never a pass. [-]
    reason : Sentence
        Why, with numbers. [-]
    """

    requirement: str
    demand: float
    ability: float | None
    kind: Kind
    ok: bool | None
    reason: Sentence


def feedback_adequacy(
    feedback: Feedback, needs: FeedbackNeeds, place: FeedbackPlace
) -> tuple[FeedbackCheck, ...]:
    """Return each requirement with what the feedback can do about it.

    Parameters
    ----------
    feedback : HallSensors, Encoder or Sensorless
        The feedback. [SI]
    needs : FeedbackNeeds
        What is asked for. [SI]
    place : FeedbackPlace
        Motor, transmission, supply and reading. [SI]

    Returns
    -------
    checks : tuple of FeedbackCheck
        One for each requirement that is asked for and concerns this kind, in a fixed order. [SI]

    Notes
    -----
    Speed control wants at least `edges_per_bandwidth` edges a second for each hertz of bandwidth: an
    assumption, to be edited. The same rule gives the lowest speed. The speed is read by counting
    or by timing, whichever is finer where both are given.

    References
    ----------
    .. [1] Common practice, no source, for ten edges per second and hertz, for the least EMF and for the
       torque of a forced start; first principles for the rest.

    Examples
    --------
    >>> needs = FeedbackNeeds(lowest_speed=10.0, loop_bandwidth=10.0)
    >>> [c.ok for c in feedback_adequacy(HallSensors(4), needs, FeedbackPlace(4))]  # 38.2 of 100 edges/s
    [False, False]
    >>> [c.ok for c in feedback_adequacy(Encoder(4096), needs, FeedbackPlace(4))]
    [True, True, True]
    """
    checks = (check(feedback, needs, place) for check in _CHECKS)
    return tuple(check for check in checks if check is not None)


def _compared(
    requirement: str, kind: Kind, demand: float, ability: float, reason: Sentence, at_least: bool
) -> FeedbackCheck:
    ok = ability >= demand if at_least else ability <= demand
    return FeedbackCheck(requirement, demand, ability, kind, ok, reason)


def _unchecked(requirement: str, kind: Kind, demand: float, missing: str) -> FeedbackCheck:
    return FeedbackCheck(requirement, demand, None, kind, None, sentence(f"Not checked: {missing}"))


def _edges(feedback: Feedback) -> int:
    return feedback.counts if isinstance(feedback, Encoder) else feedback.edges_per_turn


def _slower(feedback: Feedback, place: FeedbackPlace) -> float:
    """Return by how much the shaft of the sensor turns slower than the motor."""
    return abs(place.gear_ratio) if isinstance(feedback, Encoder) and feedback.at_load else 1.0


def _electrical_step(encoder: Encoder, place: FeedbackPlace) -> float:
    """Return how far the electrical angle may be from what one reading tells. [rad]"""
    play = 0.5 * place.backlash if encoder.at_load else 0.0
    return place.pole_pairs * _slower(encoder, place) * (encoder.position_error + play)


def _lowest_speed(feedback: Feedback, needs: FeedbackNeeds, place: FeedbackPlace) -> FeedbackCheck | None:
    if needs.lowest_speed is None:
        return None
    title, demand = "lowest speed", needs.lowest_speed
    rate = needs.edges_per_bandwidth * (needs.loop_bandwidth or 0.0)
    ability = rate * position_step(_edges(feedback)) * _slower(feedback, place)
    reason = sentence(
        # a count is shown whole
        f"{_edges(feedback)} edges per turn of the sensor arrive at {{rate}} from {{speed}} of the motor.",
        rate=(rate, Kind.FREQUENCY),
        speed=(ability, Kind.SPEED),
    )
    if isinstance(feedback, Sensorless):
        if place.link_voltage is None or place.back_emf_constant is None:
            return _unchecked(title, Kind.SPEED, demand, "link voltage or back-EMF constant is missing.")
        by_emf = feedback.lowest_speed(place.link_voltage, place.back_emf_constant)
        if by_emf >= ability:
            ability = by_emf
            reason = sentence(
                "The EMF reaches {share} of the link voltage at {speed}.",
                share=(feedback.least_emf_share, Kind.RATIO),
                speed=(by_emf, Kind.SPEED),
            )
    elif needs.loop_bandwidth is None:
        return _unchecked(title, Kind.SPEED, demand, "the bandwidth of the speed loop is missing.")
    return _compared(title, Kind.SPEED, demand, ability, reason, at_least=False)


def _bandwidth(feedback: Feedback, needs: FeedbackNeeds, place: FeedbackPlace) -> FeedbackCheck | None:
    if needs.loop_bandwidth is None:
        return None
    title, demand = "loop bandwidth", needs.loop_bandwidth
    if needs.lowest_speed is None:
        return _unchecked(title, Kind.FREQUENCY, demand, "the lowest speed is missing.")
    rate = float(edge_rate(_edges(feedback), needs.lowest_speed / _slower(feedback, place)))
    reason = sentence(
        "{rate} edges at {speed}; {factor} of them are wanted for each hertz of bandwidth.",
        rate=(rate, Kind.FREQUENCY),
        speed=(needs.lowest_speed, Kind.SPEED),
        factor=(needs.edges_per_bandwidth, Kind.NUMBER),
    )
    ability = rate / needs.edges_per_bandwidth
    return _compared(title, Kind.FREQUENCY, demand, ability, reason, at_least=True)


def _speed_ripple(feedback: Feedback, needs: FeedbackNeeds, place: FeedbackPlace) -> FeedbackCheck | None:
    if needs.speed_ripple is None:
        return None
    title, demand = "speed ripple", needs.speed_ripple
    if isinstance(feedback, Sensorless):
        return _unchecked(title, Kind.RATIO, demand, "how evenly the EMF is read is up to the electronics.")
    if needs.lowest_speed is None:
        return _unchecked(title, Kind.RATIO, demand, "the lowest speed is missing.")
    if place.counting_window is None and place.timer_frequency is None:
        return _unchecked(title, Kind.RATIO, demand, "neither a time of counting nor a timer is given.")
    speed = needs.lowest_speed / _slower(feedback, place)
    steps: dict[str, float] = {}
    if place.counting_window is not None:
        steps["counting edges"] = counted_speed_step(_edges(feedback), place.counting_window)
    if place.timer_frequency is not None:
        error = feedback.edge_error / feedback.pole_pairs if isinstance(feedback, HallSensors) else 0.0
        steps["timing the way between edges"] = float(
            timed_speed_step(_edges(feedback), speed, place.timer_frequency, spacing_error=error)
        )
    way = min(steps, key=lambda name: steps[name])
    reason = sentence(
        f"By {way} the speed is uncertain by {{step}} at {{speed}} of the sensor.",
        step=(steps[way], Kind.SPEED),
        speed=(speed, Kind.SPEED),
    )
    return _compared(title, Kind.RATIO, demand, steps[way] / speed, reason, at_least=False)


def _position(feedback: Feedback, needs: FeedbackNeeds, place: FeedbackPlace) -> FeedbackCheck | None:
    if needs.position_accuracy is None:
        return None
    title, demand = "position accuracy", needs.position_accuracy
    if isinstance(feedback, Sensorless):
        none = sentence("Without a sensor there is no position at rest.")
        return FeedbackCheck(title, demand, None, Kind.ANGLE, False, none)
    ability = position_error_at_load(feedback, place.gear_ratio, place.backlash)
    if isinstance(feedback, Encoder) and feedback.at_load:
        reason = sentence(
            "One step of the encoder at the load is {step}.", step=(feedback.position_error, Kind.ANGLE)
        )
    else:
        reason = sentence(
            "{step} at the motor over the ratio {ratio}, and half of the backlash {backlash}.",
            step=(feedback.position_error, Kind.ANGLE),
            ratio=(abs(place.gear_ratio), Kind.NUMBER),
            backlash=(place.backlash, Kind.ANGLE),
        )
    return _compared(title, Kind.ANGLE, demand, ability, reason, at_least=False)


def _signal_frequency(feedback: Feedback, needs: FeedbackNeeds, place: FeedbackPlace) -> FeedbackCheck | None:
    if needs.highest_speed is None or isinstance(feedback, Sensorless):
        return None
    title = "signal frequency"
    demand = float(feedback.signal_frequency(needs.highest_speed / _slower(feedback, place)))
    limit = feedback.largest_signal_frequency
    if limit is None:
        return _unchecked(title, Kind.FREQUENCY, demand, "the largest frequency of the signal is missing.")
    reason = sentence(
        "The signal has {frequency} at {speed} of the motor; {limit} is allowed.",
        frequency=(demand, Kind.FREQUENCY),
        speed=(needs.highest_speed, Kind.SPEED),
        limit=(limit, Kind.FREQUENCY),
    )
    return _compared(title, Kind.FREQUENCY, demand, limit, reason, at_least=True)


def _counted_angle(feedback: Feedback, needs: FeedbackNeeds, place: FeedbackPlace) -> FeedbackCheck | None:
    if not isinstance(feedback, Encoder):
        return None
    title, demand, pairs = "electrical angle", needs.angle_error, place.pole_pairs
    step = _electrical_step(feedback, place)
    if feedback.at_load:
        text = "Step and half of the backlash at the load are {step} electrical at the motor."
        return _compared(
            title, Kind.ANGLE, demand, step, sentence(text, step=(step, Kind.ANGLE)), at_least=False
        )
    # an absolute encoder tells the angle anew each time: nothing is lost
    drift = 0.0 if feedback.start == "absolute" else feedback.angle_drift_per_turn(pairs)
    if drift > 0.0:
        counts = format_number(feedback.counts_per_pole_pair(pairs), 6)
        lost = "up to {drift} electrical are lost until the index"
        if not feedback.index:
            lost = "without an index {drift} electrical are lost each turn"
        reason = sentence(f"{counts} counts per pole pair are not whole: {lost}.", drift=(drift, Kind.ANGLE))
        if not feedback.index:
            return FeedbackCheck(title, demand, None, Kind.ANGLE, False, reason)
    else:
        reason = sentence("One count is {step} electrical.", step=(step, Kind.ANGLE))
    return _compared(title, Kind.ANGLE, demand, step + drift, reason, at_least=False)


def _start(feedback: Feedback, needs: FeedbackNeeds, place: FeedbackPlace) -> FeedbackCheck | None:
    if needs.start_torque_share is None:
        return None
    values = {}
    if isinstance(feedback, Sensorless):
        ability = feedback.start_torque_share
        text = "A forced start without known angle gives {ability} of the torque."
    elif isinstance(feedback, HallSensors):
        ability = feedback.least_start_torque
        text = "The angle is known to one state from the first instant: at its edge {ability} of the torque."
    elif feedback.start == "Hall signals":
        ability = hall_start_torque().least
        text = "Three Hall signals start it: at the edge of a state {ability} of the torque."
    elif feedback.start == "absolute":
        ability = math.cos(min(_electrical_step(feedback, place), 0.5 * math.pi))
        text = "The angle is known at once: {ability} of the torque."
    else:
        # pulled to an angle a load s leaves it asin(s) beside it, where cos(asin s) >= s must be left
        ability = math.sqrt(0.5)
        values["way"] = (math.pi / place.pole_pairs, Kind.ANGLE)
        text = (
            "The rotor is first pulled to a known angle, by up to {way} of the motor; a load leaves it "
            "beside that angle, so that {ability} of the torque is the most it may take."
        )
    reason = sentence(text, ability=(ability, Kind.RATIO), **values)
    return _compared("start under load", Kind.RATIO, needs.start_torque_share, ability, reason, at_least=True)


_CHECKS: tuple[Callable[[Feedback, FeedbackNeeds, FeedbackPlace], FeedbackCheck | None], ...] = (
    _lowest_speed,
    _speed_ripple,
    _position,
    _bandwidth,
    _signal_frequency,
    _counted_angle,
    _start,
)
