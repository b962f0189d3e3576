"""How much faster the exact repeating state is than marching an ODE solver, in one run.

One candidate: 12 segments, 3 nodes, copper law and magnet feedback, a cycle of 0.06 of the longest time
constant. scipy's LSODA (rtol 1e-8) goes from cycle to cycle, restarted at every change of load, until the
change per cycle is below 1e-3 K times (1 - rho), which leaves an error below 1e-3 K; rho is the ratio of
the last two changes, which contains the feedback of the magnets. The marched law holds the flux in each
segment at its mean magnet temperature of the cycle before, so both solve the same law.

Run: python tests/benchmarks/bench_repeating_state.py
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from scipy.integrate import solve_ivp

from core.numeric import FloatArray
from core.physics.heat_network import HeatNetwork, link_conductance, node_matrices
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.physics.temperatures import RepeatingState, repeating_state
from core.physics.torque_reserve import torque_reserve

LAW = CopperLaw(magnet_temp_coefficient=-0.0011)
LIMITS = np.array([145.0, np.inf, 120.0])


def motor() -> HeatNetwork:
    """Winding, stator with flange, rotor; invented, of the size of a flat motor of 70 mm."""
    return HeatNetwork(
        ("winding", "stator", "rotor"),
        np.array([14.0, 90.0, 60.0]),
        ("air",),
        np.array([25.0]),
        np.array([0, 1, 1, 2]),
        np.array([1, 2, 3, 3]),
        np.array([1.1, 0.08, 0.15, 0.05]),
        np.zeros(4),
        np.array([0.0, 0.0, 0.002, 0.004]),
        np.full(4, 0.6),
        0,
        1,
        2,
        2,
    )


def cycle(network: HeatNetwork) -> HeatPieces:
    rng = np.random.default_rng(7)
    m = 12
    speed = rng.uniform(0.0, 400.0, m)
    matrix, inflow = node_matrices(network, link_conductance(network, speed))
    inflow[:, 1] += 0.004 * speed
    torque, drag = rng.uniform(-1.0, 1.0, m), 0.03 * np.ones(m)
    copper = 40.0 * np.stack([drag * drag, drag * torque, torque * torque], axis=1)
    pieces = HeatPieces(rng.uniform(0.5, 2.0, m), np.arange(m), matrix, inflow, copper, np.ones(m))
    state = repeating_state(network, pieces, LAW)
    assert isinstance(state, RepeatingState)
    longest = 1.0 / float(state.modes.rate[:, 0] @ pieces.duration / pieces.duration.sum())
    return replace(pieces, duration=pieces.duration * 0.06 * longest / pieces.duration.sum())


def marched(network: HeatNetwork, pieces: HeatPieces) -> tuple[FloatArray, int]:
    """Return the start of a cycle that repeats to 1e-3 K, and the number of cycles it took."""
    loss, n = pieces.copper_at_reference(), 3
    temps = np.full(n, 25.0)
    magnets = np.full(pieces.duration.size, 25.0)
    earlier = np.inf
    for count in range(1, 2000):
        before = temps
        for j, duration in enumerate(pieces.duration):
            flux = 1.0 + LAW.magnet_temp_coefficient * (magnets[j] - LAW.magnet_ref_temp)
            matrix, inflow, watts = pieces.conductance[j], pieces.inflow[j], loss[j] / flux**2

            def slope(
                _: float,
                y: FloatArray,
                matrix: FloatArray = matrix,
                inflow: FloatArray = inflow,
                watts: float = watts,
            ) -> FloatArray:
                heat = inflow - matrix @ y[:n]
                heat[0] += watts * (235.0 + y[0]) / 260.0
                return np.append(heat / network.capacity, y[2])

            start = np.append(temps, 0.0)
            run = solve_ivp(slope, (0.0, duration), start, method="LSODA", rtol=1e-8, atol=1e-8)
            temps = run.y[:n, -1]
            magnets[j] = run.y[n, -1] / duration
        change = float(np.abs(temps - before).max())
        if change < 1e-3 * (1.0 - min(change / earlier, 1.0)):
            return temps, count
        earlier = change
    raise RuntimeError("the march did not settle")


def seconds(call: Callable[[], object], repeats: int, number: int) -> float:
    """Return the median time of one call."""
    call()
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        for _ in range(number):
            call()
        times.append((time.perf_counter() - begin) / number)
    return median(times)


def main() -> None:
    network = motor()
    pieces = cycle(network)
    state = repeating_state(network, pieces, LAW)
    assert isinstance(state, RepeatingState)
    begin = time.perf_counter()
    start, count = marched(network, pieces)
    march = time.perf_counter() - begin
    kernel_matrices = np.array([state.modes.shape] * 10)
    kernel = seconds(lambda: kernel_matrices @ kernel_matrices, 20, 50)
    exact = seconds(lambda: repeating_state(network, pieces, LAW), 20, 50)
    near = state.piece_mean[:, network.magnets] + 0.5
    again = seconds(lambda: repeating_state(network, pieces, LAW, guess=near), 20, 50)
    reserve = seconds(lambda: torque_reserve(network, pieces, LAW, LIMITS, state), 20, 20)
    alone = seconds(lambda: torque_reserve(network, pieces, LAW, LIMITS), 20, 20)
    print(f"cycle {pieces.duration.sum():.1f} s, spectral radius {state.spectral_radius:.4f}")
    print(f"LSODA march            {march * 1e3:10.1f} ms in {count} cycles")
    print(f"repeating state        {exact * 1e3:10.3f} ms = {exact / kernel:6.1f} kernels")
    print(f"  after a small change {again * 1e3:10.3f} ms")
    print(
        f"torque reserve         {reserve * 1e3:10.3f} ms with the state known, {alone * 1e3:.3f} ms without"
    )
    print(f"kernel                 {kernel * 1e6:10.1f} us (120 products of 3 x 3 matrices)")
    print(f"faster than the march  {march / exact:10.0f} times (target 1000)")
    print(f"largest difference     {np.abs(start - state.start_temp).max():10.2e} K (target 1e-3)")


if __name__ == "__main__":
    main()
