"""An invented outer-rotor motor of 45 mm, from its dimensions: open, enclosed, and a plate to carry it."""

from __future__ import annotations

from core.physics.motor_dimensions import CarryingPlate, EnclosedRotor, FrameDimensions, OpenRotor

FRAME = FrameDimensions(
    stator_diameter=0.0362,
    yoke_diameter=0.021,
    stack_length=0.010,
    gap=0.0004,
    end_winding_length=0.004,
    slot_wall_area=2.4e-3,
    lining_conductance=250.0,
    rotor_diameter=0.045,
    rotor_length=0.018,
    flange_diameter=0.040,
    copper_mass=0.025,
    core_mass=0.040,
    flange_mass=0.030,
    rotor_mass=0.050,
)
OPEN = OpenRotor(opening_share=0.25, opening_radius=0.013)
ENCLOSED = EnclosedRotor(
    diameter=0.053, length=0.028, gap=0.001, face_clearance=0.0015, mass=0.060, flange_contact=1.0
)
PLATE = CarryingPlate(conductivity=160.0, side=0.1, thickness=0.006)
