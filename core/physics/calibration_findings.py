"""What a calibration says in words: what it did not touch, and figures that cannot belong to the motor."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from core.findings import Finding
from core.physics.calibration_figures import TO_AMBIENT, CalibrationRow
from core.sentences import sentence
from core.units import Kind

CONTRADICTION: Final = 3.0
"""A figure so many widths from what dimensions lead to expect contradicts them. Common practice. [-]"""

FACTOR_WORDS: Final = {
    "winding_core": "slot lining",
    "end_winding": "end windings",
    "surface": "outer surfaces",
    "turning": "cooling by the turning rotor",
    "winding_capacity": "heat capacity of the winding",
    "body_capacity": "heat capacity of the other parts",
}
"""What each factor stands for, in plain words; a sentence puts "the" before it."""

_KEYS: Final = {Kind.THERMAL_RESISTANCE: "K_W", Kind.TIME: "s", Kind.TORQUE: "Nm"}


def untold_finding(widths: Mapping[str, float]) -> Finding:
    """Return that the figures tell little or nothing about some laws.

    Parameters
    ----------
    widths : mapping of str to float
        Name of each such factor and the width of its logarithm that stays. [-]

    Returns
    -------
    finding : Finding
        Of severity assumed. [-]

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> str(untold_finding({"turning": 0.2}).text)
    'The figures tell little or nothing about the cooling by the turning rotor: there the dimensions stand.'
    """
    words = [f"the {FACTOR_WORDS[name]}" for name in widths]
    listed = words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
    return Finding(
        "laws_not_calibrated",
        "assumed",
        f"The figures tell little or nothing about {listed}: there the dimensions stand.",
        {f"{name}_width": width for name, width in widths.items()},
    )


def widths_finding(rows: tuple[CalibrationRow, ...]) -> Finding:
    """Return which widths the stated figures were given.

    Parameters
    ----------
    rows : tuple of CalibrationRow
        The figures, at least one. [-]

    Returns
    -------
    finding : Finding
        Of severity assumed. [-]

    References
    ----------
    Own formulation.
    """
    return Finding(
        "figure_widths_assumed",
        "assumed",
        sentence(
            "Stated figures are trusted to between {least} and {most}, one standard deviation.",
            least=(min(row.figure.width for row in rows), Kind.RATIO),
            most=(max(row.figure.width for row in rows), Kind.RATIO),
        ),
        {f"{row.figure.name.replace(' ', '_')}_width": row.figure.width for row in rows},
    )


def contradiction_finding(row: CalibrationRow, bare_conductance: float | None = None) -> Finding:
    """Return that a stated figure cannot belong to a motor of these dimensions.

    Parameters
    ----------
    row : CalibrationRow
        The figure. [-]
    bare_conductance : float, optional
        From the housing to the ambient with nothing that carries the motor. [W/K]

    Returns
    -------
    finding : Finding
        Of severity warning, with what is stated and what the dimensions allow. [-]

    References
    ----------
    Own formulation.
    """
    if row.figure.name == TO_AMBIENT:
        return _ambient_contradiction(row, bare_conductance)
    figure, key = row.figure, _KEYS[row.figure.kind]
    least, most = row.expected_range(CONTRADICTION)
    place = " at {speed}" if figure.kind is Kind.TORQUE else ""
    return Finding(
        "figure_contradicts_dimensions",
        "warning",
        sentence(
            f"The data sheet states {{stated}} as {figure.name}{place}; the dimensions give {{modelled}} and "
            "allow {least} to {most}. The figure is left out of the calibration.",
            stated=(figure.stated, figure.kind),
            modelled=(row.dimensions, figure.kind),
            least=(least, figure.kind),
            most=(most, figure.kind),
            speed=(figure.speed, Kind.SPEED),
        ),
        {
            f"stated_{key}": figure.stated,
            f"from_dimensions_{key}": row.dimensions,
            f"least_{key}": least,
            f"most_{key}": most,
            "speed_rad_s": figure.speed,
        },
    )


def _ambient_contradiction(row: CalibrationRow, bare_conductance: float | None) -> Finding:
    stated, given = 1.0 / row.figure.stated, 1.0 / row.dimensions
    least, most = (1.0 / resistance for resistance in reversed(row.expected_range(CONTRADICTION)))
    reason = (
        "A larger plate or moving air that the data sheet does not name would explain it."
        if stated > given
        else "Blank metal, a cover around the motor or a smaller motor would explain it."
    )
    bare = "" if bare_conductance is None else ", {bare} with nothing that carries the motor"
    values = {
        "stated_W_K": stated,
        "from_dimensions_W_K": given,
        "least_W_K": least,
        "most_W_K": most,
    }
    conductances = {"conductance": stated, "given": given, "least": least, "most": most}
    if bare_conductance is not None:
        values["bare_W_K"] = conductances["bare"] = bare_conductance
    return Finding(
        "figure_contradicts_dimensions",
        "warning",
        sentence(
            "The data sheet states {stated} from housing to ambient, which is {conductance}; mounted as "
            f"stated the dimensions give {{given}} and allow {{least}} to {{most}}{bare}. {reason} "
            "The figure is left out of the calibration, and with it what was stated on the same mounting: "
            "the time constant of the motor and continuous torques.",
            stated=(row.figure.stated, Kind.THERMAL_RESISTANCE),
            **{name: (value, Kind.THERMAL_CONDUCTANCE) for name, value in conductances.items()},
        ),
        values,
    )


def disagreement_finding(row: CalibrationRow) -> Finding:
    """Return that no factors bring a figure together with the others.

    Parameters
    ----------
    row : CalibrationRow
        The figure, used and still far off. [-]

    Returns
    -------
    finding : Finding
        Of severity warning. [-]

    References
    ----------
    Own formulation.
    """
    figure, key = row.figure, _KEYS[row.figure.kind]
    place = " at {speed}" if figure.kind is Kind.TORQUE else ""
    return Finding(
        "figures_disagree",
        "warning",
        sentence(
            f"The calibrated network gives {{modelled}} as {figure.name}{place}, the data sheet states "
            "{stated}: the figures do not belong to one motor under one set of conditions.",
            modelled=(row.modelled, figure.kind),
            stated=(figure.stated, figure.kind),
            speed=(figure.speed, Kind.SPEED),
        ),
        {f"modelled_{key}": row.modelled, f"stated_{key}": figure.stated, "speed_rad_s": figure.speed},
    )


def bound_finding(name: str, factor: float) -> Finding:
    """Return that a factor has gone as far as it may.

    Parameters
    ----------
    name : str
        Of the factor. [-]
    factor : float
        Its value. [-]

    Returns
    -------
    finding : Finding
        Of severity warning. [-]

    References
    ----------
    Own formulation.
    """
    return Finding(
        "factor_at_its_bound",
        "warning",
        sentence(
            f"The figures ask for more than a factor {{factor}} on {FACTOR_WORDS[name]}: the dimensions or a "
            "figure must be wrong.",
            factor=(factor, Kind.NUMBER),
        ),
        {f"{name}_factor": factor, "log_factor": math.log(factor)},
    )


def unsettled_finding(size: float) -> Finding:
    """Return that the most probable factors were not found to full accuracy.

    Parameters
    ----------
    size : float
        The last step in widths of what is known. [-]

    Returns
    -------
    finding : Finding
        Of severity warning. [-]

    References
    ----------
    Own formulation.
    """
    return Finding(
        "calibration_unsettled",
        "warning",
        sentence(
            "The factors still moved by {size} of their widths when the calibration gave up.",
            size=(size, Kind.RATIO),
        ),
        {"last_step": size},
    )
