r"""The peaks of one settled cycle: of every node, and of the hottest phase of a motor that holds still."""

from __future__ import annotations

from core.numeric import FloatArray
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.physics.hot_phase import phase_excess, with_hot_phase
from core.physics.repeating_cycle import CycleSolution
from core.physics.segment_maps import PieceModes
from core.physics.segment_peaks import Peaks, node_curves, peaks
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class CyclePeaks:
    """The peaks of one settled cycle and what they were found from.

    Parameters
    ----------
    nodes : Peaks
        Peak of every node. [degC]
    hot_phase : Peaks
        Peak of the hottest phase, one value. [degC]
    copper_loss : ndarray, shape (m,)
        Copper loss at the actual temperatures. [W]
    modes : PieceModes
        Modes of the pieces. [-]
    starts, means : ndarray, shape (m, n)
        Temperatures at the start of, and mean over, every piece. [degC]

    References
    ----------
    Own formulation.
    """

    nodes: Peaks
    hot_phase: Peaks
    copper_loss: FloatArray
    modes: PieceModes
    starts: FloatArray
    means: FloatArray


def cycle_peaks(
    network: HeatNetwork,
    pieces: HeatPieces,
    law: CopperLaw,
    solution: CycleSolution,
    copper_loss: FloatArray,
    index: int,
) -> CyclePeaks:
    """Return the peaks of all nodes and of the hottest phase in one settled cycle of a solution.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    pieces : HeatPieces
        The cycle. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]
    solution : CycleSolution
        Solution with cycle `index` settled. [-]
    copper_loss : ndarray, shape (m,)
        Its copper loss at the reference temperatures. [W]
    index : int
        Number of the cycle in the solution. [-]

    Returns
    -------
    peaks : CyclePeaks
        Peaks and where they stand. [-]

    References
    ----------
    Own formulation.
    """
    modes, w = _modes_of(solution.modes, index), network.winding
    starts, means = solution.starts[index], solution.means[index]
    curves = node_curves(modes, starts)
    loss = actual_copper_loss(law, copper_loss, means[:, w], solution.magnet_mean[index])
    standing = bool((pieces.stall_phase_factor != 1.0).any())
    if standing:
        heat = (
            pieces.conductance[:, w, w], float(network.capacity[w]), loss, pieces.stall_phase_factor
        )  # fmt: skip
        curves = with_hot_phase(curves, w, phase_excess(*heat, pieces.duration), *heat)
    top, n = peaks(curves), means.shape[-1]
    nodes = Peaks(top.value[:n], top.piece[:n], top.offset[:n])
    hottest = slice(n, n + 1) if standing else slice(w, w + 1)
    hot = Peaks(top.value[hottest], top.piece[hottest], top.offset[hottest])
    return CyclePeaks(nodes, hot, loss, modes, starts, means)


def actual_copper_loss(
    law: CopperLaw, copper_loss: FloatArray, winding_temp: FloatArray, magnet_temp: FloatArray
) -> FloatArray:
    r"""Return the copper loss at the actual temperatures for the same torque.

    Parameters
    ----------
    law : CopperLaw
        Reference temperatures and coefficients. [-]
    copper_loss : ndarray, shape (m,)
        Loss at the reference temperatures. [W]
    winding_temp, magnet_temp : ndarray, shape (m,)
        Mean temperatures over the pieces. [degC]

    Returns
    -------
    loss : ndarray, shape (m,)
        :math:`P \rho(\vartheta_W) / \mu(\vartheta_R)^2`. [W]

    References
    ----------
    IEC 60034-1, resistance against temperature (from memory).

    Examples
    --------
    >>> import numpy as np
    >>> law = CopperLaw(copper_constant=235.0, winding_ref_temp=25.0)
    >>> actual_copper_loss(law, np.array([10.0]), np.array([155.0]), np.array([25.0])).tolist()
    [15.0]
    """
    flux = 1.0 + law.magnet_temp_coefficient * (magnet_temp - law.magnet_ref_temp)
    resistance = (law.copper_constant + winding_temp) / (law.copper_constant + law.winding_ref_temp)
    loss: FloatArray = copper_loss * resistance / flux**2
    return loss


def _modes_of(modes: PieceModes, index: int) -> PieceModes:
    # durations may be shared by all cycles of a problem
    duration = modes.duration[index if modes.duration.shape[0] > 1 else 0]
    return PieceModes(
        modes.rate[index], modes.shape[index], modes.inverse[index], modes.forcing[index], duration,
        modes.exponent[index], modes.growth[index], modes.stretch[index],
    )  # fmt: skip
