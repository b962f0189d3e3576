"""Changes of what is fitted around a motor: parts picked or taken off, their figures, cables, forces.

As in `edits`: project in, new project out. What does not fit the variant is a finding of the result; here
nothing is taken off for it.
"""

from __future__ import annotations

import math
from typing import Any, Literal

from msgspec.structs import replace

from core.errors import InputRangeError, ProjectFileError
from core.physics.commutation import phase_rms_current
from core.physics.conventions import Commutation
from core.project.edits import change_application_part, change_candidate
from core.project.feedback import Encoder, HallSensors, Sensorless
from core.project.fittings import Cable, HoldingBrake, ShaftForce
from core.project.project import Project
from core.project.saved import Saved
from core.project.transmission import Transmission

Part = Literal["drive", "feedback", "brake", "transmission"]
CableWay = Literal["none", "section", "gauge"]

# What a part of one's own begins with: figures to be replaced, common practice, no source.
OWN_HALL_SENSORS = HallSensors(name="Hall sensors of one's own", edge_error=math.radians(4.0))
OWN_ENCODER = Encoder(name="encoder of one's own", counts=4096)
OWN_SENSORLESS = Sensorless(name="no sensor, own figures")
OWN_BRAKE = HoldingBrake(name="brake of one's own", holding_torque=0.2)
OWN_TRANSMISSION = Transmission()
BEGUN_WITH: tuple[Saved, ...] = (OWN_HALL_SENSORS, OWN_ENCODER, OWN_SENSORLESS, OWN_BRAKE)

FIRST_CABLE = Cable(length=1.0, section=0.5)
FIRST_GAUGE = 20


def take_part(project: Project, index: int, part: Part, value: Saved | None) -> Project:
    """Return the project with another part at a candidate, or None where there may be none."""
    return change_candidate(project, index, **{part: value})


def change_part(project: Project, index: int, part: Part, /, **fields: Any) -> Project:
    """Return the project with figures of one part of a candidate replaced.

    Raises
    ------
    ProjectFileError
        If the candidate has no such part.
    """
    old = getattr(project.candidates[index], part)
    if old is None:
        raise ProjectFileError(part, f"this candidate has no {part}: pick one first")
    return change_candidate(project, index, **{part: replace(old, **fields)})


def change_shaft_force(project: Project, index: int, /, **fields: Any) -> Project:
    """Return the project with what pulls at a candidate's shaft changed; no force at all is None again."""
    old = project.candidates[index].shaft_force or ShaftForce()
    new = replace(old, **fields)
    return change_candidate(project, index, shaft_force=None if new == ShaftForce() else new)


def cable_way(cable: Cable | None) -> CableWay:
    """Return how a cable is given."""
    if cable is None:
        return "none"
    return "section" if cable.section is not None else "gauge"


def cable_in_way(cable: Cable | None, way: CableWay) -> Cable | None:
    """Return a cable given in another way; its length stays, its conductors are those to begin with."""
    if way == cable_way(cable):
        return cable
    if way == "none":
        return None
    known = cable or FIRST_CABLE
    if way == "section":
        return replace(known, section=FIRST_CABLE.section, gauge=None)
    return replace(known, section=None, gauge=FIRST_GAUGE)


def wire_motor(project: Project, index: int, way: CableWay) -> Project:
    """Return the project with the motor's cable given in a way; "none" is a resistance as stated.

    Cable and stated resistance exclude each other, so both change in one step.
    """
    candidate = project.candidates[index]
    cable = cable_in_way(candidate.cable, way)
    resistance = candidate.lead_resistance if cable is None else 0.0
    return change_candidate(project, index, cable=cable, lead_resistance=resistance)


def change_motor_cable(project: Project, index: int, /, **fields: Any) -> Project:
    """Return the project with figures of a candidate's motor cable replaced."""
    return change_candidate(project, index, cable=_changed(project.candidates[index].cable, fields))


def wire_supply(project: Project, way: CableWay) -> Project:
    """Return the project with the cable to the supply given in a way."""
    cable = cable_in_way(project.application.supply.cable, way)
    return change_application_part(project, ("supply", "cable"), cable)


def change_supply_cable(project: Project, **fields: Any) -> Project:
    """Return the project with figures of the cable to the supply replaced."""
    cable = _changed(project.application.supply.cable, fields)
    return change_application_part(project, ("supply", "cable"), cable)


def stated_current(amplitude: float, commutation: Commutation, as_rms: bool) -> float:
    """Return a current of the electronics as it is stated: the amplitude, or the rms value in one lead. [A]

    Examples
    --------
    >>> round(stated_current(8.0, "sinusoidal", as_rms=True), 4)  # 8 / sqrt(2)
    5.6569
    """
    return float(phase_rms_current(commutation, amplitude)) if as_rms else amplitude


def current_amplitude(stated: float, commutation: Commutation, as_rms: bool) -> float:
    """Return the amplitude of a current that is stated as `stated_current` says. [A]

    Examples
    --------
    >>> round(current_amplitude(8.0, "six-step", as_rms=True), 4)  # 8 / sqrt(2/3)
    9.798
    """
    return stated / float(phase_rms_current(commutation, 1.0)) if as_rms else stated


def whole_number(name: str, value: float) -> int:
    """Return a typed number as a count; `InputRangeError` where it has a fraction.

    Examples
    --------
    >>> whole_number("counts", 4096.0)
    4096
    """
    if value != int(value):
        raise InputRangeError(name, value, "", "a whole number")
    return int(value)


def _changed(cable: Cable | None, fields: dict[str, Any]) -> Cable:
    if cable is None:
        raise ProjectFileError("cable", "there is no cable: choose how it is given first")
    return replace(cable, **fields)
