"""Tissues wetter than those of adults, as a sensitivity: how much a result moves, not what a child's tissue is."""

from collections.abc import Sequence
from dataclasses import replace

from loopwright.bodies.tissues import Tissue
from loopwright.brief.records import TissueWater

#: Relative permittivity of water at 37 degC, far below its relaxation (from memory).
WATER_EPS_R = 74.3


def wetter_permittivity(eps_r: float, *, adult: float, patient: float) -> float:
    """Relative permittivity of a tissue that holds another fraction of water.

    Parameters
    ----------
    eps_r : float
        Of the tissue of an adult. [1]
    adult, patient : float
        Water as a fraction of mass. [1]

    Notes
    -----
    Lichtenecker's law of mixtures by exponents: the adult tissue is water and a rest, and the patient's the same rest
    with more of the water. Formula from memory, held against published rat data by its authors; no human data of
    newborns at 64 to 300 MHz are known to us.

    References
    ----------
    J. Wang, O. Fujiwara, S. Watanabe, IEEE Trans. Electromagn. Compat. 48, 408, 2006 [wang2006].
    """
    more = (patient - adult) / (1 - adult)
    return float(WATER_EPS_R**more * eps_r ** (1 - more))


def hydrated(tissues: Sequence[Tissue], waters: Sequence[TissueWater]) -> tuple[Tissue, ...]:
    """Tissues with the water that is given for them; those that are not named stay as they are.

    Notes
    -----
    Conductivity is raised in the same proportion as permittivity, as the abstract of [wang2006] finds them to rise
    alike (read); water itself has no ions in the formula.
    """
    by_name = {water.tissue: water for water in waters}
    return tuple(_wetter(tissue, by_name[tissue.name]) if tissue.name in by_name else tissue for tissue in tissues)


def _wetter(tissue: Tissue, water: TissueWater) -> Tissue:
    eps_r = wetter_permittivity(tissue.eps_r, adult=water.adult, patient=water.patient)
    return replace(
        tissue,
        eps_r=eps_r,
        sigma_s_per_m=tissue.sigma_s_per_m * eps_r / tissue.eps_r,
        note=(
            f"sensitivity, no measured tissue: water {water.adult:g} of the adult's mass, {water.patient:g} here, as "
            f"given in the brief; permittivity by exponents of the fractions (from memory), conductivity in the same "
            f"proportion; adult: {tissue.note}"
        ),
    )
