"""How long one evaluation takes: two candidates, twelve segments, all curves, as in a drag of a load point.

The heat networks come from dimensions, three or four nodes with tables over speed and temperature; one row
has the same motors by the figures of a data sheet, two nodes with constant coefficients.

Run: `python -m tests.benchmarks evaluate`. Prints milliseconds and the multiple of a fixed numpy kernel timed
in the same run, since milliseconds alone say as much about the machine as about the code. Nothing is left out
of the p95 but the first call. Target of the first line: at most 4 ms p95 on one core.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from msgspec.structs import replace

from core.catalogue.parts_file import load_demo_parts
from core.evaluate import evaluate
from core.project import edits
from core.project.motor import Motor
from core.project.project import Project
from core.project.project_file import read_project
from tests.core.projects import sheet_motor

ROUNDS = 300
SAMPLE = Path(__file__).resolve().parents[2] / "sample_projects" / "sample_carousel.json"


FRAME = "47 mm frame"


def twelve_segments(motor: Motor | None = None) -> Project:
    """Return the sample carousel with its cycle three times over, its torques halved, and one motor.

    The motor is the demo frame with dimensions unless another is given.
    """
    project = read_project(SAMPLE)
    for index in range(len(project.candidates)):
        project = edits.change_candidate(project, index, motor=motor or load_demo_parts().motor(FRAME))
    halved = tuple(
        replace(segment, shaft_torque=0.5 * segment.shaft_torque)
        for segment in project.application.duty_cycle
    )
    return edits.change_application(project, duty_cycle=halved * 3)


def dragged(project: Project, step: int) -> Project:
    """Return the project as one frame of a drag leaves it: another torque in the first segment."""
    return edits.change_segment(project, 0, shaft_torque=0.02 + 1e-4 * step)


def changed_leads(project: Project, step: int) -> Project:
    """Return the project with other lead resistances: of the motors, only the heat networks stay."""
    for index in range(len(project.candidates)):
        project = edits.change_candidate(project, index, lead_resistance=0.01 + 1e-5 * step)
    return project


def changed_motors(project: Project, step: int) -> Project:
    """Return the project with other motors: nothing that is remembered of them fits."""
    for index, candidate in enumerate(project.candidates):
        motor = candidate.motor
        assert motor is not None
        windings = tuple(
            replace(w, resistance=replace(w.resistance, value=w.resistance.value * (1.0 + 1e-5 * step)))
            for w in motor.windings
        )
        variants = tuple(
            replace(v, rotor_inertia=v.rotor_inertia * (1.0 + 1e-5 * step)) for v in motor.variants
        )
        other = replace(motor, windings=windings, variants=variants)
        project = edits.change_candidate(project, index, motor=other)
    return project


CASES = (
    ("drag of a load point", None, dragged),
    ("the same, heat by a data sheet", sheet_motor, dragged),
    ("change of both leads", None, changed_leads),
    ("change of both motors", None, changed_motors),
)


def milliseconds(work: Callable[[int], object], rounds: int = ROUNDS) -> np.ndarray:
    """Return the time of each of `rounds` calls. [ms]"""
    work(-1)
    times = np.empty(rounds)
    for step in range(rounds):
        start = time.perf_counter()
        work(step)
        times[step] = time.perf_counter() - start
    return 1e3 * times


def kernel(_step: int) -> None:
    """Solve twelve symmetric 3 x 3 eigenproblems twenty times: the yardstick."""
    for _ in range(20):
        np.linalg.eigh(MATRICES)


_random = np.random.default_rng(0).normal(size=(12, 3, 3))
MATRICES = _random @ _random.transpose(0, 2, 1)


def main() -> None:
    yardstick = float(np.median(milliseconds(kernel)))
    print(f"fixed numpy kernel: {yardstick:.3f} ms")
    for name, motor, change in CASES:
        project = twelve_segments(motor() if motor is not None else None)
        evaluate(project)
        times = milliseconds(lambda step, p=project, c=change: evaluate(c(p, step)))  # type: ignore[misc]
        median, p95 = np.median(times), np.quantile(times, 0.95)
        print(
            f"{name}: median {median:.2f} ms, p95 {p95:.2f} ms, least {times.min():.2f} ms, "
            f"{median / yardstick:.1f} kernels (2 candidates, 12 segments, all curves)"
        )


if __name__ == "__main__":
    main()
