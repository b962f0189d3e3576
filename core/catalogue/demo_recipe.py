r"""The recipe of the demo parts and the sample projects: invented, consistent, made again at any time.

``python -m core.catalogue.demo_recipe`` writes ``core/catalogue/demo_parts.json`` and the files of
``sample_projects``. The same recipe always gives the same bytes, and a test compares them.

No real motor stands behind a frame. `demo_frames` has the invented dimensions and the equations from
geometry to constants, masses, inertia and drag; `demo_heat` measures their heat and `demo_sheets` says what
of it stands in the data sheet; `demo_fittings` has what goes with the motors. Here the figures become data
sheets: whole turns, four significant figures, and for each frame other conventions, so that nothing gets by
without conversion. A winding is named by
the direct voltage at which it turns at the frame's no-load speed, 1.3 times the rated one:
:math:`N = U / (\tfrac3\pi k_{e,1}\,\omega_0)`, rounded to whole turns.
"""

from __future__ import annotations

import math
from pathlib import Path

from core.catalogue import demo_heat
from core.catalogue.demo_fittings import (
    ORIGIN,
    demo_brakes,
    demo_drives,
    demo_feedback,
    demo_transmissions,
    shaft_bearings,
)
from core.catalogue.demo_frames import (
    BELL_SHARE,
    FRAMES,
    Frame,
    back_emf_per_turn,
    demagnetising_ampere_turns,
    phase_inductance_per_square_turn,
    phase_resistance_per_square_turn,
    printed,
    rotor_mass_and_inertia,
    variant_mass,
)
from core.catalogue.demo_sheets import stated_heat
from core.catalogue.parts_file import DEMO_PARTS, PartsFile, encode_parts
from core.project.motor import (
    BackEmfConstant,
    Fitting,
    Inductance,
    Leads,
    Motor,
    NoLoadPoint,
    Resistance,
    ShaftEnd,
    SpeedConstant,
    Tolerates,
    TorqueConstant,
    Variant,
    Winding,
)

NO_LOAD_SPEED = 1.3  # no-load speed of the named voltage over rated speed
PEAK_CURRENT = 5.0  # over the continuous current at standstill, for seconds, assumed
DEMAGNETISATION_SHARE = 0.6  # the peak current stays this far below weakening the magnets
LINEAR_SHARE, SATURATED_SHARE = 0.6, 0.9  # of the peak current, and of its torque without saturation, assumed
COLD_MAGNETS = 25.0  # of the second demagnetisation figure [degC]
HALL_LIMIT = {"B": 125.0, "F": 150.0}  # of the Hall board, by thermal class of the winding [degC]
MEAN_SIX_STEP = 3.0 / math.pi  # mean of the line-to-line EMF over a sixth of a period, of its peak


def demo_parts() -> PartsFile:
    """Return the demo parts, calculated afresh."""
    return PartsFile(
        origin=ORIGIN,
        motors=tuple(_motor(frame) for frame in FRAMES),
        drives=demo_drives(),
        transmissions=demo_transmissions(),
        feedback=demo_feedback(),
        brakes=demo_brakes(),
    )


def _motor(frame: Frame) -> Motor:
    no_load_rpm = frame.rated_speed * NO_LOAD_SPEED * 30.0 / math.pi
    small = frame.outer_diameter < 0.035
    return Motor(
        name=frame.name,
        origin=f"{ORIGIN}; a winding is named by the voltage at which it turns at about "
        f"{printed(no_load_rpm, 2):.0f} rpm without load",
        pole_pairs=frame.pole_pairs,
        slots=frame.slots,
        winding_layers=2,
        magnet_limit=frame.magnet_limit,
        thermal_class=frame.thermal_class,
        # a fiftieth of the continuous torque at standstill: many slots against many poles, assumed
        cogging_torque=printed(0.02 * demo_heat.continuous_torque(frame, 0.0, False), 2),
        bearings="two deep-groove ball bearings, preloaded",
        bearing_data=shaft_bearings(frame),
        hall_limit=HALL_LIMIT[frame.thermal_class],
        lubrication="grease, for life",
        shaft_front=ShaftEnd(
            diameter=frame.shaft,
            length=printed(0.3 * frame.outer_diameter, 2),
            flat=None if small else printed(0.1 * frame.shaft, 2),
        ),
        shaft_rear=None if small else ShaftEnd(diameter=printed(0.75 * frame.shaft), length=0.006),
        leads=Leads(
            count=8,
            section=0.14 if small else 0.5 if frame.outer_diameter < 0.05 else 1.5,
            insulation="fluoropolymer, 200 degC",
            length=0.2 if small else 0.3,
        ),
        connector="tinned ends" if small else "two crimp connectors: three phases, five Hall leads",
        geometry=demo_heat.frame_geometry(frame),
        windings=tuple(_winding(frame, voltage) for voltage in frame.voltages),
        variants=(_open_rotor(frame), _enclosed(frame)),
    )


