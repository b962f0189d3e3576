"""What a mechanism and its motion give reason to say: the usual mistakes of load calculations, by name."""

from __future__ import annotations

import math

import numpy as np

from core.findings import Finding
from core.physics.body_inertia import GRAVITY
from core.physics.fluid_mechanisms import DisplacementPump
from core.physics.linear_mechanisms import DrumWinch, ScrewDrive, WheelDrive
from core.physics.load_terms import COARSEST_GRAVITY_STEP, AxisLoad, LoadTerms, linear_work
from core.physics.mechanism_kinds import Mechanism
from core.physics.motion import LoadMotion
from core.physics.rotary_mechanisms import DirectRotaryLoad, RotaryTable, SwingArm
from core.physics.term_shares import TermShares, term_shares
from core.sentences import Sentence, sentence
from core.units import Kind, format_number

COUNTERBALANCE_SHARE = 0.8
UNCERTAIN_FRICTION_SHARE = 0.2
PEAK_OVER_RMS = 1.5
WINDAGE_SPEED = 300.0
"""Speed above which the air around a disc of some decimetres is worth a look; from memory. [rad/s]"""


def mechanism_findings(
    mechanism: Mechanism, load: AxisLoad, motion: LoadMotion, terms: LoadTerms
) -> list[Finding]:
    r"""Return what is noteworthy about a load: what dominates, what was left out, what can hurt.

    Parameters
    ----------
    mechanism : Mechanism
        Mechanism as entered. [-]
    load : AxisLoad
        What it asks of its input axis. [SI]
    motion : LoadMotion
        Motion of that axis. [rad]
    terms : LoadTerms
        Torque on the pieces of that motion. [N m]

    Returns
    -------
    findings : list of Finding
        Codes with numbers and plain sentences. [-]

    References
    ----------
    Thresholds: common practice, no source.
    """
    shares = term_shares(motion, terms)
    return [
        *_gravity(mechanism, shares),
        *_peak_and_mean(shares, terms),
        *_friction(shares),
        *_self_locking(mechanism),
        *_falling(load, motion),
        *_path(mechanism, load, motion),
        *_left_out(mechanism, load, motion),
        *_returned_energy(motion, terms),
        *_rope(mechanism, motion),
        *_backward_pump(mechanism, motion),
        *_tipping(mechanism, motion),
    ]


def _gravity(mechanism: Mechanism, shares: TermShares) -> list[Finding]:
    findings = []
    gravity, share = shares.term_peak["gravity"], shares.rms_share["gravity"]
    if share > COUNTERBALANCE_SHARE and not isinstance(mechanism, WheelDrive):
        of_peaks = gravity / shares.sum_of_peaks
        portion = "{share}" if share <= 1.0 else "more than all, relieved by the rest,"
        text = sentence(
            f"Gravity makes {portion} of the mean square torque and {{of_peaks}} of the sum of the peaks: "
            "{gravity} against {acceleration} of acceleration. "
            "A counterbalance helps more than a larger motor.",
            share=(share, Kind.RATIO),
            of_peaks=(of_peaks, Kind.RATIO),
            gravity=(gravity, Kind.LOAD_TORQUE),
            acceleration=(shares.term_peak["acceleration"], Kind.LOAD_TORQUE),
        )
        values = {
            "gravity_share": share,
            "gravity_share_of_peaks": of_peaks,
            "gravity_peak_Nm": gravity,
            "acceleration_peak_Nm": shares.term_peak["acceleration"],
        }
        findings.append(Finding("gravity_dominates", "warning", text, values))
    if isinstance(mechanism, RotaryTable) and mechanism.gravity_moment > 0.0 and gravity == 0.0:
        per_degree = mechanism.gravity_moment * math.sin(math.radians(1.0))
        text = sentence(
            "The axis is vertical, so the mass off the axis asks for no torque against gravity; "
            "each degree of tilt would add {torque}.",
            torque=(per_degree, Kind.LOAD_TORQUE),
        )
        findings.append(
            Finding("gravity_absent_axis_vertical", "note", text, {"torque_per_degree_Nm": per_degree})
        )
    return findings


def _peak_and_mean(shares: TermShares, terms: LoadTerms) -> list[Finding]:
    findings = []
    values = {
        "sum_of_peaks_Nm": shares.sum_of_peaks,
        "peak_Nm": shares.peak_torque,
        "rms_Nm": shares.rms_torque,
    }
    if shares.sum_of_peaks > PEAK_OVER_RMS * shares.rms_torque:
        text = sentence(
            "The peaks of all causes add up to {sum}, but they need not coincide: at one instant at most "
            "{peak} is needed, and the RMS torque of the cycle is {rms}. The sum is no measure of the heat.",
            sum=(shares.sum_of_peaks, Kind.LOAD_TORQUE),
            peak=(shares.peak_torque, Kind.LOAD_TORQUE),
            rms=(shares.rms_torque, Kind.LOAD_TORQUE),
        )
        findings.append(Finding("sum_of_worst_cases_is_a_peak", "note", text, values))
    start = float(np.abs(terms.starting_torque).max())
    if start > shares.peak_torque * (1.0 + 1e-9):
        text = sentence(
            "Moving off takes {start} for an instant, more than the {peak} of the motion itself.",
            start=(start, Kind.LOAD_TORQUE),
            peak=(shares.peak_torque, Kind.LOAD_TORQUE),
        )
        findings.append(
            Finding("breakaway_sets_the_peak", "note", text, {**values, "starting_torque_Nm": start})
        )
    return findings


