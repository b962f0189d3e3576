"""Random applications and candidates for the shortlist: odd duties, places, supplies and parts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import fields
from typing import Any, TypeVar

import numpy as np
from msgspec.structs import replace

from core.catalogue.demo_loads import cart, turntable, winch
from core.catalogue.parts_file import load_demo_parts
from core.evaluate import evaluate_candidate
from core.evaluation.fitted_size import fitted_size
from core.project.application import (
    Application,
    Envelope,
    Requirements,
    Site,
    Supply,
    Surroundings,
    Targets,
)
from core.project.candidate import Candidate, Drive
from core.project.duty_cycle import Segment
from core.project.feedback import MotionQuality
from core.project.fittings import Cable, ShaftForce
from core.project.motor import HeatLink, HeatNode, Motor, NetworkHeat, Variant, Winding
from core.project.mounting import Box, Guard, Mounting, Plate
from core.results import CandidateResult
from core.shortlist.chunk_result import ABSENT, STATUSES, ChunkResult
from tests.core.projects import SHEET_FIGURES, sheet_motor

Random = np.random.Generator
Choice = TypeVar("Choice")

NETWORK = NetworkHeat(
    nodes=(
        HeatNode(name="copper", capacity=9.0),
        HeatNode(name="iron", capacity=32.0),
        HeatNode(name="bell", capacity=21.0),
        HeatNode(name="shield", capacity=14.0),
    ),
    links=(
        HeatLink(between=("copper", "iron"), fixed=0.6),
        HeatLink(between=("iron", "bell"), fixed=0.02, rotating=0.004),
        HeatLink(between=("iron", "shield"), fixed=0.5),
        HeatLink(between=("bell", "ambient"), natural=0.03, rotating=0.006, exponent=0.7),
        HeatLink(between=("shield", "ambient"), fixed=0.05, natural=0.05),
    ),
    winding="copper", core="iron", magnets="bell", outside="shield", stated_mounting="bench",
)  # fmt: skip


def pick(rng: Random, choices: Sequence[Choice]) -> Choice:
    """Return one of the choices, itself and not a copy."""
    return choices[int(rng.integers(len(choices)))]


def random_segments(rng: Random, torque: float, speed: float) -> tuple[Segment, ...]:
    """Return 1 to 12 segments: rests, steady parts, ramps, reversals, and now and then a jump of speed."""
    count = int(rng.integers(1, 13))
    speeds = rng.uniform(-0.5, 1.0, count + 1) * speed
    speeds[rng.random(count + 1) < 0.3] = 0.0
    same = rng.random(count) < 0.3
    for k in range(count):
        if same[k]:
            speeds[k + 1] = speeds[k]
    if rng.random() < 0.8:
        speeds[-1] = speeds[0]
    return tuple(
        Segment(
            duration=float(10.0 ** rng.uniform(-1.5, 2.0)),
            shaft_torque=float(pick(rng, (0.0, rng.uniform(-0.6, 1.0) * torque))),
            speed_start=float(speeds[k]),
            speed_end=float(speeds[k + 1]),
        )
        for k in range(count)
    )


def random_application(rng: Random, loads: bool = True) -> Application:
    """Return an application whose duty small motors meet now and then."""
    duty: dict[str, Any] = {
        "duty_cycle": random_segments(rng, 10.0 ** rng.uniform(-2.3, -0.6), rng.uniform(30.0, 700.0))
    }
    if loads and rng.random() < 0.3:
        made = pick(rng, (winch, turntable, cart))(load_demo_parts())
        duty = {"duty_from": "load", "load": made.application.load}
    return Application(
        title="random",
        site=_site(rng),
        supply=_supply(rng),
        requirements=_requirements(rng),
        **duty,
    )


def _site(rng: Random) -> Site:
    answers = ("yes", "no", "no", "unknown")
    plate = Mounting(name="plate", plate=Plate(side=0.08, thickness=0.003))
    mountings = (Mounting(), Mounting(), plate, Mounting(name="none", insulated=True),
                 Mounting(name="known", housing_ambient_resistance=4.0))  # fmt: skip
    around = (None, None, Guard(open_share=0.5), Box(width=0.2, depth=0.2, height=0.15, other_heat=2.0))
    words: dict[str, Any] = {
        word: pick(rng, answers) for word in ("dust", "magnetic_swarf", "liquid", "reach_of_fingers")
    }
    return Site(
        ambient=pick(rng, (25.0, 40.0, 70.0)),
        lowest_ambient=pick(rng, (None, -20.0, 5.0)),
        altitude=pick(rng, (0.0, 2500.0)),
        mounting=pick(rng, mountings),
        around=pick(rng, around),
        surroundings=Surroundings(**words),
    )


def _supply(rng: Random) -> Supply:
    lowest = float(rng.uniform(10.0, 48.0))
    clamp: dict[str, Any] = {"clamp_voltage": 1.3 * lowest, "clamp_resistance": 2.0, "clamp_power": 5.0}
    return Supply(
        nominal_voltage=pick(rng, (None, 1.08 * lowest)),
        lowest_voltage=pick(rng, (lowest, lowest, None)),
        highest_voltage=pick(rng, (None, 1.2 * lowest)),
        source_resistance=pick(rng, (0.0, 0.05, 0.8)),
        cable=pick(rng, (None, Cable(length=2.0, section=1.0))),
        takes_energy_back=pick(rng, ("yes", "no", "unknown")),
        capacitance=pick(rng, (0.0, 2e-3)),
        **(clamp if rng.random() < 0.3 else {}),
    )


def _requirements(rng: Random) -> Requirements:
    motion = MotionQuality()
    if rng.random() < 0.5:
        motion = MotionQuality(
            lowest_speed=pick(rng, (None, 0.5, 8.0)),
            speed_ripple=pick(rng, (None, 0.05)),
            position_accuracy=pick(rng, (None, 0.002)),
            loop_bandwidth=pick(rng, (None, 20.0)),
            start_torque_share=pick(rng, (None, 0.5)),
        )
    envelope = Envelope(
        largest_diameter=pick(rng, (None, 0.05)),
        largest_length=pick(rng, (None, 0.04)),
        largest_mass=pick(rng, (None, 0.2)),
    )
    return Requirements(
        targets=Targets(torque_reserve=pick(rng, (0.0, 0.15))),
        envelope=envelope,
        touch_contact=pick(rng, (1, 60)),
        hot_spot_allowance=pick(rng, (0.0, 10.0)),
        motion=motion,
        largest_drop=pick(rng, (None, 0.1)),
        largest_ripple=pick(rng, (0.1, 0.4)),
    )


def motors(rng: Random, from_dimensions: bool = True) -> list[Motor]:
    """Return demo frames and others made from them: data sheets, node by node, without data, limits, EMF."""
    sheets = [motor for motor in load_demo_parts().motors if motor.geometry is None] or [sheet_motor()]
    made = [scaled(sheet_motor(), float(factor), rng) for factor in 10.0 ** rng.uniform(-0.7, 0.7, 3)]
    nodes = replace(sheet_motor(), variants=tuple(
        replace(variant, heat=NETWORK) for variant in sheet_motor().variants
    ))  # fmt: skip
    bare = replace(sheet_motor(), variants=tuple(replace(v, heat=None) for v in sheet_motor().variants))
    unlimited = replace(made[0], magnet_limit=None, thermal_class=None, winding_limit=None)
    steady = replace(made[1], magnet_temp_coefficient=0.0, emf_shape="trapezoidal", hall_limit=90.0)
    found = [*sheets, *made, nodes, bare, unlimited, steady]
    return [*found, load_demo_parts().motors[3]] if from_dimensions else found


def scaled(motor: Motor, torque: float, rng: Random) -> Motor:
    """Return a motor of `torque` times the torque: mass goes with it, resistances of heat against it."""

    def variant(one: Variant) -> Variant:
        sheet = SHEET_FIGURES[one.kind]
        point = sheet.continuous_point
        assert point is not None
        heat = replace(
            sheet,
            winding_housing_resistance=sheet.winding_housing_resistance * torque**-0.5,
            housing_ambient_resistance=sheet.housing_ambient_resistance * torque**-0.5,
            winding_time_constant=sheet.winding_time_constant * torque**0.3,
            motor_time_constant=sheet.motor_time_constant * torque**0.4,
            continuous_point=replace(point, shaft_torque=point.shaft_torque * torque),
        )
        return replace(one, rotor_inertia=one.rotor_inertia * torque**1.5, heat=heat)

    def winding(one: Winding) -> Winding:
        # the same copper loss at `torque` times the torque over `torque` to the half
        resistance = replace(one.resistance, value=one.resistance.value * torque**-0.5)
        constants = {
            name: replace(getattr(one, name), value=getattr(one, name).value * torque**0.5)
            for name in ("torque_constant", "back_emf_constant")
            if getattr(one, name) is not None
        }
        return replace(one, resistance=resistance, speed_constant=None, linear_current=None, **constants)

    return replace(
        motor,
        name=f"{motor.name} times {torque:.3g}",
        magnet_temp_coefficient=float(rng.uniform(-0.002, -0.0003)),
        variants=tuple(variant(one) for one in motor.variants),
        windings=tuple(winding(one) for one in motor.windings),
    )


def drives(rng: Random) -> list[Drive]:
    """Return demo electronics and others that state little, or odd things."""
    demo = list(load_demo_parts().drives)
    return [
        *demo,
        Drive(),
        replace(demo[0], pwm_frequency=None, highest_ambient=None, standstill_share=0.0),
        replace(demo[1], field_weakening=False, modulation="sine-triangle", device_drop=1.4),
        replace(demo[4], peak_time=None, continuous_current=2.0),
        replace(demo[5], highest_ambient=None, idle_power=3.0),
    ]


def random_candidates(
    rng: Random, count: int, from_dimensions: bool = True, duty_from: str = "segments"
) -> list[Candidate]:
    """Return random choices out of one pool of parts, which they share as a catalogue's candidates do."""
    parts, pool, electronics = load_demo_parts(), motors(rng, from_dimensions), drives(rng)
    brakes = (None, None, *parts.brakes, replace(parts.brakes[0], on_motor=False, largest_stop_energy=None))
    feedbacks = (None, *parts.feedback, replace(parts.feedback[1], at_load=True))
    gears = (None, *parts.transmissions) if duty_from == "load" else (None, None, parts.transmissions[2])
    forces = (None, None, ShaftForce(radial=20.0, axial=5.0, distance=0.01, wanted_life=2e4))
    cables = (None, None, Cable(length=3.0, section=0.75))
    found = []
    for number in range(count):
        motor: Motor = pick(rng, pool)
        cable = pick(rng, cables)
        found.append(
            Candidate(
                name=f"candidate {number}",
                motor=motor,
                winding=pick(rng, motor.windings[:3]).name,
                variant=pick(rng, motor.variants).kind,
                commutation=pick(rng, ("sinusoidal", "six-step")),
                transmission=pick(rng, gears),
                drive=pick(rng, electronics),
                feedback=pick(rng, feedbacks),
                brake=pick(rng, brakes),
                cable=cable,
                lead_resistance=0.0 if cable is not None else pick(rng, (0.0, 0.02)),
                choke=pick(rng, (0.0, 0.0, 5e-5)),
                shaft_force=pick(rng, forces),
            )
        )
    return found


