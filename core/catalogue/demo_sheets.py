"""What the data sheets of the invented frames say about heat: each frame says more or less, in its own way.

So every way from a data sheet to a heat network is gone: dimensions alone, resistances and time constants
without dimensions, and dimensions with few and with many figures.
"""

from __future__ import annotations

from msgspec.structs import replace

from core.catalogue import demo_heat
from core.catalogue.demo_frames import Frame, printed
from core.evaluation.heat_geometry import MEASURING_AMBIENT
from core.project.motor import ContinuousPoint, DataSheetHeat, GeometryHeat
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Which figures a data sheet has beside the dimensions; points as shares of the rated speed."""

    resistances: bool = False
    time_constants: bool = False
    points: tuple[float, ...] = ()
    dimensions: bool = True


_SHEETS = {
    "23 mm frame": _Sheet(),
    "31 mm frame": _Sheet(resistances=True, time_constants=True, points=(1.0,), dimensions=False),
    "38 mm frame": _Sheet(resistances=True),
    "47 mm frame": _Sheet(resistances=True, time_constants=True, points=(0.35, 0.7, 1.0)),
    "58 mm frame": _Sheet(resistances=True, time_constants=True, points=(0.5, 1.0)),
    "73 mm frame": _Sheet(resistances=True, points=(1.0,)),
}


def stated_heat(frame: Frame, enclosed: bool) -> DataSheetHeat | GeometryHeat:
    """Return the thermal data of a variant as its data sheet has them."""
    sheet, bare = _SHEETS[frame.name], demo_heat.dimensioned(frame, enclosed)
    points = tuple(_point(frame, share * frame.rated_speed, enclosed) for share in sheet.points)
    if not sheet.resistances:
        return bare
    figures = demo_heat.heat_figures(frame, enclosed)
    inner, outer = printed(figures.winding_to_housing, 3), printed(figures.housing_to_ambient, 3)
    slow, fast = printed(figures.motor_time_constant, 3), printed(figures.winding_time_constant, 3)
    if not sheet.dimensions:
        return DataSheetHeat(
            winding_housing_resistance=inner,
            housing_ambient_resistance=outer,
            winding_time_constant=fast,
            motor_time_constant=slow,
            stated_mounting=bare.stated_mounting,
            stated_plate=bare.stated_plate,
            continuous_point=points[0],
        )
    return replace(
        bare,
        winding_housing_resistance=inner,
        housing_ambient_resistance=outer,
        winding_time_constant=fast if sheet.time_constants else None,
        motor_time_constant=slow if sheet.time_constants else None,
        continuous_points=points,
    )


def _point(frame: Frame, speed: float, enclosed: bool) -> ContinuousPoint:
    torque, winding_temp = demo_heat.continuous_state(frame, speed, enclosed)
    return ContinuousPoint(
        speed=printed(speed),
        shaft_torque=printed(torque),
        ambient=MEASURING_AMBIENT,
        winding_temp=printed(winding_temp),
        commutation="six-step",
    )
