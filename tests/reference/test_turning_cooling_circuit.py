"""Cooling that follows the speed over ramps, in a circuit simulator: every law at its instant.

The speed is a voltage, links to the air are behavioural sources, G = G_f + (G_n^3 + (g w^e)^3)^(1/3); drag
and copper loss follow speed, torque and winding temperature. Simulated with ngspice where it is installed.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from core.physics.cycle_heat import cycle_cut
from core.physics.drag import DragLaw
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw
from core.physics.settled_cycle import settled_cycle
from core.physics.shaft_duty import shaft_duty
from core.physics.temperatures import RepeatingState

AMBIENT, COPPER = 25.0, 55.0
SPEED, TIMES = (0.0, 300.0, 300.0, 40.0, 40.0, 0.0), (0.0, 2.0, 6.0, 8.0, 11.0, 12.0)
TORQUE = (0.35, 0.25, -0.12, 0.1, 0.05)
NETWORK = HeatNetwork(
    nodes=("winding", "stator", "rotor"),
    capacity=np.array([12.0, 45.0, 60.0]),
    sinks=("air",),
    sink_temp=np.array([AMBIENT]),
    end_a=np.array([0, 1, 1, 2]),
    end_b=np.array([1, 2, 3, 3]),
    fixed=np.array([0.5, 0.12, 0.08, 0.04]),
    natural=np.array([0.0, 0.0, 0.06, 0.05]),
    rotating=np.array([0.0, 0.0, 0.004, 0.006]),
    exponent=np.array([1.0, 1.0, 0.5, 0.667]),
    winding=0,
    core=1,
    magnets=2,
    outside=1,
)

NETLIST = """cooling that follows the speed: 1 V = 1 degC or 1 rad/s or 1 N m, 1 A = 1 W
Va a 0 DC 25.0
Vn n 0 PWL({speed})
Vt t 0 PWL({torque})
Rws w s 2.0
Rsr s r {gap!r}
Bsa s a I=(0.08+(0.06**3+(0.004*max(V(n),1e-3)**0.5)**3)**(1/3))*(V(s)-V(a))
Bra r a I=(0.04+(0.05**3+(0.006*max(V(n),1e-3)**0.667)**3)**(1/3))*(V(r)-V(a))
Cw w 0 12.0 IC={0!r}
Cs s 0 45.0 IC={1!r}
Cr r 0 60.0 IC={2!r}
Bcu 0 w I=55.0*(V(t)+0.01+2e-5*V(n))**2*(235.0+V(w))/260.0
Bdrag 0 s I=(0.01+2e-5*V(n))*V(n)
.options reltol=1e-7 abstol=1e-9 vntol=1e-9 method=trap gmin=1e-15
.control
set numdgt=12
set wr_singlescale
tran 0.01 12 0 0.004 uic
wrdata out.txt v(w) v(s) v(r)
quit
.endc
.end
"""


def held(values: tuple[float, ...]) -> str:
    """Values held between the corners, with edges of 1 us."""
    points = [f"0 {values[0]!r}"]
    for corner, before, after in zip(TIMES[1:-1], values[:-1], values[1:], strict=True):
        points.append(f"{corner - 5e-7!r} {before!r} {corner + 5e-7!r} {after!r}")
    return " ".join([*points, f"13 {values[-1]!r}"])


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_a_cycle_with_ramps_repeats_in_the_circuit(tmp_path: Path) -> None:
    """From our repeating state one simulated cycle comes back to it within 5 mK, and has its peaks.

    Constant magnets, so that the only laws in time are those of speed and copper. The simulator's steps of
    4 ms err by about 1 mK.
    """
    duty = shaft_duty(np.diff(TIMES), np.array(TORQUE), np.array(SPEED[:-1]), np.array(SPEED[1:]), 0.0)
    drag = DragLaw(0.01, 2e-5, 0.0)
    found = settled_cycle(NETWORK, lambda per_ramp: cycle_cut(duty, drag, COPPER, per_ramp), CopperLaw())
    state = found.state
    assert isinstance(state, RepeatingState)
    corners = " ".join(f"{time!r} {speed!r}" for time, speed in zip(TIMES, SPEED, strict=True))
    text = NETLIST.format(*state.start_temp.tolist(), speed=corners, torque=held(TORQUE), gap=1.0 / 0.12)
    (tmp_path / "cycle.cir").write_text(text, encoding="utf-8")
    subprocess.run(["ngspice", "-b", "cycle.cir"], cwd=tmp_path, check=True, capture_output=True, timeout=120)
    rows = np.loadtxt(tmp_path / "out.txt")
    assert rows[-1, 0] == pytest.approx(12.0)
    np.testing.assert_allclose(rows[-1, 1:], state.start_temp, atol=5e-3)
    np.testing.assert_allclose(rows[:, 1:].max(axis=0), state.peak, atol=5e-3)
    assert state.peak[0] > AMBIENT + 30.0
