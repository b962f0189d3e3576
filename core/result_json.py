"""The result as a file for programs: `{"format": "ampturn result", "version": 1, "candidates": [...]}`.

Numbers are in SI, their unit in the key or, for a margin, in `unit`; sentences are plain text. JSON
has no infinity, so such a value is null and `why_null` says why, keyed by the name of the value.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping, Sequence
from typing import Annotated, Any, TypeVar

import msgspec
from msgspec import Meta

from core.findings import Severity
from core.project.schema import json_schema
from core.result_entry import Entry, Reasons, finite
from core.result_feedback import FeedbackEntry, feedback_entries
from core.result_shaft import FaultTableEntry, ShaftLoadEntry, fault_table_entry, shaft_load_entry
from core.result_supply import SupplyEntry, supply_entry
from core.result_winding import RippleEntry, WindingStudyEntry, ripple_entry, winding_study_entry
from core.results import CandidateResult, Margin, Result, Status
from core.sentences import DEFAULT_UNITS, as_text
from core.units import DisplayUnits

RESULT_FORMAT = "ampturn result"
RESULT_VERSION = 1

_SegmentIndex = Annotated[
    int | None, Meta(description="segment of the duty, from 0; null for the whole cycle")
]
_Values = Annotated[
    dict[str, float | None], Meta(description="numbers in SI, the unit in the key; null where infinite")
]


_EntryType = TypeVar("_EntryType", bound=Entry)


class MarginEntry(Entry, frozen=True, kw_only=True):
    """One criterion; demand, limit and target margin as in `core.results.Margin`."""

    criterion: str
    label: str
    status: Status
    required: bool
    demand: float | None
    limit: float | None
    unit: str
    utilisation: float | None
    margin: float | None
    target: float
    where: str
    why: str
    equation: str
    segment: _SegmentIndex
    instant_s: float | None
    why_null: Reasons


class FindingEntry(Entry, frozen=True, kw_only=True):
    """Something the evaluation noticed."""

    code: str
    severity: Severity
    text: str
    values: _Values
    segment: _SegmentIndex


class CautionEntry(Entry, frozen=True, kw_only=True):
    """Something that can hurt someone."""

    code: str
    title: str
    text: str
    values: _Values


class TemperatureEntry(Entry, frozen=True, kw_only=True):
    """Peaks in the repeating state; the winding's includes the hot-spot allowance."""

    winding_peak_degC: float | None  # noqa: N815 - the key of the file, with its unit
    magnet_peak_degC: float | None  # noqa: N815
    housing_peak_degC: float | None  # noqa: N815


class LossEntry(Entry, frozen=True, kw_only=True, rename=lambda name: f"{name}_W"):
    """Mean losses over the cycle by cause."""

    copper: float
    core_and_bearing: float
    windage: float
    leads_and_switches: float
    idle: float


class ConstantsEntry(Entry, frozen=True, kw_only=True):
    """The canonical machine constants: back-EMF peak line-to-line, torque constant of the commutation."""

    back_emf_constant: float = msgspec.field(name="back_emf_constant_V_s_rad")
    torque_constant: float = msgspec.field(name="torque_constant_Nm_A")
    resistance: float = msgspec.field(name="resistance_ohm")
    inductance: float = msgspec.field(name="inductance_H")
    motor_constant: float = msgspec.field(name="motor_constant_Nm_sqrt_W")


class CandidateEntry(Entry, frozen=True, kw_only=True):
    """Everything about one candidate except its curves."""

    name: str
    chosen: bool
    governing: Annotated[str | None, Meta(description="criterion with the smallest margin minus target")]
    margins: tuple[MarginEntry, ...]
    findings: tuple[FindingEntry, ...]
    cautions: tuple[CautionEntry, ...]
    missing: tuple[str, ...]
    temperatures: TemperatureEntry
    torque_reserve: float | None
    rms_torque: float | None = msgspec.field(name="rms_torque_Nm")
    rms_speed: float | None = msgspec.field(name="rms_speed_rad_s")
    rms_valid: bool | None
    rms_statement: str
    settled_after: float | None = msgspec.field(name="settled_after_s")
    losses: LossEntry | None
    supply: SupplyEntry | None
    feedback: tuple[FeedbackEntry, ...]
    ripple: RippleEntry | None
    winding_study: WindingStudyEntry | None
    shaft_load: ShaftLoadEntry | None
    faults: FaultTableEntry | None
    constants: ConstantsEntry | None
    why_null: Reasons


class ResultFile(Entry, frozen=True, kw_only=True):
    """What `ampturn evaluate --json` prints."""

    format: str = RESULT_FORMAT
    version: int = RESULT_VERSION
    title: str
    candidates: tuple[CandidateEntry, ...]


def encode_result(
    result: Result, candidates: Sequence[CandidateResult], units: DisplayUnits = DEFAULT_UNITS
) -> bytes:
    """Return the JSON text of some candidates of a result; `units` are those of the sentences."""
    return msgspec.json.format(msgspec.json.encode(result_file(result, candidates, units)), indent=2) + b"\n"


def result_schema() -> dict[str, Any]:
    """Return the JSON Schema of a result file."""
    return json_schema(ResultFile, "Ampturn result")


def result_file(
    result: Result, candidates: Sequence[CandidateResult], units: DisplayUnits = DEFAULT_UNITS
) -> ResultFile:
    """Return some candidates of a result as what stands in the file."""
    return ResultFile(
        title=result.project.application.title,
        candidates=tuple(_candidate(result, candidate, units) for candidate in candidates),
    )