def _friction(shares: TermShares) -> list[Finding]:
    share = shares.rms_share["friction"]
    if share <= UNCERTAIN_FRICTION_SHARE:
        return []
    text = sentence(
        "Friction makes {share} of the mean square torque. A value from a table can be wrong by a factor of "
        "two for a sealed, greased or cold mechanism: study it low and high, or measure it with a spring "
        "scale on a lever, by coasting down, or by the current with and without the load.",
        share=(share, Kind.RATIO),
    )
    return [Finding("friction_uncertain", "assumed", text, {"friction_share": share})]


def _self_locking(mechanism: Mechanism) -> list[Finding]:
    if not isinstance(mechanism, ScrewDrive):
        return []
    findings = []
    drive, back = mechanism.drive_efficiency, mechanism.back_efficiency
    values = {"efficiency": drive, "back_efficiency": back}
    if back <= 0.0:
        text = (
            f"The screw is self-locking: its back-driving efficiency is {format_number(back)}, so the "
            "motor must drive the lowering. Vibration can still let it creep."
        )
        findings.append(Finding("screw_self_locking", "note", text, values))
    if mechanism.pitch_diameter is None:
        text = (
            "Without the pitch diameter the back-driving efficiency is taken as "
            f"2 − 1/{drive:.2f} = {format_number(back)}."
        )
        findings.append(Finding("back_efficiency_assumed", "assumed", text, values))
    return findings


def _falling(load: AxisLoad, motion: LoadMotion) -> list[Finding]:
    """Say that gravity moves the load when nothing holds it."""
    back = max(load.back_efficiency, 0.0)
    weight = abs(load.gravity_torque) + abs(load.gravity_swing)
    if back * weight <= load.starting_friction:
        return []
    released = ~motion.moving & ~motion.held
    angle = motion.position[:-1] / load.input_per_payload + load.gravity_phase
    pulls = np.abs(load.gravity_torque + load.gravity_swing * np.sin(angle)) * released
    values = {"gravity_torque_Nm": weight, "friction_torque_Nm": load.starting_friction}
    # an arm that hangs straight down still has 1e-16 of its weight as torque
    if back * float(pulls.max()) > load.starting_friction + 1e-9 * weight:
        worst = int(np.argmax(pulls))
        where = int(motion.move[worst])
        values["gravity_torque_Nm"] = float(pulls[worst])
        text = _unheld(
            float(pulls[worst]), load.starting_friction, f" Step {where + 1} of the motion releases it."
        )
        return [Finding("released_under_gravity", "serious", text, values, where)]
    text = _unheld(weight, load.starting_friction)
    return [Finding("load_moves_without_power", "warning", text, values)]


def _unheld(gravity: float, friction: float, release: str = "") -> Sentence:
    return sentence(
        "Without power the load moves: gravity pulls with up to {gravity}, friction holds {friction}. "
        "Provide a brake or a lock." + release,
        gravity=(gravity, Kind.LOAD_TORQUE),
        friction=(friction, Kind.LOAD_TORQUE),
    )


def _path(mechanism: Mechanism, load: AxisLoad, motion: LoadMotion) -> list[Finding]:
    """Say that the cycle does not end where it began, where that matters."""
    findings = []
    drift = motion.position_drift
    scale = float(np.abs(np.diff(motion.position)).sum())
    if isinstance(mechanism, RotaryTable):
        drift = math.remainder(drift, 2.0 * math.pi) if load.gravity_swing else 0.0
    limited = isinstance(mechanism, RotaryTable | SwingArm | ScrewDrive | DrumWinch)
    if limited and abs(drift) > 1e-6 * max(scale, 1e-9):
        payload = drift / load.input_per_payload
        unit = "m" if load.input_per_payload != 1.0 else "rad"
        text = sentence(
            "Each cycle ends {drift} away from where it began, so it cannot repeat as it stands: gravity or "
            "the end of travel will differ. Add the way back to the motion.",
            drift=(payload, Kind.LENGTH if unit == "m" else Kind.ANGLE),
        )
        findings.append(Finding("position_drifts", "warning", text, {f"drift_{unit}": payload}))
    steps = np.abs(np.diff(motion.position))
    if load.gravity_swing != 0.0 and float(steps.max()) > COARSEST_GRAVITY_STEP / 2.0:
        coarse = (
            f"The cycle turns {scale / (2.0 * math.pi):.0f} times through gravity; it is followed in steps "
            f"of {math.degrees(float(steps.max())):.0f}°, its peaks are up to 2 % high."
        )
        findings.append(
            Finding("gravity_followed_coarsely", "note", coarse, {"turns": scale / (2.0 * math.pi)})
        )
    return findings


