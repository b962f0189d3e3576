"""What moves and how, from which the duty at the motor shaft is derived."""

from __future__ import annotations

from typing import Literal

import msgspec

from core.project.mechanism import Mechanism
from core.project.motion import FrictionRange, MotionLimits, MotionStep
from core.project.saved import Name, NotNegative, Positive, Saved, Text

DutySource = Literal["segments", "load", "trace"]


class Load(Saved, frozen=True, kw_only=True):
    """A mechanism, its motion, and what is uncertain about it.

    Parameters
    ----------
    start_position : float
        Payload position at the start of the cycle; gravity depends on it. [rad or m]
    friction_factor : float
        Friction and losses over those entered, all together.
    friction_range : FrictionRange
        Low and high friction, for the range of the results.
    coupling_stiffness : float, optional
        Torsional stiffness between motor (or gear) and load, at the load. [N m/rad]
    """

    mechanism: Mechanism
    motion: tuple[MotionStep, ...] = ()
    start_position: float = msgspec.field(name="start_position_rad_or_m", default=0.0)
    limits: MotionLimits = MotionLimits()
    friction_factor: NotNegative = 1.0
    friction_range: FrictionRange = FrictionRange()
    coupling_stiffness: Positive | None = msgspec.field(name="coupling_stiffness_Nm_per_rad", default=None)


class TraceSource(Saved, frozen=True, kw_only=True):
    """A measured signal in a CSV file beside the project, with the columns taken from it.

    Parameters
    ----------
    file : str
        Name of the file in the folder of the project; never a path to elsewhere.
    sha256 : str
        Fingerprint of the file that was imported, so that another one is noticed.
    time_column, torque_column, speed_column : str
        Headings of the columns.
    time_unit, torque_unit, speed_unit : str
        Units, as typed or as found in the heading.
    at : {"motor shaft", "load"}
        Where torque and speed were measured; a load passes each candidate's transmission.
    """

    file: Name
    sha256: Text = ""
    time_column: Name
    torque_column: Name
    speed_column: Name
    time_unit: Name = "s"
    torque_unit: Name = "N·m"
    speed_unit: Name = "rad/s"
    at: Literal["motor shaft", "load"] = "motor shaft"
    smoothing: NotNegative = msgspec.field(name="speed_smoothing_s", default=0.0)
