r"""Another plate, thin air and vacuum for a motor that is known by the figures of its data sheet.

The thermal resistance of a data sheet holds on its own plate in the air of sea level. Where that plate is
known, its share is taken out and what the project has is put in; the motor's own surface stays.
"""

from __future__ import annotations

import numpy as np

from core.findings import Finding
from core.physics.carrier_links import carrier_link
from core.physics.geometry_links import USUAL_RISE, LinkSetting, link_grid
from core.physics.heat_figures import HeatFigures, Mounting
from core.physics.heat_from_data_sheet import FIXED_SHARE
from core.physics.input_ranges import require_not_negative
from core.physics.motor_dimensions import CarryingBracket, CarryingPlate, HeatPlace, LawFactors
from core.records import dataclass
from core.sentences import sentence
from core.units import Kind

SEA_LEVEL = 101325.0
"""Standard pressure, ISO 2533. [Pa]"""

DENSITY_EXPONENT = 0.6
"""Exponent of density in all convection of such a network: that of its speed law, as both stand in the
Reynolds number; natural convection alone has 0.5, turbulent discs 0.8. No source. [-]"""

RATED_AMBIENT = 25.0
"""Ambient for which the plate of a data sheet is computed. Common practice, no source. [degC]"""


@dataclass(frozen=True, slots=True)
class PlacedMounting:
    """How a data-sheet motor is mounted in its place.

    Parameters
    ----------
    mounting : Mounting
        For the network. [-]
    fixed_share : float or None
        Share of radiation and conduction in the stated conductance, where the plate tells it. [-]
    carrier_conductance : float
        What goes through plate or bracket here, as far as it is known. [W/K]
    findings : tuple of Finding
        What was assumed, and what could not be applied. [-]

    References
    ----------
    Own formulation.
    """

    mounting: Mounting
    fixed_share: float | None
    carrier_conductance: float
    findings: tuple[Finding, ...]


def convection_factor(pressure: float) -> float:
    r"""Return convection relative to that at sea level.

    Parameters
    ----------
    pressure : float
        Of the air; 0 is vacuum. [Pa]

    Returns
    -------
    factor : float
        :math:`(p/p_0)^{0.6}`; 0 in vacuum. [-]

    Raises
    ------
    InputRangeError
        If the pressure is negative.

    Notes
    -----
    Density at the same temperature goes with the pressure; conductivity and viscosity do not change.

    References
    ----------
    Common practice, no source, see `DENSITY_EXPONENT`.

    Examples
    --------
    Half the air: 0.5^0.6.

    >>> round(convection_factor(50662.5), 4)
    0.6598
    """
    require_not_negative("air pressure", pressure, "Pa")
    return (pressure / SEA_LEVEL) ** DENSITY_EXPONENT if pressure > 0.0 else 0.0


def carrier_conductance(
    carrier: CarryingPlate | CarryingBracket | None, flange_diameter: float, place: HeatPlace
) -> float:
    r"""Return the conductance from the flange through plate or bracket to the ambient.

    Parameters
    ----------
    carrier : CarryingPlate or CarryingBracket or None
        What carries the motor; None carries no heat. [-]
    flange_diameter : float
        Of the face that touches it. [m]
    place : HeatPlace
        Air; its carrier does not count. [-]

    Returns
    -------
    conductance : float
        With the flange `USUAL_RISE` above the ambient. [W/K]

    Raises
    ------
    InputRangeError
        If the carrier is not larger than the flange.

    References
    ----------
    `carrier_links.carrier_link`.

    Examples
    --------
    >>> carrier_conductance(None, 0.04, HeatPlace(25.0))
    0.0
    """
    if carrier is None:
        return 0.0
    grid = link_grid(place.ambient_temp, 1.0)
    setting = LinkSetting(grid, place, LawFactors())
    link = carrier_link(carrier, flange_diameter, setting, (0, 1))
    fixed, natural = (np.broadcast_to(part, x.shape) for part, x in (
        (link.fixed, grid.mean), (link.natural, grid.difference)
    ))  # fmt: skip
    by_mean = np.interp(place.ambient_temp + 0.5 * USUAL_RISE, grid.mean, fixed)
    return float(by_mean + np.interp(USUAL_RISE, grid.difference, natural))


