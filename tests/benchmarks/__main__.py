"""Benchmarks, all in turn or those named, each in a process of its own.

From the checkout `python -m tests.benchmarks [NAME ...]`, from elsewhere `python CHECKOUT/tests/benchmarks`.
A name is that of a file without `bench_` and `.py`: `python -m tests.benchmarks evaluate repeating_state`.
Other work on the same processors raises medians and p95; the least and the ratios to what is timed in the
same run tell more then, so the load before each is printed.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

FOLDER = Path(__file__).resolve().parent
ROOT = FOLDER.parents[1]


def main(names: list[str]) -> int:
    """Run the named benchmarks, or all, and return how many failed."""
    known = [path.stem.removeprefix("bench_") for path in sorted(FOLDER.glob("bench_*.py"))]
    unknown = [name for name in names if name not in known]
    if unknown:
        print(f"no benchmark {', '.join(unknown)}; there are {', '.join(known)}", file=sys.stderr)
        return len(unknown)
    failed = 0
    for name in names or known:
        load = f", load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
        print(f"=== {name}, {os.cpu_count()} processors{load}", flush=True)
        # one thread for linear algebra, as `app/__init__.py` has it for the program
        threads = {**os.environ, "OPENBLAS_NUM_THREADS": "1"}
        command = [sys.executable, "-m", f"tests.benchmarks.bench_{name}"]
        run = subprocess.run(command, cwd=ROOT, env=threads, check=False)
        failed += run.returncode != 0
    return failed


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
