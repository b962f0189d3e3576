"""Drag of the turning machine: iron, bearings and air, and its mean over a linear change of speed."""

from __future__ import annotations

import functools
from itertools import combinations

import numpy as np

from core.errors import InputRangeError
from core.findings import Finding
from core.numeric import FloatArray, Numeric, read_only
from core.physics.input_ranges import require_finite, require_not_negative, require_positive
from core.physics.machine_constants import Commutation, MachineConstants, torque_constant
from core.records import dataclass
from core.sentences import sentence
from core.units import Kind

LAMINAR_WINDAGE_EXPONENT = 1.5
TURBULENT_WINDAGE_EXPONENT = 1.8


@dataclass(frozen=True, slots=True)
class DragLaw:
    """Drag torque `constant + linear |w| + windage |w|^windage_exponent`, against the motion.

    The first two parts heat the core, the third the air.

    Attributes
    ----------
    constant : float
        Hysteresis and dry friction. [N m]
    linear : float
        Eddy currents and viscous friction. [N m s/rad]
    windage : float
        Friction and pumping of the air. [N m (s/rad)^exponent]
    windage_exponent : float
        1.5 while the flow along the rotor is laminar, 1.8 once it is turbulent. [-]
    """

    constant: float = 0.0
    linear: float = 0.0
    windage: float = 0.0
    windage_exponent: float = LAMINAR_WINDAGE_EXPONENT

    def __post_init__(self) -> None:
        """Refuse a drag that would drive."""
        for name, unit in (
            ("constant", "N m"),
            ("linear", "N m s/rad"),
            ("windage", "N m (s/rad)^exponent"),
        ):
            require_not_negative(name, getattr(self, name), unit)
            require_finite(name, getattr(self, name), unit)
        if not 1.0 <= self.windage_exponent <= 2.0:
            raise InputRangeError("windage_exponent", self.windage_exponent, "", "1 to 2")


@dataclass(frozen=True, slots=True)
class DragShares:
    """How a single known drag torque is shared between the three parts of the law; sum 1.

    The default is common practice, no source: half each to the constant and the linear part and
    nothing to the air. The disc friction of a rotor of 60 mm at 4000 rpm is near 1e-4 N m, a few
    per cent of what iron and bearings of such a machine take.

    Attributes
    ----------
    constant : float
        Share of hysteresis and dry friction. [-]
    linear : float
        Share of eddy currents and viscous friction. [-]
    windage : float
        Share of the air. [-]
    """

    constant: float = 0.5
    linear: float = 0.5
    windage: float = 0.0

    def __post_init__(self) -> None:
        """Refuse shares that are negative or do not add up."""
        for name in ("constant", "linear", "windage"):
            require_not_negative(f"share {name}", getattr(self, name), "")
        total = self.constant + self.linear + self.windage
        if not abs(total - 1.0) < 1e-9:
            raise InputRangeError("sum of the drag shares", total, "", "1")


@dataclass(frozen=True, slots=True)
class RampMeans:
    """Time means of the drag, as magnitudes, over a linear change of speed.

    Attributes
    ----------
    torque : ndarray, broadcast shape of the speeds
        Drag torque. [N m]
    torque_squared : ndarray, same shape
        Square of the drag torque. [(N m)^2]
    core_power : ndarray, same shape
        Heat in the core. [W]
    air_power : ndarray, same shape
        Heat in the air. [W]
    moment : ndarray, same shape
        Drag torque times the time from the middle, over the duration: with a torque that changes by
        D along the ramp, the mean of its linear part times the drag is D times this. [N m]
    """

    torque: FloatArray
    torque_squared: FloatArray
    core_power: FloatArray
    air_power: FloatArray
    moment: FloatArray


def core_drag_torque(law: DragLaw, speed: Numeric) -> Numeric:
    """Return the part of the drag that heats the core: iron and bearings.

    Parameters
    ----------
    law : DragLaw
        Drag of the machine. [SI]
    speed : float or ndarray, any shape
        Shaft speed; its sign does not matter. [rad/s]

    Returns
    -------
    torque : float or ndarray, shape of `speed`
        Magnitude of the torque; at rest the value that is reached just after moving off. [N m]

    References
    ----------
    .. [1] Common practice, no source: hysteresis and dry friction constant, eddy currents and
       viscous friction proportional to speed.

    Examples
    --------
    >>> round(float(core_drag_torque(DragLaw(0.002, 1e-5, 1e-7), -400.0)), 6)  # 0.002 + 0.004
    0.006
    """
    torque: Numeric = law.constant + law.linear * np.abs(speed)
    return torque


