"""Power that the body takes up, over its mass: whole body, exposed part, head. Numbers only; limits judge them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from loopwright.bodies import Body
from loopwright.ground.errors import OutsideModelError
from loopwright.transmit.voxel_mass import voxel_mass_kg

__all__ = ["GLOBAL_SAR_LIMITS", "GlobalSar", "exposed_mass_kg", "global_sar"]

GLOBAL_SAR_LIMITS = (
    (
        "Only the tissue of the model takes up power: where the model is a part of the patient, whole-body SAR is at "
        "least what is printed, and a field that was scaled by it is at most so strong in the patient."
    ),
    (
        "The exposed mass is that of the model between the ends of the resonator; what the model leaves out lowers the "
        "share of the patient that counts as exposed, and so raises the limit for partial bodies. The standard counts "
        "the mass within the volume that takes up 95 % of the power (from memory), which may reach beyond the ends."
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class GlobalSar:
    """Mean SAR of one case.

    Attributes
    ----------
    absorbed_w : float
        By the model, mean over the sequence. [W]
    model_mass_kg : float
        [kg]
    exposed_mass_kg : float
        Of the model, inside the resonator. [kg]
    patient_mass_kg : float or None
        None where nobody told it. [kg]
    """

    absorbed_w: float
    model_mass_kg: float
    exposed_mass_kg: float
    patient_mass_kg: float | None

    @property
    def model_w_per_kg(self) -> float:
        """Mean over the model; head SAR where the model is a head. [W/kg]"""
        return self.absorbed_w / self.model_mass_kg

    @property
    def partial_body_w_per_kg(self) -> float:
        """All that is absorbed over the exposed mass: not less than the mean over the exposed part. [W/kg]"""
        return self.absorbed_w / self.exposed_mass_kg

    @property
    def whole_body_w_per_kg(self) -> float | None:
        """All that the model absorbs over the mass of the patient, who absorbs no less. [W/kg]"""
        return None if self.patient_mass_kg is None else self.absorbed_w / self.patient_mass_kg

    @property
    def exposed_share(self) -> float | None:
        """Exposed mass over that of the patient, which the limit for partial bodies depends on. [1]"""
        return None if self.patient_mass_kg is None else min(1.0, self.exposed_mass_kg / self.patient_mass_kg)


def exposed_mass_kg(body: Body, *, low_z_m: float, high_z_m: float) -> float:
    """Mass of the body between two planes across z, as the ends of a resonator.

    Parameters
    ----------
    body : Body
        On its grid.
    low_z_m, high_z_m : float
        The planes, in the body frame; the tissue of a voxel counts as even over its height. [m]

    Returns
    -------
    float
        [kg]

    Raises
    ------
    OutsideModelError
        If no tissue lies between them, or a tissue has no density.
    """
    nodes = body.grid.nodes_m(2)
    inside = np.clip(np.minimum(nodes[1:], high_z_m) - np.maximum(nodes[:-1], low_z_m), 0, None) / body.grid.spacing_m
    mass = float(voxel_mass_kg(body).sum(axis=(0, 1)) @ inside)
    if mass <= 0:
        raise OutsideModelError(
            f"no tissue of {body.name} lies between z = {low_z_m * 1e3:g} mm and {high_z_m * 1e3:g} mm, "
            "the ends of the resonator. Move the resonator's middle to the body."
        )
    return mass


def global_sar(
    body: Body, absorbed_w: ArrayLike, *, low_z_m: float, high_z_m: float, patient_mass_kg: float | None
) -> tuple[GlobalSar, ...]:
    """Mean SAR of every case.

    Parameters
    ----------
    body : Body
        On its grid.
    absorbed_w : array_like, shape (cases,)
        Mean over the sequence. [W]
    low_z_m, high_z_m : float
        Ends of the resonator, in the body frame. [m]
    patient_mass_kg : float or None
        Of the whole patient, where it is known. [kg]

    Returns
    -------
    tuple of GlobalSar
        One for each case.

    Raises
    ------
    OutsideModelError
        If the patient is lighter than the model, no tissue lies in the resonator, or a tissue has no density.
    """
    model = float(voxel_mass_kg(body).sum())
    if patient_mass_kg is not None and patient_mass_kg < model * (1 - 1e-3):
        raise OutsideModelError(
            f"the patient is said to weigh {patient_mass_kg:g} kg, but the model of {body.name} alone weighs "
            f"{model:.3g} kg. Correct the mass, or leave it out: then no whole-body SAR is told."
        )
    exposed = exposed_mass_kg(body, low_z_m=low_z_m, high_z_m=high_z_m)
    return tuple(
        GlobalSar(
            absorbed_w=float(power),
            model_mass_kg=model,
            exposed_mass_kg=exposed,
            patient_mass_kg=patient_mass_kg,
        )
        for power in np.asarray(absorbed_w, dtype=float)
    )
