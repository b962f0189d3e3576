"""Networks the heat tests share: a single node, and random motors of three nodes."""

from __future__ import annotations

import numpy as np

from core.numeric import FloatArray
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw

# resistance that does not follow temperature, as the one-time-constant textbooks have it
CONSTANT_COPPER = CopperLaw(copper_constant=1e12)


def one_node(conductance: float = 0.5, capacity: float = 60.0, ambient: float = 25.0) -> HeatNetwork:
    return HeatNetwork(
        ("winding",),
        np.array([capacity]),
        ("air",),
        np.array([ambient]),
        np.array([0]),
        np.array([1]),
        np.array([conductance]),
        np.zeros(1),
        np.zeros(1),
        np.ones(1),
        0,
        0,
        0,
        0,
    )


def random_motor(seed: int, ambient: float = 25.0, rotating: bool = True) -> HeatNetwork:
    """Winding, stator, rotor: stator and rotor meet the air and are cooled by turning."""
    rng = np.random.default_rng(seed)

    def around(middle: FloatArray) -> FloatArray:
        values: FloatArray = middle * rng.uniform(0.6, 1.6, middle.size)
        return values

    on = 1.0 if rotating else 0.0
    return HeatNetwork(
        ("winding", "stator", "rotor"),
        around(np.array([12.0, 80.0, 120.0])),
        ("air",),
        np.array([ambient]),
        np.array([0, 1, 1, 2]),
        np.array([1, 2, 3, 3]),
        around(np.array([0.6, 0.08, 0.12, 0.10])),
        around(np.array([1e-9, 1e-9, 0.10, 0.08])),
        on * around(np.array([0.0, 0.0, 0.004, 0.006])),
        np.full(4, 0.6),
        0,
        1,
        2,
        1,
    )
