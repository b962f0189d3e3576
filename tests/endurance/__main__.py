"""What the suite does in short form, done at length: `python -m tests.endurance NAME [options]`.

NAME is that of a file in this folder; `--help` after it tells its options.
"""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

FOLDER = Path(__file__).resolve().parent
sys.path.insert(0, str(FOLDER.parents[1]))


def main(arguments: list[str]) -> int:
    """Run one of them and return its exit code."""
    known = sorted(path.stem for path in FOLDER.glob("*.py") if not path.stem.startswith("_"))
    if not arguments or arguments[0] not in known:
        print(f"{__doc__}\nNAME: {', '.join(known)}", file=sys.stderr)
        return 2
    run = importlib.import_module(f"tests.endurance.{arguments[0]}")
    return int(run.main(arguments[1:]))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
