"""The scanner that the array is built for."""

from typing import Literal

from loopwright.brief.records.record import Positive, Record
from loopwright.ground.constants import NUCLEI

__all__ = ["B0Direction", "Scanner"]

B0Direction = Literal["+z", "-z"]


class Scanner(Record):
    """Static field, nucleus and the frequency that follows from them.

    Attributes
    ----------
    proton_frequency_hz
        Larmor frequency of water protons in this field. [Hz]
    field_t
        Static field; the proton frequency over the gyromagnetic ratio of water protons. [T]
    nucleus
        One of :data:`loopwright.ground.constants.NUCLEI`.
    b0_direction
        Direction of the static field in the body frame.
    magnetisation_a_per_m
        Equilibrium magnetisation to be used for absolute SNR; None leaves it to the water protons. [A/m]
    frequency_convention
        One sentence: which frequency was taken, why, and how to ask for the other.
    """

    proton_frequency_hz: Positive
    field_t: Positive
    nucleus: str = "1H"
    b0_direction: B0Direction = "+z"
    magnetisation_a_per_m: Positive | None = None
    frequency_convention: str = ""

    @property
    def frequency_hz(self) -> float:
        """Larmor frequency of the nucleus, without its sign. [Hz]"""
        ratio = NUCLEI[self.nucleus].gyromagnetic_ratio_hz_per_t / NUCLEI["1H"].gyromagnetic_ratio_hz_per_t
        return abs(ratio) * self.proton_frequency_hz

    @property
    def reception_sign(self) -> int:
        """Sign s of the receive component (Bx + s jBy)/2: +1 for B0 along +z and a positive gyromagnetic ratio.

        Turning B0 round, or a nucleus with a negative ratio, swaps the two circular components.
        """
        along_z = 1 if self.b0_direction == "+z" else -1
        return along_z if NUCLEI[self.nucleus].gyromagnetic_ratio_hz_per_t > 0 else -along_z
