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
        portion = f"{share:.1%}" if share <= 1.0 else "more than all, relieved by the rest,"
        text = (
            f"Gravity makes {portion} of the mean square torque and {of_peaks:.1%} of the sum of the "
            f"peaks: {gravity:.4g} N m against {shares.term_peak['acceleration']:.3g} N m of acceleration. "
            "A counterbalance saves more than a larger motor."
        )
        values = {
            "gravity_share": share,
            "gravity_share_of_peaks": of_peaks,
            "gravity_peak_N_m": gravity,
            "acceleration_peak_N_m": shares.term_peak["acceleration"],
        }
        findings.append(Finding("gravity_dominates", "warning", text, values))
    if isinstance(mechanism, RotaryTable) and mechanism.gravity_moment > 0.0 and gravity == 0.0:
        per_degree = mechanism.gravity_moment * math.sin(math.radians(1.0))
        text = (
            "The axis is vertical, so the mass off the axis asks for no torque against gravity; "
            f"each degree of tilt would add {per_degree:.3g} N m."
        )
        findings.append(
            Finding("gravity_absent_axis_vertical", "note", text, {"torque_per_degree_N_m": per_degree})
        )
    return findings


def _peak_and_mean(shares: TermShares, terms: LoadTerms) -> list[Finding]:
    findings = []
    values = {
        "sum_of_peaks_N_m": shares.sum_of_peaks,
        "peak_N_m": shares.peak_torque,
        "rms_N_m": shares.rms_torque,
    }
    if shares.sum_of_peaks > PEAK_OVER_RMS * shares.rms_torque:
        text = (
            f"The worst of every cause adds up to {shares.sum_of_peaks:.3g} N m; at one instant at most "
            f"{shares.peak_torque:.3g} N m is asked, and the RMS value of the cycle, which heats, is "
            f"{shares.rms_torque:.3g} N m. Size the peak by the first two, the heat by the cycle."
        )
        findings.append(Finding("sum_of_worst_cases_is_a_peak", "note", text, values))
    start = float(np.abs(terms.starting_torque).max())
    if start > shares.peak_torque * (1.0 + 1e-9):
        text = (
            f"Moving off takes {start:.3g} N m for an instant, more than the {shares.peak_torque:.3g} N m "
            "of the motion itself."
        )
        findings.append(
            Finding("breakaway_sets_the_peak", "note", text, {**values, "starting_torque_N_m": start})
        )
    return findings


