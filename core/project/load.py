"""What moves and how, from which the duty at the motor shaft is derived."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from core.errors import ProjectFileError
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


class TraceColumnChoice(Saved, frozen=True, kw_only=True):
    """Which column of a trace file holds a quantity (counted from 0), and in which unit."""

    number: Annotated[int, Meta(ge=0, le=10_000)]
    unit: Name
    heading: Text = ""


class TraceSource(Saved, frozen=True, kw_only=True):
    """A measured signal in a file beside the project, with the columns taken from it.

    Parameters
    ----------
    file : str
        Name of the file in the folder of the project; never a path to elsewhere.
    sha256 : str
        Fingerprint of the file that was imported, so that another one is noticed.
    at : {"motor shaft", "load"}
        Where torque and speed were measured; a load passes each candidate's transmission.
    contains_rotor : bool
        Whether a torque measured at the motor shaft already contains what the rotor takes.
    smoothed_over : int
        Number of intervals over which the acceleration is averaged; 1 takes it as measured.
    """

    file: Name
    sha256: Text = ""
    time: TraceColumnChoice
    torque: TraceColumnChoice
    speed: TraceColumnChoice
    at: Literal["motor shaft", "load"] = "motor shaft"
    contains_rotor: bool = False
    smoothed_over: Annotated[int, Meta(ge=1, le=100_000)] = 1

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.file in (".", "..") or any(mark in self.file for mark in "/\\:\0"):
            raise ProjectFileError(
                "file", "must be the plain name of a file beside the project", self.file, True
            )