def air_drag_torque(law: DragLaw, speed: Numeric) -> Numeric:
    """Return the part of the drag that heats the air around or inside the machine.

    Parameters
    ----------
    law : DragLaw
        Drag of the machine. [SI]
    speed : float or ndarray, any shape
        Shaft speed; its sign does not matter. [rad/s]

    Returns
    -------
    torque : float or ndarray, shape of `speed`
        Magnitude of the torque. [N m]

    References
    ----------
    .. [1] H. Schlichting, Boundary-Layer Theory, rotating disc: torque as w^1.5 laminar, w^1.8
       turbulent (from memory).

    Examples
    --------
    >>> round(float(air_drag_torque(DragLaw(windage=1e-7), 400.0)), 7)  # 1e-7 * 8000
    0.0008
    """
    torque: Numeric = law.windage * np.abs(speed) ** law.windage_exponent
    return torque


def drag_torque(law: DragLaw, speed: Numeric) -> Numeric:
    """Return the whole drag torque as a magnitude.

    Parameters
    ----------
    law : DragLaw
        Drag of the machine. [SI]
    speed : float or ndarray, any shape
        Shaft speed; its sign does not matter. [rad/s]

    Returns
    -------
    torque : float or ndarray, shape of `speed`
        Magnitude, against the motion; at rest the value just after moving off. [N m]

    References
    ----------
    .. [1] See `core_drag_torque` and `air_drag_torque`.

    Examples
    --------
    >>> round(float(drag_torque(DragLaw(0.002, 1e-5, 1e-7), 400.0)), 6)
    0.0068
    """
    return core_drag_torque(law, speed) + air_drag_torque(law, speed)


_MOST_REMEMBERED = 200
_FEW_NODES = np.polynomial.legendre.leggauss(4)
_MANY_NODES = np.polynomial.legendre.leggauss(14)


def mean_drag_over_ramp(law: DragLaw, start_speed: Numeric, end_speed: Numeric) -> RampMeans:
    r"""Return the time means of drag torque, its square and its power while speed changes linearly.

    Parameters
    ----------
    law : DragLaw
        Drag of the machine. [SI]
    start_speed : float or ndarray, any shape
        Speed at the start of each segment. [rad/s]
    end_speed : float or ndarray, shape that broadcasts
        Speed at the end; equal to the start for a segment at constant speed. [rad/s]

    Returns
    -------
    means : RampMeans
        Time means, all of magnitudes. [N m, (N m)^2, W]

    Raises
    ------
    InputRangeError
        If a segment passes through zero speed; split it there first.

    Notes
    -----
    With :math:`u = \sqrt{|\omega|}` the mean is an integral over u with weight u. For the
    laminar exponent 1.5 every integrand is a polynomial in u of degree 7 at most, so that four
    Gauss-Legendre nodes are exact, without the cancellation of the antiderivative when both
    speeds are close. Other exponents use 14 nodes: better than 1e-9 even from rest.
    Means of 200 ramps at most are remembered: speeds stay while torques are changed.

    References
    ----------
    .. [1] Gauss-Legendre quadrature: n nodes are exact to degree 2n - 1 (from memory).

    Examples
    --------
    >>> m = mean_drag_over_ramp(DragLaw(constant=0.001, linear=1e-5), 0.0, 300.0)
    >>> round(float(m.torque), 6), round(float(m.core_power), 6)  # 1e-3 + 1.5e-3; 0.15 + 0.3
    (0.0025, 0.45)
    """
    w0, w1 = np.broadcast_arrays(np.asarray(start_speed, float), np.asarray(end_speed, float))
    if w0.ndim == 1 and w0.size <= _MOST_REMEMBERED:
        return _remembered_means(law, w0.tobytes(), w1.tobytes())
    return _ramp_means(law, w0, w1)


@functools.lru_cache(maxsize=32)
def _remembered_means(law: DragLaw, start_speed: bytes, end_speed: bytes) -> RampMeans:
    means = _ramp_means(law, np.frombuffer(start_speed), np.frombuffer(end_speed))
    read_only(means.torque, means.torque_squared, means.core_power, means.air_power, means.moment)
    return means