def _candidate(result: Result, candidate: CandidateResult, units: DisplayUnits) -> CandidateEntry:
    rms, heating, reserve = candidate.rms, candidate.heating_up, candidate.torque_reserve
    peaks = {peak.role: peak.temp for peak in candidate.peaks}
    return CandidateEntry(
        name=candidate.name,
        chosen=candidate is result.chosen_candidate,
        governing=candidate.governing.criterion if candidate.governing else None,
        margins=tuple(_margin(margin, units) for margin in candidate.margins),
        findings=_findings(candidate, units),
        cautions=_cautions(candidate, units),
        missing=candidate.missing,
        temperatures=TemperatureEntry(
            winding_peak_degC=peaks.get("winding"),
            magnet_peak_degC=peaks.get("magnets"),
            housing_peak_degC=peaks.get("outside"),
        ),
        torque_reserve=finite(reserve),
        rms_torque=rms.torque if rms else None,
        rms_speed=rms.speed if rms else None,
        rms_valid=rms.valid if rms else None,
        rms_statement=as_text(rms.statement, units) if rms else "",
        settled_after=heating.settled_after if heating else None,
        losses=_same_fields(LossEntry, candidate.losses),
        supply=supply_entry(candidate, units),
        feedback=feedback_entries(candidate, units),
        ripple=ripple_entry(candidate),
        winding_study=winding_study_entry(candidate, units),
        shaft_load=shaft_load_entry(candidate),
        faults=fault_table_entry(candidate, units),
        constants=_same_fields(ConstantsEntry, candidate.constants),
        why_null=_why_null(candidate, units),
    )


def _margin(margin: Margin, units: DisplayUnits) -> MarginEntry:
    why = as_text(margin.why, units)
    numbers = {
        "demand": margin.demand,
        "limit": margin.limit,
        "utilisation": margin.utilisation,
        "margin": margin.margin,
    }
    reason = why or as_text(margin.equation, units)
    infinite = {
        name: f"infinite: {reason}" for name, value in numbers.items() if value is not None and _is_off(value)
    }
    return MarginEntry(
        criterion=margin.criterion,
        label=margin.label,
        status=margin.status,
        required=margin.required,
        demand=finite(margin.demand),
        limit=finite(margin.limit),
        unit=margin.unit,
        utilisation=finite(margin.utilisation),
        margin=finite(margin.margin),
        target=margin.target,
        where=as_text(margin.where, units),
        why=why,
        equation=as_text(margin.equation, units),
        segment=margin.segment,
        instant_s=margin.instant,
        why_null=infinite,
    )


def _findings(candidate: CandidateResult, units: DisplayUnits) -> tuple[FindingEntry, ...]:
    return tuple(
        FindingEntry(
            code=finding.code,
            severity=finding.severity,
            text=as_text(finding.text, units),
            values=_finite_values(finding.values),
            segment=finding.segment,
        )
        for finding in candidate.findings
    )


def _cautions(candidate: CandidateResult, units: DisplayUnits) -> tuple[CautionEntry, ...]:
    return tuple(
        CautionEntry(
            code=caution.code,
            title=caution.title,
            text=as_text(caution.text, units),
            values=_finite_values(caution.values),
        )
        for caution in candidate.cautions
    )


def _why_null(candidate: CandidateResult, units: DisplayUnits) -> dict[str, str]:
    """Return why values of the candidate are null: what is missing, a run-away, or no end to the reserve."""

    def why(criterion: str) -> str:
        margin = candidate.margin(criterion)
        return as_text(margin.why, units) if margin else ""

    missing = f"missing: {', '.join(candidate.missing)}" if candidate.missing else ""
    no_heat = why("winding_temperature") or missing  # a run-away, or thermal data that are not there
    found = {
        key: missing or no_heat
        for key in ("rms", "losses", "supply", "constants", "heating_up")
        if getattr(candidate, key) is None
    }
    reasons = {_NULL_WITH.get(key, key): reason for key, reason in found.items()}
    if candidate.heating_up is not None and candidate.heating_up.settled_after is None:
        reasons["settled_after_s"] = "the cycle does not settle"
    if candidate.torque_reserve is None:
        reasons["torque_reserve"] = why("torque_reserve") or missing
    elif _is_off(candidate.torque_reserve):
        reasons["torque_reserve"] = f"infinite: {why('torque_reserve')}"
    if not candidate.peaks:
        reasons["temperatures"] = no_heat
    return reasons | _why_no_part(candidate, why, missing)


def _why_no_part(candidate: CandidateResult, why: Callable[[str], str], missing: str) -> dict[str, str]:
    """Return why a part of the candidate that has an object of its own is null."""
    parts = (
        ("ripple", candidate.ripple, why("current_ripple")),
        ("winding_study", candidate.winding_study, "missing: a duty cycle or a supply voltage"),
        ("shaft_load", candidate.shaft_load, why("front_bearing_life") or "no forces on the shaft are given"),
        ("faults", candidate.faults, "missing: a duty cycle, or the load does not fit together"),
    )
    return {key: missing or reason for key, value, reason in parts if value is None}


# which key of the file is null where this part of the result is absent
_NULL_WITH = {"rms": "rms_torque_Nm", "heating_up": "settled_after_s"}


def _same_fields(kind: type[_EntryType], value: Any) -> _EntryType | None:
    """Return a computed value as the entry with the same fields."""
    return None if value is None else kind(**dataclasses.asdict(value))


def _is_off(value: float) -> bool:
    return not math.isfinite(value)


def _finite_values(values: Mapping[str, float]) -> dict[str, float | None]:
    return {name: finite(value) for name, value in values.items()}
