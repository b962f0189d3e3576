"""The one canonical set of constants of a machine, and what follows from it directly.

Every other module takes a `MachineConstants`; what a data sheet states is turned into one by
`data_sheet_conventions`. Temperatures enter where the constants are used, never here.
"""

from __future__ import annotations

import math

from core.errors import InputRangeError
from core.numeric import Numeric
from core.physics.conventions import Commutation as Commutation
from core.physics.conventions import EmfShape as EmfShape
from core.physics.input_ranges import require_finite, require_not_negative, require_one_of, require_positive
from core.physics.materials import COPPER_CONSTANT, NDFEB_FLUX_COEFFICIENT
from core.records import dataclass

COMMUTATIONS: tuple[str, ...] = ("six-step", "sinusoidal")
EMF_SHAPES: tuple[str, ...] = ("sinusoidal", "trapezoidal")


@dataclass(frozen=True, slots=True)
class MachineConstants:
    """Constants of one winding of a three-phase machine with surface magnets (no saliency).

    Attributes
    ----------
    back_emf_constant : float
        Peak of the line-to-line EMF per mechanical rad/s at `magnet_ref_temp`. [V s/rad]
    resistance : float
        Line-to-line resistance at `resistance_ref_temp`. [ohm]
    inductance : float
        Line-to-line inductance. [H]
    pole_pairs : int
        Pole pairs. [-]
    emf_shape : {"sinusoidal", "trapezoidal"}
        Shape of the phase EMF. [-]
    resistance_ref_temp : float
        Winding temperature of the resistance. [degC]
    magnet_ref_temp : float
        Magnet temperature of the back-EMF constant. [degC]
    magnet_temp_coefficient : float
        Relative change of the flux. [1/K]
    copper_constant : float
        As in `copper_resistance_factor`. [degC]
    flat_top_deg : float
        Flat top of the phase EMF; counts only for the trapezoidal shape. [deg electrical]
    """

    back_emf_constant: float
    resistance: float
    inductance: float
    pole_pairs: int
    emf_shape: EmfShape = "sinusoidal"
    resistance_ref_temp: float = 25.0
    magnet_ref_temp: float = 25.0
    magnet_temp_coefficient: float = NDFEB_FLUX_COEFFICIENT
    copper_constant: float = COPPER_CONSTANT
    flat_top_deg: float = 120.0

    def __post_init__(self) -> None:
        """Refuse constants that no machine has."""
        require_positive("back_emf_constant", self.back_emf_constant, "V s/rad")
        require_positive("resistance", self.resistance, "ohm")
        require_positive("inductance", self.inductance, "H")
        for name in ("back_emf_constant", "resistance", "inductance", "magnet_ref_temp"):
            require_finite(name, getattr(self, name), "")
        if self.pole_pairs < 1 or self.pole_pairs != int(self.pole_pairs):
            raise InputRangeError("pole_pairs", self.pole_pairs, "", "a whole number >= 1")
        require_one_of("emf_shape", self.emf_shape, EMF_SHAPES)
        if not -0.01 < self.magnet_temp_coefficient <= 0.0:
            raise InputRangeError(
                "magnet_temp_coefficient", self.magnet_temp_coefficient, "1/K", "in -0.01 to 0"
            )
        require_positive(
            "resistance_ref_temp + copper_constant", self.resistance_ref_temp + self.copper_constant, "K"
        )
        if not 120.0 <= self.flat_top_deg < 180.0:
            raise InputRangeError("flat_top_deg", self.flat_top_deg, "deg", "120 or more and below 180")


def fundamental_of_flat_top(flat_top_deg: float) -> float:
    r"""Return the fundamental amplitude of a trapezoidal wave relative to its flat top.

    Parameters
    ----------
    flat_top_deg : float
        Width of the flat top of each half wave, 0 (triangle) to below 180. [deg electrical]

    Returns
    -------
    ratio : float
        Peak of the fundamental over the flat value. [-]

    Raises
    ------
    InputRangeError
        If the width is outside 0 to 180 degrees.

    Notes
    -----
    With the ramp from zero to the flat value taking delta = (180 deg - flat top)/2:

    .. math:: b_1 / E = \frac{4}{\pi} \frac{\sin\delta}{\delta}

    References
    ----------
    .. [1] First principles (Fourier integral of a trapezoid); the textbook fact is from memory.

    Examples
    --------
    >>> round(fundamental_of_flat_top(120.0), 4)  # 4/pi * 0.5/(pi/6) = 12/pi^2
    1.2159
    """
    if not 0.0 <= flat_top_deg < 180.0:
        raise InputRangeError("flat_top_deg", flat_top_deg, "deg", "0 or more and below 180")
    delta = math.radians(180.0 - flat_top_deg) / 2.0
    return 4.0 / math.pi * math.sin(delta) / delta


