"""Temperatures and torque reserve of the candidates that no necessary condition rules out, side by side."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from core.evaluation.brake_coil import coil_power
from core.evaluation.heat_model import HeatModel, stator_side
from core.evaluation.part_limits import encoder_limit, hall_limit
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.heat_pieces import CopperLaw
from core.physics.hold import phase_loss_factor
from core.shortlist.batch.courses import DutyRows
from core.shortlist.batch.cuts import ramps_of
from core.shortlist.batch.cycle_means import Cycles
from core.shortlist.batch.electric import ripple_square
from core.shortlist.batch.heat_margins import HeatFound, put_heat_margins
from core.shortlist.batch.heat_rows import STEPS, HeatGroup
from core.shortlist.batch.machines import MachineColumns
from core.shortlist.batch.margin_board import MarginBoard
from core.shortlist.batch.reserve import reserve_factors
from core.shortlist.batch.ripple import continuous_currents, put_ripple_margins
from core.shortlist.batch.side_by_side import Team, kinds_of
from core.shortlist.batch.states import settled_states

_GAUSS, _WEIGHT = np.polynomial.legendre.leggauss(3)


def heat_apart(team: Team) -> BoolArray:
    """Return which candidates of a team have heat that is not computed side by side."""
    apart = []
    for model in team.models:
        heat = team.engine.heat(model)
        surfaces = isinstance(heat, HeatModel) and heat.network.by_temperature is not None
        apart.append(surfaces or model.saturation is not None or model.drive.built_in)
    return np.array(apart, dtype=bool)[team.machine]


def judge_heat(
    team: Team,
    chosen: IntArray,
    duty: DutyRows,
    wanted: BoolArray,
    board: MarginBoard,
    objectives: dict[str, FloatArray],
) -> None:
    """Put the margins of heat of the wanted candidates, and the objectives that temperatures decide.

    `chosen` are the candidates of the duty in the team, `wanted` tells of each of them.
    """
    winding, magnets, copper = (np.full(len(chosen), np.nan) for _ in range(3))
    lasting = team.columns.continuous_current[team.machine[chosen], 0]
    for group, at in heat_groups(team, chosen, duty, wanted):
        found, copper[at] = _solved(group)
        put_heat_margins(team, found, board)
        lasting[at] = continuous_currents(team, group)
        objectives["outside_temperature"][team.rows[found.members]] = found.peak[:, group.network.outside]
        winding[at], magnets[at] = (
            found.mean[:, node] for node in (group.network.winding, group.network.magnets)
        )
    at = np.flatnonzero(wanted)
    put_ripple_margins(team, chosen[at], duty.only(at), lasting[at], board)
    means = Cycles(duty.only(at), team.columns.at(team.machine[chosen[at]]))
    rows = team.rows[chosen[at]]
    objectives["mean_losses"][rows] = means.mean_losses(copper[at], magnets[at])
    current = means.mean_current(team.application.supply, winding[at], magnets[at])
    objectives["mean_supply_current"][rows] = current


def _solved(group: HeatGroup) -> tuple[HeatFound, FloatArray]:
    """Return peaks, means and torque reserves of a group, and its mean copper losses."""
    count, n = group.limit.shape
    peak, mean = np.full((count, n + 1), np.nan), np.full((count, n), np.nan)
    reserve, loss = np.full(count, np.nan), np.full(count, np.nan)
    for states in settled_states(group, np.arange(count)):
        rows = states.rows
        peak[rows], reserve[rows] = states.peak, reserve_factors(group, states)
        mean[rows] = np.where(states.settled[:, None], states.mean, np.nan)
        loss[rows] = (states.pieces.share * states.loss).sum(axis=1)
    limited: BoolArray = np.asarray(np.isfinite(group.limit).any(axis=1))
    return HeatFound(group.rows, peak, mean, reserve, limited, group.network), loss


def heat_groups(
    team: Team, chosen: IntArray, duty: DutyRows, wanted: BoolArray
) -> Iterator[tuple[HeatGroup, IntArray]]:
    """Yield the wanted candidates that have a heat network in groups, with their rows in the duty."""
    models = [team.engine.heat(model) for model in team.models]
    courses = [ramps_of(course).tobytes() for course in team.courses]
    keys: dict[object, list[int]] = {}
    for row in np.flatnonzero(wanted).tolist():
        heat = models[team.machine[chosen[row]]]
        if isinstance(heat, HeatModel):
            keys.setdefault((*_nodes(heat), courses[team.course[chosen[row]]]), []).append(row)
    for rows in keys.values():
        at = np.array(rows, dtype=np.int64)
        yield _group(team, chosen[at], duty, at, models), at


def _nodes(heat: HeatModel) -> tuple[object, ...]:
    net = heat.network
    follows = net.by_temperature is not None
    return len(net.nodes), net.winding, net.core, net.magnets, net.outside, net.air, follows


def _group(
    team: Team, members: IntArray, duty: DutyRows, at: IntArray, models: Sequence[object]
) -> HeatGroup:
    used, model = np.unique(team.machine[members], return_inverse=True)
    heats = [heat for heat in (models[number] for number in used.tolist()) if isinstance(heat, HeatModel)]
    numbers, course = np.unique(team.course[members], return_inverse=True)
    machine = team.columns.at(team.machine[members])
    speed = 0.5 * (duty.speed[at, :, 0] + duty.speed[at, :, 1])
    limit, coil = _fitted(team, members, heats, model)
    return HeatGroup(
        team.engine,
        members,
        heats,
        model,
        [team.courses[number] for number in numbers.tolist()],
        course,
        [team.models[number].drag for number in used.tolist()],
        model,
        limit=limit,
        coil=coil,
        torque=duty.torque[at],
        phase_factor=_phase_factor(team, members, machine, speed, heats, model),
        copper=machine.copper_per_torque_squared * np.where(speed == 0.0, machine.edge_factor, 1.0),
        ripple=_ripple(machine, duty.speed[at]),
        law=CopperLaw(
            machine.copper_constant,  # type: ignore[arg-type]
            machine.resistance_ref_temp,  # type: ignore[arg-type]
            machine.magnet_ref_temp,  # type: ignore[arg-type]
            machine.magnet_temp_coefficient,  # type: ignore[arg-type]
        ),
    )


def _fitted(
    team: Team, members: IntArray, heats: list[HeatModel], model: IntArray
) -> tuple[FloatArray, FloatArray]:
    """Return the limits of the nodes with what is fitted, and the heat of brake coils in them."""
    limit = np.array([heat.limit for heat in heats])[model]
    coil, network = np.zeros_like(limit), heats[0].network
    for row, member in enumerate(members.tolist()):
        candidate = team.candidates[member]
        if candidate.feedback is None and candidate.brake is None:
            continue
        side = stator_side(network, team.models[team.machine[member]].variant.kind)
        brake = candidate.brake
        on_motor = brake is not None and brake.on_motor
        for node, of_part in (
            (network.core, hall_limit(candidate)),
            (side, encoder_limit(candidate)),
            (side, brake.highest_temp if brake is not None and on_motor else None),
        ):
            if of_part is not None:
                limit[row, node] = min(limit[row, node], of_part)
        coil[row, side] += coil_power(team.application, candidate)
    return limit, coil


def _phase_factor(
    team: Team,
    members: IntArray,
    machine: MachineColumns,
    speed: FloatArray,
    heats: list[HeatModel],
    model: IntArray,
) -> FloatArray:
    """Return the rise of the hottest phase over the mean of the phases in each part. [-]"""
    constant = np.array([heat.winding_time_constant for heat in heats])[model][:, None]
    frequency = np.abs(speed) * machine.pole_pairs / (2.0 * np.pi)
    factor = np.empty_like(speed)
    for commutation, _, at in kinds_of(team, members):
        factor[at] = phase_loss_factor(frequency[at], constant[at], commutation)  # type: ignore[arg-type]
    return factor


def _ripple(machine: MachineColumns, speed: FloatArray) -> FloatArray | None:
    """Return the mean copper loss of the ripple in each step of the parts; None where there is none. [W]"""
    if not machine.ripple_loss.any():
        return None
    step = (speed[..., 1] - speed[..., 0])[..., None, None] / STEPS
    place = np.arange(STEPS)[:, None] + 0.5 * (1.0 + _GAUSS)
    at = speed[..., 0][..., None, None] + step * place
    mean: FloatArray = 0.5 * (ripple_square(machine, at) @ _WEIGHT)
    return machine.ripple_loss[:, :, None] * mean
