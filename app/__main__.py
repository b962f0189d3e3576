"""`python -m app` and the installed command `ampturn`."""

from __future__ import annotations

import sys

from app.commands import run


def main() -> None:
    """Run the command line and end with its exit code."""
    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
