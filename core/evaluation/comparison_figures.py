"""What candidates reach, take up and stand: margins, heat, losses, size, fittings, hazards, as rows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Literal

from core.charts.display_axis import letter
from core.evaluation.comparison_rows import (
    TIE_TEMPERATURE,
    UNKNOWN,
    ComparisonRow,
    best_of,
    number_row,
    text_row,
)
from core.evaluation.fitted_size import FittedSize
from core.evaluation.peak_doubt import peak_half_width
from core.margin_rows import outcome
from core.project.application import Answer
from core.project.candidate import Candidate
from core.results import CandidateResult, Losses, PeakTemperature, Result, SupplyDemand
from core.sentences import Sentence, joined, sentence
from core.units import Kind

MARGINS, TEMPERATURES, LOSSES = "Margins", "Peak temperatures", "Mean losses and supply"
SIZE, FITTINGS, HAZARDS = "Size, mass, inertia", "Protection and fittings", "What can hurt"
PEAK_WORDS = {"winding": "Winding", "magnets": "Magnets", "outside": "Outside"}
LOSS_CAUSES: tuple[tuple[str, str, Callable[[Losses], float]], ...] = (
    ("copper", "copper", lambda losses: losses.copper),
    ("core_and_bearing", "core and bearing", lambda losses: losses.core_and_bearing),
    ("windage", "air drag", lambda losses: losses.windage),
    ("leads_and_switches", "leads and switches", lambda losses: losses.leads_and_switches),
    ("idle", "electronics at idle", lambda losses: losses.idle),
)
"""Causes of loss: code, words, and where they stand."""

Hazard = Literal["dust", "magnetic_swarf", "liquid"]
_TOLERATED: tuple[tuple[Hazard, str], ...] = (
    ("dust", "Stands dust"),
    ("magnetic_swarf", "Stands magnetic swarf"),
    ("liquid", "Stands liquid"),
)
_NEED = "a matter of need"


def total(losses: Losses) -> float:
    """Return the sum of the mean losses. [W]"""
    return sum(part(losses) for _, _, part in LOSS_CAUSES)


def margin_rows_of(found: Sequence[CandidateResult]) -> list[ComparisonRow]:
    """Return governing criterion, its distance from the target, and the torque reserve."""
    texts = [
        "nothing to govern" if one.governing is None else f"{one.governing.label}, {outcome(one.governing)}"
        for one in found
    ]
    above = [None if one.governing is None else one.governing.above_target for one in found]
    why = [UNKNOWN if one.governing is None else one.governing.status for one in found]
    # an exclusion or a miss without a number is behind whatever has one
    ranks = [_rank(one) for one in found]
    reserves = [one.torque_reserve for one in found]
    distance = number_row(MARGINS, "above_target", "Margin above its target", Kind.RATIO, above, 0, "", why)
    return [
        text_row(MARGINS, "governing", "Governing criterion", texts),
        replace(distance, best=best_of(ranks, tie=5e-4)),
        number_row(MARGINS, "torque_reserve", "Torque reserve", Kind.NUMBER, reserves, 1),
    ]


def _rank(one: CandidateResult) -> float | None:
    if one.governing is None:
        return None
    above = one.governing.above_target
    if above is not None:
        return above
    return -1e9 if one.governing.status in ("excluded", "missed") else None


def temperature_rows(found: Sequence[CandidateResult], chosen: Sequence[Candidate]) -> list[ComparisonRow]:
    """Return the peak temperatures; ahead is who keeps the larger distance from his own limit.

    Whom the doubt about the heat does not tell from the best one is as far ahead.
    """
    rows = []
    for role, words in PEAK_WORDS.items():
        peaks = [next((p for p in one.peaks if p.role == role), None) for one in found]
        temps = [None if peak is None else peak.temp for peak in peaks]
        note = joined(*_apart([_limits(peaks), *_bands(found, role)]))
        row = number_row(TEMPERATURES, f"peak {role}", f"{words}, peak", Kind.TEMPERATURE, temps, 0, note)
        distances = _distances(peaks)
        row = replace(row, best=best_of(distances, tie=TIE_TEMPERATURE))
        rows.append(_judged(row, role, distances, found, chosen))
    return rows


def _judged(
    row: ComparisonRow,
    role: str,
    distances: Sequence[float | None],
    found: Sequence[CandidateResult],
    chosen: Sequence[Candidate],
) -> ComparisonRow:
    """Return the row with all ahead whom the doubt about the heat does not tell from the best one."""
    if not row.best:
        return row
    known = {place: distance for place, distance in enumerate(distances) if distance is not None}
    top = max(known, key=lambda place: known[place])
    also = set(row.best)
    for place, distance in known.items():
        pair = (chosen[top], chosen[place])
        width = None if place in also else peak_half_width(role, found[top], found[place], pair)
        if width is not None and known[top] - distance <= width:
            also.add(place)
    if also == set(row.best):
        return row
    best = tuple(sorted(also))
    words = f"{' or '.join(letter(found[place].index) for place in best)}: within the uncertainty"
    note = joined(words, *(("; ", row.note) if row.note else ()))
    return replace(row, best=() if len(best) == len(known) else best, note=note)


def _distances(peaks: Sequence[PeakTemperature | None]) -> list[float | None]:
    known = [peak for peak in peaks if peak is not None]
    if all(peak.limit is not None for peak in known):
        return [None if p is None or p.limit is None else p.limit - p.temp for p in peaks]
    return [None if peak is None else -peak.temp for peak in peaks]


def _limits(peaks: Sequence[PeakTemperature | None]) -> str | Sentence:
    limits = {peak.limit for peak in peaks if peak is not None and peak.limit is not None}
    if not limits:
        return ""
    if len(limits) == 1:
        return sentence("limit {limit}", limit=(limits.pop(), Kind.TEMPERATURE))
    words = "limits {low} to {high}: ahead is the larger distance"
    return sentence(words, low=(min(limits), Kind.TEMPERATURE), high=(max(limits), Kind.TEMPERATURE))


def _bands(found: Sequence[CandidateResult], role: str) -> list[Sentence]:
    """Return how far the peak of each candidate may be off, where that is known."""
    bands = []
    for one in found:
        band = one.band
        lowest_to_highest = None
        if band is not None:
            lowest_to_highest = {"winding": band.winding, "outside": band.outside}.get(role)
        if lowest_to_highest is not None:
            low, _, high = lowest_to_highest
            words = f"{letter(one.index)} {{low}} to {{high}}"
            bands.append(sentence(words, low=(low, Kind.TEMPERATURE), high=(high, Kind.TEMPERATURE)))
    return bands


def _apart(parts: Sequence[str | Sentence]) -> list[str | Sentence]:
    """Return parts that are not empty, with a mark between them."""
    there = [part for part in parts if part]
    return [piece for part in there for piece in ("; ", part)][1:]


def loss_rows(found: Sequence[CandidateResult]) -> list[ComparisonRow]:
    """Return the mean losses, in all and by cause, and what the supply delivers."""
    losses = [one.losses for one in found]

    def row(code: str, words: str, part: Callable[[Losses], float]) -> ComparisonRow:
        values = [None if one is None else part(one) for one in losses]
        return number_row(LOSSES, f"loss {code}", f"Loss, {words}", Kind.POWER, values, -1)

    supplies = [one.supply for one in found]
    wanted: tuple[tuple[str, str, Kind, int, Callable[[SupplyDemand], float | None]], ...] = (
        ("supply mean power", "Supply, mean power", Kind.POWER, -1, lambda supply: supply.mean_power),
        ("supply peak power", "Supply, peak power", Kind.POWER, -1, lambda supply: supply.peak_power),
        ("supply mean current", "Supply, mean current", Kind.CURRENT, -1, lambda supply: supply.mean_current),
        ("energy back", "Energy back per cycle", Kind.ENERGY, 0, lambda supply: supply.energy_back),
    )
    return [
        row("total", "all causes", total),
        *(row(code, words, part) for code, words, part in LOSS_CAUSES),
        *(
            number_row(
                LOSSES, code, label, kind, [None if s is None else part(s) for s in supplies], prefer,
                "" if prefer else "good where the supply takes it back",
            )
            for code, label, kind, prefer, part in wanted
        ),
    ]  # fmt: skip


def size_rows(sizes: Sequence[FittedSize]) -> list[ComparisonRow]:
    """Return room, mass and inertia with all that is fitted."""
    counted = dict.fromkeys(words for size in sizes for words in size.counted)
    left_out = dict.fromkeys(words for size in sizes for words in size.left_out)
    note = "; ".join(
        f"{words}: {', '.join(parts)}"
        for words, parts in (("counted", counted), ("not counted, no size stated", left_out))
        if parts
    )
    return [
        number_row(SIZE, "mass", "Mass", Kind.MASS, [s.mass for s in sizes], -1, note),
        number_row(SIZE, "length", "Length", Kind.LENGTH, [s.length for s in sizes], -1),
        number_row(SIZE, "diameter", "Diameter", Kind.LENGTH, [s.diameter for s in sizes], -1),
        number_row(SIZE, "volume", "Volume of the cylinder", Kind.VOLUME, [s.volume for s in sizes], -1),
        number_row(
            SIZE, "rotor_inertia", "Rotor inertia", Kind.INERTIA, [s.rotor_inertia for s in sizes], 0,
            f"{_NEED}: little speeds up quickly, much runs evenly",
        ),
    ]  # fmt: skip


def fitting_rows(result: Result, candidates: Sequence[Candidate]) -> list[ComparisonRow]:
    """Return kind, protection, what can be fitted and what the place asks a variant to stand."""
    variants = [candidate.chosen_variant for candidate in candidates]
    surroundings = result.project.application.site.surroundings
    rows = [
        text_row(FITTINGS, "variant", "Variant", [v.kind if v else UNKNOWN for v in variants]),
        text_row(
            FITTINGS, "protection", "Protection",
            [v.protection or "not stated" if v else UNKNOWN for v in variants], note=_NEED,
        ),
        text_row(
            FITTINGS, "can_be_fitted_with", "Can be fitted with",
            [", ".join(v.can_be_fitted_with) or "nothing stated" if v else UNKNOWN for v in variants],
            _most([frozenset(v.can_be_fitted_with) if v else None for v in variants]),
        ),
    ]  # fmt: skip
    for hazard, label in _TOLERATED:
        stands = [None if v is None else getattr(v.tolerates, hazard) for v in variants]
        rows.append(_stands_row(hazard, label, stands, getattr(surroundings, hazard)))
    reach = [None if v is None else v.tolerates.reach_of_fingers for v in variants]
    rows.append(
        _stands_row("reach_of_fingers", "Turning parts out of reach", reach, surroundings.reach_of_fingers)
    )
    return rows


def _stands_row(code: str, label: str, stands: Sequence[bool | None], there: Answer) -> ComparisonRow:
    texts = ["not stated" if one is None else "yes" if one else "no" for one in stands]
    note = {
        "yes": "asked for by the place",
        "no": "not asked for by the place",
        "unknown": "not known whether the place asks for it",
    }[there]
    merits = [None if one is None else float(one) for one in stands]
    return text_row(FITTINGS, code, label, texts, best_of(merits) if there == "yes" else (), note)


def hazard_rows(found: Sequence[CandidateResult]) -> list[ComparisonRow]:
    """Return the cautions; ahead is who has only some of those that the others have."""
    titles = [tuple(dict.fromkeys(c.title for c in one.cautions)) for one in found]
    known = [frozenset(own) if one.margins else None for own, one in zip(titles, found, strict=True)]
    everything = frozenset[str]().union(*titles)
    texts = [
        UNKNOWN if own is None else ", ".join(some) or "nothing found"
        for own, some in zip(known, titles, strict=True)
    ]
    best = _most([None if own is None else everything - own for own in known])
    return [text_row(HAZARDS, "cautions", "Cautions", texts, best)]


def _most(sets: Sequence[frozenset[str] | None]) -> tuple[int, ...]:
    """Return who has all that any other has, and more than some; empty where each has its own."""
    known = [one for one in sets if one is not None]
    everything = frozenset[str]().union(*known)
    merits = [None if one is None else float(one == everything) for one in sets]
    return best_of(merits)
