"""What the mounting does to the continuous torque: on the plate of the data sheet, as here, on nothing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec.structs import replace

from core.evaluation.brake_coil import coil_power, with_coil
from core.evaluation.comparison_rows import ComparisonRow, number_row
from core.evaluation.heat_model import NoHeatModel, heat_model
from core.evaluation.lasting_torque import lasting_torque
from core.evaluation.motor_model import motor_of
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.mounting import Mounting
from core.results import CandidateResult, Result
from core.units import Kind

GROUP = "Continuous torque by mounting, at the shaft"
NOT_APPLIED = ("mounting_not_applied", "plate_contradicts_data_sheet")
_WITHOUT_DUTY = "no duty cycle"


def mounting_rows(
    result: Result, found: Sequence[CandidateResult], chosen: Sequence[Candidate]
) -> list[ComparisonRow]:
    """Return the continuous torque of each candidate at its mean speed, for three mountings.

    All else is as it is. Nobody is ahead: behind different gears the shafts turn at different speeds.
    """
    application = result.project.application
    mountings = (
        ("as stated", "On the plate of its data sheet", Mounting()),
        ("here", "Mounted as here", application.site.mounting),
        ("insulated", "On nothing that takes heat", Mounting(insulated=True)),
    )
    rows = []
    for code, label, mounting in mountings:
        on = replace(application, site=replace(application.site, mounting=mounting))
        cells = [_torque(on, one, candidate) for one, candidate in zip(found, chosen, strict=True)]
        values = [cell if isinstance(cell, float) else None for cell in cells]
        why = [cell if isinstance(cell, str) else "" for cell in cells]
        rows.append(
            number_row(
                GROUP, f"torque mounted {code}", label, Kind.TORQUE, values, 0, "at its mean speed", why
            )
        )
    return rows


def _torque(application: Application, found: CandidateResult, chosen: Candidate) -> float | str:
    """Return the continuous torque at the mean speed [N m], or why there is none."""
    motor = motor_of(application, chosen)
    if motor is None or found.rms is None:
        return _WITHOUT_DUTY if motor is not None else "no motor"
    coil = coil_power(application, chosen)
    heat = with_coil(heat_model(application.site, motor), coil, motor.variant.kind)
    if isinstance(heat, NoHeatModel):
        return heat.why
    if any(finding.code in NOT_APPLIED for finding in heat.findings):
        return "not known: the mounting cannot be applied"
    if not np.isfinite(heat.limit[heat.network.winding]):
        return "no limit of the winding"
    return float(lasting_torque(heat, motor, np.array([found.rms.speed])).motoring[0])
