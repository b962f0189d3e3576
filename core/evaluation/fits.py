"""What fits: whether the chosen variant can carry encoder, brake, gear and electronics that are chosen.

Nothing is taken off when the variant is changed: what no longer fits is excluded with the reason.
"""

from __future__ import annotations

from core.evaluation.criterion import MOTOR, Criterion, Place, answered, excluded
from core.evaluation.part_limits import has_hall_board
from core.evaluation.remembered import remembered
from core.findings import Finding
from core.project.candidate import Candidate
from core.project.motor import Fitting
from core.results import Margin
from core.units import Kind

_FITTED = Criterion("fitted", "What is fitted", Kind.NUMBER)


def fitted_parts(candidate: Candidate) -> tuple[tuple[Fitting, str], ...]:
    """Return what of the choice sits at the motor: what it is and its name."""
    encoder, brake, drive = candidate.encoder_on_motor, candidate.brake, candidate.drive
    gear = candidate.transmission
    found: tuple[tuple[Fitting, str | None], ...] = (
        ("Hall sensors", _feedback_name(candidate) if has_hall_board(candidate) else None),
        ("encoder", None if encoder is None else encoder.name),
        ("brake", None if brake is None or not brake.on_motor else brake.name),
        ("gear", None if gear is None or not gear.on_motor else gear.name),
        ("built-in electronics", drive.name if drive.built_in else None),
    )
    return tuple((kind, name) for kind, name in found if name is not None)


def _feedback_name(candidate: Candidate) -> str:
    return "" if candidate.feedback is None else candidate.feedback.name


@remembered()
def what_does_not_fit(candidate: Candidate) -> tuple[tuple[Fitting, str], ...]:
    """Return the parts that the variant does not list; nothing where it lists none at all."""
    variant = candidate.chosen_variant
    if variant is None or not variant.can_be_fitted_with:
        return ()
    return tuple(part for part in fitted_parts(candidate) if part[0] not in variant.can_be_fitted_with)


@remembered()
def fit_margins(candidate: Candidate) -> tuple[Margin, ...]:
    """Return whether all parts fit the variant; nothing where no part is fitted or nothing is stated."""
    variant, parts = candidate.chosen_variant, fitted_parts(candidate)
    if variant is None or not variant.can_be_fitted_with or not parts:
        return ()
    wrong = what_does_not_fit(candidate)
    if not wrong:
        kinds = ", ".join(kind for kind, _ in parts)
        return (answered(_FITTED, MOTOR, f"the {variant.kind} variant can be had with {kinds}"),)
    reasons = "; ".join(_reason(candidate, part) for part in wrong)
    return (excluded(_FITTED, Place(f"the variant ({variant.kind})"), reasons),)


@remembered()
def fit_findings(candidate: Candidate) -> tuple[Finding, ...]:
    """Return one finding for each part that does not fit the variant."""
    return tuple(
        Finding(
            "does_not_fit",
            "serious",
            f"T{_reason(candidate, part)[1:]}. It stays in the candidate, with its length, mass, inertia and "
            "limits: take another variant or another part.",
        )
        for part in what_does_not_fit(candidate)
    )


def _reason(candidate: Candidate, part: tuple[Fitting, str]) -> str:
    """Return why a part does not fit, and which variant of the frame would carry it."""
    variant, motor, (kind, name) = candidate.chosen_variant, candidate.motor, part
    assert variant is not None  # `what_does_not_fit` asks for both
    assert motor is not None
    others = [one.kind for one in motor.variants if kind in one.can_be_fitted_with]
    instead = f", the {' and '.join(others)} variant can" if others else ", no variant of this frame can"
    named = "" if name == kind else f" ({name})"
    return f"the {variant.kind} variant cannot be had with {kind}{named}{instead}"