def _winding(frame: Frame, voltage: int) -> Winding:
    delta = voltage == frame.delta_voltage
    per_turn = back_emf_per_turn(frame)
    star = voltage / (MEAN_SIX_STEP * per_turn * NO_LOAD_SPEED * frame.rated_speed)
    turns = round(star * math.sqrt(3.0)) if delta else round(star)
    # a delta has its branches, not two phases in series, between the leads
    back_emf = per_turn * turns / (math.sqrt(3.0) if delta else 1.0)
    to_leads = 2.0 / 3.0 if delta else 2.0
    resistance = to_leads * phase_resistance_per_square_turn(frame) * turns**2
    inductance = to_leads * phase_inductance_per_square_turn(frame) * turns**2
    to_ampere = (1.5 if delta else 1.0) / turns
    demagnetisation = demagnetising_ampere_turns(frame, frame.magnet_limit) * to_ampere
    cold = demagnetising_ampere_turns(frame, COLD_MAGNETS) * to_ampere
    continuous = demo_heat.continuous_torque(frame, 0.0, False) / (MEAN_SIX_STEP * back_emf)
    peak = printed(min(PEAK_CURRENT * continuous, DEMAGNETISATION_SHARE * demagnetisation), 3)
    torque, emf, speed = _stated_constants(frame, back_emf)
    told = frame.name != "23 mm frame"  # the smallest data sheet says nothing of it
    return Winding(
        name=f"{voltage} V",
        torque_constant=torque,
        back_emf_constant=emf,
        speed_constant=speed,
        resistance=_stated_resistance(frame, resistance, delta),
        inductance=_stated_inductance(frame, inductance, delta),
        turns_per_coil=turns,
        connection="delta" if delta else "star",
        peak_current=peak,
        demagnetisation_current=printed(demagnetisation, 3),
        demagnetisation_temp=frame.magnet_limit,
        second_demagnetisation_current=printed(cold, 3) if told else None,
        second_demagnetisation_temp=COLD_MAGNETS if told else None,
        linear_current=printed(LINEAR_SHARE * peak, 3) if told else None,
        saturated_current=peak if told else None,
        saturated_torque=printed(SATURATED_SHARE * MEAN_SIX_STEP * back_emf * peak, 3) if told else None,
    )


def _stated_constants(
    frame: Frame, back_emf: float
) -> tuple[TorqueConstant | None, BackEmfConstant | None, SpeedConstant | None]:
    """Return the constants that this frame's data sheet states, each frame in other conventions.

    `back_emf` is the peak line-to-line constant of a sinusoidal EMF.
    """
    mean_peak = MEAN_SIX_STEP * back_emf
    six_step = TorqueConstant(value=printed(mean_peak), convention="per link ampere, six-step")
    mean = SpeedConstant(value=printed(1.0 / mean_peak), convention="of mean six-step voltage")
    rms_ampere = TorqueConstant(
        value=printed(math.sqrt(1.5) * back_emf), convention="per rms phase ampere, sinusoidal"
    )
    peak_ampere = TorqueConstant(
        value=printed(0.5 * math.sqrt(3.0) * back_emf), convention="per peak phase ampere, sinusoidal"
    )
    rms_line = BackEmfConstant(value=printed(back_emf / math.sqrt(2.0)), convention="line-to-line rms")
    rms_phase = BackEmfConstant(value=printed(back_emf / math.sqrt(6.0)), convention="phase rms")
    peak_line = BackEmfConstant(value=printed(back_emf), convention="line-to-line peak")
    mean_line = BackEmfConstant(value=printed(mean_peak), convention="mean of six-step")
    per_peak = SpeedConstant(value=printed(1.0 / back_emf), convention="of peak line-to-line voltage")
    per_rms = SpeedConstant(
        value=printed(math.sqrt(2.0) / back_emf), convention="of rms line-to-line voltage"
    )
    return {
        "23 mm frame": (six_step, None, mean),
        "31 mm frame": (None, peak_line, None),
        "38 mm frame": (rms_ampere, rms_phase, None),
        "47 mm frame": (peak_ampere, rms_line, None),
        "58 mm frame": (six_step, None, per_peak),
        "73 mm frame": (None, mean_line, per_rms),
    }[frame.name]