def phase_emf_fundamental(constants: MachineConstants) -> float:
    r"""Return the peak of the fundamental of the phase EMF per mechanical rad/s.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]

    Returns
    -------
    phase_constant : float
        Peak of the fundamental, line to neutral, at the reference magnet temperature. [V s/rad]

    Notes
    -----
    Sinusoidal: `k_e / sqrt(3)`. Trapezoidal: the phase carries half of the line-to-line peak as its
    flat value, times `fundamental_of_flat_top`.

    References
    ----------
    .. [1] First principles; textbook fact from memory.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 0.35e-3, 8)
    >>> round(phase_emf_fundamental(m), 5)  # 0.030 / 1.73205
    0.01732
    """
    if constants.emf_shape == "sinusoidal":
        return constants.back_emf_constant / math.sqrt(3.0)
    return constants.back_emf_constant / 2.0 * fundamental_of_flat_top(constants.flat_top_deg)


def torque_constant(constants: MachineConstants, commutation: Commutation) -> float:
    r"""Return the torque per ampere of the current that the commutation is described by.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    commutation : {"six-step", "sinusoidal"}
        Six-step: per ampere in the link, mean over a sector. Sinusoidal: per peak phase ampere. [-]

    Returns
    -------
    constant : float
        Torque constant at the reference magnet temperature. [N m/A]

    Raises
    ------
    UnitError
        If the commutation is not one of the two.

    Notes
    -----
    Power balance over an electrical period. Six-step carries the mean of the line-to-line EMF over
    the 60 degrees about its peak: `(3/pi) k_e` sinusoidal, `k_e` for a flat top of 120 degrees or
    more. Sinusoidal current carries the fundamental only: `3/2` of the phase constant, that is
    `(sqrt(3)/2) k_e` on a sinusoidal EMF and `0.912 k_e` on the trapezoid with 120 degrees.
    The current is in phase with the EMF. Saturation is left out: at several times the continuous
    current the torque per ampere of a real machine is lower.

    References
    ----------
    .. [1] First principles (integrated numerically in the tests); textbook fact from memory.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 0.35e-3, 8)
    >>> round(torque_constant(m, "six-step"), 6)  # 0.030 * 3/pi
    0.028648
    >>> round(torque_constant(m, "sinusoidal"), 6)  # 0.030 * 0.866025
    0.025981
    """
    if commutation == "six-step":
        if constants.emf_shape == "sinusoidal":
            return 3.0 / math.pi * constants.back_emf_constant
        return constants.back_emf_constant
    require_one_of("commutation", commutation, COMMUTATIONS)
    return 1.5 * phase_emf_fundamental(constants)


def copper_loss_factor(commutation: Commutation) -> float:
    """Return c in `P = c I^2 R_LL` for the current that the commutation is described by.

    Parameters
    ----------
    commutation : {"six-step", "sinusoidal"}
        Six-step: link current, two phases in series. Sinusoidal: peak phase current. [-]

    Returns
    -------
    factor : float
        1 for six-step, 3/4 for sinusoidal. [-]

    Raises
    ------
    UnitError
        If the commutation is not one of the two.

    Notes
    -----
    Sinusoidal: three phases of `R_LL/2` each at `I_pk^2/2`. The same for star and delta, because
    the line-to-line resistance already contains the connection.

    References
    ----------
    .. [1] First principles; textbook fact from memory.

    Examples
    --------
    >>> copper_loss_factor("six-step"), copper_loss_factor("sinusoidal")
    (1.0, 0.75)
    """
    require_one_of("commutation", commutation, COMMUTATIONS)
    return 1.0 if commutation == "six-step" else 0.75


def copper_loss_coefficient(constants: MachineConstants, commutation: Commutation) -> float:
    """Return the copper loss per torque squared at the reference temperatures.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]

    Returns
    -------
    coefficient : float
        `c R_LL / k_t^2`. [W/(N m)^2]

    Notes
    -----
    On a sinusoidal EMF six-step costs `pi^2/9 = 1.0966` times the loss of sinusoidal current.

    References
    ----------
    .. [1] First principles; textbook fact from memory.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.9, 0.35e-3, 8, emf_shape="trapezoidal")
    >>> round(copper_loss_coefficient(m, "six-step"), 6)  # 0.9 / 0.03^2
    1000.0
    """
    return (
        copper_loss_factor(commutation) * constants.resistance / torque_constant(constants, commutation) ** 2
    )


def motor_constant(constants: MachineConstants) -> float:
    """Return the six-step torque constant over the root of the line-to-line resistance.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]

    Returns
    -------
    constant : float
        Torque per root of copper loss; the same for every winding of a frame. [N m/W^0.5]

    References
    ----------
    .. [1] Common practice, no source.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.64, 0.35e-3, 8, emf_shape="trapezoidal")
    >>> round(motor_constant(m), 6)  # 0.030 / 0.8
    0.0375
    """
    return torque_constant(constants, "six-step") / math.sqrt(constants.resistance)