def _ramp_means(law: DragLaw, w0: FloatArray, w1: FloatArray) -> RampMeans:
    if (w0 * w1 < 0.0).any():
        worst = float((w0 * w1).min())
        raise InputRangeError("start_speed * end_speed", worst, "(rad/s)^2", ">= 0: split at zero speed")
    laminar = law.windage_exponent == LAMINAR_WINDAGE_EXPONENT or law.windage == 0.0
    nodes, weights = _FEW_NODES if laminar else _MANY_NODES
    u0, u1 = np.sqrt(np.abs(w0)), np.sqrt(np.abs(w1))
    middle = 0.5 * (u0 + u1)
    u = middle[..., None] + 0.5 * (u1 - u0)[..., None] * nodes
    # a segment at rest has u = 0 throughout: its nodes then share the weight evenly
    slope = np.divide(0.5 * (u1 - u0), middle, out=np.zeros_like(middle), where=middle > 0.0)[..., None]
    share = 0.5 * weights * (1.0 + slope * nodes)
    # time from the middle, in a form that loses no digits where both speeds are close
    place = 0.5 * (nodes + 0.5 * slope * (nodes * nodes - 1.0))
    w = u * u
    core = law.constant + law.linear * w
    air = law.windage * (u * w if law.windage_exponent == 1.5 else w**law.windage_exponent)
    total = core + air
    return RampMeans(
        torque=(share * total).sum(axis=-1),
        torque_squared=(share * total * total).sum(axis=-1),
        core_power=(share * core * w).sum(axis=-1),
        air_power=(share * air * w).sum(axis=-1),
        moment=(share * total * place).sum(axis=-1),
    )


def from_one_no_load_point(
    speed: float,
    *,
    drag_torque: float | None = None,
    no_load_current: float | None = None,
    constants: MachineConstants | None = None,
    commutation: Commutation = "six-step",
    shares: DragShares | None = None,
    windage_exponent: float = LAMINAR_WINDAGE_EXPONENT,
) -> tuple[DragLaw, Finding]:
    """Return the drag law through the only no-load point that a data sheet gives.

    Parameters
    ----------
    speed : float
        No-load speed of the point. [rad/s]
    drag_torque : float, optional
        Drag torque at that speed; give this or the current. [N m]
    no_load_current : float, optional
        Current at that speed: link ampere (six-step) or peak phase ampere (sinusoidal). [A]
    constants : MachineConstants, optional
        Turns the current into torque; needed with the current. [SI]
    commutation : {"six-step", "sinusoidal"}, default "six-step"
        What kind of current it is. [-]
    shares : DragShares, optional
        How the torque is shared; half constant, half linear when left out. [-]
    windage_exponent : float, default 1.5
        Exponent of the air part. [-]

    Returns
    -------
    law : DragLaw
        The law; exact at the given speed. [SI]
    finding : Finding
        `drag_split_assumed`, with the shares: the drag at any other speed rests on them. [SI]

    Raises
    ------
    InputRangeError
        If the speed is not positive, or not exactly one of torque and current is given.

    Notes
    -----
    Half the speed gives between 35 % (all windage) and 100 % (all constant) of the torque, so the
    split is worth a second point.

    References
    ----------
    .. [1] Common practice, no source, for the split.

    Examples
    --------
    >>> law, finding = from_one_no_load_point(400.0, drag_torque=0.008)
    >>> law.constant, round(law.linear, 9), finding.code
    (0.004, 1e-05, 'drag_split_assumed')
    """
    require_positive("no-load speed", speed, "rad/s")
    given = (drag_torque is not None) + (no_load_current is not None)
    if given != 1:
        raise InputRangeError("number of no-load figures (torque, current)", given, "", "exactly 1")
    if no_load_current is not None:
        if constants is None:
            raise InputRangeError("number of machines for the no-load current", 0, "", "1")
        drag_torque = no_load_current * torque_constant(constants, commutation)
    assert drag_torque is not None  # one of the two was given, see above
    require_not_negative("no-load drag torque", drag_torque, "N m")
    split = shares or DragShares()
    law = DragLaw(
        split.constant * drag_torque,
        split.linear * drag_torque / speed,
        split.windage * drag_torque / speed**windage_exponent,
        windage_exponent,
    )
    text = sentence(
        "Only one no-load point is known ({torque} at {speed}); its split into "
        "{constant} constant, {linear} linear and {windage} air drag is assumed.",
        constant=(split.constant, Kind.RATIO),
        linear=(split.linear, Kind.RATIO),
        windage=(split.windage, Kind.RATIO),
        torque=(drag_torque, Kind.TORQUE),
        speed=(speed, Kind.SPEED),
    )
    values = {
        "drag_torque_Nm": drag_torque,
        "speed_rad_s": speed,
        "share_constant": split.constant,
        "share_linear": split.linear,
        "share_windage": split.windage,
    }
    return law, Finding("drag_split_assumed", "assumed", text, values)


