"""The shortlist as a file for programs: `{"format": "ampturn shortlist", "version": 1, "best": [...]}`.

Numbers are in SI, their unit in the key or, for what governs, in `unit`; what is unknown or infinite is null.
"""

from __future__ import annotations

import math
from collections import Counter
from typing import Annotated, Any

import msgspec
from msgspec import Meta

from core.project.schema import json_schema
from core.result_entry import Entry
from core.results import Margin, Status
from core.sentences import DEFAULT_UNITS, as_text
from core.shortlist.best import Row, Shortlist
from core.shortlist.chunk_result import STATUSES
from core.shortlist.free_ratio import FreeRatio
from core.shortlist.special_winding import SpecialWinding
from core.units import DisplayUnits

SHORTLIST_FORMAT = "ampturn shortlist"
SHORTLIST_VERSION = 1


class ChoiceEntry(Entry, frozen=True, kw_only=True):
    """The parts of a candidate by their names."""

    motor: str | None
    winding: str | None
    variant: str | None
    commutation: str
    drive: str
    transmission: str | None
    ratio: float | None
    feedback: str | None
    brake: str | None


class GoverningEntry(Entry, frozen=True, kw_only=True):
    """What governs; numbers as in `core.results.Margin`."""

    criterion: str
    label: str
    status: Status
    demand: float | None
    limit: float | None
    unit: str
    margin: float | None
    target: float
    where: str


class ObjectivesEntry(Entry, frozen=True, kw_only=True):
    """What candidates are compared by; the smallest margin is the one above its target."""

    smallest_margin: float | None
    mass: float | None = msgspec.field(name="mass_kg")
    length: float | None = msgspec.field(name="length_m")
    volume: float | None = msgspec.field(name="volume_m3")
    rotor_inertia: float | None = msgspec.field(name="rotor_inertia_kg_m2")
    mean_losses: float | None = msgspec.field(name="mean_losses_W")
    mean_supply_current: float | None = msgspec.field(name="mean_supply_current_A")
    outside_temperature: float | None = msgspec.field(name="outside_temperature_degC")


class RowEntry(Entry, frozen=True, kw_only=True):
    """One of the best candidates."""

    rank: int
    number: Annotated[int, Meta(description="of all combinations of these parts files, from 0")]
    name: str
    choice: ChoiceEntry
    verdict: Status
    why: str
    tie: Annotated[str | None, Meta(description="why it stands behind one with the same smallest margin")]
    governing: GoverningEntry | None
    objectives: ObjectivesEntry
    condition: Annotated[str | None, Meta(description="the worst of several, under which this holds")] = None


class FreeEntry(Entry, frozen=True, kw_only=True):
    """A candidate with turns or ratio of its own, made from a listed one."""

    listed: Annotated[int, Meta(description="number of the listed candidate")]
    name: str
    verdict: Status
    smallest_margin: float | None


class SpecialWindingEntry(FreeEntry, frozen=True, kw_only=True):
    """A winding with turns of its own; verdict and margin are those before turns are made whole."""

    turns_factor: float
    exact_factor: float
    turns_per_coil: int | None
    torque_constant: float = msgspec.field(name="torque_constant_Nm_A")
    met: Annotated[tuple[float, float] | None, Meta(description="where all is met")] = msgspec.field(
        name="met_from_to_Nm_A"
    )


class FreeRatioEntry(FreeEntry, frozen=True, kw_only=True):
    """A ratio of one's own."""

    ratio: float
    met: Annotated[tuple[float, float] | None, Meta(description="where all is met")] = msgspec.field(
        name="met_from_to"
    )


class ShortlistFile(Entry, frozen=True, kw_only=True):
    """What `ampturn shortlist --json` prints."""

    format: str = SHORTLIST_FORMAT
    version: int = SHORTLIST_VERSION
    title: str
    possible: Annotated[int, Meta(description="how many candidates the parts files allow")]
    evaluated: Annotated[int, Meta(description="fewer where the run was cancelled")]
    verdicts: Annotated[dict[str, int], Meta(description="how many candidates have each verdict")]
    refused: Annotated[dict[str, int], Meta(description="how many candidates cannot be evaluated, by reason")]
    out_by: Annotated[dict[str, int], Meta(description="how many candidates are out, by criterion")]
    conditions: Annotated[tuple[str, ...], Meta(description="verdicts hold for the worst of them")] = ()
    looked_at: Annotated[int | None, Meta(description="how many a filter let pass")] = None
    pareto: Annotated[tuple[str, ...], Meta(description="objectives whose Pareto set `best` is from")] = ()
    best: tuple[RowEntry, ...]
    special_windings: tuple[SpecialWindingEntry, ...] = ()
    free_ratios: tuple[FreeRatioEntry, ...] = ()


