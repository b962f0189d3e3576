"""The version of the program, as a sheet names it; `pyproject.toml` states the same."""

from __future__ import annotations

from typing import Final

VERSION: Final = "0.1.0"
