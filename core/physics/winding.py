"""What slots, poles and layers say about a three-phase winding, by the star of slots."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Literal

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, IntArray
from core.physics.input_ranges import require_positive
from core.physics.machine_constants import MachineConstants
from core.records import dataclass

Layers = Literal[1, 2]


@dataclass(frozen=True, slots=True)
class WindingFacts:
    """What a combination of slots and poles gives.

    Attributes
    ----------
    winding_factor : float
        Of the fundamental. [-]
    coil_span : int
        Distance of the two sides of a coil. [slots]
    slots_per_pole_and_phase : float
        Half or less: tooth coils. [-]
    cogging_periods : int
        Per mechanical turn. [1/turn]
    unbalanced_pull : bool
        True where no rotation maps the winding onto itself with the field equal or reversed, so
        that the radial forces of one turn do not cancel. [-]
    """

    winding_factor: float
    coil_span: int
    slots_per_pole_and_phase: float
    cogging_periods: int
    unbalanced_pull: bool


def cogging_periods(slots: int, pole_pairs: int) -> int:
    """Return how many periods of cogging torque one mechanical turn has.

    Parameters
    ----------
    slots : int
        Stator slots. [-]
    pole_pairs : int
        Pole pairs of the rotor. [-]

    Returns
    -------
    periods : int
        Least common multiple of slots and poles; a high count goes with a small torque. [1/turn]

    Raises
    ------
    InputRangeError
        If a count is not positive.

    References
    ----------
    .. [1] swat-em 0.6.3 get_lcmQP(): "For permanent-magnet machines this value represents the first
       ordinal number for the cogging torque".

    Examples
    --------
    >>> cogging_periods(12, 7)
    84
    """
    require_positive("slots", slots, "")
    require_positive("pole_pairs", pole_pairs, "")
    return math.lcm(slots, 2 * pole_pairs)


def winding_factor(slots: int, pole_pairs: int, layers: Layers = 2, coil_span: int | None = None) -> float:
    r"""Return the fundamental winding factor of a balanced three-phase winding.

    Parameters
    ----------
    slots : int
        Stator slots. [-]
    pole_pairs : int
        Pole pairs of the rotor. [-]
    layers : {1, 2}, default 2
        Coil sides per slot. [-]
    coil_span : int, optional
        Distance of the two sides of a coil. When left out: one tooth up to half a slot per pole and
        phase, above that the pole pitch rounded down to whole slots (single layer: to an odd
        number of slots). [slots]

    Returns
    -------
    factor : float
        Flux linked by the winding over that of as many concentrated full-pitch turns. [-]

    Raises
    ------
    InputRangeError
        If no balanced three-phase winding exists, or the span does not suit the layers.

    Notes
    -----
    Star of slots: coil k has the phasor at the electrical angle `k 2 pi p/Q`. Double layer: every
    slot starts a coil, and the phasors are dealt to six sectors of 60 degrees, opposite sectors
    with opposite sense. Single layer: every second slot starts a coil. Times `sin(pi p y/Q)` for
    the span y. Skew and slot openings are left out.

    References
    ----------
    .. [1] N. Bianchi, M. Dai Pre, "Use of the star of slots in designing fractional-slot
       single-layer synchronous motors", IEE Proc. Electr. Power Appl. 153 (2006) (from memory).

    Examples
    --------
    >>> round(winding_factor(12, 7), 4), round(winding_factor(12, 7, layers=1), 4)
    (0.933, 0.9659)
    """
    span = _checked_span(slots, pole_pairs, layers, coil_span)
    coils = np.arange(0, slots, 3 - layers)
    # in whole units of 1/Q electrical turns, so that rounding moves no phasor over the edge of a sector
    position = coils * pole_pairs % slots
    distribution = _distribution(position, slots)
    return float(distribution * abs(math.sin(math.pi * pole_pairs * span / slots)))


def _distribution(position: IntArray, slots: int) -> float:
    """Deal the coils of the star to six sectors and return the length of the mean phase phasor."""
    sector = 6 * position // slots
    angle: FloatArray = 2.0 * np.pi * position / slots
    sense = np.where(sector % 2 == 0, 1.0, -1.0)
    # opposite sectors belong to one phase: 0 and 3, 2 and 5, 4 and 1
    lengths, counts = [], []
    for phase in (0, 1, 2):
        own = sector % 3 == phase
        counts.append(int(own.sum()))
        lengths.append(abs(np.sum(sense[own] * np.exp(1j * angle[own]))))
    if len(set(counts)) != 1:
        raise InputRangeError(
            "coils of the fullest phase", max(counts), "", f"the same in every phase (least {min(counts)})"
        )
    return float(lengths[0]) / counts[0]


def _checked_span(slots: int, pole_pairs: int, layers: Layers, coil_span: int | None) -> int:
    require_feasible_winding(slots, pole_pairs, layers)
    if coil_span is None:
        tooth_coils = 3 * 2 * pole_pairs >= 2 * slots
        coil_span = 1 if tooth_coils else slots // (2 * pole_pairs)
        if layers == 1 and coil_span % 2 == 0:
            coil_span -= 1
    if not 1 <= coil_span < slots:
        raise InputRangeError("coil_span", coil_span, "slots", f"1 to {slots - 1}")
    if layers == 1 and coil_span % 2 == 0:
        # the coils start in even slots: their return sides need the odd ones
        raise InputRangeError("coil_span", coil_span, "slots", "odd for a single layer")
    return coil_span


def require_feasible_winding(slots: int, pole_pairs: int, layers: Layers = 2) -> None:
    """Refuse slot and pole counts that carry no balanced three-phase winding.

    Parameters
    ----------
    slots : int
        Stator slots. [-]
    pole_pairs : int
        Pole pairs of the rotor. [-]
    layers : {1, 2}, default 2
        Coil sides per slot. [-]

    Raises
    ------
    InputRangeError
        If a count is not positive, the layers are neither 1 nor 2, the slots do not divide by the
        three phases (and, single layer, by two), or the star of slots does not.

    Notes
    -----
    With `t = gcd(Q, p)` the star has `Q/t` spokes: a multiple of three for a double layer; for a single
    layer the half star of `Q/2` coils must divide in the same way.

    References
    ----------
    .. [1] As `winding_factor`.

    Examples
    --------
    >>> require_feasible_winding(12, 7)
    """
    require_positive("slots", slots, "")
    require_positive("pole_pairs", pole_pairs, "")
    if layers not in (1, 2):
        raise InputRangeError("layers", layers, "", "1 or 2")
    if slots % 3 != 0:
        raise InputRangeError("slots", slots, "", "a multiple of the three phases")
    if layers == 1 and slots % 6 != 0:
        raise InputRangeError("slots", slots, "", "a multiple of six for a single layer")
    coils = slots // (3 - layers)
    step = pole_pairs if layers == 2 else pole_pairs % (slots // 2)
    spokes = coils // math.gcd(coils, step)
    if spokes % 3 != 0:
        rule = f"a multiple of three ({slots} slots, {2 * pole_pairs} poles)"
        raise InputRangeError("spokes of the star of slots", spokes, "", rule)


def winding_facts(
    slots: int, pole_pairs: int, layers: Layers = 2, coil_span: int | None = None
) -> WindingFacts:
    """Return winding factor, cogging periods and balance of a slot and pole combination.

    Parameters
    ----------
    slots : int
        Stator slots. [-]
    pole_pairs : int
        Pole pairs of the rotor. [-]
    layers : {1, 2}, default 2
        Coil sides per slot; it changes the winding factor. [-]
    coil_span : int, optional
        Distance of the two sides of a coil; as in `winding_factor` when left out. [slots]

    Returns
    -------
    facts : WindingFacts
        What the combination gives. [-]

    Raises
    ------
    InputRangeError
        As `winding_factor`.

    References
    ----------
    .. [1] As `winding_factor` and `cogging_periods`.

    Examples
    --------
    >>> facts = winding_facts(9, 4)
    >>> facts.cogging_periods, facts.unbalanced_pull
    (72, True)
    """
    span = _checked_span(slots, pole_pairs, layers, coil_span)
    coils = slots // (3 - layers)
    return WindingFacts(
        winding_factor=winding_factor(slots, pole_pairs, layers, span),
        coil_span=span,
        slots_per_pole_and_phase=slots / (6.0 * pole_pairs),
        cogging_periods=cogging_periods(slots, pole_pairs),
        # some rotation must map coils onto coils with the field equal or reversed
        unbalanced_pull=math.gcd(coils, 2 * pole_pairs) == 1,
    )


def rewound(constants: MachineConstants, turns_ratio: float) -> MachineConstants:
    """Return the constants of the same frame with another number of turns in the same copper.

    Parameters
    ----------
    constants : MachineConstants
        The winding that is known. [SI]
    turns_ratio : float
        Turns of the new winding over turns of the known one. [-]

    Returns
    -------
    constants : MachineConstants
        Back-EMF constant times the ratio, resistance and inductance times its square. [SI]

    Raises
    ------
    InputRangeError
        If the ratio is not positive.

    Notes
    -----
    Equal copper cross-section in the slot: thinner wire as the turns rise. The motor constant, the
    copper loss for a torque and the heating do not change; only voltage and current trade places.

    References
    ----------
    .. [1] First principles; common practice, no source, for equal copper fill.

    Examples
    --------
    >>> new = rewound(MachineConstants(0.030, 0.8, 0.35e-3, 8), 2.0)
    >>> new.back_emf_constant, new.resistance, new.inductance
    (0.06, 3.2, 0.0014)
    """
    require_positive("turns_ratio", turns_ratio, "")
    return replace(
        constants,
        back_emf_constant=constants.back_emf_constant * turns_ratio,
        resistance=constants.resistance * turns_ratio**2,
        inductance=constants.inductance * turns_ratio**2,
    )
