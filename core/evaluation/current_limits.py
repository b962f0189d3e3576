"""What a winding's current may do at most: saturation of the iron, demagnetisation of the magnets."""

from __future__ import annotations

from core.errors import InputRangeError
from core.findings import Finding
from core.physics.machine_constants import MachineConstants, torque_constant
from core.physics.peak_limits import (
    DemagnetisationLimit,
    SaturationLaw,
    demagnetisation_current,
    saturation_from_point,
)
from core.project.motor import Winding

ROUNDING = 1.02  # how far a printed torque may be above that of the linear machine, as parts are checked


def saturation_of(
    winding: Winding, constants: MachineConstants
) -> tuple[SaturationLaw | None, tuple[Finding, ...]]:
    """Return the saturation law of a winding, None where its data do not tell one.

    The currents of a winding are those of six-step commutation, and so is the constant of the law; the same
    amplitude of a sinusoidal current makes the same field.
    """
    linear, current, torque = winding.linear_current, winding.saturated_current, winding.saturated_torque
    if linear is None or current is None or torque is None:
        return None, ()
    constant = torque_constant(constants, "six-step")
    if constant * current < torque <= ROUNDING * constant * current:
        torque = constant * current
    try:
        return saturation_from_point(constant, linear, current, torque), ()
    except InputRangeError as error:
        text = f"The saturation of the winding contradicts its constants and is not used: {error}."
        return None, (Finding("saturation_refused", "serious", text),)


def peak_current_of(winding: Winding, cold_magnets: float, hot_magnets: float) -> tuple[float | None, str]:
    """Return the motor's own current limit from cold to hot magnets [degC], and what it is."""
    limits = [
        (current, words)
        for current, words in (
            (winding.peak_current, "peak current of the motor"),
            (
                weakening_of_magnets(winding, cold_magnets, hot_magnets),
                "demagnetisation current of the magnets",
            ),
        )
        if current is not None
    ]
    return min(limits) if limits else (None, "")


def demagnetisation_line(winding: Winding) -> DemagnetisationLimit | None:
    """Return the line through both demagnetisation currents; None where only one point is given."""
    first, second = winding.demagnetisation_current, winding.second_demagnetisation_current
    at_first, at_second = winding.demagnetisation_temp, winding.second_demagnetisation_temp
    if first is None or second is None or at_first is None or at_second is None or at_first == at_second:
        return None
    return DemagnetisationLimit(at_first, first, at_second, second)


def weakening_of_magnets(winding: Winding, cold_magnets: float, hot_magnets: float) -> float | None:
    """Return the current that weakens magnets for good in a range of temperatures [degC], None where unknown.

    Rare-earth magnets bear least hot, ferrite cold. A single point is taken as it stands.
    """
    line = demagnetisation_line(winding)
    if line is None:
        return winding.demagnetisation_current
    return min(float(demagnetisation_current(line, temp)) for temp in (cold_magnets, hot_magnets))
