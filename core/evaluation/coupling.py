"""How rotor and load hang together: inertia ratio, and the frequencies of a springy coupling."""

from __future__ import annotations

from core.evaluation.duty import DerivedDuty, derived_duty
from core.evaluation.motor_model import motor_model
from core.findings import Finding
from core.physics.resonance import TwoMassFrequencies, two_mass_frequencies
from core.project.application import Application
from core.project.candidate import Candidate
from core.sentences import sentence
from core.units import Kind


def coupling(application: Application, candidate: Candidate) -> TwoMassFrequencies | None:
    """Return resonance, anti-resonance and inertia ratio; None without a load or a coupling stiffness."""
    motor = motor_model(application.site, application.requirements, candidate)
    load = application.load
    derived = derived_duty(load, candidate.transmission)
    if (
        motor is None
        or load is None
        or load.coupling_stiffness is None
        or not isinstance(derived, DerivedDuty)
    ):
        return None
    ratio = derived.gear.ratio
    return two_mass_frequencies(
        motor.inertia + derived.gear.input_inertia,
        float(derived.load.terms.inertia.max()),
        load.coupling_stiffness / ratio**2,
        ratio,
    )


def inertia_ratio(application: Application, candidate: Candidate) -> float | None:
    """Return the load's inertia at the motor over that of rotor and transmission; None where unknown. [-]"""
    motor = motor_model(application.site, application.requirements, candidate)
    derived = derived_duty(application.load, candidate.transmission)
    if motor is None or not isinstance(derived, DerivedDuty) or motor.inertia <= 0.0:
        return None
    own = motor.inertia + derived.gear.input_inertia
    return float(derived.load.terms.inertia.max()) / derived.gear.ratio**2 / own


def coupling_findings(application: Application, candidate: Candidate) -> tuple[Finding, ...]:
    """Return inertia ratio and, where a stiffness is given, resonance and anti-resonance: facts, not laws."""
    if application.duty_from != "load":
        return ()
    ratio = inertia_ratio(application, candidate)
    if ratio is None:
        return ()
    text = sentence(
        "The load's inertia at the motor is {ratio} times that of rotor and transmission.",
        ratio=(ratio, Kind.NUMBER),
    )
    findings = [Finding("inertia_ratio", "note", text, {"inertia_ratio": ratio})]
    spring = coupling(application, candidate)
    if spring is not None:
        text = sentence(
            "With the given coupling stiffness the load swings against a standing motor at {low}, both swing "
            "against each other at {high}. A control loop without filters stays well below the lower one.",
            low=(spring.anti_resonance, Kind.FREQUENCY),
            high=(spring.resonance, Kind.FREQUENCY),
        )
        values = {"anti_resonance_Hz": spring.anti_resonance, "resonance_Hz": spring.resonance}
        findings.append(Finding("coupling_resonance", "note", text, values))
    return tuple(findings)
