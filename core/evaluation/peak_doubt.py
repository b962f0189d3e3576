"""Which of two peak temperatures is lower, or why the doubt about the heat leaves it open."""

from __future__ import annotations

import math
from typing import Literal

from core.evaluation.torque_ratio import joint_half_width
from core.project.candidate import Candidate
from core.results import CandidateResult

PeakRole = Literal["winding", "outside"]
_PLACES: dict[PeakRole, int] = {"winding": 0, "outside": 1}


def peak_half_width(
    role: str, first: CandidateResult, second: CandidateResult, chosen: tuple[Candidate, Candidate]
) -> float | None:
    """Return by how much the difference of two peaks may be off, None where that is not known. [K]

    What two candidates have in common moves both peaks and counts by what it moves them apart. The first
    look at a band costs a hundred milliseconds: not within a drag.
    """
    place = _PLACES.get(role)  # type: ignore[call-overload]
    ones, others = first.band, second.band
    if place is None or ones is None or others is None:
        return None
    if ones.peak_effects is None or others.peak_effects is None:
        return None
    frames = [candidate.motor.name if candidate.motor else "" for candidate in chosen]
    same_frame = frames[0] == frames[1] != ""
    width = float(
        joint_half_width(
            (ones.sources, ones.shared, ones.peak_effects[:, place]),
            (others.sources, others.shared, others.peak_effects[:, place]),
            same_frame,
            same_frame and chosen[0].variant == chosen[1].variant,
        )
    )
    return width if math.isfinite(width) else None
