"""What imaging asks of an array, whether it is tuned and seen from its element ports or received with its circuits."""

from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.tuned.noise import NoiseTemperatures

__all__ = ["NoisyPorts"]


class NoisyPorts(Protocol):
    """Ports of an array, one a channel, with their signals per unit current and their noise."""

    @property
    def temperatures(self) -> NoiseTemperatures:
        """Temperatures of body and coil."""

    @property
    def body_source_current(self) -> NDArray[np.complex128]:
        """Amplitude of each source that the body was solved for, per current into a port, (source, port). [A/A]"""

    @property
    def weighted_resistance_k_ohm(self) -> NDArray[np.complex128]:
        """Covariance of the noise voltages over 4k, (port, port). [K ohm]"""

    @property
    def wave_noise_w_per_hz(self) -> NDArray[np.complex128]:
        """Covariance of the noise as waves, got another way, (port, port). [W/Hz]"""

    @property
    def wave_matrix(self) -> NDArray[np.complex128]:
        """Waves per voltage, (port, port). [ohm^-1/2]"""
