"""What parts mean for one application, kept from chunk to chunk."""

from __future__ import annotations

from msgspec.structs import replace

from core.evaluation.duty import duty_of
from core.evaluation.motor_model import MotorModel, missing_parts, motor_of
from core.evaluation.no_duty import NoDuty
from core.project.application import Application
from core.project.candidate import Candidate
from core.shortlist.batch.courses import Course, DragOnCourse, course_of, drag_on_course
from core.shortlist.batch.machines import machine_numbers
from core.shortlist.batch.memory import Memory

Machine = tuple[MotorModel, tuple[float, ...]]
"""A motor with its electronics and nothing fitted, and its numbers."""


class Engine:
    """The parts of an application's candidates as physics."""

    def __init__(self, application: Application) -> None:
        self.application = application
        self._machines: Memory[Machine | None] = Memory(5_000)
        self._courses: Memory[Course | None] = Memory(1_000)
        self._drags: Memory[DragOnCourse] = Memory(5_000)

    def machine(self, candidate: Candidate) -> Machine | None:
        """Return motor and electronics of a candidate; None where parts are missing."""
        c = candidate
        parts = (c.motor, c.winding, c.variant, c.drive, c.commutation, c.lead_resistance, c.cable, c.choke)

        def make() -> Machine | None:
            bare = replace(c, transmission=None, feedback=None, brake=None, shaft_force=None)
            motor = None if missing_parts(bare) else motor_of(self.application, bare)
            return None if motor is None else (motor, machine_numbers(motor))

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
