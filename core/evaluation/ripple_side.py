"""The ripple of the current in a cycle: its size, what it costs, its margin and the choke against it."""

from __future__ import annotations

import numpy as np

from core.evaluation.criterion import WHOLE_CYCLE, Criterion, checked, missed, not_checked
from core.evaluation.extra_copper import extra_copper
from core.evaluation.feed import RippleLaw, highest_voltage, peak_to_peak, ripple_law
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import OperatingPoints
from core.evaluation.remembered import remembered
from core.evaluation.temperatures import CycleTemperatures
from core.findings import Finding
from core.numeric import FloatArray
from core.physics.conventions import Commutation
from core.physics.machine_constants import MachineConstants
from core.physics.materials import copper_resistance_factor, magnet_flux_factor
from core.physics.pwm_ripple import choke_for_ripple, periods_per_time_constant
from core.physics.shaft_duty import ShaftDuty
from core.physics.temperatures import RunAway
from core.physics.voltage import required_voltage
from core.project.application import Requirements, Supply
from core.project.drive import Drive
from core.results import Margin, PlaneCurves
from core.ripple_results import Ripple
from core.sentences import sentence
from core.units import Kind

# At the pulse frequency of much electronics a motor with enough inductance needs no one to ask for it.
USUAL_FREQUENCY = 20e3  # [Hz] common practice, no source
WARM = 3.0  # [K] what the ripple may cost before it is worth a word, common practice, no source


def ripple_of(
    motor: MotorModel,
    requirements: Requirements,
    duty: ShaftDuty | None,
    points: OperatingPoints | None,
    temps: CycleTemperatures | None,
    curves: PlaneCurves,
) -> Ripple | None:
    """Return the ripple in a cycle; None without a duty, a pulse frequency or a voltage."""
    law = motor.feed.ripple
    if law is None or duty is None or points is None:
        return None
    rms = largest_rms(law, motor, points)
    swing, current = peak_to_peak(rms), continuous_current(motor, curves)
    loss, rise = _cost(duty, motor, temps)
    choke = share = least = None
    if current is not None and current > 0.0:
        share = swing / current
        target = requirements.largest_ripple * current * (1.0 - requirements.targets.ripple)
        choke = choke_for_ripple(law.inductance, swing, target) if target > 0.0 else None
        # the ripple goes with the inverse of the inductance, so that of the bare winding is known too
        winding = motor.winding_inductance
        if target > 0.0 and winding > 0.0:
            least = choke_for_ripple(winding, swing * law.inductance / winding, target)
    resistance = loop_resistance(motor)
    control = motor.drive.control_frequency or law.frequency
    return Ripple(
        peak_to_peak=swing,
        rms=rms,
        frequency=law.frequency,
        inductance=law.inductance,
        time_constant=law.inductance / resistance,
        continuous_current=current,
        share=share,
        loss=loss,
        winding_rise=rise,
        choke=choke,
        least_choke=least,
        control_frequency=control,
        control_periods=periods_per_time_constant(law.inductance, resistance, control),
    )


def loop_resistance(motor: MotorModel) -> float:
    """Return the resistance of the path at the winding's reference temperature. [ohm]"""
    return motor.constants.resistance + motor.path.loop_resistance


def continuous_current(motor: MotorModel, curves: PlaneCurves) -> float | None:
    """Return the motor's largest continuous current, else that of the electronics. [A]"""
    if curves.continuous is None or not np.isfinite(curves.continuous).any():
        return motor.drive.continuous_current
    assert curves.continuous_braking is not None  # it comes with the other
    return lasting_current(motor, curves.continuous, curves.continuous_braking)


def lasting_current(motor: MotorModel, driving: FloatArray, braking: FloatArray) -> float:
    """Return the current of the largest of some continuous torques, those of braking negative. [A]"""
    # delivered torque is without the drag, which the current carries too
    both = 0.5 * (driving - braking)
    largest = np.array([float(np.nanmax(np.where(driving > 0.0, both, 0.0)))])
    return float(motor.current_of(largest, motor.hot_torque_constant)[0])


def largest_rms(law: RippleLaw, motor: MotorModel, points: OperatingPoints) -> float:
    """Return the largest ripple at any duty that the cycle passes, at reference temperatures. [A]"""
    constants = motor.constants
    if motor.commutation == "sinusoidal":
        reference = constants.resistance_ref_temp, constants.magnet_ref_temp
        voltage = required_voltage(
            constants, motor.commutation, points.em_torque, points.speed, *reference, motor.path
        )
        return law.rms_at(float(law.ratio(voltage).max()))
    current = points.em_torque / motor.torque_constant
    mean = motor.torque_constant * points.speed + loop_resistance(motor) * current
    ends = law.ratio(mean).reshape(-1, 2)
    turns = np.signbit(mean[::2]) != np.signbit(mean[1::2])
    low, high = np.where(turns, 0.0, ends.min(axis=1)), ends.max(axis=1)
    worst = {law.worst_ratio(*pair) for pair in np.unique(np.column_stack((low, high)), axis=0).tolist()}
    return max(law.rms_at(ratio) for ratio in worst)


