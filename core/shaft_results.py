"""What an evaluation gives back about the shaft and its bearings: frozen values and read-only arrays."""

from __future__ import annotations

from core.numeric import FloatArray
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class ShaftLoad:
    """Forces on the shaft end, what the bearings answer, and how long they last. [N, m, h]

    `front_reaction` and `rear_reaction` are radial, at rest as in motion; `front_life` and `rear_life` are
    L10 over the cycle, infinite where nothing loads a bearing. `allowed` is the largest radial force at each
    `distance` from the mounting face for `wanted_life`, shape (distances,), None where none is wanted.
    """

    radial: float
    axial: float
    distance: float
    front_reaction: float
    rear_reaction: float
    front_life: float
    rear_life: float
    wanted_life: float | None
    distances: FloatArray
    allowed: FloatArray | None
    allowed_here: float | None
