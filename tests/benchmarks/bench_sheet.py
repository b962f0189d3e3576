"""How long a sheet takes: its content, its layout, its PDF; against a fixed numpy kernel in the same run.

Run: python -m tests.benchmarks sheet
Target: 1 s or less for the PDF of a project that is on screen.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
ROUNDS = 7


def seconds(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Return the median time of some calls."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return float(np.median(times))


def kernel() -> None:
    """Solve twelve symmetric 3 x 3 eigenproblems two hundred times: the yardstick."""
    matrices = np.arange(108.0).reshape(12, 3, 3)
    matrices = matrices + matrices.transpose(0, 2, 1)
    for _ in range(200):
        np.linalg.eigh(matrices)


def main() -> None:
    """Print a line per sample."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from app.chart_export import ensure_gui_application
    from app.sheet.layout import lay_out_sheet
    from app.sheet.paper import A4
    from app.sheet.pdf import pdf_of
    from core.evaluate import evaluate
    from core.project.project_file import encode_project, read_project
    from core.sheet.sheet import sheet_of
    from core.units import DisplayUnits

    ensure_gui_application()
    units, unit = DisplayUnits(), seconds(kernel)
    print(f"fixed numpy kernel: {1e3 * unit:.2f} ms")
    print(
        f"{'ms':24}{'pages':>7}{'first':>9}{'content':>9}{'layout':>9}{'PDF':>9}{'together':>10}{'kernels':>9}"
    )
    for path in sorted((ROOT / "sample_projects").glob("*.json")):
        project = read_project(path)
        if project.application.duty_from == "trace":
            continue  # its result comes from a thread beside the window
        content, result = encode_project(project), evaluate(project)

        def made() -> object:
            return sheet_of(project, result, issued=date(2026, 3, 31), project_file=content, units=units)  # noqa: B023

        start = time.perf_counter()
        sheet = sheet_of(project, result, issued=date(2026, 3, 31), project_file=content, units=units)
        first = time.perf_counter() - start
        laid_out = lay_out_sheet(sheet, A4, units)
        parts = (
            seconds(made),
            seconds(lambda: lay_out_sheet(sheet, A4, units)),  # noqa: B023
            seconds(lambda: pdf_of(sheet, laid_out)),  # noqa: B023
        )
        together = first + parts[1] + parts[2]
        print(
            f"{path.stem:24}{len(laid_out.pages):7d}{1e3 * first:9.0f}"
            + "".join(f"{1e3 * part:9.0f}" for part in parts)
            + f"{1e3 * together:10.0f}{together / unit:9.0f}"
        )
    print("first: content with uncertainty and studies not yet looked at; together: first, layout, PDF")
    print("target: 1000 ms together")


if __name__ == "__main__":
    main()
