"""What a result file says about the ripple of the current and about the windings of the frame."""

from __future__ import annotations

import math
from typing import Annotated

import msgspec
from msgspec import Meta

from core.result_entry import Entry, Reasons, finite
from core.results import CandidateResult
from core.ripple_results import Ripple
from core.sentences import as_text
from core.units import DisplayUnits
from core.winding_results import WindingFit


class RippleEntry(Entry, frozen=True, kw_only=True):
    """The ripple of the current at the highest supply voltage, as in `core.ripple_results.Ripple`."""

    peak_to_peak: float = msgspec.field(name="peak_to_peak_A")
    rms: float = msgspec.field(name="rms_A")
    frequency: float = msgspec.field(name="frequency_Hz")
    inductance: float = msgspec.field(name="inductance_H")
    time_constant: float = msgspec.field(name="time_constant_s")
    continuous_current: float | None = msgspec.field(name="continuous_current_A")
    share: Annotated[float | None, Meta(description="peak-to-peak over the continuous current")]
    loss: float | None = msgspec.field(name="loss_W")
    winding_rise: float | None = msgspec.field(name="winding_rise_K")
    choke: Annotated[float | None, Meta(description="in each lead, to bring the ripple under its target")] = (
        msgspec.field(name="choke_H")
    )
    why_null: Reasons


class WindingEntry(Entry, frozen=True, kw_only=True):
    """One winding of the frame against the cycle; `fits` is null where a limit is missing."""

    name: str
    chosen: bool
    back_emf_constant: float = msgspec.field(name="back_emf_constant_V_s_rad")
    resistance: float = msgspec.field(name="resistance_ohm")
    voltage_share: Annotated[float | None, Meta(description="of the available voltage; null where endless")]
    case: str
    segment: int
    peak_current: float | None = msgspec.field(name="peak_current_A")
    lasting_current: float | None = msgspec.field(name="lasting_current_A")
    fits: bool | None
    reason: str
    why_null: Reasons


class WindingStudyEntry(Entry, frozen=True, kw_only=True):
    """All windings of the frame at the lowest voltage, the fastest first; without their curves."""

    voltage: float = msgspec.field(name="voltage_V")
    tolerance: float
    fastest: Annotated[str | None, Meta(description="lowest back-EMF of those that fit")]
    fewest_turns: Annotated[float | None, Meta(description="over those of the chosen winding")]
    most_turns: Annotated[float | None, Meta(description="over those of the chosen winding")]
    windings: tuple[WindingEntry, ...]
    findings: tuple[str, ...]
    why_null: Reasons


def ripple_entry(candidate: CandidateResult) -> RippleEntry | None:
    """Return the ripple of a candidate, None where its electronics do not say how they switch."""
    ripple = candidate.ripple
    if ripple is None:
        return None
    return RippleEntry(
        peak_to_peak=ripple.peak_to_peak,
        rms=ripple.rms,
        frequency=ripple.frequency,
        inductance=ripple.inductance,
        time_constant=ripple.time_constant,
        continuous_current=ripple.continuous_current,
        share=finite(ripple.share),
        loss=ripple.loss,
        winding_rise=finite(ripple.winding_rise),
        choke=finite(ripple.choke),
        why_null=_why_null(ripple),
    )


def _why_null(ripple: Ripple) -> dict[str, str]:
    numbers = {
        "continuous_current_A": (ripple.continuous_current, "no continuous current is known"),
        "share": (ripple.share, "no continuous current is left to compare with"),
        "loss_W": (ripple.loss, "no temperatures of a repeating cycle"),
        "winding_rise_K": (ripple.winding_rise, "no temperatures of a repeating cycle"),
        "choke_H": (ripple.choke, "no ripple is small enough for its target"),
    }
    return {name: why for name, (value, why) in numbers.items() if finite(value) is None}


def winding_study_entry(candidate: CandidateResult, units: DisplayUnits) -> WindingStudyEntry | None:
    """Return the study of all windings of a candidate's frame, None where none could be made."""
    study = candidate.winding_study
    if study is None:
        return None
    numbers = {"voltage_V": study.voltage, "fewest_turns": study.fewest_turns, "most_turns": study.most_turns}
    return WindingStudyEntry(
        voltage=study.voltage,
        tolerance=study.tolerance,
        fastest=study.fastest,
        fewest_turns=finite(study.fewest_turns),
        most_turns=finite(study.most_turns),
        windings=tuple(_winding(winding, units) for winding in study.windings),
        findings=tuple(as_text(finding.text, units) for finding in study.findings),
        why_null=_endless(numbers, "no number of turns is the limit"),
    )


def _winding(winding: WindingFit, units: DisplayUnits) -> WindingEntry:
    numbers = {
        "voltage_share": winding.voltage_share,
        "peak_current_A": winding.peak_current,
        "lasting_current_A": winding.lasting_current,
    }
    reason = as_text(winding.reason, units)
    return WindingEntry(
        name=winding.name,
        chosen=winding.chosen,
        back_emf_constant=winding.back_emf_constant,
        resistance=winding.resistance,
        voltage_share=finite(winding.voltage_share),
        case=winding.case,
        segment=winding.segment,
        peak_current=finite(winding.peak_current),
        lasting_current=finite(winding.lasting_current),
        fits=winding.fits,
        reason=reason,
        why_null=_endless(numbers, reason),
    )


def _endless(numbers: dict[str, float], why: str) -> dict[str, str]:
    return {name: f"infinite: {why}" for name, value in numbers.items() if not math.isfinite(value)}
