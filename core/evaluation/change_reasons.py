"""Why a single change gains nothing, or what governs once it is made: sentences with their numbers."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from core.evaluation.duty import duty_trace
from core.evaluation.motor_model import motor_model
from core.evaluation.peak_doubt import peak_half_width
from core.evaluation.single_changes import Proposal, Subject
from core.evaluation.torque_ratio import torque_ratio
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.project import Project
from core.records import dataclass
from core.results import CandidateResult, Margin, Result
from core.sentences import Sentence, joined, sentence
from core.units import Kind

NOTABLE: Final = 2e-3
"""A gain of margin below this is none: figures of a data sheet are rounded more coarsely."""

SAME_MOTOR_CONSTANT: Final = 0.01
"""Windings whose motor constants differ by less are the same copper: what is left is rounding."""

_HEAT: Final = ("torque_reserve", "winding_temperature", "magnet_temperature", "outside_temperature")
_WITHOUT_EFFECT: Final[dict[Subject, tuple[str, ...]]] = {
    "mounting": ("mounting_not_applied", "plate_contradicts_data_sheet"),
    "ratio": ("transmission_not_used",),
}


@dataclass(frozen=True, slots=True)
class Comparison:
    """A candidate before and after a change; `gained` is the growth of its smallest margin minus target."""

    proposal: Proposal
    application: Application
    candidate: Candidate
    before: CandidateResult
    after: CandidateResult
    gained: float | None

    @property
    def heat_governs(self) -> bool:
        """Whether heat governs before and after."""
        both = (self.before.governing, self.after.governing)
        return all(margin is not None and margin.criterion in _HEAT for margin in both)


def barrier(result: CandidateResult) -> Margin | None:
    """Return what rules a candidate out, or is missed beyond any number."""
    return next(
        (
            margin
            for margin in result.margins
            if margin.status == "excluded"
            or (margin.status == "missed" and margin.margin is None and not margin.told_by)
        ),
        None,
    )


def reason_of(of: Comparison) -> str | Sentence:
    """Return why nothing is gained, or what governs after the change; empty where it simply helps."""
    without = _no_effect(of)
    if without:
        return without
    why = _ruled_out(of) or left_open(of) or _own_reason(of) or _what_governs(of)
    carried = _carried(of)
    if not carried or not why:
        return why or carried
    return joined(carried, "; ", why)


def _carried(of: Comparison) -> str | Sentence:
    """Return what another mounting does to the continuous torque at the mean speed, else nothing."""
    rms, was, now = of.before.rms, of.before.curves, of.after.curves
    if of.proposal.subject != "mounting" or rms is None or was is None or now is None:
        return ""
    if was.continuous is None or now.continuous is None:
        return ""
    old, new = (
        float(np.interp(rms.speed, curves.speed, curve))
        for curves, curve in ((was, was.continuous), (now, now.continuous))
    )
    return sentence(
        "continuous torque {new} at {speed} in the mean, {old} as it is",
        new=(new, Kind.TORQUE),
        speed=(rms.speed, Kind.SPEED),
        old=(old, Kind.TORQUE),
    )


def _no_effect(of: Comparison) -> str | Sentence:
    """Return what the evaluation says of a change that it cannot apply."""
    codes = _WITHOUT_EFFECT.get(of.proposal.subject, ())
    return next((finding.text for finding in of.after.findings if finding.code in codes), "")


def _ruled_out(of: Comparison) -> str | Sentence:
    now, was = barrier(of.after), barrier(of.before)
    if now is None:
        return "" if was is None else f"no longer ruled out: {was.label.lower()}"
    words = "ruled out" if now.status == "excluded" else "missed beyond any number"
    if was is not None and was.criterion == now.criterion:
        return f"still {words}: {now.label.lower()}"
    return _led_by(f"{words}: {now.label.lower()}, ", now.why or now.where)


def left_open(of: Comparison) -> str | Sentence:
    """Return between which shares of torque the doubt about the heat of two variants leaves open who leads.

    Empty where one of them leads beyond doubt, or where heat does not govern.
    """
    changed, rms = of.proposal.candidate, of.after.rms
    if of.proposal.subject != "variant" or changed is None or rms is None or not of.heat_governs:
        return ""
    pair = Result(
        project=Project(application=of.application, candidates=(of.candidate, changed)),
        duty=duty_trace(()),
        candidates=(replace(of.before, index=0), replace(of.after, index=1)),
        chosen=0,
    )
    ratio = torque_ratio(pair, 1, 0)
    found = None if ratio is None else ratio.at(rms.speed)
    if ratio is None or found is None or not ratio.open_at(rms.speed):
        return ""
    _, low, high = found
    return sentence(
        "the band leaves it open: {low} to {high} of the continuous torque, at {speed} in the mean",
        low=(low or 0.0, Kind.RATIO),
        high=(high or 0.0, Kind.RATIO),
        speed=(rms.speed, Kind.SPEED),
    )


def peaks_open(of: Comparison) -> bool:
    """Return whether the doubt about the heat of two variants leaves open whose winding is warmer."""
    was, now, changed = winding_peak(of.before), winding_peak(of.after), of.proposal.candidate
    if of.proposal.subject != "variant" or was is None or now is None or changed is None:
        return False
    width = peak_half_width("winding", of.before, of.after, (of.candidate, changed))
    return width is not None and 0.0 < abs(now - was) <= width


def _led_by(words: str, text: str | Sentence) -> str | Sentence:
    return words + text if isinstance(text, str) else Sentence(words + text.template, text.values)


def _own_reason(of: Comparison) -> str | Sentence:
    """Return the reason that belongs to the kind of change, where heat governs and it does not help."""
    if not of.heat_governs or of.gained is None or of.gained > NOTABLE:
        return ""
    subject = of.proposal.subject
    if subject == "winding":
        return _rewound(of)
    if subject == "current":
        return _other_current(of)
    if subject == "variant":
        return _other_variant(of)
    if subject == "moves":
        words = "weight and friction act for longer, which outweighs the lower acceleration"
        return _more_torque(of, words)
    return _more_torque(of, "more torque of the motor") if subject == "ratio" else ""


def _rewound(of: Comparison) -> str | Sentence:
    was, now = of.before.constants, of.after.constants
    if was is None or now is None:
        return ""
    if abs(now.motor_constant / was.motor_constant - 1.0) > SAME_MOTOR_CONSTANT:
        return sentence(
            "motor constant {now} instead of {was}: not the same copper in the slots",
            now=(now.motor_constant, Kind.MOTOR_CONSTANT),
            was=(was.motor_constant, Kind.MOTOR_CONSTANT),
        )
    return sentence(
        "a rewinding gains no heat: the motor constant, {constant}, is that of the frame; a winding only "
        "trades voltage for current",
        constant=(now.motor_constant, Kind.MOTOR_CONSTANT),
    )


def _other_current(of: Comparison) -> str | Sentence:
    site, requirements = of.application.site, of.application.requirements
    now = motor_model(site, requirements, of.candidate)
    then = None if of.proposal.candidate is None else motor_model(site, requirements, of.proposal.candidate)
    if now is None or then is None:
        return ""
    return sentence(
        f"the current is {of.candidate.commutation} already; {then.commutation} current takes {{times}} "
        "times the copper loss for the same torque",
        times=(then.copper_per_torque_squared / now.copper_per_torque_squared, Kind.NUMBER),
    )


def _other_variant(of: Comparison) -> str | Sentence:
    was, now = winding_peak(of.before), winding_peak(of.after)
    if was is None or now is None or now <= was or of.after.rms is None:
        return ""
    words = (
        "its own airflow does not make up for what the housing gives off"
        if of.proposal.candidate is not None and of.proposal.candidate.variant == "open rotor"
        else "the airflow of the open rotor is missing"
    )
    doubt = ", which is within the uncertainty" if peaks_open(of) else ""
    return sentence(
        words + ", at {speed} in the mean: winding {was} → {now}" + doubt,
        speed=(of.after.rms.speed, Kind.SPEED),
        was=(was, Kind.TEMPERATURE),
        now=(now, Kind.TEMPERATURE),
    )


def _more_torque(of: Comparison, words: str) -> str | Sentence:
    was, now = of.before.rms, of.after.rms
    if was is None or now is None or now.torque <= was.torque:
        return ""
    return sentence(
        words + ": RMS torque {was} → {now}",
        was=(was.torque, Kind.TORQUE),
        now=(now.torque, Kind.TORQUE),
    )


def _what_governs(of: Comparison) -> str | Sentence:
    """Return which criterion keeps the gain small or takes it away."""
    was, now = of.before.governing, of.after.governing
    if was is None or now is None or of.gained is None:
        return "nothing that could be gained has a number"
    label = now.label.lower()
    if was.criterion != now.criterion:
        return _margins_in(f"then {label} governs: margin {{after}}, target {{target}}", now)
    if of.gained > NOTABLE:
        return ""
    if of.gained > -NOTABLE:
        return f"{label} governs and is not touched by it"
    return _margins_in(f"{label}: margin {{before}} → {{after}}", now, was)


def _margins_in(template: str, after: Margin, before: Margin | None = None) -> Sentence:
    numbers = {"after": after.margin, "target": after.target}
    if before is not None:
        numbers["before"] = before.margin
    return sentence(
        template,
        **{name: (value, Kind.RATIO) for name, value in numbers.items() if value is not None},
    )


def winding_peak(result: CandidateResult) -> float | None:
    """Return the peak temperature of the winding, None where there is no repeating state. [degC]"""
    return next((peak.temp for peak in result.peaks if peak.role == "winding"), None)
