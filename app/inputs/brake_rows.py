"""What is asked about the holding brake of each candidate."""

from __future__ import annotations

from app.inputs.asked import Asked, CandidateQuestions, PartRow, begun_with, bound_to_part, named
from app.inputs.candidate_figures import BRAKE
from app.inputs.rows import ChoiceRow, QuantityRow
from core.project import part_edits
from core.project.candidate import Candidate
from core.units import DisplayUnits, Kind

TITLE = "Holding brake"
_YES_NO = ((True, "yes"), (False, "no"))


def _has_brake(candidate: Candidate) -> bool:
    return candidate.brake is not None


def _brake(field: str, label: str, kind: Kind, optional: bool = False, absent: str = "") -> Asked:
    row = QuantityRow(("brake", field), label, kind, optional, absent)
    return Asked(row, bound_to_part("brake", field, "the brake"), _has_brake)


def summary(candidate: Candidate, units: DisplayUnits) -> str:
    """Return the brake in a few words."""
    brake = candidate.brake
    if brake is None:
        return "no brake"
    return f"{brake.name}, {units.format_quantity(brake.holding_torque, Kind.TORQUE)}"


QUESTIONS = CandidateQuestions(
    TITLE, "brake", "brake",
    (
        Asked(
            PartRow("brake", "Brake", lambda shelf: shelf.brakes, "none",
                    (("brake, own figures", part_edits.OWN_BRAKE),)),
            remark=begun_with("brake"), wide=True,
        ),
        named("brake", "the brake"),
        _brake("holding_torque", "Holds", Kind.TORQUE),
        _brake("engage_delay", "Until it holds", Kind.TIME),
        _brake("release_delay", "Until released", Kind.TIME),
        _brake("largest_stop_energy", "Stop energy", Kind.ENERGY, True,
               "missing: energy of a stop is not checked"),
        _brake("heat_power", "Gives off", Kind.POWER, True),
        _brake("pull_in_power", "Coil", Kind.POWER),
        _brake("hold_voltage_share", "Voltage held at", Kind.RATIO),
        _brake("pull_in_time", "Full voltage for", Kind.TIME),
        Asked(ChoiceRow(("brake", "on_motor"), "On the motor", _YES_NO),
              bound_to_part("brake", "on_motor", "the brake"), _has_brake),
        _brake("highest_temp", "Stands up to", Kind.TEMPERATURE, True),
        _brake("length", "Adds length", Kind.LENGTH),
        _brake("mass", "Adds mass", Kind.MASS),
        _brake("inertia", "Adds inertia", Kind.INERTIA),
    ),
    summary, BRAKE,
)  # fmt: skip
