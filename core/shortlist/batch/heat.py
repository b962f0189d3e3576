"""Temperatures and torque reserve of the candidates that no necessary condition rules out, side by side."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from core.evaluation.heat_model import HeatModel, NoHeatModel
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_rows import standing_share
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.heat_pieces import CopperLaw
from core.physics.hold import phase_loss_factor
from core.records import dataclass
from core.shortlist.batch.courses import DutyRows
from core.shortlist.batch.cuts import ramps_of
from core.shortlist.batch.cycle_means import Cycles
from core.shortlist.batch.electric import mean_square_weakening, ripple_square
from core.shortlist.batch.fitted import FittedRows, fitted_rows
from core.shortlist.batch.heat_margins import HeatFound, put_heat_margins
from core.shortlist.batch.heat_rows import STEPS, HeatGroup
from core.shortlist.batch.machines import MachineColumns
from core.shortlist.batch.margin_board import MarginBoard
from core.shortlist.batch.ripple import continuous_currents, put_ripple_margins
from core.shortlist.batch.side_by_side import Team, kinds_of
from core.shortlist.batch.singly import currents_singly, is_apart, solved_singly
from core.shortlist.batch.solved_heat import solved_together

_GAUSS, _WEIGHT = np.polynomial.legendre.leggauss(3)


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
    beyond = np.full(len(chosen), np.nan)
    lasting = team.columns.continuous_current[team.machine[chosen], 0]
    for one in heat_groups(team, chosen, duty, wanted):
        members, at, alike, network = chosen[one.at], one.at, one.alike, one.group.network
        found = (
            solved_singly(team, members[one.first], one.group) if one.apart else solved_together(one.group)
        )
        lasting[at] = _lasting(team, members, one)
        limited: BoolArray = np.asarray(np.isfinite(one.group.limit).any(axis=1))
        parts = fitted_rows(team, members, network)
        heat = HeatFound(found.peak, found.reserve, limited, network)
        put_heat_margins(team, members, heat.only(alike), parts, board)
        objectives["outside_temperature"][team.rows[members]] = found.peak[alike, network.outside]
        copper[at], beyond[at] = found.copper[alike], found.beyond[alike]
        winding[at], magnets[at] = (found.mean[alike, k] for k in (network.winding, network.magnets))
    at = np.flatnonzero(wanted)
    put_ripple_margins(team, chosen[at], duty.only(at), lasting[at], board)
    means = Cycles(duty.only(at), team.columns.at(team.machine[chosen[at]]))
    rows = team.rows[chosen[at]]
    objectives["mean_losses"][rows] = means.mean_losses(copper[at], magnets[at], beyond[at])
    current = means.mean_current(team.application.supply, winding[at], magnets[at])
    objectives["mean_supply_current"][rows] = current


def _lasting(team: Team, members: IntArray, one: HeatKind) -> FloatArray:
    """Return the continuous current of candidates of a kind, one by one where it heats as no square does."""
    current = np.empty(members.size)
    weakens = ~np.isnan(team.columns.weakening_voltage[team.machine[members], 0])
    for apart in (False, True):
        at = np.flatnonzero((weakens | one.apart) == apart)
        if at.size:
            currents = currents_singly if apart else continuous_currents
            current[at] = currents(team, members[at], one.group, one.alike[at])
    return current


@dataclass(frozen=True, slots=True)
class HeatKind:
    """Candidates with networks of the same nodes: those of different heat as a group.

    `at` are their rows in the duty, `alike` tells which row of the group each has and `first` which of them
    stands for each row; `apart` tells whether their heat is not computed side by side.
    """

    group: HeatGroup
    at: IntArray
    alike: IntArray
    first: IntArray
    apart: bool


def heat_groups(team: Team, chosen: IntArray, duty: DutyRows, wanted: BoolArray) -> Iterator[HeatKind]:
    """Yield the wanted candidates that have a heat network, by the nodes of their networks."""
    used = np.zeros(len(team.models), dtype=bool)
    used[team.machine[chosen[wanted]]] = True  # a network that no one needs is not made
    pairs = zip(team.models, used.tolist(), strict=True)
    models = [team.engine.heat(model) if needed else None for model, needed in pairs]
    courses = [ramps_of(course).tobytes() for course in team.courses]
    kinds: dict[object, int] = {}
    made = zip(team.models, models, strict=True)
    kind = np.array([kinds.setdefault(_nodes(motor, heat), len(kinds)) for motor, heat in made])
    cuts = np.array([kinds.setdefault(ramps, len(kinds)) for ramps in courses])
    code = kind[team.machine[chosen]] * len(kinds) + cuts[team.course[chosen]]
    there = np.array([isinstance(heat, HeatModel) for heat in models])[team.machine[chosen]]
    for one in np.unique(code[wanted & there]).tolist():
        at = np.flatnonzero(wanted & there & (code == one))
        yield _group(team, chosen[at], duty, at, models)


def _nodes(motor: MotorModel, heat: HeatModel | NoHeatModel | None) -> tuple[object, ...]:
    """Return what the networks of a group have in common."""
    if not isinstance(heat, HeatModel):
        return ()
    net = heat.network
    apart = is_apart(motor, heat)
    return len(net.nodes), net.winding, net.core, net.magnets, net.outside, net.air, apart


def _group(
    team: Team,
    members: IntArray,
    duty: DutyRows,
    at: IntArray,
    models: Sequence[HeatModel | NoHeatModel | None],
) -> HeatKind:
    heats: dict[int, HeatModel] = {}
    for number in np.unique(team.machine[members]).tolist():
        heat = models[number]
        assert isinstance(heat, HeatModel)  # chosen for it
        heats.setdefault(id(heat), heat)
    place = {one: k for k, one in enumerate(heats)}
    number_of = np.array([place.get(id(heat), -1) for heat in models])
    model, distinct = number_of[team.machine[members]], list(heats.values())
    fitted = fitted_rows(team, members, distinct[0].network)
    limit = fitted.limits(np.array([heat.limit for heat in distinct])[model], distinct[0].network)
    machine = team.columns.at(team.machine[members])
    weakening = mean_square_weakening(duty.only(at), machine) * machine.copper_factor * machine.resistance
    first, alike = _alike(team, members, model, machine, limit, fitted, weakening)
    group = _made(
        team, members[first], duty.only(at[first]), distinct, model[first], limit[first], fitted.only(first),
        weakening[first],
    )  # fmt: skip
    apart = is_apart(team.models[team.machine[members[0]]], distinct[0])
    return HeatKind(group, at, alike, first, apart)


def _alike(
    team: Team,
    members: IntArray,
    model: IntArray,
    machine: MachineColumns,
    limit: FloatArray,
    fitted: FittedRows,
    weakening: FloatArray,
) -> tuple[IntArray, IntArray]:
    """Return a row for each different heat, and which of them each candidate has.

    Electronics of the same pulses warm a motor alike, and so do sensors of the same inertia.
    """
    signature = np.column_stack((
        model, team.course[members], team.inertia[members], machine.copper_per_torque_squared,
        machine.copper_factor, machine.edge_factor, machine.ripple_loss, machine.full_speed, machine.ripple,
        fitted.coil, limit, weakening,
    ))  # fmt: skip
    _, first, alike = np.unique(signature, axis=0, return_index=True, return_inverse=True)
    return first, alike.reshape(-1)


def _made(
    team: Team,
    members: IntArray,
    duty: DutyRows,
    heats: list[HeatModel],
    model: IntArray,
    limit: FloatArray,
    fitted: FittedRows,
    weakening: FloatArray,
) -> HeatGroup:
    numbers, course = np.unique(team.course[members], return_inverse=True)
    used, drag = np.unique(team.machine[members], return_inverse=True)
    machine = team.columns.at(team.machine[members])
    speed = 0.5 * (duty.speed[..., 0] + duty.speed[..., 1])
    return HeatGroup(
        team.engine,
        heats,
        model,
        [team.courses[number] for number in numbers.tolist()],
        course,
        [team.models[number].drag for number in used.tolist()],
        drag,
        limit=limit,
        coil=fitted.heat(limit.shape[1]),
        torque=duty.torque,
        phase_factor=_phase_factor(team, members, machine, speed, heats, model),
        copper=machine.copper_per_torque_squared * np.where(speed == 0.0, machine.edge_factor, 1.0),
        extra=_extra(machine, duty.speed, weakening),
        law=CopperLaw(
            machine.copper_constant,  # type: ignore[arg-type]
            machine.resistance_ref_temp,  # type: ignore[arg-type]
            machine.magnet_ref_temp,  # type: ignore[arg-type]
            machine.magnet_temp_coefficient,  # type: ignore[arg-type]
        ),
    )


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
        even = phase_loss_factor(frequency[at], constant[at], commutation)  # type: ignore[arg-type]
        share = np.array([standing_share(heat, commutation) for heat in heats])[model[at]]
        factor[at] = even + (even - 1.0) * share[:, None]
    return factor


def _extra(machine: MachineColumns, speed: FloatArray, weakening: FloatArray) -> FloatArray | None:
    """Return the mean copper loss of ripple and weakening in each step of the parts; None without. [W]"""
    if not machine.ripple_loss.any() and not weakening.any():
        return None
    step = (speed[..., 1] - speed[..., 0])[..., None, None] / STEPS
    place = np.arange(STEPS)[:, None] + 0.5 * (1.0 + _GAUSS)
    at = speed[..., 0][..., None, None] + step * place
    mean: FloatArray = 0.5 * (ripple_square(machine, at) @ _WEIGHT)
    return machine.ripple_loss[:, :, None] * mean + weakening[..., None]
