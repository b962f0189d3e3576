"""The ripple of the current against the continuous current of many candidates.

The numbers of `ripple_margin`, with the continuous torque of `lasting`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.evaluation.feed import peak_to_peak
from core.evaluation.ripple_side import ripple_criterion
from core.numeric import FloatArray, IntArray
from core.physics.continuous_torque import loss_of_most_torque
from core.physics.voltage import required_voltage
from core.shortlist.batch.courses import DutyRows
from core.shortlist.batch.electric import electric_rows
from core.shortlist.batch.heat_rows import HeatGroup
from core.shortlist.batch.lasting import LastingHeat
from core.shortlist.batch.machines import MachineColumns
from core.shortlist.batch.margin_board import MarginBoard
from core.shortlist.batch.side_by_side import Team, kinds_of
from core.shortlist.chunk_result import MISSED, NOT_CHECKED


def put_ripple_margins(
    team: Team, members: IntArray, duty: DutyRows, current: FloatArray, board: MarginBoard
) -> None:
    """Put the margin of the ripple of some candidates.

    `members` are their numbers in the team, `current` [A] is the continuous one, NaN where it is not known.
    """
    requirements, rows = team.application.requirements, team.rows[members]
    criterion = ripple_criterion(requirements)
    machine = team.columns.at(team.machine[members])
    pulsed, known = ~np.isnan(machine.pulse_voltage[:, 0]), ~np.isnan(current)
    checked = pulsed & known & (current > 0.0)
    board.put(criterion, rows[pulsed & ~known], NOT_CHECKED)
    board.put(criterion, rows[pulsed & known & ~checked], MISSED)
    at = np.flatnonzero(checked)
    if at.size:
        swing = peak_to_peak(1.0) * _largest_rms(team, members[at], duty.only(at), machine.at(at))
        limit = np.full(at.size, requirements.largest_ripple)
        board.put_checked(criterion, rows[at], swing / current[at], limit)
    usual = peak_to_peak(1.0) * machine.usual_rms[:, 0]
    asked = known & (current > 0.0) & ~np.isnan(usual)
    with np.errstate(invalid="ignore", divide="ignore"):
        harmless = ~pulsed & asked & ~(usual / current > requirements.largest_ripple)
    board.put(criterion, rows[~pulsed & ~harmless], NOT_CHECKED)
    board.put(replace(criterion, required=False), rows[harmless], NOT_CHECKED)


def _largest_rms(team: Team, members: IntArray, duty: DutyRows, machine: MachineColumns) -> FloatArray:
    """Return the largest ripple at any duty that the cycle passes, as `largest_rms`. [A]"""
    points = electric_rows(duty, machine)
    largest = np.empty(len(members))
    for commutation, shape, at in kinds_of(team, members):
        part, em, speed = machine.at(at), points.em_torque[at], points.speed[at]
        if commutation == "sinusoidal":
            voltage = required_voltage(
                part.constants(shape), commutation, em, speed, part.resistance_ref_temp,
                part.magnet_ref_temp, part.path,
            )  # fmt: skip
            largest[at] = _rms_at(part, _ratio(part, voltage).max(axis=1)[:, None])[:, 0]
            continue
        loop = part.resistance + part.loop_resistance
        mean = part.torque_constant * speed + loop * (em / part.torque_constant)
        ends = _ratio(part, mean)
        low, high = np.minimum(ends[:, ::2], ends[:, 1::2]), np.maximum(ends[:, ::2], ends[:, 1::2])
        low = np.where(np.signbit(mean[:, ::2]) != np.signbit(mean[:, 1::2]), 0.0, low)
        bipolar = [team.models[k].drive.switching == "bipolar" for k in team.machine[members[at]].tolist()]
        worst = np.where(np.array(bipolar)[:, None], low, np.minimum(np.maximum(0.5, low), high))
        largest[at] = _rms_at(part, worst).max(axis=1)
    return largest


def _ratio(machine: MachineColumns, voltage: FloatArray) -> FloatArray:
    ratio: FloatArray = np.minimum(np.abs(voltage) / machine.pulse_voltage, 1.0)
    return ratio


def _rms_at(machine: MachineColumns, ratio: FloatArray) -> FloatArray:
    """Return the ripple at shares of the largest voltage, as `RippleLaw.rms_at`. [A]"""
    value: FloatArray = np.broadcast_to(machine.ripple[:, -1:], ratio.shape)
    for power in range(machine.ripple.shape[1] - 2, -1, -1):
        value = value * ratio + machine.ripple[:, power : power + 1]
    rms: FloatArray = np.sqrt(np.maximum(value, 0.0))
    return rms


def continuous_currents(team: Team, members: IntArray, group: HeatGroup, alike: IntArray) -> FloatArray:
    """Return the largest continuous current of some candidates, NaN where it is not known. [A]

    `members` are their numbers in the team, `alike` tells which row of the group each has.
    """
    machine = team.columns.at(team.machine[members])
    current = machine.continuous_current[:, 0].copy()
    at = np.flatnonzero(np.isfinite(group.limit[alike, group.network.winding]))
    if not at.size:
        return current
    lasting, index = _distinct_lasting(team, members[at], group, alike[at])
    pairs, pair = np.unique(index * len(group) + alike[at], return_inverse=True)
    torque = _largest_torque(group, pairs % len(group), lasting, pairs // len(group))
    current[at] = torque[pair] / machine.hot_torque_constant[at, 0]
    return current


def _distinct_lasting(
    team: Team, members: IntArray, group: HeatGroup, alike: IntArray
) -> tuple[list[LastingHeat], IntArray]:
    code = team.machine[members] * len(team.courses) + team.course[members]
    _, first, index = np.unique(code, return_index=True, return_inverse=True)
    found: list[LastingHeat] = []
    number: dict[int, int] = {}
    place = []
    for row in first.tolist():
        member = members[row]
        motor, heat = team.models[team.machine[member]], group.models[group.model[alike[row]]]
        lasting = team.engine.lasting(motor, heat, team.courses[team.course[member]])
        if id(lasting) not in number:
            number[id(lasting)] = len(found)
            found.append(lasting)
        place.append(number[id(lasting)])
    return found, np.array(place)[index]


def _largest_torque(
    group: HeatGroup, at: IntArray, lasting: list[LastingHeat], index: IntArray
) -> FloatArray:
    """Return the largest electromagnetic torque that lasts, of the speeds that leave some at the shaft."""
    network = group.network
    w, r = network.winding, network.magnets
    every = {
        name: np.array([getattr(one, name) for one in lasting])
        for name in ("base", "gain", "by_coil", "phase_gain", "extra", "drag", "per_square")
    }
    coil = group.coil[at].sum(axis=1)[:, None, None]
    base = every["base"][index] + coil * every["by_coil"][index]
    gain, drag = every["gain"][index], every["drag"][index]
    limit, hottest = group.limit[at][:, None], gain[..., w] + every["phase_gain"][index]
    rooms = np.concatenate((limit - base, (limit - base)[..., w : w + 1]), axis=-1)
    rises = np.concatenate((gain, hottest[..., None]), axis=-1)
    heated = rises > 0.0
    allowed = np.where(heated, rooms / np.where(heated, rises, 1.0), np.where(rooms < 0.0, -np.inf, np.inf))
    allowed = allowed.min(axis=-1)
    law = group.law
    k, coefficient = law.copper_constant[at], law.magnet_temp_coefficient[at]  # type: ignore[index]
    span = k + law.winding_ref_temp[at]  # type: ignore[index]
    a = 1.0 + coefficient * (base[..., r] - law.magnet_ref_temp[at])  # type: ignore[index]
    b, c, d = coefficient * gain[..., r], (k + base[..., w]) / span, gain[..., w] / span
    loss = np.maximum(np.minimum(allowed, loss_of_most_torque(a, b, c, d)), 0.0)
    reference = loss * np.maximum(a + b * loss, 0.0) ** 2 / (c + d * loss)
    square = (reference - every["extra"][index]) / every["per_square"][index]
    idle = (allowed < 0.0) | (square < 0.0)
    em = np.sqrt(np.where(idle, 0.0, square))
    largest: FloatArray = np.where(em > drag, em, 0.0).max(axis=1)
    return largest
