"""Necessary conditions: what rules a candidate out before its temperatures are computed.

They are exact: each is a required criterion of the full evaluation that no temperature touches, with the
same demand, limit and target, so that whoever breaks one here misses it, or is excluded by it, there.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from core.numeric import IntArray
from core.shortlist.batch.margin_board import MarginBoard
from core.shortlist.chunk_result import ABSENT

# In the order in which they are told: what no number heals, then room, then speed, voltage and peaks.
NECESSARY: Final = (
    "fitted",
    "commutation",
    "feedback_kind",
    "dust",
    "magnetic_swarf",
    "liquid",
    "reach_of_fingers",
    "diameter",
    "length",
    "mass",
    "mechanical_speed",
    "gear_speed",
    "electrical_frequency",
    "voltage_reserve",
    "peak_torque",
    "peak_current",
    "gear_peak_torque",
    "gear_torque",
)


def ruled_out_by(board: MarginBoard) -> IntArray:
    """Return the column of the first necessary condition that each candidate breaks, `ABSENT` for none."""
    found: IntArray = np.full(board.count, ABSENT)
    for code in NECESSARY:
        column = board.column(code)
        if column is not None:
            found = np.where((found == ABSENT) & board.broken(code), column.place, found)
    return found