def placed_mounting(
    figures: HeatFigures,
    place: HeatPlace,
    stated_plate: CarryingPlate | None,
    flange_diameter: float | None,
    *,
    as_stated: bool,
) -> PlacedMounting:
    r"""Return the mounting of a data-sheet motor with the project's carrier in place of the stated plate.

    Parameters
    ----------
    figures : HeatFigures
        Figures of the data sheet, on its plate at sea level. [-]
    place : HeatPlace
        Air and carrier of the project; without a carrier the flange gives no heat. [-]
    stated_plate : CarryingPlate or None
        Plate of the data sheet, if known. [-]
    flange_diameter : float or None
        Of the face that is mounted, if known. [m]
    as_stated : bool
        The project has the plate of the data sheet; the carrier of the place does not count then. [-]

    Returns
    -------
    result : PlacedMounting
        Mounting, split of the stated conductance, findings. [-]

    Raises
    ------
    InputRangeError
        If a plate is not larger than the flange.

    Notes
    -----
    :math:`1/R_{ha} = G_\mathrm{plate} + G_\mathrm{motor}`; of the second, `FIXED_SHARE` is radiation. A
    plate that alone would carry more than the whole stated conductance contradicts it: nothing is
    replaced then. Without a known plate the fixed half of the stated conductance keeps what the plate
    gives to the air, also in thin air.

    References
    ----------
    Own formulation; `carrier_links.carrier_link` for plate and bracket.
    """
    factor = convection_factor(place.pressure)
    plain = Mounting(place.ambient_temp, convection_factor=factor)
    if stated_plate is None or flange_diameter is None:
        why = "the plate of its data sheet is not known" if stated_plate is None else "its size is not known"
        return PlacedMounting(plain, None, 0.0, () if as_stated else (_not_applied(why),))
    total = 1.0 / figures.housing_to_ambient
    stated = carrier_conductance(stated_plate, flange_diameter, HeatPlace(RATED_AMBIENT))
    if stated >= total:
        return PlacedMounting(plain, None, 0.0, (_plate_contradicts(stated, total),))
    own = total - stated
    share = (stated + FIXED_SHARE * own) / total
    here = carrier_conductance(stated_plate if as_stated else place.carrier, flange_diameter, place)
    findings = (_split(stated, own),)
    if as_stated and place.pressure == SEA_LEVEL:
        return PlacedMounting(plain, share, stated, findings)
    mounting = Mounting(place.ambient_temp, 1.0 / (own + here), convection_factor=factor)
    return PlacedMounting(mounting, share, here, findings)


def _not_applied(why: str) -> Finding:
    text = f"The mounting of the project is not applied: {why}, so it cannot be taken out of its figures."
    return Finding("mounting_not_applied", "warning", text)


def _plate_contradicts(plate: float, total: float) -> Finding:
    return Finding(
        "plate_contradicts_data_sheet",
        "warning",
        sentence(
            "The plate of the data sheet alone would carry {plate}, its thermal resistance allows {total} in "
            "all: they contradict each other, and the mounting of the project is not applied.",
            plate=(plate, Kind.THERMAL_CONDUCTANCE),
            total=(total, Kind.THERMAL_CONDUCTANCE),
        ),
        {"plate_W_K": plate, "data_sheet_W_K": total},
    )


def _split(plate: float, own: float) -> Finding:
    return Finding(
        "surface_split_with_plate",
        "assumed",
        sentence(
            "Of the cooling on the plate of the data sheet {plate} goes through the plate and {own} from the "
            "motor itself, of which {share} is taken as radiation.",
            plate=(plate, Kind.THERMAL_CONDUCTANCE),
            own=(own, Kind.THERMAL_CONDUCTANCE),
            share=(FIXED_SHARE, Kind.RATIO),
        ),
        {"plate_W_K": plate, "motor_W_K": own},
    )