def _stated_resistance(frame: Frame, line_to_line: float, delta: bool) -> Resistance:
    if delta:
        return Resistance(value=printed(1.5 * line_to_line), convention="branch of delta")
    if frame.name == "38 mm frame":
        return Resistance(value=printed(0.5 * line_to_line), convention="phase of star")
    if frame.name == "31 mm frame":  # stated at 20 degC: copper has 235 + 20 over 235 + 25 of it
        return Resistance(value=printed(line_to_line * 255.0 / 260.0), temp=20.0)
    return Resistance(value=printed(line_to_line))


def _stated_inductance(frame: Frame, line_to_line: float, delta: bool) -> Inductance:
    if delta:
        return Inductance(value=printed(1.5 * line_to_line), convention="branch of delta")
    if frame.name == "38 mm frame":
        return Inductance(value=printed(0.5 * line_to_line), convention="phase of star")
    return Inductance(value=printed(line_to_line))


def _open_rotor(frame: Frame) -> Variant:
    length = frame.open_length
    fitted: tuple[Fitting, ...] = (
        ("Hall sensors",) if frame.outer_diameter < 0.035 else ("Hall sensors", "gear")
    )
    return Variant(
        kind="open rotor",
        rotor_inertia=printed(rotor_mass_and_inertia(frame, BELL_SHARE)[1]),
        mass=printed(variant_mass(frame, False), 3),
        diameter=frame.outer_diameter,
        length=printed(length, 3),
        length_with_fittings=printed(length + 0.002, 3),
        largest_speed=printed(demo_heat.LARGEST_SPEED * frame.rated_speed),
        no_load=_no_load(frame, False),
        heat=stated_heat(frame, False),
        tolerates=Tolerates(dust=False, magnetic_swarf=False, liquid=False, reach_of_fingers=False),
        rim_diameter=frame.outer_diameter,
        can_be_fitted_with=fitted,
        protection="none: the cup turns in the open and its bell has openings",
    )


def _enclosed(frame: Frame) -> Variant:
    sealed = frame.outer_diameter > 0.035
    length = frame.housing_length
    fitted: tuple[Fitting, ...] = ("Hall sensors", "encoder", "gear")
    if sealed:
        fitted = (*fitted, "brake")
    if frame.outer_diameter > 0.045:
        fitted = (*fitted, "built-in electronics")
    return Variant(
        kind="enclosed",
        rotor_inertia=printed(rotor_mass_and_inertia(frame, 1.0)[1]),
        mass=printed(variant_mass(frame, True), 3),
        diameter=printed(frame.housing_diameter),
        length=printed(length, 3),
        length_with_fittings=printed(length + 0.004 + 0.15 * frame.outer_diameter, 3),
        largest_speed=printed(demo_heat.LARGEST_SPEED * frame.rated_speed),
        no_load=_no_load(frame, True),
        heat=stated_heat(frame, True),
        tolerates=Tolerates(dust=True, magnetic_swarf=True, liquid=sealed, reach_of_fingers=True),
        outside_surface="coated metal" if frame.thermal_class == "B" else "bare metal",
        can_be_fitted_with=fitted,
        protection="dust-tight, stands spray water; shaft seal at the front"
        if sealed
        else "closed against dust and touch, not against water",
    )


def _no_load(frame: Frame, enclosed: bool) -> tuple[NoLoadPoint, ...]:
    shares = (1.0,) if frame.no_load_points == 1 else (0.4, 0.8, 1.2)
    return tuple(
        NoLoadPoint(
            speed=printed(share * frame.rated_speed),
            drag_torque=printed(demo_heat.drag_torque(frame, share * frame.rated_speed, enclosed)),
        )
        for share in shares
    )


def generated_files() -> dict[Path, bytes]:
    """Return every file that the recipe makes, with its content."""
    # both read the parts that are made here
    from core.catalogue.demo_loads import load_samples
    from core.catalogue.demo_samples import sample_projects
    from core.catalogue.demo_trace import trace_samples

    root = Path(__file__).resolve().parents[2]
    parts = demo_parts()
    files = {Path(__file__).with_name(DEMO_PARTS): encode_parts(parts)}
    samples = sample_projects(parts) | load_samples(parts) | trace_samples(parts)
    files |= {root / "sample_projects" / name: text for name, text in samples.items()}
    return files


def write_generated_files() -> None:
    """Write every file that the recipe makes."""
    for path, content in generated_files().items():
        path.write_bytes(content)


if __name__ == "__main__":
    write_generated_files()
