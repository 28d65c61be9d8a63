"""Physical constants, in SI, each with its source.

CODATA values come from :mod:`scipy.constants`; gyromagnetic ratios over 2 pi are listed here with what they stand for,
because bare-nucleus and in-compound values differ by parts in ten thousand.
"""

from dataclasses import dataclass

from scipy.constants import c as SPEED_OF_LIGHT_M_PER_S
from scipy.constants import e as ELEMENTARY_CHARGE_C
from scipy.constants import epsilon_0 as EPSILON_0_F_PER_M
from scipy.constants import hbar as HBAR_J_S
from scipy.constants import k as BOLTZMANN_J_PER_K
from scipy.constants import mu_0 as MU_0_H_PER_M
from scipy.constants import pi

from loopwright.ground.sources import Flag, Source

__all__ = [
    "BOLTZMANN_J_PER_K",
    "COPPER_CONDUCTIVITY_S_PER_M",
    "ELEMENTARY_CHARGE_C",
    "EPSILON_0_F_PER_M",
    "HBAR_J_S",
    "MU_0_H_PER_M",
    "NUCLEI",
    "SPEED_OF_LIGHT_M_PER_S",
    "WATER_PROTON_DENSITY_PER_M3",
    "Nucleus",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Nucleus:
    """A nucleus as the scanner sees it; the sign of the ratio is the sense of precession."""

    name: str
    gyromagnetic_ratio_hz_per_t: float
    source: Source

    @property
    def gyromagnetic_ratio_rad_per_s_t(self) -> float:
        """Gyromagnetic ratio. [rad s^-1 T^-1]"""
        return 2 * pi * self.gyromagnetic_ratio_hz_per_t


def _iupac(where: str) -> Source:
    return Source(key="harris2008", where=where, flag=Flag.READ)


def _listed(where: str) -> Source:
    return Source(key="", where=where, flag=Flag.READ)


NUCLEI = {
    nucleus.name: nucleus
    for nucleus in (
        Nucleus(
            name="1H",
            gyromagnetic_ratio_hz_per_t=42.576385e6,
            source=Source(key="codata2018", where="proton shielded in water", flag=Flag.READ),
        ),
        Nucleus(name="13C", gyromagnetic_ratio_hz_per_t=10.705840e6, source=_iupac("frequency ratio 25.145020 %")),
        Nucleus(name="19F", gyromagnetic_ratio_hz_per_t=40.061828e6, source=_iupac("frequency ratio 94.094011 %")),
        Nucleus(name="31P", gyromagnetic_ratio_hz_per_t=17.235236e6, source=_iupac("frequency ratio 40.480742 %")),
        Nucleus(name="23Na", gyromagnetic_ratio_hz_per_t=11.262e6, source=_listed("public table of NMR nuclei")),
        Nucleus(name="129Xe", gyromagnetic_ratio_hz_per_t=-11.777e6, source=_listed("public table, xenon gas")),
    )
}

#: 100 % IACS: 0.15328 ohm g/m^2 with 8.89 g/cm^3 gives 1.724184e-8 ohm m. [S/m]
COPPER_CONDUCTIVITY_S_PER_M = 5.80e7

#: Two protons per molecule, 993.3 kg/m^3 at 37 C (density from memory), 18.01528 g/mol. [1/m^3]
WATER_PROTON_DENSITY_PER_M3 = 2 * 993.3 / 18.01528e-3 * 6.02214076e23