def mechanical_time_constant(
    constants: MachineConstants, commutation: Commutation, inertia: Numeric
) -> Numeric:
    """Return the time constant of the run-up on a constant voltage, inductance neglected.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    inertia : float or ndarray, any shape
        Rotor inertia, with what is rigidly coupled to it. [kg m^2]

    Returns
    -------
    time_constant : float or ndarray, shape of `inertia`
        `J c R_LL / k_t^2`, at the reference temperatures. [s]

    Raises
    ------
    InputRangeError
        If the inertia is negative.

    References
    ----------
    .. [1] First principles; textbook fact from memory.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.9, 0.35e-3, 8, emf_shape="trapezoidal")
    >>> round(mechanical_time_constant(m, "six-step", 9e-6), 6)  # 1000 W/(N m)^2 * 9e-6
    0.009
    """
    require_not_negative("inertia", inertia, "kg m^2")
    return inertia * copper_loss_coefficient(constants, commutation)


def electrical_time_constant(constants: MachineConstants) -> float:
    """Return inductance over resistance.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]

    Returns
    -------
    time_constant : float
        `L_LL / R_LL`, at the reference temperature of the resistance. [s]

    References
    ----------
    .. [1] First principles; textbook fact from memory.

    Examples
    --------
    >>> electrical_time_constant(MachineConstants(0.030, 0.5, 1e-3, 8))
    0.002
    """
    return constants.inductance / constants.resistance


def no_load_speed(
    constants: MachineConstants, commutation: Commutation, terminal_voltage: Numeric
) -> Numeric:
    """Return the speed at which the EMF takes the whole terminal voltage, drag neglected.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    terminal_voltage : float or ndarray, any shape
        Six-step: link voltage less device drops. Sinusoidal: peak phase voltage. [V]

    Returns
    -------
    speed : float or ndarray, shape of `terminal_voltage`
        Ideal no-load speed at the reference magnet temperature. [rad/s]

    References
    ----------
    .. [1] S. P. Burman, Special Electrical Machines, Ex. 4.4 [as re-worked in a public
       textbook-companion notebook; the printed page was not seen].

    Examples
    --------
    >>> m = MachineConstants(0.12, 0.3, 1e-3, 2, emf_shape="trapezoidal")
    >>> round(no_load_speed(m, "six-step", 48.0), 3)  # 48 / 0.12
    400.0
    """
    if commutation == "six-step":
        return terminal_voltage / torque_constant(constants, commutation)
    require_one_of("commutation", commutation, COMMUTATIONS)
    return terminal_voltage / phase_emf_fundamental(constants)


def stall_current(
    constants: MachineConstants, commutation: Commutation, terminal_voltage: Numeric
) -> Numeric:
    """Return the current that the terminal voltage drives through the locked machine when cold.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    terminal_voltage : float or ndarray, any shape
        Six-step: link voltage less device drops. Sinusoidal: peak phase voltage. [V]

    Returns
    -------
    current : float or ndarray, shape of `terminal_voltage`
        Link current, or peak phase current. A computed point, not an operating point. [A]

    References
    ----------
    .. [1] First principles; textbook fact from memory.

    Examples
    --------
    >>> m = MachineConstants(0.12, 0.3, 1e-3, 2)
    >>> round(stall_current(m, "six-step", 46.0), 3), round(stall_current(m, "sinusoidal", 15.0), 3)
    (153.333, 100.0)
    """
    require_one_of("commutation", commutation, COMMUTATIONS)
    in_series = 1.0 if commutation == "six-step" else 0.5
    return terminal_voltage / (in_series * constants.resistance)


def stall_torque(constants: MachineConstants, commutation: Commutation, terminal_voltage: Numeric) -> Numeric:
    """Return the torque of the locked machine, cold, without saturation.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    terminal_voltage : float or ndarray, any shape
        Six-step: link voltage less device drops. Sinusoidal: peak phase voltage. [V]

    Returns
    -------
    torque : float or ndarray, shape of `terminal_voltage`
        Torque constant times stall current. A computed point, not an operating point. [N m]

    References
    ----------
    .. [1] S. P. Burman, Special Electrical Machines, Ex. 4.4 [as re-worked in a public
       textbook-companion notebook; the printed page was not seen].

    Examples
    --------
    >>> m = MachineConstants(0.12, 0.3, 1e-3, 2, emf_shape="trapezoidal")
    >>> round(stall_torque(m, "six-step", 46.0), 6)  # 0.12 * 46/0.3
    18.4
    """
    return torque_constant(constants, commutation) * stall_current(constants, commutation, terminal_voltage)
