"""`python -m app` and the installed command `ampturn`."""

from __future__ import annotations

import sys

from app.collector import hold_collection


def main() -> None:
    """Run the command line and end with its exit code."""
    hold_collection()  # while the core is loaded; a window goes on holding until its first paint
    from app.commands import run

    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
