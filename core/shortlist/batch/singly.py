"""Heat that is not computed side by side: each different one goes through the steps of the single evaluation.

It is that of surfaces which follow their temperatures (heat from dimensions), and heat that follows the
torque otherwise than by its square: saturation, built-in electronics and, for the continuous torque, field
weakening. Candidates of the same heat share it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.evaluation.brake_coil import with_coil
from core.evaluation.curves import SPEEDS, drawn_speed
from core.evaluation.duty import duty_at_shaft
from core.evaluation.heat_model import HeatModel
from core.evaluation.lasting_torque import lasting_torque
from core.evaluation.losses import square_beyond_linear
from core.evaluation.motor_model import MotorModel
from core.evaluation.ripple_side import lasting_current
from core.evaluation.temperatures import CycleTemperatures, cycle_temperatures
from core.evaluation.torque_heat import follows_torque
from core.numeric import FloatArray, IntArray
from core.physics.materials import magnet_flux_factor
from core.physics.temperatures import RunAway
from core.shortlist.batch.heat_rows import HeatGroup
from core.shortlist.batch.side_by_side import Team
from core.shortlist.batch.solved_heat import SolvedHeat


def is_apart(motor: MotorModel, heat: HeatModel) -> bool:
    """Return whether the heat of a motor is not computed side by side."""
    return heat.network.by_temperature is not None or follows_torque(motor)


def solved_singly(team: Team, members: IntArray, group: HeatGroup) -> SolvedHeat:
    """Return the heat of a group, `members` being the candidates of its rows."""
    found = SolvedHeat.nothing(group)
    for row, member in enumerate(members.tolist()):
        motor, heat = _motor(team, member), _heat(team, member, group, row)
        duty = duty_at_shaft(team.courses[team.course[member]].trace, motor.inertia)
        assert duty is not None  # there is a course
        temps = cycle_temperatures(duty, motor, heat)
        found.reserve[row] = temps.reserve.factor
        if not isinstance(temps.state, RunAway):
            _put_state(found, row, temps)
            c, magnets = motor.constants, float(found.mean[row, heat.network.magnets])
            flux = float(magnet_flux_factor(magnets, c.magnet_temp_coefficient, c.magnet_ref_temp))
            found.beyond[row] = square_beyond_linear(duty, motor, flux)
    return found


def _put_state(found: SolvedHeat, row: int, temps: CycleTemperatures) -> None:
    state, duration = temps.state, temps.pieces.duration
    assert not isinstance(state, RunAway)  # asked before
    found.peak[row, :-1], found.peak[row, -1] = state.peak, state.hot_phase_peak
    found.mean[row] = state.mean
    found.copper[row] = float(state.copper_loss @ duration) / float(duration.sum())


def currents_singly(team: Team, members: IntArray, group: HeatGroup, alike: IntArray) -> FloatArray:
    """Return the largest continuous current of some candidates, NaN where it is not known. [A]"""
    current: FloatArray = team.columns.continuous_current[team.machine[members], 0].copy()
    limited = np.isfinite(group.limit[:, group.network.winding])
    for place, (member, row) in enumerate(zip(members.tolist(), alike.tolist(), strict=True)):
        if limited[row]:
            current[place] = _lasting(team, member, group, row)
    return current


def _lasting(team: Team, member: int, group: HeatGroup, row: int) -> float:
    """Return the continuous current of a candidate, the same for any inertia. [A]"""
    motor = team.models[team.machine[member]]
    top = team.courses[team.course[member]].top_speed
    end = drawn_speed(team.application.supply, motor, top)
    limit, coil = (tuple(value[row].tolist()) for value in (group.limit, group.coil))

    def make() -> float:
        speed = np.linspace(0.0, end, SPEEDS)
        lasting = lasting_torque(_heat(team, member, group, row), motor, speed)
        return lasting_current(motor, lasting.motoring, -lasting.braking)

    heat = group.models[group.model[row]]
    return team.engine.lasting_singly(motor, heat, (limit, coil, end), make)


def _motor(team: Team, member: int) -> MotorModel:
    motor: MotorModel = team.models[team.machine[member]]
    return replace(motor, added_inertia=team.candidates[member].added_inertia)


def _heat(team: Team, member: int, group: HeatGroup, row: int) -> HeatModel:
    """Return the heat model of a row with the limits of what is fitted and the heat of a coil."""
    kind = team.models[team.machine[member]].variant.kind
    heat = with_coil(group.models[group.model[row]], float(group.coil[row].sum()), kind)
    assert isinstance(heat, HeatModel)  # those of a group are
    return replace(heat, limit=group.limit[row])
