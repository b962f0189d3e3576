"""The rows of a candidate: what is chosen and what its electronics and leads allow."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app.inputs.rows import ChoiceRow, QuantityRow, ValueRow
from core.project.candidate import Candidate
from core.project.project import Project
from core.units import DisplayUnits, Kind

COMMUTATION = ChoiceRow(
    ("commutation",), "Commutation", (("sinusoidal", "sinusoidal"), ("six-step", "six-step"))
)
MODULATION = ChoiceRow(
    ("drive", "modulation"),
    "Modulation",
    (("space-vector", "space vector"), ("sine-triangle", "sine–triangle")),
)
LIMIT_ROWS: tuple[ValueRow, ...] = (
    QuantityRow(
        ("drive", "continuous_current"),
        "Continuous current",
        Kind.CURRENT,
        optional=True,
        absent="missing: continuous current is not checked",
        short="Cont. current",
    ),
    QuantityRow(
        ("drive", "peak_current"),
        "Peak current",
        Kind.CURRENT,
        optional=True,
        absent="missing: peak current is not checked",
    ),
    QuantityRow(("drive", "largest_duty"), "Largest PWM duty", Kind.RATIO),
    MODULATION,
    QuantityRow(
        ("drive", "largest_electrical_frequency"),
        "Largest electrical frequency",
        Kind.FREQUENCY,
        optional=True,
        absent="missing: electrical frequency is not checked",
        short="Electr. freq.",
    ),
    QuantityRow(
        ("drive", "on_resistance"), "On-resistance of a switch", Kind.RESISTANCE, short="On-resistance"
    ),
    QuantityRow(("drive", "device_drop"), "Voltage drop of the switches", Kind.VOLTAGE, short="Switch drop"),
    QuantityRow(("drive", "idle_power"), "Idle power", Kind.POWER),
    QuantityRow(("lead_resistance",), "Lead resistance", Kind.RESISTANCE, short="One lead"),
)

# What sums up a candidate, in the order in which a difference matters.
_TELLING: tuple[tuple[str, Callable[[Candidate], Any]], ...] = (
    ("frame", lambda candidate: candidate.motor.name if candidate.motor else "no frame"),
    ("winding", lambda candidate: candidate.winding or "no winding"),
    ("variant", lambda candidate: candidate.variant or "no variant"),
    ("commutation", lambda candidate: candidate.commutation),
    ("electronics", lambda candidate: candidate.drive.name),
)


def differences(project: Project) -> tuple[str, ...]:
    """Return in what the candidates differ, in words."""
    found = []
    for word, read in _TELLING:
        if len({read(candidate) for candidate in project.candidates}) > 1:
            found.append(word)
    if "electronics" not in found and any(
        candidate.drive != project.candidates[0].drive for candidate in project.candidates
    ):
        found.append("limits of the electronics")
    if len({candidate.lead_resistance for candidate in project.candidates}) > 1:
        found.append("leads")
    return tuple(found)


def summary(project: Project, letters: tuple[str, ...]) -> str:
    """Return what is shared and what differs, as `47 mm frame, 24 V; A open rotor; B enclosed`."""
    if not project.candidates:
        return "no candidate yet"
    differing = set(differences(project))
    shared = [str(read(project.candidates[0])) for word, read in _TELLING[:4] if word not in differing]
    own = [
        f"{letter} {', '.join(parts)}"
        for letter, candidate in zip(letters, project.candidates, strict=True)
        if (parts := [str(read(candidate)) for word, read in _TELLING[:4] if word in differing])
    ]
    rest = [
        f"differ in {word}"
        for word in ("electronics", "limits of the electronics", "leads")
        if word in differing
    ]
    return "; ".join([", ".join(shared), *own, *rest]).strip("; ")


def limits_summary(project: Project, letters: tuple[str, ...], units: DisplayUnits) -> str:
    """Return the current limits of the electronics in one line, once where all are the same."""
    words = []
    for candidate in project.candidates:
        limits = (candidate.drive.continuous_current, candidate.drive.peak_current)
        shown = [
            "not given" if limit is None else units.format_quantity(limit, Kind.CURRENT) for limit in limits
        ]
        words.append(f"continuous {shown[0]}, peak {shown[1]}")
    if len(set(words)) <= 1:
        return words[0] if words else ""
    return "; ".join(f"{letter} {text}" for letter, text in zip(letters, words, strict=True))
