"""What a number of a saved field measures and what the field is called, read off its key and name."""

from __future__ import annotations

from typing import Final

from core.project.application import Targets
from core.project.saved import Saved
from core.units import Kind

SQUARE_MM: Final = 1e-6  # [m2]
_PAYLOAD: Final[dict[str, tuple[Kind, Kind]]] = {  # of a turning payload, of a travelling one
    "_rad_or_m_per_s3": (Kind.ANGULAR_JERK, Kind.JERK),
    "_rad_or_m_per_s2": (Kind.ANGULAR_ACCELERATION, Kind.ACCELERATION),
    "_rad_or_m_per_s": (Kind.SPEED, Kind.LINEAR_SPEED),
    "_rad_or_m": (Kind.ANGLE, Kind.LENGTH),
}
# The longest ending that fits counts: `_Nm_s_per_rad` is no angle.
_ENDINGS: Final[dict[str, Kind]] = {
    "_Nm_s2_per_rad2": Kind.SQUARE_TORQUE, "_Nm_s_per_rad": Kind.VISCOUS_FRICTION,
    "_N_s_per_m": Kind.LINEAR_VISCOUS_FRICTION, "_Nm_per_rad": Kind.TORSIONAL_STIFFNESS,
    "_Nm_A": Kind.TORQUE_CONSTANT, "_V_s_rad": Kind.BACK_EMF_CONSTANT, "_rad_s_V": Kind.SPEED_CONSTANT,
    "_W_mK": Kind.THERMAL_CONDUCTIVITY, "_K_m2_W": Kind.JOINT_RESISTANCE, "_J_K": Kind.HEAT_CAPACITY,
    "_K_W": Kind.THERMAL_RESISTANCE, "_W_K": Kind.THERMAL_CONDUCTANCE, "_per_K": Kind.TEMPERATURE_COEFFICIENT,
    "_kg_m2": Kind.INERTIA, "_kg_m3": Kind.DENSITY, "_rad_s": Kind.SPEED, "_degC": Kind.TEMPERATURE,
    "_ohm": Kind.RESISTANCE, "_mm2": Kind.AREA, "_m2": Kind.AREA, "_m3": Kind.VOLUME, "_rad": Kind.ANGLE,
    "_Nm": Kind.TORQUE, "_kg": Kind.MASS, "_Hz": Kind.FREQUENCY, "_Pa": Kind.PRESSURE, "_H": Kind.INDUCTANCE,
    "_F": Kind.CAPACITANCE, "_J": Kind.ENERGY, "_V": Kind.VOLTAGE, "_A": Kind.CURRENT, "_W": Kind.POWER,
    "_K": Kind.TEMPERATURE_DIFFERENCE, "_s": Kind.TIME, "_m": Kind.LENGTH, "_N": Kind.FORCE,
}  # fmt: skip
_WITH_OTHER_UNITS: Final = {"_W_m2K": "W/(m²·K)", "_h": "h"}
_OWN_KINDS: Final[dict[str, Kind]] = {"altitude": Kind.ALTITUDE}
_SHARES: Final = ("share", "efficiency", "ripple", "duty")
_WORDS: Final = {
    "temp": "temperature", "emf": "back-EMF", "ref": "reference", "pwm": "switching", "degC": "°C",
    "ambient": "highest ambient", "lowest ambient": "lowest ambient",
}  # fmt: skip


def kind_of_field(part: Saved, name: str, key: str, travels: bool) -> Kind | None:
    """Return what a field measures, None for a plain number; `travels` tells a distance from an angle."""
    if name in _OWN_KINDS:
        return _OWN_KINDS[name]
    for ending, kinds in _PAYLOAD.items():
        if key.endswith(ending):
            return kinds[travels]
    if unit_of_field(key):
        return None
    fitting = [ending for ending in _ENDINGS if key.endswith(ending)]
    if fitting:
        return _ENDINGS[max(fitting, key=len)]
    is_share = isinstance(part, Targets) or any(name.endswith(word) for word in _SHARES)
    return Kind.RATIO if is_share else None


def unit_of_field(key: str) -> str:
    """Return the unit of a field whose kind has no display units, empty for all others."""
    return next((unit for ending, unit in _WITH_OTHER_UNITS.items() if key.endswith(ending)), "")


def in_si(value: float, key: str) -> float:
    """Return the value of a field in SI: a cross-section is saved in square millimetres."""
    return value * SQUARE_MM if key.endswith("_mm2") else value


def words_of_field(name: str) -> str:
    """Return the name of a field in words.

    >>> words_of_field("winding_temp"), words_of_field("ambient"), words_of_field("lowest_ambient")
    ('winding temperature', 'highest ambient', 'lowest ambient')
    """
    plain = name.replace("_", " ")
    return _WORDS.get(plain) or " ".join(_WORDS.get(word, word) if word != "ambient" else word
                                         for word in plain.split())  # fmt: skip
