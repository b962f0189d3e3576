"""A project and a result with known numbers, for the tests of views: they must draw what they are given.

The numbers are invented and belong to no motor. Only shapes and signs are as the evaluation gives them.
"""

from __future__ import annotations

import numpy as np

from core.findings import Caution, Finding
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.duty_cycle import Segment
from core.project.project import Project
from core.results import CandidateResult, DutyTrace, LoadPoints, Margin, Result, Status
from core.sentences import sentence
from core.units import Kind

SEGMENTS = (
    Segment(name="accelerate", duration=0.04, shaft_torque=0.058, speed_start=0.0, speed_end=250.0),
    Segment(name="travel", duration=0.04, shaft_torque=0.008, speed_start=250.0, speed_end=250.0),
    Segment(name="brake", duration=0.04, shaft_torque=-0.046, speed_start=250.0, speed_end=0.0),
    Segment(name="dwell", duration=0.18, shaft_torque=0.003, speed_start=0.0, speed_end=0.0),
)
# code, label, margin of A and of B, target, segment
NUMBERS: tuple[tuple[str, str, float, float, float, int | None], ...] = (
    ("peak_torque", "Peak torque", 0.37, 0.37, 0.10, 0),
    ("torque_reserve", "Torque reserve", 0.20, 0.10, 0.15, None),
    ("magnets", "Magnets", 0.47, 0.34, 0.10, 0),
    ("voltage", "Voltage reserve", 0.21, 0.21, 0.10, 0),
    ("touch", "Outside, touched 1 s", 0.32, -0.04, 0.0, 3),
    ("frequency", "Electrical frequency", 0.67, 0.67, 0.10, 0),
    ("winding", "Winding", 0.41, 0.30, 0.10, 2),
    ("speed", "Mechanical speed", 0.70, 0.70, 0.05, 1),
)


def project() -> Project:
    """Return a project of four segments and two candidates; A is chosen."""
    return Project(
        application=Application(title="Sample carousel", duty_cycle=SEGMENTS),
        candidates=(Candidate(name="Open rotor"), Candidate(name="Enclosed")),
        chosen="Open rotor",
    )


def margin(
    code: str,
    label: str,
    value: float | None,
    target: float,
    segment: int | None,
    status: Status | None = None,
) -> Margin:
    """Return a criterion of torque with a limit of 0.1 N m."""
    known = value is not None
    found: Status = status or ("met" if value is not None and value >= target else "missed")
    demand = None if value is None else 0.1 * (1.0 - value)
    return Margin(
        criterion=code,
        label=label,
        kind=Kind.TORQUE,
        unit="N·m",
        demand=demand,
        limit=0.1 if known else None,
        utilisation=None if value is None else 1.0 - value,
        margin=value,
        target=target,
        status=found,
        required=True,
        where="whole cycle" if segment is None else f"end of {segment + 1}",
        why="" if found in ("met", "missed") else f"because {label} is not known",
        equation=sentence(
            "{demand} / {limit}", demand=(demand or 0.0, Kind.TORQUE), limit=(0.1, Kind.TORQUE)
        ),
        segment=segment,
    )


def load_points(segments: tuple[Segment, ...], scale: float) -> LoadPoints:
    """Return load points with the torque of the motor `scale` times that of the shaft."""
    start = np.array([s.speed_start for s in segments])
    end = np.array([s.speed_end for s in segments])
    torque = np.array([s.shaft_torque for s in segments]) * scale
    faster = np.maximum(abs(start), abs(end))
    direction = np.where(start + end < 0.0, -1.0, 1.0)
    return LoadPoints(
        speed=faster,
        other_speed=np.minimum(abs(start), abs(end)),
        torque=torque * direction,
        direction=direction,
        inertia_torque=torque * 0.0,
        current=abs(torque) * 40.0,
        at_start=abs(start) > abs(end),
        voltage_utilisation=faster / 400.0,
    )


def candidate(index: int, name: str, segments: tuple[Segment, ...], shift: float = 0.0) -> CandidateResult:
    """Return one candidate's result; `shift` is added to every margin."""
    margins = [
        margin(code, label, row[index] + shift, target, segment)
        for code, label, *row, target, segment in NUMBERS
    ]
    margins.append(margin("bearing", "Bearing life", None, 0.0, None, "not checked"))
    if index == 1:
        margins.append(margin("dust", "Dust", None, 0.0, None, "excluded"))
    hot = sentence("Housing reaches {temp} at 40 °C ambient.", temp=(66.0 + shift, Kind.TEMPERATURE))
    cautions = [Caution("hot_surface", "Hot surface", hot, {"housing_degC": 66.0})] if index else []
    findings = (
        Finding("drag_unknown", "warning", "No drag is given.", {}),
        Finding(
            "cold_start_assumed", "assumed", "The lowest ambient is taken as 20 °C.", {"cold_degC": 20.0}
        ),
        Finding("jump", "serious", f"The speed of candidate {index} jumps.", {"jump_rad_s": 5.0}, 1),
    )
    return CandidateResult(
        index=index,
        name=name,
        margins=tuple(margins),
        governing=margins[1],
        findings=findings,
        cautions=tuple(cautions),
        missing=(),
        load_points=load_points(segments, 1.0 + 0.1 * index) if segments else None,
    )


def result(of: Project | None = None, shift: float = 0.0) -> Result:
    """Return the result of a project."""
    of = of or project()
    segments = of.application.duty_cycle
    edges = np.concatenate([[0.0], np.cumsum([s.duration for s in segments])])
    duty = DutyTrace(
        time=np.repeat(edges, 2)[1:-1],
        shaft_torque=np.repeat([s.shaft_torque for s in segments], 2),
        speed=np.array([speed for s in segments for speed in (s.speed_start, s.speed_end)]),
        edges=edges,
        segment=np.repeat(np.arange(len(segments)), 2),
    )
    names = [c.name for c in of.candidates]
    return Result(
        project=of,
        duty=duty,
        candidates=tuple(candidate(i, name, segments, shift) for i, name in enumerate(names)),
        chosen=names.index(of.chosen) if of.chosen in names else None,
    )
