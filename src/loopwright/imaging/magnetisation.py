"""Equilibrium magnetisation of the protons of water."""

from loopwright.ground.constants import BOLTZMANN_J_PER_K, HBAR_J_S, NUCLEI, WATER_PROTON_DENSITY_PER_M3

__all__ = ["water_magnetisation_a_per_m"]


def water_magnetisation_a_per_m(field_t: float, *, temperature_k: float) -> float:
    """Equilibrium magnetisation of pure water's protons.

    Parameters
    ----------
    field_t : float
        Static field; its sign does not matter. [T]
    temperature_k : float
        Temperature of the spins. [K]

    Returns
    -------
    float
        M0 = N gamma^2 hbar^2 |B0| / (4 k T). [A/m]

    Notes
    -----
    Curie's law for spin 1/2, good while hbar gamma B0 is far below k T. The proton density is that of water at 37 C
    (its mass density is from memory), whatever the temperature: 0.7 % too low at 20 C. Tissue holds less water; no
    tissue's proton density, relaxation or susceptibility enters.

    References
    ----------
    A. Abragam, The Principles of Nuclear Magnetism, chapter 1, 1961 (from memory).
    """
    gamma = NUCLEI["1H"].gyromagnetic_ratio_rad_per_s_t
    moments = WATER_PROTON_DENSITY_PER_M3 * (gamma * HBAR_J_S) ** 2
    return moments * abs(field_t) / (4 * BOLTZMANN_J_PER_K * temperature_k)
