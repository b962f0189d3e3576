"""Temperature limits of what is fitted to a motor: Hall board, encoder, brake, built-in electronics.

They stand where the motor is warm and often bear less than its winding: so they limit the torque as the
winding and the magnets do.
"""

from __future__ import annotations

from typing import Literal

from core.project.candidate import Candidate
from core.project.feedback import Encoder, HallSensors
from core.records import dataclass

WarmPlace = Literal["core", "stator side", "outside"]


@dataclass(frozen=True, slots=True)
class PartLimit:
    """A part at a motor, the place whose temperature it takes, and its limit. [degC]

    A Hall board is as warm as the stator core that it sits at, an encoder and a brake as the outside that
    stands still, built-in electronics as the outside of the motor.
    """

    part: str
    place: WarmPlace
    limit: float


def part_limits(candidate: Candidate) -> tuple[PartLimit, ...]:
    """Return the limits of what is chosen and states one."""
    brake, drive = candidate.brake, candidate.drive
    found: tuple[tuple[str, WarmPlace, float | None], ...] = (
        ("Hall board", "core", hall_limit(candidate)),
        ("encoder", "stator side", encoder_limit(candidate)),
        ("brake", "stator side", brake.highest_temp if brake is not None and brake.on_motor else None),
        ("built-in electronics", "outside", drive.highest_ambient if drive.built_in else None),
    )
    return tuple(PartLimit(part, place, limit) for part, place, limit in found if limit is not None)


def has_hall_board(candidate: Candidate) -> bool:
    """Return whether Hall sensors in the motor are used, alone or to start an encoder."""
    feedback = candidate.feedback
    starts = isinstance(feedback, Encoder) and feedback.start == "Hall sensors"
    return starts or isinstance(feedback, HallSensors)


def hall_limit(candidate: Candidate) -> float | None:
    """Return the limit of the Hall board, the lower of motor and sensors; None where none is known. [degC]"""
    if not has_hall_board(candidate):
        return None
    motor, feedback = candidate.motor, candidate.feedback
    of_motor = None if motor is None else motor.hall_limit
    of_sensors = feedback.highest_temp if isinstance(feedback, HallSensors) else None
    return min((limit for limit in (of_motor, of_sensors) if limit is not None), default=None)


def encoder_limit(candidate: Candidate) -> float | None:
    """Return the limit of an encoder on the motor; None where it has none or sits elsewhere. [degC]"""
    encoder = candidate.encoder_on_motor
    return None if encoder is None else encoder.highest_temp
