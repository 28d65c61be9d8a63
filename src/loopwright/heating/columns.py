"""Heat straight through layers, one after the other, each with its perfusion."""

import math
from collections.abc import Iterable

from loopwright.heating.layers import Layer

__all__ = ["column_transfer_w_per_m2_k"]


def column_transfer_w_per_m2_k(layers: Iterable[Layer], beyond_w_per_m2_k: float) -> float:
    """Heat per area and kelvin that enters layers whose far side loses heat. [W/(m^2 K)]

    Parameters
    ----------
    layers : iterable of Layer
        The near one first.
    beyond_w_per_m2_k : float
        What lies beyond the last; infinite where it is held. [W/(m^2 K)]

    Returns
    -------
    float
        [W/(m^2 K)]

    Notes
    -----
    Exact for heat that does not spread: the solution of k T'' = perfusion T in each layer.
    """
    transfer = beyond_w_per_m2_k
    for layer in reversed(tuple(layers)):
        k, thickness = layer.conductivity_w_per_m_k, layer.thickness_m
        own = math.sqrt(k * layer.perfusion_w_per_m3_k)
        if own == 0:
            transfer = k / thickness if math.isinf(transfer) else transfer / (1 + transfer * thickness / k)
            continue
        tanh = math.tanh(own * thickness / k)
        transfer = own / tanh if math.isinf(transfer) else own * (transfer + own * tanh) / (own + transfer * tanh)
    return transfer