def _cost(
    duty: ShaftDuty, motor: MotorModel, temps: CycleTemperatures | None
) -> tuple[float | None, float | None]:
    """Return mean loss [W] and mean rise of the winding [K] by the ripple; None without a repeating state.

    The rise is the response of the network, averaged over the cycle, to this loss; the copper loss of the
    torque answers with its own growth. Surface coefficients stay as they are with the ripple, which makes
    the rise up to a sixth too large where they grow with the temperature.
    """
    extra = extra_copper(duty, motor)
    if extra is None or extra.ripple == 0.0 or temps is None or isinstance(temps.state, RunAway):
        return None, None
    state, network, law = temps.state, temps.heat.network, temps.heat.law
    winding, magnets = float(state.mean[network.winding]), float(state.mean[network.magnets])
    flux = magnet_flux_factor(magnets, law.magnet_temp_coefficient, law.magnet_ref_temp)
    loss = extra.ripple * float(copper_resistance_factor(winding, law.winding_ref_temp, law.copper_constant))
    share = temps.pieces.duration / temps.pieces.duration.sum()
    one: FloatArray = np.zeros(len(network.nodes))
    one[network.winding] = 1.0
    rises = np.linalg.solve(np.tensordot(share, temps.pieces.conductance, 1), one)
    copper = float(share @ state.copper_loss)
    grows = copper / (law.copper_constant + winding) * rises[network.winding]
    # weaker magnets need more current for the same torque
    grows -= 2.0 * copper * law.magnet_temp_coefficient / float(flux) * rises[network.magnets]
    if grows >= 1.0:
        return loss, None
    return loss, float(loss / float(flux) ** 2 * rises[network.winding] / (1.0 - grows))


def ripple_criterion(requirements: Requirements) -> Criterion:
    """Return the criterion of the ripple."""
    return Criterion("current_ripple", "Current ripple", Kind.RATIO, requirements.targets.ripple)


def ripple_margin(
    motor: MotorModel, requirements: Requirements, supply: Supply, ripple: Ripple | None, curves: PlaneCurves
) -> Margin:
    """Return the margin of the ripple against its largest share of the continuous current."""
    criterion = ripple_criterion(requirements)
    if ripple is None:
        return _without_ripple(criterion, motor, requirements, supply, curves)
    if ripple.share is None or ripple.continuous_current is None:
        if ripple.continuous_current is not None:
            return missed(criterion, WHOLE_CYCLE, "the ripple and the drag alone take the continuous current")
        return not_checked(criterion, "missing: thermal data, or the continuous current of the electronics")
    equation = sentence(
        "largest ripple in the cycle, peak to peak / continuous current = {swing} / {current} = {share} with "
        "{frequency} pulses into {inductance}",
        swing=(ripple.peak_to_peak, Kind.CURRENT),
        current=(ripple.continuous_current, Kind.CURRENT),
        share=(ripple.share, Kind.RATIO),
        frequency=(ripple.frequency, Kind.FREQUENCY),
        inductance=(ripple.inductance, Kind.INDUCTANCE),
    )
    return checked(criterion, ripple.share, requirements.largest_ripple, WHOLE_CYCLE, equation)


def _without_ripple(
    criterion: Criterion, motor: MotorModel, requirements: Requirements, supply: Supply, curves: PlaneCurves
) -> Margin:
    """Return why the ripple is not checked; asked for only where it could matter.

    That is where it would be above its limit at the usual pulse frequency and the worst duty.
    """
    voltage = highest_voltage(supply)
    if motor.drive.pwm_frequency is not None:
        return not_checked(criterion, "missing: a supply voltage" if voltage is None else "no duty cycle")
    current = continuous_current(motor, curves)
    if voltage is None or current is None or current <= 0.0:
        return not_checked(criterion, "missing: PWM frequency of the electronics")
    rms = _usual_rms(motor.constants, motor.commutation, motor.drive, voltage)
    share = peak_to_peak(rms) / current
    matters = share > requirements.largest_ripple
    doubt = "be up to {share} of the continuous current, too much to leave open"
    why = sentence(
        "missing: PWM frequency of the electronics. At {frequency} the ripple would "
        + (doubt if matters else "be no more than {share} of the continuous current"),
        frequency=(USUAL_FREQUENCY, Kind.FREQUENCY),
        share=(share, Kind.RATIO),
    )
    asked = Criterion(criterion.code, criterion.label, criterion.kind, criterion.target, required=matters)
    return not_checked(asked, why)


@remembered()
def _usual_rms(constants: MachineConstants, commutation: Commutation, drive: Drive, voltage: float) -> float:
    law = ripple_law(constants, commutation, drive, voltage, USUAL_FREQUENCY)
    return law.rms_at(law.worst_ratio(0.0, 1.0))


def ripple_findings(ripple: Ripple | None) -> tuple[Finding, ...]:
    """Return what the heat of the ripple costs, where that is worth a word: it is there without load."""
    if ripple is None or ripple.winding_rise is None or ripple.loss is None or ripple.winding_rise < WARM:
        return ()
    cure = "" if not ripple.choke else " A choke of {choke} in each lead brings the ripple under its target."
    text = sentence(
        "The ripple of the current heats the winding by {loss}, load or no load, and makes it {rise} warmer. "
        f"Faster pulses or more inductance lessen it with their square.{cure}",
        loss=(ripple.loss, Kind.POWER),
        rise=(ripple.winding_rise, Kind.TEMPERATURE_DIFFERENCE),
        choke=(ripple.choke or 0.0, Kind.INDUCTANCE),
    )
    numbers = {"ripple_loss_W": ripple.loss, "winding_rise_K": ripple.winding_rise}
    if ripple.choke:
        numbers["choke_H"] = ripple.choke
    return (Finding("ripple_heats", "warning", text, numbers),)