def far_apart(found: float, wanted: float | None, least: float = 1e-12) -> bool:
    """Return whether two numbers differ by more than 1e-9 of their size and more than `least`."""
    if wanted is None:
        return not math.isnan(found)
    if math.isinf(wanted) or math.isnan(wanted):
        return found != wanted and not (math.isnan(found) and math.isnan(wanted))
    return not abs(found - wanted) <= max(1e-9 * abs(wanted), least)


OF_THE_HEAT = frozenset((
    "torque_reserve", "winding_temperature", "magnet_temperature", "outside_temperature", "current_ripple",
    "hall_temperature", "encoder_temperature", "brake_temperature", "electronics_ambient",
))  # fmt: skip
"""Criteria that may be left "not checked" in a candidate that is ruled out."""


def differences(application: Application, candidate: Candidate, result: ChunkResult, row: int) -> list[str]:
    """Return in words where a row of a chunk differs from the single evaluation of the candidate."""
    single = evaluate_candidate(application, candidate, 0)
    margins = {margin.criterion: margin for margin in single.margins}
    place = {column.code: k for k, column in enumerate(result.columns)}
    there = {code for code, k in place.items() if result.status[row, k] != ABSENT}
    found = [f"criteria {there ^ set(margins)}"] if there != set(margins) else []
    for code in there & set(margins):
        margin, k = margins[code], place[code]
        left_out = not result.whole[row] and code in OF_THE_HEAT
        if left_out and STATUSES[result.status[row, k]] == "not checked":
            continue
        if STATUSES[result.status[row, k]] != margin.status or result.required[row, k] != margin.required:
            found.append(f"{code}: {STATUSES[result.status[row, k]]} for {margin.status} ({margin.why})")
        for name in ("demand", "limit", "margin", "target"):
            number, wanted = float(getattr(result, name)[row, k]), getattr(margin, name)
            if far_apart(number, wanted, 1e-9 if name == "margin" else 1e-12):
                found.append(f"{code}: {name} {number!r} for {wanted!r}")
    if result.whole[row]:
        governs = None if result.governing[row] == ABSENT else result.columns[result.governing[row]].code
        wanted_code = None if single.governing is None else single.governing.criterion
        if governs != wanted_code:
            found.append(f"governing {governs} for {wanted_code}")
    if result.ruled_out_by[row] != ABSENT:
        broken = margins[result.columns[result.ruled_out_by[row]].code]
        if not (broken.required and broken.status in ("missed", "excluded")):
            found.append(f"ruled out by {broken.criterion}, which is {broken.status}")
    return found + _other_objectives(application, candidate, single, result, row)


def _other_objectives(
    application: Application, candidate: Candidate, single: CandidateResult, result: ChunkResult, row: int
) -> list[str]:
    size, losses = fitted_size(candidate, application.site), single.losses
    outside = next((peak.temp for peak in single.peaks if peak.role == "outside"), None)
    wanted = {name: getattr(size, name) for name in ("mass", "length", "volume", "rotor_inertia")}
    if result.whole[row]:
        wanted["mean_losses"] = losses and sum(getattr(losses, field.name) for field in fields(losses))
        wanted["mean_supply_current"] = single.supply and single.supply.mean_current
        wanted["outside_temperature"] = outside
    return [
        f"{name}: {result.objectives[name][row]!r} for {value!r}"
        for name, value in wanted.items()
        if far_apart(float(result.objectives[name][row]), value)
    ]