def encode_shortlist(found: Shortlist, units: DisplayUnits = DEFAULT_UNITS) -> bytes:
    """Return the JSON text of a shortlist; `units` are those of the sentences."""
    return msgspec.json.format(msgspec.json.encode(shortlist_file(found, units)), indent=2) + b"\n"


def shortlist_schema() -> dict[str, Any]:
    """Return the JSON Schema of a shortlist file."""
    return json_schema(ShortlistFile, "Ampturn shortlist")


def shortlist_file(found: Shortlist, units: DisplayUnits = DEFAULT_UNITS) -> ShortlistFile:
    """Return a shortlist as what stands in the file."""
    verdict = found.listing.verdict
    return ShortlistFile(
        title=found.title,
        possible=found.possible,
        evaluated=len(found.listing),
        verdicts={status: int((verdict == place).sum()) for place, status in enumerate(STATUSES)},
        refused=dict(Counter(found.listing.refused.values())),
        out_by=found.listing.losers_by_reason(),
        conditions=()
        if found.study is None
        else tuple(as_text(one.words, units) for one in found.study.conditions),
        looked_at=found.looked_at,
        pareto=found.pareto,
        best=tuple(_row(row, units) for row in found.rows),
        special_windings=tuple(_special(one) for one in found.special_windings),
        free_ratios=tuple(_ratio(one) for one in found.free_ratios),
    )


def _special(one: SpecialWinding) -> SpecialWindingEntry:
    return SpecialWindingEntry(
        listed=one.number,
        name=one.candidate.name,
        verdict=one.best.verdict,
        smallest_margin=_number(one.best.smallest_margin),
        turns_factor=one.turns_factor,
        exact_factor=one.exact_factor,
        turns_per_coil=one.turns_per_coil,
        torque_constant=one.torque_constant,
        met=one.met,
    )


def _ratio(one: FreeRatio) -> FreeRatioEntry:
    return FreeRatioEntry(
        listed=one.number,
        name=one.candidate.name,
        verdict=one.best.verdict,
        smallest_margin=_number(one.best.smallest_margin),
        ratio=one.best.value,
        met=one.best.met,
    )


def _row(row: Row, units: DisplayUnits) -> RowEntry:
    objectives = {name: _number(value) for name, value in row.objectives.items()}
    return RowEntry(
        rank=row.rank,
        number=row.number,
        name=row.candidate.name,
        choice=_choice(row),
        verdict=row.verdict,
        why=as_text(row.why, units),
        tie=None if row.tie is None else as_text(row.tie, units),
        governing=None if row.governing is None else _governing(row.governing, units),
        objectives=ObjectivesEntry(**objectives),
        condition=None if row.condition is None else as_text(row.condition, units),
    )


def _choice(row: Row) -> ChoiceEntry:
    one = row.candidate
    return ChoiceEntry(
        motor=None if one.motor is None else one.motor.name,
        winding=one.winding,
        variant=one.variant,
        commutation=one.commutation,
        drive=one.drive.name,
        transmission=None if one.transmission is None else one.transmission.name,
        ratio=None if one.transmission is None else one.transmission.ratio,
        feedback=None if one.feedback is None else one.feedback.name,
        brake=None if one.brake is None else one.brake.name,
    )


def _governing(margin: Margin, units: DisplayUnits) -> GoverningEntry:
    return GoverningEntry(
        criterion=margin.criterion,
        label=margin.label,
        status=margin.status,
        demand=_number(margin.demand),
        limit=_number(margin.limit),
        unit=margin.unit,
        margin=_number(margin.margin),
        target=margin.target,
        where=as_text(margin.where, units),
    )


def _number(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else value