def _left_out(mechanism: Mechanism, load: AxisLoad, motion: LoadMotion) -> list[Finding]:
    """Name what a hand sheet would have forgotten."""
    findings = []
    top = float(np.abs(motion.speed).max())
    if top > 0.0 and load.inertia > 0.0 and not motion.acceleration.any():
        steady = (
            "The cycle never changes its speed, so no torque for acceleration is in it; "
            "add the ramps if it starts."
        )
        findings.append(Finding("no_acceleration_in_cycle", "note", steady, {"speed_rad_s": top}))
    if isinstance(mechanism, SwingArm) and mechanism.arm_mass == 0.0:
        massless = "The arm itself is taken as massless. Enter its mass, and that of motors it carries."
        findings.append(Finding("arm_without_mass", "warning", massless))
    if isinstance(mechanism, DirectRotaryLoad) and top > WINDAGE_SPEED and not _rises(load):
        text = sentence(
            "At {speed} the drag of the air may exceed the friction of the bearings, but no torque that "
            "rises with speed is entered.",
            speed=(top, Kind.SPEED),
        )
        findings.append(Finding("windage_left_out", "warning", text, {"speed_rad_s": top}))
    return findings


def _rises(load: AxisLoad) -> bool:
    return load.square_torque > 0.0 or load.friction_viscous > 0.0


def _returned_energy(motion: LoadMotion, terms: LoadTerms) -> list[Finding]:
    work = linear_work(terms.total, motion.speed_ends, motion.duration)
    returned = -float(work[work < 0.0].sum())
    if returned <= 1e-9 * float(np.abs(work).sum()):
        return []
    peak = -float((terms.total * motion.speed_ends).min())
    text = sentence(
        "The load gives back {energy} in each cycle, {mean} on average and {peak} at the peak. The losses on "
        "the way take a part; the rest must go into the supply or into a resistor.",
        energy=(returned, Kind.ENERGY),
        mean=(returned / motion.cycle_time, Kind.POWER),
        peak=(peak, Kind.POWER),
    )
    values = {
        "energy_per_cycle_J": returned,
        "mean_power_W": returned / motion.cycle_time,
        "peak_power_W": peak,
    }
    return [Finding("load_returns_energy", "note", text, values)]


def _rope(mechanism: Mechanism, motion: LoadMotion) -> list[Finding]:
    if not isinstance(mechanism, DrumWinch):
        return []
    payload = mechanism.drum_radius * motion.acceleration
    weight = mechanism.mass * GRAVITY
    running = mechanism.friction.force(weight * math.cos(mechanism.inclination)) + mechanism.resisting_force
    pull = mechanism.mass * payload + weight * math.sin(mechanism.inclination) + running * motion.direction
    loose = (pull < -1e-9 * max(weight, 1.0)) & motion.moving
    if not loose.any():
        return []
    worst = int(np.argmin(np.where(loose, pull, np.inf)))
    where = int(motion.move[worst])
    text = sentence(
        f"In step {where + 1} of the motion the rope would have to push with {{force}}: it goes slack. "
        "Change the speed more slowly, or load the rope.",
        force=(-float(pull[worst]), Kind.FORCE),
    )
    return [Finding("rope_slack", "serious", text, {"rope_pull_N": float(pull[worst])}, where)]


def _backward_pump(mechanism: Mechanism, motion: LoadMotion) -> list[Finding]:
    backward = motion.direction < 0.0
    if not (isinstance(mechanism, DisplacementPump) and backward.any()):
        return []
    where = int(motion.move[int(np.argmax(backward))])
    text = (
        f"In step {where + 1} of the motion the pump turns backward; it is taken to work against the same "
        "pressure."
    )
    return [Finding("pump_turns_backward", "warning", text, segment=where)]


def _tipping(mechanism: Mechanism, motion: LoadMotion) -> list[Finding]:
    if not isinstance(mechanism, WheelDrive) or math.isinf(mechanism.tipping_acceleration):
        return []
    changes = mechanism.wheel_radius * np.abs(motion.acceleration)
    worst = int(np.argmax(changes))
    limit, change, where = mechanism.tipping_acceleration, float(changes[worst]), int(motion.move[worst])
    if change <= limit:
        return []
    text = sentence(
        f"In step {where + 1} of the motion the vehicle tips: its speed changes by {{change}}, "
        "an axle lifts at {limit}. Change the speed more slowly, or lower the centre of mass.",
        change=(change, Kind.ACCELERATION),
        limit=(limit, Kind.ACCELERATION),
    )
    return [Finding("vehicle_tips", "serious", text, {"value": change, "limit": limit}, where)]
