"""Feedback, what is asked of it and what lies around it, from the project as the equations take them.

The requirements stand at the load; the equations want speeds of the motor.
"""

from __future__ import annotations

from core.evaluation.feed import highest_voltage
from core.evaluation.motor_model import MotorModel
from core.evaluation.remembered import remembered
from core.physics import feedback as physics
from core.physics.feedback_adequacy import FeedbackNeeds, FeedbackPlace
from core.physics.materials import magnet_flux_factor
from core.project.application import Supply
from core.project.drive import FeedbackKind
from core.project.feedback import Encoder, Feedback, HallSensors, MotionQuality
from core.project.transmission import Transmission

# Clock with which electronics time the way from edge to edge, assumed: common practice, no source. [Hz]
TIMER_FREQUENCY = 1e6

_STARTS: dict[str, physics.EncoderStart] = {
    "alignment": "alignment",
    "Hall sensors": "Hall signals",
    "absolute": "absolute",
}


def feedback_kind(feedback: Feedback) -> FeedbackKind:
    """Return which kind a feedback is, in the words of the electronics."""
    if isinstance(feedback, HallSensors):
        return "Hall sensors"
    return "encoder" if isinstance(feedback, Encoder) else "sensorless"


@remembered()
def sensor_of(feedback: Feedback, motor: MotorModel) -> physics.Feedback:
    """Return a feedback as the equations take it."""
    pole_pairs = motor.constants.pole_pairs
    if isinstance(feedback, HallSensors):
        limit = feedback.largest_signal_frequency
        return physics.HallSensors(pole_pairs, feedback.sensors, feedback.edge_error, limit)
    if isinstance(feedback, Encoder):
        return physics.Encoder(
            counts=feedback.counts,
            edges_per_line=feedback.edges_per_line,
            start=_STARTS[feedback.start],
            index=feedback.index,
            at_load=feedback.at_load,
            largest_signal_frequency=feedback.largest_signal_frequency,
        )
    return physics.Sensorless(pole_pairs, feedback.least_emf_share, feedback.start_torque_share)


def needs_of(
    motion: MotionQuality, transmission: Transmission | None, highest_speed: float | None = None
) -> FeedbackNeeds:
    """Return what is asked; `highest_speed` is that of the motor in the cycle. [rad/s]"""
    lowest = motion.lowest_speed
    return FeedbackNeeds(
        lowest_speed=None if lowest is None else lowest * ratio_of(transmission),
        highest_speed=highest_speed or None,
        speed_ripple=motion.speed_ripple,
        position_accuracy=motion.position_accuracy,
        loop_bandwidth=motion.loop_bandwidth,
        start_torque_share=motion.start_torque_share,
        edges_per_bandwidth=motion.edges_per_bandwidth,
    )


def place_of(
    motion: MotionQuality, transmission: Transmission | None, supply: Supply, motor: MotorModel
) -> FeedbackPlace:
    """Return what lies around the feedback.

    Edges are counted as long as the speed may be old: until the next of the `edges_per_bandwidth` readings
    that each period of the bandwidth wants.
    """
    c, bandwidth = motor.constants, motion.loop_bandwidth
    hot = magnet_flux_factor(motor.hot_magnet_temp, c.magnet_temp_coefficient, c.magnet_ref_temp)
    return FeedbackPlace(
        pole_pairs=c.pole_pairs,
        gear_ratio=ratio_of(transmission),
        backlash=0.0 if transmission is None else transmission.backlash,
        link_voltage=highest_voltage(supply),
        back_emf_constant=c.back_emf_constant * float(hot),
        counting_window=None if bandwidth is None else 1.0 / (motion.edges_per_bandwidth * bandwidth),
        timer_frequency=TIMER_FREQUENCY,
    )


def ratio_of(transmission: Transmission | None) -> float:
    """Return motor speed over load speed. [-]"""
    return 1.0 if transmission is None else transmission.ratio


def is_asked(motion: MotionQuality) -> bool:
    """Return whether anything is asked of the motion."""
    return any(
        value is not None
        for value in (
            motion.lowest_speed,
            motion.speed_ripple,
            motion.position_accuracy,
            motion.loop_bandwidth,
            motion.start_torque_share,
        )
    )
