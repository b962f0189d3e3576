"""A whole motor from the formulas as they stand in their sources, without tables and without our functions.

An invented 45 mm frame. Each function returns the heat that leaves one surface; scipy finds the temperatures.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cosh, log, pi, sinh, sqrt

import numpy as np
from scipy.optimize import root
from scipy.special import i0, i1, k0, k1

from core.numeric import FloatArray
from core.physics.motor_dimensions import (
    CarryingBracket,
    CarryingPlate,
    EnclosedRotor,
    FrameDimensions,
    HeatPlace,
    OpenRotor,
)

FRAME = FrameDimensions(
    stator_diameter=0.0385,
    yoke_diameter=0.022,
    stack_length=0.009,
    gap=4e-4,
    end_winding_length=0.003,
    slot_wall_area=2.2e-3,
    lining_conductance=180.0,
    rotor_diameter=0.045,
    rotor_length=0.0145,
    flange_diameter=0.036,
    copper_mass=0.018,
    core_mass=0.030,
    flange_mass=0.020,
    rotor_mass=0.040,
)
OPEN = OpenRotor(opening_share=0.2, opening_radius=0.014)
ENCLOSED = EnclosedRotor(
    diameter=0.050, length=0.024, gap=0.0012, face_clearance=0.001, mass=0.040, flange_contact=2.0
)
PLATE = CarryingPlate(conductivity=160.0, side=0.105, thickness=0.006)
BRACKET = CarryingBracket(conductivity=160.0, section=6e-5, length=0.08, perimeter=0.046)

SIGMA = 5.670374419e-8
SEA_LEVEL = 101325.0


@dataclass
class Gas:
    """Air by the equations of the U.S. Standard Atmosphere 1976 (from memory), an ideal gas."""

    temp: float
    pressure: float
    k: float = field(init=False)
    mu: float = field(init=False)
    rho: float = field(init=False)
    nu: float = field(init=False)
    Pr: float = field(init=False)
    beta: float = field(init=False)

    def __post_init__(self) -> None:
        T = self.temp + 273.15
        self.k = 2.64638e-3 * T**1.5 / (T + 245.4 * 10.0 ** (-12.0 / T))
        self.mu = 1.458e-6 * T**1.5 / (T + 110.4)
        self.rho = self.pressure / (287.055 * T)
        self.nu = self.mu / self.rho
        self.Pr = self.mu * 1007.0 / self.k
        self.beta = 1.0 / T


def radiated(emissivity: float, a: float, b: float) -> float:
    """W/m2 from a to b."""
    return emissivity * SIGMA * ((a + 273.15) ** 4 - (b + 273.15) ** 4)


def facing(first: float, second: float, ratio: float = 1.0) -> float:
    return 1.0 / (1.0 / first + ratio * (1.0 / second - 1.0))


def churchill_chu(shape: str, length: float, surface: float, air: float, pressure: float) -> float:
    """W/(m2 K) of a horizontal cylinder or a vertical plate (1975, from memory)."""
    gas = Gas(0.5 * (surface + air), pressure)
    rayleigh = 9.80665 * gas.beta * abs(surface - air) * length**3 / gas.nu**2 * gas.Pr
    foot, number = {"cylinder": (0.60, 0.559), "plate": (0.825, 0.492)}[shape]
    nusselt: float = (
        foot + 0.387 * rayleigh ** (1 / 6) / (1.0 + (number / gas.Pr) ** (9 / 16)) ** (8 / 27)
    ) ** 2
    return nusselt * gas.k / length


class ByHand:
    """Heat flows of one motor; `temps` of `solved` are winding, core, rotor and, enclosed, housing."""

    def __init__(self, variant: OpenRotor | EnclosedRotor, place: HeatPlace, speed: float) -> None:
        self.variant, self.place, self.speed, self.frame = variant, place, speed, FRAME
        self.amb, self.p = place.ambient_temp, place.pressure

    # ---- single surfaces ----

    def free(
        self, area: float, shape: str, length: float, eps: float, temp: float, h_rot: float = 0.0
    ) -> float:
        heat = area * radiated(eps, temp, self.amb)
        if self.p > 0.0:
            h = churchill_chu(shape, length, temp, self.amb, self.p)
            heat += area * (h**3 + h_rot**3) ** (1 / 3) * (temp - self.amb)
        return heat

    def disc(self, temp: float) -> float:
        gas = Gas(0.5 * (temp + self.amb), self.p)
        r = 0.5 * self.frame.rotor_diameter
        # von Karman's disc at Pr 0.70 and 0.71 (0.32312, 0.32586), a straight line between
        factor = 0.32312333 + (gas.Pr - 0.70) * (0.32586064 - 0.32312333) / 0.01
        return factor * sqrt(self.speed * r**2 / gas.nu) * gas.k / r

    def becker(self, temp: float) -> float:
        gas, d = Gas(0.5 * (temp + self.amb), self.p), self.frame.rotor_diameter
        nusselt: float = 0.133 * (self.speed * d**2 / (2.0 * gas.nu)) ** (2 / 3) * gas.Pr ** (1 / 3)
        return nusselt * gas.k / d

    def magnetic_gap(self, core: float, rotor: float) -> float:
        r, g = 0.5 * self.frame.stator_diameter, self.frame.gap
        area = 2.0 * pi * r * self.frame.stack_length
        heat = area * radiated(facing(0.8, 0.8, r / (r + g)), core, rotor)
        if self.p > 0.0:
            heat += area * Gas(0.5 * (core + rotor), self.p).k / (r * log(1.0 + g / r)) * (core - rotor)
        return heat

    def end_winding_areas(self) -> tuple[float, float]:
        """Both rings: to the air, and to what they radiate to."""
        D, d, h = self.frame.stator_diameter, self.frame.yoke_diameter, self.frame.end_winding_length
        front = pi * (D**2 - d**2) / 4.0
        return 2.0 * (pi * D * h + pi * d * h + front), 2.0 * (pi * D * h + front)

    def inside_coefficient(self) -> float:
        wetted, hull = self.end_winding_areas()
        black = facing(0.8, 0.8) * 4.0 * SIGMA * 353.15**3 * hull / wetted
        v = self.speed * 0.5 * self.frame.stator_diameter
        thin = self.p / SEA_LEVEL
        coefficient: float = (15.5 - black) * thin**0.5 + 15.5 * 0.29 * v * thin**0.8
        return coefficient

    def shared_air(self, areas: list[float], temps: list[float], flow: float) -> list[float]:
        """Heat of each surface into air that passes all of them evenly: its balance in 4000 steps."""
        h = np.array(areas) * self.inside_coefficient()
        t = np.array(temps)
        if flow == 0.0:
            air = float(h @ t / h.sum())
            return list(h * (t - air))
        steps, air, heat = 4000, self.amb, np.zeros(len(areas))
        for _ in range(steps):
            middle = air + 0.5 * float(h @ (t - air)) / steps / flow
            given = h * (t - middle) / steps
            heat += given
            air += float(given.sum()) / flow
        return list(heat)

    # ---- carriers ----

    def carrier(self, core: float) -> float:
        carrier = self.place.carrier
        if carrier is None or core == self.amb:
            return 0.0
        plate = isinstance(carrier, CarryingPlate)
        height = carrier.side if isinstance(carrier, CarryingPlate) else carrier.length
        mean, heat = core, 0.0
        for _ in range(60):
            h = radiated(carrier.emissivity, mean, self.amb) / (mean - self.amb)
            if self.p > 0.0:
                h += churchill_chu("plate", height, mean, self.amb, self.p)
            heat, mean = (self.plate if plate else self.bracket)(core, h)
        return heat

    def plate(self, core: float, h: float) -> tuple[float, float]:
        c = self.place.carrier
        assert isinstance(c, CarryingPlate)
        r0, r1 = 0.5 * self.frame.flange_diameter, c.side / sqrt(pi)
        m = sqrt(2.0 * h / (c.conductivity * c.thickness))
        fin = 2.0 * pi * r0 * c.conductivity * c.thickness * m
        fin *= (k1(m * r0) * i1(m * r1) - i1(m * r0) * k1(m * r1)) / (
            k0(m * r0) * i1(m * r1) + i0(m * r0) * k1(m * r1)
        )
        fin += h * pi * r0**2
        heat = (core - self.amb) / (1.0 / fin + c.joint_resistance / (pi * r0**2))
        return heat, self.amb + heat / (h * (2.0 * c.side**2 - pi * r0**2))

    def bracket(self, core: float, h: float) -> tuple[float, float]:
        c = self.place.carrier
        assert isinstance(c, CarryingBracket)
        m = sqrt(h * c.perimeter / (c.conductivity * c.section))
        fin = c.conductivity * c.section * m * cosh(m * c.length) / sinh(m * c.length)
        joint = c.joint_resistance / (0.25 * pi * self.frame.flange_diameter**2)
        heat = (core - self.amb) / (1.0 / fin + joint)
        # what its surface gives off is what enters less what arrives at the far end
        arrives = heat / cosh(m * c.length)
        return heat, self.amb + (heat - arrives) / (h * c.perimeter * c.length)

    # ---- whole motors ----

    def flange(self, core: float, edge: bool) -> float:
        d = self.frame.flange_diameter
        area = 0.0 if self.place.carrier is not None else pi * d**2 / 4.0
        if edge:
            area += pi * d * self.frame.flange_mass / (2700.0 * pi * d**2 / 4.0)
        return self.free(area, "plate", d, 0.85, core) if area > 0.0 else 0.0

    def open_balance(self, temps: FloatArray, heat: tuple[float, ...]) -> list[float]:
        winding, core, rotor = temps
        f, v = self.frame, self.variant
        assert isinstance(v, OpenRotor)
        whole = pi * f.rotor_diameter**2 / 4.0
        lining = f.slot_wall_area * f.lining_conductance * (winding - core)
        gap = self.magnetic_gap(core, rotor)
        wetted, hull = self.end_winding_areas()
        to_cup = hull * radiated(facing(0.8, 0.8), winding, rotor)
        inside = (1.0 - v.opening_share) * whole + pi * f.stator_diameter * (f.rotor_length - f.stack_length)
        ew, cup = 0.0, 0.0
        if self.p > 0.0:
            mass = 0.2 * Gas(self.amb, self.p).rho * self.speed * v.opening_radius * v.opening_share * whole
            ew, cup = self.shared_air([wetted, inside], [winding, rotor], mass * 1007.0)
        rim = self.free(
            pi * f.rotor_diameter * f.rotor_length, "cylinder", f.rotor_diameter, 0.85, rotor,
            self.becker(rotor) if self.p > 0.0 else 0.0,
        )  # fmt: skip
        face = self.free(
            (1.0 - v.opening_share) * whole, "plate", f.rotor_diameter, 0.85, rotor,
            self.disc(rotor) if self.p > 0.0 else 0.0,
        )  # fmt: skip
        return [
            heat[0] - lining - to_cup - ew,
            heat[1] + lining - gap - self.flange(core, edge=True) - self.carrier(core),
            heat[2] + gap + to_cup - cup - rim - face,
        ]

    def enclosed_balance(self, temps: FloatArray, heat: tuple[float, ...]) -> list[float]:
        winding, core, rotor, housing = temps
        f, v = self.frame, self.variant
        assert isinstance(v, EnclosedRotor)
        lining = f.slot_wall_area * f.lining_conductance * (winding - core)
        gap = self.magnetic_gap(core, rotor)
        wetted, hull = self.end_winding_areas()
        to_cup = hull * radiated(facing(0.8, 0.8), winding, rotor)
        whole = pi * f.rotor_diameter**2 / 4.0
        inside = whole + pi * f.stator_diameter * (f.rotor_length - f.stack_length)
        strip = pi * (f.rotor_diameter + 2.0 * v.gap) * f.end_winding_length
        ew, cup, wall = 0.0, 0.0, 0.0
        if self.p > 0.0:
            ew, cup, wall = self.shared_air([wetted, inside, strip], [winding, rotor, housing], 0.0)
        across = self.cup_to_housing(rotor, housing)
        joint = v.flange_contact * (core - housing)
        outer = pi * v.diameter**2 / 4.0
        ends = outer if self.place.carrier is not None else 2.0 * outer - pi * f.flange_diameter**2 / 4.0
        out = self.free(pi * v.diameter * v.length, "cylinder", v.diameter, 0.85, housing)
        out += self.free(ends, "plate", v.diameter, 0.85, housing)
        return [
            heat[0] - lining - to_cup - ew,
            heat[1] + lining - gap - joint - self.flange(core, edge=False) - self.carrier(core),
            heat[2] + gap + to_cup - cup - across,
            heat[3] + across + joint - wall - out,
        ]

    def cup_to_housing(self, rotor: float, housing: float) -> float:
        f, v = self.frame, self.variant
        assert isinstance(v, EnclosedRotor)
        r, g, s = 0.5 * f.rotor_diameter, v.gap, v.face_clearance
        rim, face = 2.0 * pi * r * f.rotor_length, pi * r**2
        heat = rim * radiated(facing(0.85, 0.8, r / (r + g)), rotor, housing)
        heat += face * radiated(facing(0.85, 0.8), rotor, housing)
        if self.p == 0.0:
            return heat
        gas = Gas(0.5 * (rotor + housing), self.p)
        taylor = self.speed * r * g / gas.nu * sqrt(g / r)
        # the branches of Taylor's sheet, joined where they cross instead of at 41 and 100; 2 is still air
        nusselt: float = max(2.0, min(0.202 * taylor**0.63, 0.386 * sqrt(taylor)) * gas.Pr**0.27)
        heat += rim * 0.5 * nusselt * gas.k / (r * log(1.0 + g / r)) * (rotor - housing)
        reynolds = self.speed * r**2 / gas.nu
        factor = 0.32312333 + (gas.Pr - 0.70) * (0.32586064 - 0.32312333) / 0.01
        free_disc: float = 2.0 * 1.85 / 3.87 * (s / r) ** 0.1 * factor * sqrt(reynolds) / r
        heat += face * gas.k * max(1.0 / s, free_disc) * (rotor - housing)
        return heat

    def solved(self, heat: tuple[float, ...]) -> FloatArray:
        """Temperatures of the nodes for the heat put into them."""
        balance = self.open_balance if isinstance(self.variant, OpenRotor) else self.enclosed_balance
        start = self.amb + 60.0 - 5.0 * np.arange(len(heat))
        found = root(balance, start, args=(heat,), tol=1e-10)
        assert found.success, found.message
        temps: FloatArray = found.x
        return temps
