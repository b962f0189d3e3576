"""The kinds of quantity and the units that may be typed for them, with their exact factors to SI.

Only listed spellings are read. Upper and lower case count, since mW and MW are a factor 1e9 apart.
Ounce and pound in a torque or a torque constant are read as forces (`oz*in` is ozf·in, `lb*in` is lbf·in),
because data sheets mean nothing else; in a moment of inertia they are masses. The kilogram and the gram are
always masses: `kg*cm` for a torque is refused and kgf·cm is offered.

Inch, pound and ounce: International yard and pound agreement of 1959, 1 in = 25.4 mm, 1 lb = 0.45359237 kg,
16 oz = 1 lb (from memory). Standard gravity 9.80665 m/s² (3rd CGPM 1901, from memory).
"""

from __future__ import annotations

import math
import re
from enum import StrEnum
from functools import cache

from core.records import dataclass


class Kind(StrEnum):
    """What a number measures, in plain words."""

    TORQUE = "torque"
    SPEED = "speed"
    ANGLE = "angle"
    TIME = "time"
    SWITCHING_TIME = "switching time"
    LIFE = "life"
    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature difference"
    RESISTANCE = "resistance"
    INDUCTANCE = "inductance"
    CAPACITANCE = "capacitance"
    VOLTAGE = "voltage"
    CURRENT = "current"
    POWER = "power"
    ENERGY = "energy"
    BATTERY_ENERGY = "energy of a battery"
    INERTIA = "moment of inertia"
    MASS = "mass"
    LENGTH = "length"
    CABLE_LENGTH = "length of a cable"
    AREA = "area"
    ALTITUDE = "altitude"
    FREQUENCY = "frequency"
    ELECTRICAL_FREQUENCY = "electrical frequency"
    RATIO = "ratio"
    NUMBER = "number"
    TORQUE_CONSTANT = "torque constant"
    BACK_EMF_CONSTANT = "back-EMF constant"
    SPEED_CONSTANT = "speed constant"
    MOTOR_CONSTANT = "motor constant"
    THERMAL_RESISTANCE = "thermal resistance"
    THERMAL_CONDUCTANCE = "thermal conductance"
    THERMAL_CONDUCTIVITY = "thermal conductivity"
    JOINT_RESISTANCE = "thermal resistance of a joint times area"
    HEAT_CAPACITY = "heat capacity"
    TEMPERATURE_COEFFICIENT = "temperature coefficient"
    FORCE = "force"
    ACCELERATION = "acceleration"
    ANGULAR_ACCELERATION = "angular acceleration"
    LINEAR_SPEED = "linear speed"
    JERK = "jerk"
    ANGULAR_JERK = "angular jerk"
    VISCOUS_FRICTION = "viscous friction"
    LINEAR_VISCOUS_FRICTION = "linear viscous friction"
    SQUARE_TORQUE = "torque per square of speed"
    TORSIONAL_STIFFNESS = "torsional stiffness"
    PRESSURE = "pressure"
    VOLUME = "volume"
    DENSITY = "density"
    LOAD_TORQUE = "torque at the load"
    LOAD_INERTIA = "moment of inertia of the load"
    TORQUE_PER_VOLUME = "torque per volume"
    TORQUE_PER_MASS = "torque per mass"
    POWER_PER_VOLUME = "power per volume"
    POWER_PER_MASS = "power per mass"


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit of one kind: `SI value = number * multiplier / divisor + offset`.

    The divisor keeps decimal prefixes exact: 1.1 mN·m / 1000 is 0.0011, while 1.1 * 0.001 is not.
    """

    symbol: str
    multiplier: float
    divisor: float
    offset: float
    expression: str
    spellings: tuple[str, ...]


def _u(symbol: str, factor: float, expression: str, spellings: str = "", offset: float = 0.0) -> Unit:
    """One row of the table; `expression` is the same unit in words that pint knows."""
    inverse = float(round(1.0 / factor))
    exact = inverse > 1.0 and 1.0 / inverse == factor
    multiplier, divisor = (1.0, inverse) if exact else (factor, 1.0)
    return Unit(symbol, multiplier, divisor, offset, expression, tuple(spellings.split()))


INCH, FOOT = 0.0254, 0.3048
GRAVITY = 9.80665
POUND = 0.45359237
OUNCE = POUND / 16.0
POUND_FORCE, OUNCE_FORCE = POUND * GRAVITY, OUNCE * GRAVITY
RPM = math.pi / 30.0
DEGREE = math.pi / 180.0

UNITS: dict[Kind, tuple[Unit, ...]] = {
    Kind.TORQUE: (
        _u("mN·m", 1e-3, "mN*m", "mNm"),
        _u("N·m", 1.0, "N*m", "Nm"),
        _u("N·cm", 1e-2, "N*cm", "Ncm"),
        _u("N·mm", 1e-3, "N*mm", "Nmm"),
        _u("µN·m", 1e-6, "uN*m", "uNm"),
        _u("kN·m", 1e3, "kN*m", "kNm"),
        _u("kgf·cm", GRAVITY / 100.0, "kgf*cm", "kgfcm kp*cm"),
        _u("kgf·m", GRAVITY, "kgf*m", "kgfm kp*m"),
        _u("gf·cm", GRAVITY / 1e5, "gram_force*cm", "gfcm p*cm"),
        _u("ozf·in", OUNCE_FORCE * INCH, "ounce_force*inch", "oz*in ozin in*oz in*ozf"),
        _u("lbf·in", POUND_FORCE * INCH, "lbf*inch", "lb*in in*lb in*lbf lbin in*lbs lbs*in"),
        _u("lbf·ft", POUND_FORCE * FOOT, "lbf*foot", "lb*ft ft*lb ft*lbf lbft ft*lbs lbs*ft"),
    ),
    Kind.SPEED: (
        _u("rpm", RPM, "rpm", "RPM r/min rev/min 1/min /min min^-1 min-1 U/min"),
        _u("rad/s", 1.0, "rad/s", "rad*s^-1"),
        _u("deg/s", DEGREE, "degree/s", "degrees/s deg*s^-1"),
        _u("rev/s", 2.0 * math.pi, "revolution/s", "r/s rps U/s"),
        _u("krpm", 1000.0 * RPM, "krpm", "1000/min"),
    ),
    Kind.ANGLE: (
        _u("°", DEGREE, "degree", "degree degrees"),
        _u("rad", 1.0, "rad"),
        _u("mrad", 1e-3, "mrad"),
        _u("arcmin", DEGREE / 60.0, "arcmin"),
        _u("arcsec", DEGREE / 3600.0, "arcsec"),
        _u("rev", 2.0 * math.pi, "revolution", "turn turns revs"),
    ),
    Kind.TIME: (
        _u("s", 1.0, "s", "sec"),
        _u("ms", 1e-3, "ms", "msec"),
        _u("µs", 1e-6, "us", "usec"),
        _u("min", 60.0, "minute"),
        _u("h", 3600.0, "hour", "hr"),
    ),
    Kind.TEMPERATURE: (
        _u("°C", 1.0, "degC", "C deg*C"),
        _u("K", 1.0, "kelvin", "", -273.15),
        _u("°F", 5.0 / 9.0, "degF", "F deg*F", -160.0 / 9.0),
    ),
    Kind.TEMPERATURE_DIFFERENCE: (
        _u("K", 1.0, "delta_degC", "degC C deg*C"),
        _u("°F", 5.0 / 9.0, "delta_degF", "F deg*F"),
    ),
    Kind.RESISTANCE: (
        _u("Ω", 1.0, "ohm"),
        _u("mΩ", 1e-3, "mohm"),
        _u("µΩ", 1e-6, "uohm"),
        _u("kΩ", 1e3, "kohm"),
    ),
    Kind.INDUCTANCE: (_u("mH", 1e-3, "mH"), _u("µH", 1e-6, "uH"), _u("H", 1.0, "H"), _u("nH", 1e-9, "nH")),
    Kind.CAPACITANCE: (
        _u("µF", 1e-6, "uF"),
        _u("mF", 1e-3, "mF"),
        _u("F", 1.0, "F"),
        _u("nF", 1e-9, "nF"),
        _u("pF", 1e-12, "pF"),
    ),
    Kind.VOLTAGE: (_u("V", 1.0, "V", "Vdc VDC"), _u("mV", 1e-3, "mV"), _u("kV", 1e3, "kV")),
    Kind.CURRENT: (_u("A", 1.0, "A"), _u("mA", 1e-3, "mA"), _u("µA", 1e-6, "uA")),
    Kind.POWER: (
        _u("W", 1.0, "W"),
        _u("mW", 1e-3, "mW"),
        _u("kW", 1e3, "kW"),
        _u("hp", 550.0 * FOOT * POUND_FORCE, "horsepower", "HP"),
        _u("PS", 75.0 * GRAVITY, "metric_horsepower"),
    ),
    Kind.ENERGY: (
        _u("J", 1.0, "J", "W*s Ws"),
        _u("mJ", 1e-3, "mJ"),
        _u("kJ", 1e3, "kJ"),
        _u("W·h", 3600.0, "W*hour", "Wh"),
        _u("kW·h", 3.6e6, "kW*hour", "kWh"),
    ),
    Kind.INERTIA: (
        _u("g·cm²", 1e-7, "g*cm**2", "gcm^2"),
        _u("kg·m²", 1.0, "kg*m**2", "kgm^2"),
        _u("kg·cm²", 1e-4, "kg*cm**2", "kgcm^2"),
        _u("kg·mm²", 1e-6, "kg*mm**2", "kgmm^2"),
        _u("g·mm²", 1e-9, "g*mm**2", "gmm^2"),
        _u("g·m²", 1e-3, "g*m**2", "gm^2"),
        _u("oz·in²", OUNCE * INCH**2, "ounce*inch**2"),
        _u("lb·in²", POUND * INCH**2, "pound*inch**2"),
        _u("lb·ft²", POUND * FOOT**2, "pound*foot**2"),
        _u("ozf·in·s²", OUNCE_FORCE * INCH, "ounce_force*inch*s**2", "oz*in*s^2 oz*in*sec^2"),
        _u("lbf·in·s²", POUND_FORCE * INCH, "lbf*inch*s**2", "lb*in*s^2 lb*in*sec^2"),
    ),
    Kind.MASS: (
        _u("kg", 1.0, "kg"),
        _u("g", 1e-3, "g"),
        _u("mg", 1e-6, "mg"),
        _u("lb", POUND, "pound", "lbs lbm"),
        _u("oz", OUNCE, "ounce", "ozm"),
        _u("t", 1e3, "metric_ton"),
    ),
    Kind.LENGTH: (
        _u("mm", 1e-3, "mm"),
        _u("m", 1.0, "m"),
        _u("cm", 1e-2, "cm"),
        _u("µm", 1e-6, "um"),
        _u("km", 1e3, "km"),
        _u("in", INCH, "inch", "inch inches"),
        _u("ft", FOOT, "foot", "foot feet"),
    ),
    Kind.AREA: (
        _u("mm²", 1e-6, "mm**2", "sqmm"),
        _u("cm²", 1e-4, "cm**2"),
        _u("m²", 1.0, "m**2"),
        _u("in²", INCH**2, "inch**2", "sq*in"),
    ),
    Kind.ALTITUDE: (_u("m", 1.0, "m"), _u("km", 1e3, "km"), _u("ft", FOOT, "foot", "foot feet")),
    Kind.FREQUENCY: (
        _u("Hz", 1.0, "Hz", "1/s s^-1"),
        _u("kHz", 1e3, "kHz"),
        _u("MHz", 1e6, "MHz"),
    ),
    # a limit of electronics is stated in any of these; a machine of two poles turns as fast as its field
    Kind.ELECTRICAL_FREQUENCY: (
        _u("Hz", 1.0, "Hz", "1/s s^-1"),
        _u("kHz", 1e3, "kHz"),
        _u("eRPM", 1.0 / 60.0, "1/minute", "erpm ERPM e*rpm electrical*rpm el*rpm"),
        _u(
            "rpm of 2 poles",
            1.0 / 60.0,
            "1/minute",
            "rpm*2*poles rpm*two*poles rpm*2-pole rpm*two*pole 2-pole*rpm",
        ),
    ),
    Kind.RATIO: (_u("%", 1e-2, "percent", "percent"), _u("‰", 1e-3, "permille"), _u("1", 1.0, "", "-")),
    Kind.NUMBER: (_u("", 1.0, ""),),
    Kind.TORQUE_CONSTANT: (
        _u("mN·m/A", 1e-3, "mN*m/A", "mNm/A"),
        _u("N·m/A", 1.0, "N*m/A", "Nm/A"),
        _u("N·cm/A", 1e-2, "N*cm/A", "Ncm/A"),
        _u("kgf·cm/A", GRAVITY / 100.0, "kgf*cm/A"),
        _u("ozf·in/A", OUNCE_FORCE * INCH, "ounce_force*inch/A", "oz*in/A"),
        _u("lbf·in/A", POUND_FORCE * INCH, "lbf*inch/A", "lb*in/A"),
        _u("lbf·ft/A", POUND_FORCE * FOOT, "lbf*foot/A", "lb*ft/A"),
    ),
    Kind.BACK_EMF_CONSTANT: (
        _u("mV·s/rad", 1e-3, "mV*s/rad", "mV/(rad/s) mVs/rad mV*s"),
        _u("V·s/rad", 1.0, "V*s/rad", "V/(rad/s) Vs/rad V*s"),
        _u(
            "V/krpm",
            1e-3 / RPM,
            "V/krpm",
            "V/1000rpm V/1000*rpm V/1000min^-1 V/1000*min^-1 V/1000/min",
        ),
        _u("V/rpm", 1.0 / RPM, "V/rpm", "V/min^-1 V/(1/min) V*min"),
        _u("mV/rpm", 1e-3 / RPM, "mV/rpm", "mV/min^-1 mV/(1/min) mV*min"),
    ),
    Kind.SPEED_CONSTANT: (
        _u("rpm/V", RPM, "rpm/V", "RPM/V min^-1/V 1/min/V (1/min)/V 1/(min*V) r/min/V"),
        _u("rad/(s·V)", 1.0, "rad/s/V", "rad/s/V (rad/s)/V rad/(V*s)"),
        _u("krpm/V", 1000.0 * RPM, "krpm/V"),
    ),
    Kind.MOTOR_CONSTANT: (
        _u("mN·m/√W", 1e-3, "mN*m/W**0.5", "mNm/√W mN*m/sqrt(W) mN*m/W^0.5"),
        _u("N·m/√W", 1.0, "N*m/W**0.5", "Nm/√W N*m/sqrt(W) N*m/W^0.5"),
        _u("ozf·in/√W", OUNCE_FORCE * INCH, "ounce_force*inch/W**0.5", "oz*in/√W oz*in/sqrt(W)"),
    ),
    Kind.THERMAL_RESISTANCE: (
        _u("K/W", 1.0, "delta_degC/W", "degC/W C/W"),
        _u("mK/W", 1e-3, "millikelvin/W"),
        _u("°F/W", 5.0 / 9.0, "delta_degF/W", "F/W"),
    ),
    Kind.THERMAL_CONDUCTANCE: (
        _u("W/K", 1.0, "W/delta_degC", "W/degC W/C"),
        _u("mW/K", 1e-3, "mW/delta_degC", "mW/degC"),
    ),
    Kind.THERMAL_CONDUCTIVITY: (
        _u("W/(m·K)", 1.0, "W/m/delta_degC", "W/m/K W/m*K W/(m*degC)"),
        _u("W/(cm·K)", 100.0, "W/cm/delta_degC", "W/cm/K"),
    ),
    Kind.JOINT_RESISTANCE: (
        _u("K·cm²/W", 1e-4, "delta_degC*cm**2/W", "cm^2*K/W"),
        _u("K·m²/W", 1.0, "delta_degC*m**2/W", "m^2*K/W"),
    ),
    Kind.HEAT_CAPACITY: (
        _u("J/K", 1.0, "J/delta_degC", "J/degC W*s/K Ws/K"),
        _u("kJ/K", 1e3, "kJ/delta_degC", "kJ/degC"),
        _u("W·h/K", 3600.0, "W*hour/delta_degC", "Wh/K"),
    ),
    Kind.TEMPERATURE_COEFFICIENT: (
        _u("%/K", 1e-2, "percent/kelvin", "%/degC"),
        _u("1/K", 1.0, "1/kelvin", "/K K^-1 1/degC"),
        _u("ppm/K", 1e-6, "ppm/kelvin", "ppm/degC"),
    ),
    Kind.FORCE: (
        _u("N", 1.0, "N"),
        _u("mN", 1e-3, "mN"),
        _u("kN", 1e3, "kN"),
        _u("kgf", GRAVITY, "kgf", "kp"),
        _u("gf", GRAVITY / 1e3, "gram_force"),
        _u("lbf", POUND_FORCE, "lbf"),
        _u("ozf", OUNCE_FORCE, "ounce_force"),
    ),
    Kind.ACCELERATION: (
        _u("m/s²", 1.0, "m/s**2"),
        _u("mm/s²", 1e-3, "mm/s**2"),
        _u("g_n", GRAVITY, "standard_gravity", "g gn g0"),
        _u("ft/s²", FOOT, "foot/s**2"),
    ),
    Kind.ANGULAR_ACCELERATION: (
        _u("rad/s²", 1.0, "rad/s**2"),
        _u("deg/s²", DEGREE, "degree/s**2"),
        _u("rpm/s", RPM, "rpm/s", "1/min/s min^-1/s"),
        _u("rev/s²", 2.0 * math.pi, "revolution/s**2"),
    ),
    Kind.LINEAR_SPEED: (
        _u("m/s", 1.0, "m/s"),
        _u("mm/s", 1e-3, "mm/s"),
        _u("m/min", 1.0 / 60.0, "m/minute"),
        _u("km/h", 1.0 / 3.6, "km/hour", "kph kmh"),
        _u("mph", 5280.0 * FOOT / 3600.0, "mile/hour"),
        _u("in/s", INCH, "inch/s"),
        _u("ft/s", FOOT, "foot/s"),
    ),
    Kind.JERK: (_u("m/s³", 1.0, "m/s**3"), _u("mm/s³", 1e-3, "mm/s**3")),
    Kind.ANGULAR_JERK: (_u("rad/s³", 1.0, "rad/s**3"), _u("deg/s³", DEGREE, "degree/s**3")),
    Kind.VISCOUS_FRICTION: (
        _u("mN·m·s/rad", 1e-3, "mN*m*s/rad", "mNms/rad mN*m/(rad/s) mN*m*s"),
        _u("N·m·s/rad", 1.0, "N*m*s/rad", "Nms/rad N*m/(rad/s) N*m*s"),
        _u("mN·m/krpm", 1e-6 / RPM, "mN*m/krpm", "mNm/krpm"),
    ),
    Kind.LINEAR_VISCOUS_FRICTION: (_u("N·s/m", 1.0, "N*s/m", "Ns/m N/(m/s)"),),
    Kind.SQUARE_TORQUE: (
        _u("µN·m·s²/rad²", 1e-6, "uN*m*s**2/rad**2", "uN*m*s^2"),
        _u("N·m·s²/rad²", 1.0, "N*m*s**2/rad**2", "N*m*s^2"),
    ),
    Kind.TORSIONAL_STIFFNESS: (
        _u("N·m/rad", 1.0, "N*m/rad", "Nm/rad"),
        _u("N·m/°", 1.0 / DEGREE, "N*m/degree", "Nm/deg"),
        _u("kN·m/rad", 1e3, "kN*m/rad", "kNm/rad"),
    ),
    Kind.PRESSURE: (
        _u("bar", 1e5, "bar"),
        _u("kPa", 1e3, "kPa"),
        _u("Pa", 1.0, "Pa", "N/m^2"),
        _u("MPa", 1e6, "MPa"),
        _u("mbar", 100.0, "mbar", "hPa"),
        _u("psi", POUND_FORCE / INCH**2, "psi", "lbf/in^2"),
    ),
    Kind.VOLUME: (
        _u("cm³", 1e-6, "cm**3", "ml mL ccm"),
        _u("l", 1e-3, "liter", "L"),
        _u("mm³", 1e-9, "mm**3"),
        _u("m³", 1.0, "m**3"),
        _u("in³", INCH**3, "inch**3"),
    ),
    Kind.DENSITY: (_u("kg/m³", 1.0, "kg/m**3"), _u("g/cm³", 1e3, "g/cm**3", "kg/l kg/L")),
    Kind.TORQUE_PER_VOLUME: (
        _u("mN·m/cm³", 1e3, "mN*m/cm**3", "mNm/cm^3 kN*m/m^3"),
        _u("N·m/m³", 1.0, "N*m/m**3", "Nm/m^3"),
    ),
    Kind.TORQUE_PER_MASS: (
        _u("mN·m/kg", 1e-3, "mN*m/kg", "mNm/kg"),
        _u("N·m/kg", 1.0, "N*m/kg", "Nm/kg"),
    ),
    Kind.POWER_PER_VOLUME: (
        _u("W/cm³", 1e6, "W/cm**3", "MW/m^3"),
        _u("W/l", 1e3, "W/liter", "W/L kW/m^3"),
        _u("W/m³", 1.0, "W/m**3"),
    ),
    Kind.POWER_PER_MASS: (_u("W/kg", 1.0, "W/kg"), _u("kW/kg", 1e3, "kW/kg", "W/g")),
}
"""Accepted units of each kind; the first one is the display unit unless another is chosen."""


def _led_by(kind: Kind, symbol: str) -> tuple[Unit, ...]:
    """Return the units of a kind with another one as the usual."""
    return tuple(sorted(UNITS[kind], key=lambda unit: unit.symbol != symbol))


# what a gear turns is larger than what turns the gear
UNITS[Kind.LOAD_TORQUE] = _led_by(Kind.TORQUE, "N·m")
UNITS[Kind.LOAD_INERTIA] = _led_by(Kind.INERTIA, "kg·cm²")
UNITS[Kind.CABLE_LENGTH] = _led_by(Kind.LENGTH, "m")
UNITS[Kind.LIFE] = _led_by(Kind.TIME, "h")
UNITS[Kind.BATTERY_ENERGY] = _led_by(Kind.ENERGY, "W·h")
UNITS[Kind.SWITCHING_TIME] = (_u("ns", 1e-9, "ns"), *UNITS[Kind.TIME])

_SAME = str.maketrans(
    {
        **dict.fromkeys("·⋅∙•×", "*"),
        **dict.fromkeys("\u00b5\u03bc", "u"),
        **dict.fromkeys("\u03a9\u2126", "Ohm"),
        "℃": "degC",
        "℉": "degF",
        "°": "deg",
        "²": "^2",
        "³": "^3",
        "−": "-",
    }
)
_TIGHT = re.compile(r"\s*([*/^()])\s*")
_PRODUCT = re.compile(r"(?<=[A-Za-z])[.\-](?=[A-Za-z])|\s+")
_OHM = re.compile("[oO]hms?")


def unit_key(text: str) -> str:
    """Bring a typed unit to the spelling of the table: one product sign, plain letters, `^` for powers.

    Examples
    --------
    >>> unit_key("mN·m"), unit_key("oz-in"), unit_key("min⁻¹"), unit_key("µΩ")
    ('mN*m', 'oz*in', 'min^-1', 'uOhm')
    """
    plain = text.strip().replace("⁻¹", "^-1").translate(_SAME).replace("**", "^")
    return _OHM.sub("Ohm", _PRODUCT.sub("*", _TIGHT.sub(r"\1", plain)))


@cache
def spellings(kind: Kind) -> dict[str, Unit]:
    """Return every accepted spelling of `kind` in the form of `unit_key`."""
    return {key: unit for unit in UNITS[kind] for key in (unit_key(unit.symbol), *unit.spellings)}
