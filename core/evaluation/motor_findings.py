"""What the data of a motor leave open: limits that are missing, and what is not counted."""

from __future__ import annotations

from core.evaluation.current_limits import demagnetisation_line
from core.findings import Finding
from core.physics.machine_constants import MachineConstants
from core.project.motor import Motor, Winding
from core.sentences import sentence
from core.units import Kind


def motor_findings(
    motor: Motor,
    winding: Winding,
    constants: MachineConstants,
    winding_limit: float | None,
    hot_winding: float,
    hot_magnets: float,
    pwm_frequency: float | None = None,
) -> tuple[Finding, ...]:
    """Return what is unknown or assumed of a motor; temperatures are the hot ones of its model [degC].

    `pwm_frequency` [Hz] is that of the electronics, without which the ripple of the current is not counted.
    """
    return (
        *_unknown_limits(motor, winding_limit, hot_winding),
        *_demagnetisation(winding, hot_magnets),
        *_sensor_in_the_winding(motor, winding_limit),
        *(() if pwm_frequency is not None else (_ripple(constants),)),
    )


def _unknown_limits(motor: Motor, winding_limit: float | None, hot_winding: float) -> tuple[Finding, ...]:
    found = []
    if winding_limit is None:
        text = sentence(
            "Neither thermal class nor limit of the winding is given: no torque limit by heat is known, and "
            "the voltage is checked with a winding of {hot} only.",
            hot=(hot_winding, Kind.TEMPERATURE),
        )
        found.append(Finding("winding_limit_unknown", "warning", text, {"hot_winding_degC": hot_winding}))
    if motor.magnet_limit is None:
        text = sentence(
            "No temperature limit of the magnets is given: they do not limit anything here. For current and "
            "voltage they are taken to become as hot as the winding may, {hot}.",
            hot=(hot_winding, Kind.TEMPERATURE),
        )
        found.append(Finding("magnet_limit_unknown", "warning", text, {"hot_magnets_degC": hot_winding}))
    return tuple(found)


def _demagnetisation(winding: Winding, hot_magnets: float) -> tuple[Finding, ...]:
    """Return a finding where the magnets may be hotter than what their current limit was stated for."""
    if winding.demagnetisation_current is None or demagnetisation_line(winding) is not None:
        return ()
    stated = winding.demagnetisation_temp
    if stated is None:
        text = sentence(
            "The demagnetisation current is given without a temperature: it is assumed to hold at {hot}.",
            hot=(hot_magnets, Kind.TEMPERATURE),
        )
        return (Finding("demagnetisation_temp_assumed", "assumed", text, {"hot_magnets_degC": hot_magnets}),)
    if stated >= hot_magnets:
        return ()
    text = sentence(
        "The demagnetisation current holds for magnets of {stated}; here they may reach {hot}, where less "
        "current weakens them for good. It is used as stated.",
        stated=(stated, Kind.TEMPERATURE),
        hot=(hot_magnets, Kind.TEMPERATURE),
    )
    numbers = {"stated_degC": stated, "hot_magnets_degC": hot_magnets}
    return (Finding("demagnetisation_at_lower_temp", "warning", text, numbers),)


def _sensor_in_the_winding(motor: Motor, winding_limit: float | None) -> tuple[Finding, ...]:
    """Return a finding where a sensor in the winding is easily thought to protect the magnets too."""
    if winding_limit is None or motor.magnet_limit is None or motor.magnet_limit >= winding_limit:
        return ()
    text = sentence(
        "The magnets stand {magnets}, the winding {winding}: a sensor in the winding that trips at its limit "
        "does not protect the magnets. Magnets that lost flux still turn freely; a lower back-EMF at the "
        "same temperature shows it.",
        magnets=(motor.magnet_limit, Kind.TEMPERATURE),
        winding=(winding_limit, Kind.TEMPERATURE),
    )
    numbers = {"magnet_limit_degC": motor.magnet_limit, "winding_limit_degC": winding_limit}
    return (Finding("winding_sensor_not_for_magnets", "note", text, numbers),)


def _ripple(constants: MachineConstants) -> Finding:
    text = sentence(
        "The ripple of the current is not counted: no switching frequency is known. With {inductance} line "
        "to line it can heat the winding even without load.",
        inductance=(constants.inductance, Kind.INDUCTANCE),
    )
    return Finding("current_ripple_not_counted", "assumed", text, {"inductance_H": constants.inductance})
