"""Cycles on networks of any size, made for the tests of the temperature core."""

from __future__ import annotations

import numpy as np

from core.numeric import FloatArray
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw, HeatPieces

AMBIENT = 25.0


def chain_network(capacity: FloatArray, magnets: int = -1, ambient: float = AMBIENT) -> HeatNetwork:
    """Nodes in a row, the last one to the air; the conductances that count are those of the pieces."""
    n = capacity.size
    return HeatNetwork(
        tuple(f"node {i}" for i in range(n)),
        capacity,
        ("air",),
        np.array([ambient]),
        np.arange(n),
        np.arange(1, n + 1),
        np.ones(n),
        np.zeros(n),
        np.zeros(n),
        np.ones(n),
        winding=0,
        core=min(1, n - 1),
        magnets=magnets % n,
        outside=n - 1,
        air=n - 1,
    )


def node_matrix(links: FloatArray, to_air: FloatArray) -> FloatArray:
    """Node matrix of symmetric links (n, n) and conductances to the air (n,)."""
    return np.diag(links.sum(axis=1) + to_air) - links


def random_cycle(
    seed: int, nodes: int, pieces: int, ambient: float = AMBIENT
) -> tuple[HeatNetwork, HeatPieces, CopperLaw]:
    """A random network, different in every piece, and a cycle with copper law and magnet feedback."""
    rng = np.random.default_rng(seed)
    capacity = 10.0 ** rng.uniform(0.8, 2.2, nodes)
    links = np.triu(10.0 ** rng.uniform(-1.0, 0.3, (nodes, nodes)), 1)
    links = links + links.T
    matrices, inflow = [], []
    for _ in range(pieces):
        to_air = rng.uniform(0.1, 0.5, nodes)
        matrices.append(node_matrix(links * rng.uniform(0.8, 1.2), to_air))
        inflow.append(to_air * ambient + rng.uniform(0.0, 3.0, nodes))
    torque, drag = rng.uniform(-1.0, 1.0, pieces), rng.uniform(0.0, 0.1, pieces)
    watts = 30.0
    cycle = HeatPieces(
        duration=rng.uniform(0.5, 20.0, pieces),
        segment=np.arange(pieces),
        conductance=np.array(matrices),
        inflow=np.array(inflow),
        copper=watts * np.stack([drag * drag, drag * torque, torque * torque], axis=1),
        stall_phase_factor=np.ones(pieces),
    )
    return chain_network(capacity, ambient=ambient), cycle, CopperLaw(magnet_temp_coefficient=-0.0011)


def one_node_cycle(
    duration: FloatArray,
    conductance: FloatArray,
    copper: FloatArray,
    other: FloatArray | None = None,
    ambient: float = 0.0,
) -> HeatPieces:
    """Pieces of a single node whose copper loss grows with the square of the factor."""
    m = duration.size
    inflow = conductance * ambient + (np.zeros(m) if other is None else other)
    return HeatPieces(
        duration,
        np.arange(m),
        conductance[:, None, None].copy(),
        inflow[:, None].copy(),
        np.stack([np.zeros(m), np.zeros(m), copper], axis=1),
        np.ones(m),
    )