def _friction(shares: TermShares) -> list[Finding]:
    share = shares.rms_share["friction"]
    if share <= UNCERTAIN_FRICTION_SHARE:
        return []
    text = (
        f"Friction makes {share:.0%} of the mean square torque. A value from a table can be wrong by a "
        "factor of two for a sealed, greased or cold mechanism: study it low and high, or measure it with "
        "a spring scale on a lever, by coasting down, or by the current with and without the load."
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
            f"The screw is self-locking: its back-driving efficiency is {back:.2f}, so the motor must drive "
            "the lowering. Vibration can still let it creep."
        )
        findings.append(Finding("screw_self_locking", "note", text, values))
    if mechanism.pitch_diameter is None:
        text = (
            "Without the pitch diameter the back-driving efficiency is taken as "
            f"2 - 1/{drive:.2f} = {back:.2f}."
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
    text = (
        "Without power the load moves: gravity pulls with up to {:.3g} N m, friction holds "
        f"{load.starting_friction:.3g} N m. Provide a brake or a lock."
    )
    values = {"gravity_torque_N_m": weight, "friction_torque_N_m": load.starting_friction}
    # an arm that hangs straight down still has 1e-16 of its weight as torque
    if back * float(pulls.max()) > load.starting_friction + 1e-9 * weight:
        worst = int(np.argmax(pulls))
        where = int(motion.move[worst])
        values["gravity_torque_N_m"] = float(pulls[worst])
        text = text.format(pulls[worst]) + f" Move {where + 1} releases it."
        return [Finding("released_under_gravity", "serious", text, values, where)]
    return [Finding("load_moves_without_power", "warning", text.format(weight), values)]


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
        text = (
            f"Each cycle ends {payload:.4g} {unit} away from where it began, "
            "so it cannot repeat as it stands: gravity or the end of travel will differ."
        )
        findings.append(Finding("position_drifts", "warning", text, {f"drift_{unit}": payload}))
    steps = np.abs(np.diff(motion.position))
    if load.gravity_swing != 0.0 and float(steps.max()) > COARSEST_GRAVITY_STEP / 2.0:
        text = (
            f"The cycle turns {scale / (2.0 * math.pi):.0f} times through gravity; it is followed in steps "
            f"of {math.degrees(float(steps.max())):.0f} degrees, its peaks are up to 2 % high."
        )
        findings.append(
            Finding("gravity_followed_coarsely", "note", text, {"turns": scale / (2.0 * math.pi)})
        )
    return findings


def _left_out(mechanism: Mechanism, load: AxisLoad, motion: LoadMotion) -> list[Finding]:
    """Name what a hand sheet would have forgotten."""
    findings = []
    top = float(np.abs(motion.speed).max())
    if top > 0.0 and load.inertia > 0.0 and not motion.acceleration.any():
        text = (
            "The cycle never changes its speed, so no torque for acceleration is in it; "
            "add the ramps if it starts."
        )
        findings.append(Finding("no_acceleration_in_cycle", "note", text, {"speed_rad_per_s": top}))
    if isinstance(mechanism, SwingArm) and mechanism.arm_mass == 0.0:
        text = "The arm itself is taken as massless. Enter its mass, and that of motors it carries."
        findings.append(Finding("arm_without_mass", "warning", text))
    if isinstance(mechanism, DirectRotaryLoad) and top > WINDAGE_SPEED and not _rises(load):
        text = (
            f"At {top * 30.0 / math.pi:.0f} r/min the drag of the air may exceed the friction of the "
            "bearings, but no torque that rises with speed is entered."
        )
        findings.append(Finding("windage_left_out", "warning", text, {"speed_rad_per_s": top}))
    return findings


def _rises(load: AxisLoad) -> bool:
    return load.square_torque > 0.0 or load.friction_viscous > 0.0


def _returned_energy(motion: LoadMotion, terms: LoadTerms) -> list[Finding]:
    work = linear_work(terms.total, motion.speed_ends, motion.duration)
    returned = -float(work[work < 0.0].sum())
    if returned <= 1e-9 * float(np.abs(work).sum()):
        return []
    peak = -float((terms.total * motion.speed_ends).min())
    text = (
        f"The load gives back {returned:.4g} J in each cycle, {returned / motion.cycle_time:.3g} W on "
        f"average and {peak:.3g} W at the peak, less the losses on the way. "
        "An ordinary supply cannot take it."
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
    text = f"In move {where + 1} the rope would have to push with {-pull[worst]:.3g} N: it goes slack."
    return [Finding("rope_slack", "serious", text, {"rope_pull_N": float(pull[worst])}, where)]


def _backward_pump(mechanism: Mechanism, motion: LoadMotion) -> list[Finding]:
    backward = motion.direction < 0.0
    if not (isinstance(mechanism, DisplacementPump) and backward.any()):
        return []
    where = int(motion.move[int(np.argmax(backward))])
    text = f"In move {where + 1} the pump turns backward; it is taken to work against the same pressure."
    return [Finding("pump_turns_backward", "warning", text, segment=where)]


def _tipping(mechanism: Mechanism, motion: LoadMotion) -> list[Finding]:
    if not isinstance(mechanism, WheelDrive) or math.isinf(mechanism.tipping_acceleration):
        return []
    changes = mechanism.wheel_radius * np.abs(motion.acceleration)
    worst = int(np.argmax(changes))
    limit, change, where = mechanism.tipping_acceleration, float(changes[worst]), int(motion.move[worst])
    if change <= limit:
        return []
    text = (
        f"In move {where + 1} the vehicle tips: its speed changes by {change:.3g} m/s2, an axle lifts at "
        f"{limit:.3g} m/s2. Change speed more slowly, or lower the centre of mass."
    )
    return [Finding("vehicle_tips", "serious", text, {"value": change, "limit": limit}, where)]
