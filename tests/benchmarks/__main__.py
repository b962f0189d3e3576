"""Every benchmark in turn, each in a process of its own: `python -m tests.benchmarks`."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def main() -> int:
    """Run all benchmarks and return how many failed."""
    failed = 0
    for path in sorted(Path(__file__).parent.glob("bench_*.py")):
        print(f"=== {path.name}", flush=True)
        failed += subprocess.run([sys.executable, str(path)], check=False).returncode != 0
    return failed


if __name__ == "__main__":
    sys.exit(main())
