"""What parts mean for one application, kept from chunk to chunk."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec.structs import replace

from core.evaluation.curves import drawn_speed
from core.evaluation.duty import duty_of
from core.evaluation.heat_model import HeatModel, NoHeatModel, heat_model
from core.evaluation.lasting_torque import heats_by_torque
from core.evaluation.motor_model import MotorModel, missing_parts, motor_of
from core.evaluation.no_duty import NoDuty
from core.physics.drag import DragLaw
from core.physics.heat_network import HeatNetwork
from core.project.application import Application
from core.project.candidate import Candidate
from core.results import Margin
from core.shortlist.batch.courses import Course, DragOnCourse, course_of, drag_on_course
from core.shortlist.batch.cuts import (
    CutCourse,
    DragOnCut,
    LinksOnCut,
    cut_course,
    drag_on_cut,
    links_on_cut,
)
from core.shortlist.batch.lasting import LastingHeat, lasting_heat
from core.shortlist.batch.machines import machine_numbers
from core.shortlist.batch.memory import Memory

Machine = tuple[MotorModel, tuple[float, ...]]
"""A motor with its electronics and nothing fitted, and its numbers."""


FINELY = 16  # pieces of a ramp beyond which what is made on them is not kept: it is large, and rare


class Engine:
    """The parts of an application's candidates as physics."""

    def __init__(self, application: Application) -> None:
        self.application = application
        self.part_margins: Memory[Sequence[Margin]] = Memory(6_000)  # several kilobytes each
        self._machines: Memory[Machine | None] = Memory(12_000)
        self._courses: Memory[Course | None] = Memory(1_000)
        self._drags: Memory[DragOnCourse] = Memory(5_000)
        self._heats: Memory[HeatModel | NoHeatModel] = Memory(5_000)
        self._cuts: Memory[CutCourse] = Memory(2_000)
        self._cut_drags: Memory[DragOnCut] = Memory(5_000)
        self._lasting: Memory[LastingHeat] = Memory(5_000)
        self._currents: Memory[float] = Memory(5_000)
        self._links: Memory[LinksOnCut] = Memory(5_000)

    def machine(self, candidate: Candidate) -> Machine | None:
        """Return motor and electronics of a candidate; None where parts are missing."""
        c = candidate
        parts = (c.motor, c.winding, c.variant, c.drive, c.commutation, c.lead_resistance, c.cable, c.choke)

        def make() -> Machine | None:
            bare = replace(c, transmission=None, feedback=None, brake=None, shaft_force=None)
            motor = None if missing_parts(bare) else motor_of(self.application, bare)
            return None if motor is None else (motor, machine_numbers(motor, self.application.supply))

        return self._machines.get(parts, make)

    def course(self, candidate: Candidate) -> Course | None:
        """Return the course of a candidate's duty; None without one."""
        gear = candidate.transmission if self.application.duty_from == "load" else None

        def make() -> Course | None:
            trace = duty_of(self.application, gear)
            return None if isinstance(trace, NoDuty) else course_of(trace)

        return self._courses.get((gear,), make)

    def drag(self, motor: MotorModel, course: Course) -> DragOnCourse:
        """Return the drag of a motor on a course."""
        return self._drags.get((motor.drag, course), lambda: drag_on_course(motor.drag, course))

    def heat(self, motor: MotorModel) -> HeatModel | NoHeatModel:
        """Return the heat network of a motor with nothing fitted, or why there is none.

        Of the electronics only built-in ones take part in it.
        """
        drive = motor.drive if motor.drive.built_in else None
        parts = (motor.motor, motor.winding, motor.variant, drive)
        return self._heats.get(parts, lambda: heat_model(self.application.site, motor))

    def cut(self, course: Course, per_ramp: int) -> CutCourse:
        """Return a course cut into pieces."""
        return self._cuts.get((course, per_ramp), lambda: cut_course(course, per_ramp))

    def drag_on_cut(self, drag: DragLaw, course: Course, per_ramp: int) -> DragOnCut:
        """Return the drag of a motor on the pieces of a course."""
        cut = self.cut(course, per_ramp)
        if per_ramp > FINELY:
            return drag_on_cut(drag, cut)
        return self._cut_drags.get((drag, course, per_ramp), lambda: drag_on_cut(drag, cut))

    def links(self, network: HeatNetwork, course: Course, per_ramp: int) -> LinksOnCut:
        """Return a network that does not follow its temperatures in the pieces of a course."""
        cut = self.cut(course, per_ramp)
        if per_ramp > FINELY:
            return links_on_cut(network, cut)
        return self._links.get((network, course, per_ramp), lambda: links_on_cut(network, cut))

    def lasting(self, motor: MotorModel, heat: HeatModel, course: Course) -> LastingHeat:
        """Return the heat of a motor at the speeds at which its continuous torque is drawn."""
        end = drawn_speed(self.application.supply, motor, course.top_speed)
        # of the electronics nothing else takes part: no heat here follows the torque otherwise
        parts = (heat, motor.motor, motor.variant, motor.commutation, _pulses(motor), end)
        return self._lasting.get(parts, lambda: lasting_heat(heat, motor, end))

    def lasting_singly(
        self, motor: MotorModel, heat: HeatModel, limits: tuple[object, ...], make: Callable[[], float]
    ) -> float:
        """Return the continuous current of a motor whose limits and speeds `limits` tells. [A]"""
        # electronics that weaken the field or sit in the motor take part with all that they are
        whole = motor if heats_by_torque(motor) else None
        return self._currents.get((heat, motor.commutation, _pulses(motor), whole, limits), make)


def _pulses(motor: MotorModel) -> tuple[object, ...] | None:
    """Return how the pulses of its electronics warm a motor."""
    ripple = motor.feed.ripple
    return None if ripple is None else (ripple.full_speed, ripple.loss_per_square, ripple.square)