def fit_no_load_points(
    speeds: FloatArray,
    torques: FloatArray,
    with_windage: bool | None = None,
    windage_exponent: float = LAMINAR_WINDAGE_EXPONENT,
) -> tuple[DragLaw, Finding]:
    """Return the drag law that fits several no-load points best without a negative part.

    Parameters
    ----------
    speeds : ndarray, shape (n,)
        Speeds of the points; the sign does not matter. [rad/s]
    torques : ndarray, shape (n,)
        Drag torques as magnitudes. [N m]
    with_windage : bool, optional
        Whether the air part is fitted; when left out, from three different speeds on. [-]
    windage_exponent : float, default 1.5
        Exponent of the air part. [-]

    Returns
    -------
    law : DragLaw
        Non-negative least-squares fit. [SI]
    finding : Finding
        `drag_fit_residuals`: largest and rms residual; a warning above 10 % of the largest
        torque, otherwise a note. [SI]

    Raises
    ------
    InputRangeError
        If there are fewer different speeds than parts to fit, or a torque is negative.

    Notes
    -----
    Exact: the non-negative optimum is the plain least-squares solution on the parts that it uses,
    so all subsets (seven at most) are solved and the best one without a negative part is taken.

    References
    ----------
    .. [1] C. L. Lawson, R. J. Hanson, Solving Least Squares Problems, ch. 23, active-set view of
       non-negative least squares (from memory).

    Examples
    --------
    >>> law, finding = fit_no_load_points(np.array([100.0, 300.0]), np.array([0.003, 0.005]))
    >>> round(law.constant, 6), round(law.linear, 9)
    (0.002, 1e-05)
    """
    w, t = np.abs(np.asarray(speeds, float)), np.asarray(torques, float)
    require_finite("no-load speeds", w, "rad/s")
    require_not_negative("no-load drag torques", t, "N m")
    different = len(set(w.tolist()))  # np.unique would load numpy.ma, 40 ms of every start
    if with_windage is None:
        with_windage = different >= 3
    parts = 3 if with_windage else 2
    if different < parts or w.shape != t.shape:
        raise InputRangeError("number of different no-load speeds", different, "", f">= {parts}")
    # scaled to the highest speed, else the columns differ by orders of magnitude
    scale = np.array([1.0, w.max(), w.max() ** windage_exponent])[:parts]
    columns = np.stack([np.ones_like(w), w, w**windage_exponent], axis=1)[:, :parts] / scale
    coefficients = _non_negative_least_squares(columns, t) / scale
    constant, linear, windage = np.append(coefficients, 0.0)[:3]
    law = DragLaw(float(constant), float(linear), float(windage), windage_exponent)
    residuals = columns @ (coefficients * scale) - t
    return law, _residual_finding(residuals, t)


def _residual_finding(residuals: FloatArray, torques: FloatArray) -> Finding:
    worst, rms = float(np.abs(residuals).max()), float(np.sqrt(np.mean(residuals**2)))
    largest = float(torques.max())
    share = worst / largest if largest > 0.0 else 0.0
    text = sentence(
        "The drag law misses the no-load points by {worst} at most ({share} of the largest).",
        share=(share, Kind.RATIO),
        worst=(worst, Kind.TORQUE),
    )
    if share < 1e-3:  # a no-load point is not read more finely than that
        text = sentence("The drag law goes through all no-load points.")
    values = {"worst_residual_Nm": worst, "rms_residual_Nm": rms, "worst_share": share}
    return Finding("drag_fit_residuals", "warning" if share > 0.10 else "note", text, values)


def _non_negative_least_squares(columns: FloatArray, right: FloatArray) -> FloatArray:
    count = columns.shape[1]
    best, smallest = np.zeros(count), float(right @ right)
    for size in range(1, count + 1):
        for used in combinations(range(count), size):
            part = np.linalg.lstsq(columns[:, used], right, rcond=None)[0]
            missed = columns[:, used] @ part - right
            if (part >= 0.0).all() and float(missed @ missed) < smallest:
                smallest, best = float(missed @ missed), np.zeros(count)
                best[list(used)] = part
    return best
