"""Three nodes under a four-segment cycle, solved elsewhere by matrix exponential, circuit simulator and ODE.

Source of `three_node_duty.json`: exact matrix exponential, cross-checked with ngspice 39 and
scipy.integrate.solve_ivp; the three agree to 8 digits (basis as in the file). Tolerance 1e-6 K covers
the 10 decimals given and the rounding of 40 cycles.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from core.numeric import FloatArray
from core.physics.heat_network import HeatNetwork, link_conductance, node_matrices
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.physics.heating_up import heating_up
from core.physics.segment_maps import chain, piece_ends, piece_maps, piece_modes, temperatures_within
from core.physics.temperatures import RepeatingState, repeating_state

CASE = json.loads((Path(__file__).parent / "three_node_duty.json").read_text(encoding="utf-8"))
LINEAR = CASE["cases"]["linear"]
WIRES = [("w", "s"), ("s", "h"), ("s", "a"), ("h", "a"), ("w", "h")]
PIECES = np.array(CASE["segments_s_Pw_Ps_Ph"])
NO_FEEDBACK = CopperLaw()


def network() -> HeatNetwork:
    place = {"w": 0, "s": 1, "h": 2, "a": 3}
    resistance = np.array([CASE["R_K_per_W"][f"{a}-{b}"] for a, b in WIRES])
    count = len(WIRES)
    return HeatNetwork(
        ("winding", "stator", "housing"),
        np.array(CASE["C_J_per_K"]),
        ("air",),
        np.array([CASE["T_ambient_C"]]),
        np.array([place[a] for a, _ in WIRES]),
        np.array([place[b] for _, b in WIRES]),
        1.0 / resistance,
        np.zeros(count),
        np.zeros(count),
        np.ones(count),
        0,
        1,
        1,
        2,
        2,
    )


def cycle(copper_in_inflow: bool = True) -> HeatPieces:
    m = len(PIECES)
    matrix, inflow = node_matrices(network(), link_conductance(network(), np.zeros(m)))
    heat = PIECES[:, 1:].copy()
    copper = np.zeros((m, 3))
    if not copper_in_inflow:
        copper[:, 2], heat[:, 0] = heat[:, 0], 0.0
    return HeatPieces(PIECES[:, 0], np.arange(m), matrix, inflow + heat, copper, np.ones(m))


def temperature_at(time: float) -> FloatArray:
    pieces = cycle()
    modes = piece_modes(
        pieces.conductance, pieces.inflow, np.zeros(len(PIECES)), pieces.duration,
        network().capacity, 0, NO_FEEDBACK,
    )  # fmt: skip
    joined = chain(piece_maps(modes))
    period = float(pieces.duration.sum())
    temps = np.full(3, CASE["T_start_C"])
    # a sample at the very end of a cycle belongs to that cycle
    whole = int(np.ceil(time / period - 1e-9)) - 1
    for _ in range(whole):
        temps = piece_ends(joined, temps)[1][-1]
    starts, _ = piece_ends(joined, temps)
    left = time - whole * period
    piece = int(np.searchsorted(np.cumsum(pieces.duration), left - 1e-9))
    offset = left - (np.cumsum(pieces.duration) - pieces.duration)[piece]
    share = np.array([offset / pieces.duration[piece]])
    result: FloatArray = temperatures_within(modes, starts, share)[piece, 0]
    return result


@pytest.mark.parametrize("sample", range(len(LINEAR["samples_s"])))
def test_samples_from_cold(sample: int) -> None:
    assert temperature_at(LINEAR["samples_s"][sample]) == pytest.approx(LINEAR["T_C"][sample], abs=1e-6)


def test_repeating_state() -> None:
    state = repeating_state(network(), cycle(), NO_FEEDBACK)
    assert isinstance(state, RepeatingState)
    assert state.start_temp == pytest.approx(LINEAR["periodic_start_C"], abs=1e-6)


def test_time_constants_of_a_segment() -> None:
    state = repeating_state(network(), cycle(), NO_FEEDBACK)
    assert isinstance(state, RepeatingState)
    found = np.sort(1.0 / state.modes.rate[0])
    assert found == pytest.approx(LINEAR["eigen_time_constants_seg0_s"], rel=1e-9)


def test_heating_up_meets_the_fortieth_cycle() -> None:
    state = repeating_state(network(), cycle(), NO_FEEDBACK)
    course = heating_up(network(), cycle(), NO_FEEDBACK, np.full(3, 25.0), np.full(3, np.inf), state)
    # the winding is hottest at the end of a loaded segment, which is among the samples of cycles 10 and 40
    for start in (225.0, 975.0):
        inside = [t for t in LINEAR["samples_s"] if start < t <= start + 25.0]
        hottest = max(LINEAR["T_C"][LINEAR["samples_s"].index(t)][0] for t in inside)
        assert np.interp(start, course.time, course.high[:, 0]) == pytest.approx(hottest, abs=0.05)


NETLIST = """three nodes: 1 V = 1 degC, 1 A = 1 W, copper loss in proportion to 235 + winding temperature
Va a 0 DC 25.0
Rws w s 2.5
Rsh s h 1.2
Rsa s a 9.0
Rha h a 6.0
Rwh w h 30.0
Cw w 0 12.0 IC={0!r}
Cs s 0 45.0 IC={1!r}
Ch h 0 60.0 IC={2!r}
Vp p 0 PWL({winding})
Bw 0 w I=V(p)*(235.0+V(w))/260.0
Is 0 s PWL({stator})
Ih 0 h PWL({housing})
.options reltol=1e-8 abstol=1e-10 vntol=1e-10 method=trap gmin=1e-15
.control
set numdgt=12
set wr_singlescale
tran 0.01 {period!r} 0 0.005 uic
wrdata out.txt v(w) v(s) v(h)
quit
.endc
.end
"""


def steps(values: FloatArray) -> str:
    """Steps of 1 us at the borders of the segments."""
    ends = np.cumsum(PIECES[:, 0])
    points = [f"0 {float(values[0])!r}"]
    for end, before, after in zip(ends[:-1], values[:-1], values[1:], strict=True):
        points.append(f"{float(end) - 5e-7!r} {float(before)!r} {float(end) + 5e-7!r} {float(after)!r}")
    return " ".join([*points, f"{float(ends[-1]) + 1.0!r} {float(values[-1])!r}"])


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_copper_law_against_a_circuit_simulator(tmp_path: Path) -> None:
    """One cycle in the simulator from our repeating state, with the loss following the winding.

    Tolerance 2e-3 K: trapezoidal steps of 5 ms err by about 1e-5 of the heating in a step (0.02 K), the
    edges of 1 us by less.
    """
    state = repeating_state(network(), cycle(copper_in_inflow=False), CopperLaw())
    assert isinstance(state, RepeatingState)
    text = NETLIST.format(
        *state.start_temp.tolist(),
        winding=steps(PIECES[:, 1]),
        stator=steps(PIECES[:, 2]),
        housing=steps(PIECES[:, 3]),
        period=float(PIECES[:, 0].sum()),
    )
    (tmp_path / "cycle.cir").write_text(text, encoding="utf-8")
    subprocess.run(["ngspice", "-b", "cycle.cir"], cwd=tmp_path, check=True, capture_output=True, timeout=120)
    rows = np.loadtxt(tmp_path / "out.txt")
    for end, expected in zip(np.cumsum(PIECES[:, 0]), state.piece_end, strict=True):
        for node in range(3):
            found = np.interp(end, rows[:, 0], rows[:, node + 1])
            assert found == pytest.approx(expected[node], abs=2e-3)
    assert rows[:, 1:].max(axis=0) == pytest.approx(state.peak, abs=2e-3)
