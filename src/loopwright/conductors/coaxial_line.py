r"""A coaxial line inside, and what its shield is outside.

From dimensions, by the exact inner fields of wire and tube,

.. math:: Z' = j\omega L' + Z_\mathrm{wire} + Z_\mathrm{tube},\quad Y' = j\omega C'(1 - j\tan\delta),\quad
          \gamma = \sqrt{Z'Y'},\quad Z_0 = \sqrt{Z'/Y'}

or from the numbers of a data sheet.
"""

from dataclasses import dataclass
from functools import cache
from math import pi
from typing import assert_never

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.conductors.cross_section import RoundWire
from loopwright.conductors.skin_effect import (
    round_wire_impedance_ohm_per_m,
    skin_depth_m,
    tube_impedance_ohm_per_m,
)
from loopwright.ground.constants import EPSILON_0_F_PER_M, MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.tables import coaxial_cable_rows

__all__ = [
    "CableFromDataSheet",
    "CableFromDimensions",
    "CoaxialCable",
    "LineConstants",
    "cable_limits",
    "generic_cables",
    "line_constants",
    "outside_wire",
]

#: Decibels per neper.
_DB_PER_NEPER = 20 / np.log(10)
#: Fewer skin depths in the shield than this, and inside and outside are no longer apart.
LEAST_SHIELD_DEPTHS = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CableFromDimensions:
    """A coaxial cable by what it is made of.

    Attributes
    ----------
    inner_diameter_m : float
        Of the inner conductor, solid and round. [m]
    shield_inner_diameter_m, shield_outer_diameter_m : float
        Of the shield, taken as a tube. [m]
    relative_permittivity, loss_tangent : float
        Of the dielectric.
    inner_conductivity_s_per_m, shield_conductivity_s_per_m : float
        [S/m]
    braid_factor : float
        Resistance of the shield, inside and outside, over that of a smooth tube; 1 for a drawn tube.
    """

    inner_diameter_m: float
    shield_inner_diameter_m: float
    shield_outer_diameter_m: float
    relative_permittivity: float
    loss_tangent: float
    inner_conductivity_s_per_m: float
    shield_conductivity_s_per_m: float
    braid_factor: float = 1.0

    def __post_init__(self) -> None:
        """Refuse a cable that could not be made."""
        if not 0 < self.inner_diameter_m < self.shield_inner_diameter_m < self.shield_outer_diameter_m:
            raise OutsideModelError(
                "a coaxial cable needs 0 < inner diameter < inner diameter of the shield < its outer diameter, found "
                f"{self.inner_diameter_m:g}, {self.shield_inner_diameter_m:g}, {self.shield_outer_diameter_m:g} m"
            )
        if not (self.relative_permittivity >= 1 and self.loss_tangent >= 0 and self.braid_factor >= 1):
            raise OutsideModelError(
                "relative permittivity and braid factor are 1 or more and the loss tangent not negative, found "
                f"{self.relative_permittivity:g}, {self.braid_factor:g}, {self.loss_tangent:g}"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class CableFromDataSheet:
    """A coaxial cable by the numbers of its data sheet.

    Attributes
    ----------
    characteristic_ohm : float
        [ohm]
    velocity_factor : float
        Speed of the wave inside over that of light.
    loss_db_per_m : float
        Attenuation at ``loss_frequency_hz``; goes with the root of the frequency. [dB/m]
    loss_frequency_hz : float
        [Hz]
    shield_outer_diameter_m : float
        Over the shield, not over the jacket. [m]
    shield_conductivity_s_per_m : float
        [S/m]
    braid_factor : float
        Resistance of the shield's outside over that of a smooth tube.
    """

    characteristic_ohm: float
    velocity_factor: float
    shield_outer_diameter_m: float
    shield_conductivity_s_per_m: float
    loss_db_per_m: float = 0.0
    loss_frequency_hz: float = 1e8
    braid_factor: float = 1.0

    def __post_init__(self) -> None:
        """Refuse a cable that could not be made."""
        if not (self.characteristic_ohm > 0 and 0 < self.velocity_factor <= 1 and self.shield_outer_diameter_m > 0):
            raise OutsideModelError(
                "a cable needs a positive impedance and diameter and a velocity factor of 1 at most, found "
                f"{self.characteristic_ohm:g} ohm, {self.shield_outer_diameter_m:g} m, {self.velocity_factor:g}"
            )
        if not (self.loss_db_per_m >= 0 and self.loss_frequency_hz > 0 and self.braid_factor >= 1):
            raise OutsideModelError(
                "loss is not negative, its frequency positive, the braid factor 1 or more; found "
                f"{self.loss_db_per_m:g} dB/m, {self.loss_frequency_hz:g} Hz, {self.braid_factor:g}"
            )


CoaxialCable = CableFromDimensions | CableFromDataSheet


@dataclass(frozen=True, slots=True, kw_only=True)
class LineConstants:
    """What a cable is as a line, at one or more frequencies.

    Attributes
    ----------
    characteristic_ohm : ndarray of complex, shape (...)
        [ohm]
    propagation_per_m : ndarray of complex, shape (...)
        Attenuation and phase. [1/m]
    capacitance_f_per_m, inductance_h_per_m : ndarray, shape (...)
        [F/m], [H/m]
    velocity_factor : ndarray, shape (...)
        Speed of the wave's phase over that of light.
    loss_db_per_m : ndarray, shape (...)
        [dB/m]
    """

    characteristic_ohm: NDArray[np.complex128]
    propagation_per_m: NDArray[np.complex128]
    capacitance_f_per_m: NDArray[np.float64]
    inductance_h_per_m: NDArray[np.float64]
    velocity_factor: NDArray[np.float64]
    loss_db_per_m: NDArray[np.float64]


def line_constants(cable: CoaxialCable, frequency_hz: ArrayLike) -> LineConstants:
    """Give characteristic impedance, propagation and the constants per metre of the inside of a cable.

    Parameters
    ----------
    cable : CableFromDimensions or CableFromDataSheet
    frequency_hz : array_like, shape (...)
        [Hz]

    Returns
    -------
    LineConstants

    Notes
    -----
    From dimensions exact for a solid inner conductor in a smooth tube that no field leaves; a braid multiplies the
    tube's inner impedance. A data sheet's loss is taken to go with the root of the frequency, its impedance as real.
    """
    omega = 2 * pi * np.asarray(frequency_hz, dtype=np.float64)
    match cable:
        case CableFromDimensions():
            series, shunt = _per_metre(cable, omega)
            propagation, characteristic = np.sqrt(series * shunt), np.sqrt(series / shunt)
        case CableFromDataSheet():
            root = np.sqrt(omega / (2 * pi * cable.loss_frequency_hz))
            phase = omega / (cable.velocity_factor * SPEED_OF_LIGHT_M_PER_S)
            propagation = cable.loss_db_per_m / _DB_PER_NEPER * root + 1j * phase
            characteristic = np.full(omega.shape, cable.characteristic_ohm, dtype=np.complex128)
            series, shunt = 1j * phase * characteristic, 1j * phase / characteristic
        case _:
            assert_never(cable)
    return LineConstants(
        characteristic_ohm=np.asarray(characteristic),
        propagation_per_m=np.asarray(propagation),
        capacitance_f_per_m=np.asarray(shunt.imag / omega),
        inductance_h_per_m=np.asarray(series.imag / omega),
        velocity_factor=np.asarray(omega / propagation.imag / SPEED_OF_LIGHT_M_PER_S),
        loss_db_per_m=np.asarray(propagation.real * _DB_PER_NEPER),
    )


def _per_metre(
    cable: CableFromDimensions, omega: NDArray[np.float64]
) -> tuple[NDArray[np.complex128], NDArray[np.complex128]]:
    """Series impedance and shunt admittance of a metre."""
    frequency_hz = omega / (2 * pi)
    ratio = np.log(cable.shield_inner_diameter_m / cable.inner_diameter_m)
    capacitance = 2 * pi * EPSILON_0_F_PER_M * cable.relative_permittivity / ratio
    wire = round_wire_impedance_ohm_per_m(
        frequency_hz, diameter_m=cable.inner_diameter_m, conductivity_s_per_m=cable.inner_conductivity_s_per_m
    )
    tube = tube_impedance_ohm_per_m(
        frequency_hz,
        inner_diameter_m=cable.shield_inner_diameter_m,
        outer_diameter_m=cable.shield_outer_diameter_m,
        conductivity_s_per_m=cable.shield_conductivity_s_per_m,
    )
    series = 1j * omega * MU_0_H_PER_M / (2 * pi) * ratio + wire + cable.braid_factor * tube
    return series, 1j * omega * capacitance * (1 - 1j * cable.loss_tangent)


def outside_wire(cable: CoaxialCable) -> RoundWire:
    """Return the round wire that the shield is to the field outside.

    Parameters
    ----------
    cable : CableFromDimensions or CableFromDataSheet

    Returns
    -------
    RoundWire
        As thick as the shield; its conductivity is divided by the square of the braid factor, so that its resistance
        at radio frequency is that of a smooth shield times the factor.
    """
    return RoundWire(
        diameter_m=cable.shield_outer_diameter_m,
        conductivity_s_per_m=cable.shield_conductivity_s_per_m / cable.braid_factor**2,
    )


def cable_limits(cable: CoaxialCable, frequency_hz: float) -> tuple[str, ...]:
    """Say what the model of a cable leaves out at a frequency.

    Parameters
    ----------
    cable : CableFromDimensions or CableFromDataSheet
    frequency_hz : float
        [Hz]

    Returns
    -------
    tuple of str
        One sentence each.
    """
    found = [
        "Inside and outside of the shield share nothing: leakage through a braid (transfer impedance) is left out.",
        "The jacket is left out: a layer on the shield adds capacitance along the loop and lowers its resonance a bit.",
    ]
    if isinstance(cable, CableFromDimensions):
        wall_m = (cable.shield_outer_diameter_m - cable.shield_inner_diameter_m) / 2
        depths = wall_m / float(skin_depth_m(frequency_hz, cable.shield_conductivity_s_per_m))
        if depths < LEAST_SHIELD_DEPTHS:
            found.append(f"The shield is {depths:.1f} skin depths thick; below {LEAST_SHIELD_DEPTHS:g} it is no wall.")
    if cable.braid_factor == 1:
        found.append("The shield is taken as a smooth tube; a braid loses about 1.5 to 3 times as much (from memory).")
    return tuple(found)


@cache
def generic_cables() -> dict[str, CableFromDataSheet]:
    """Generic cables of the packaged table, by what they are; every value from memory, to be measured before use."""
    return {
        row.name: CableFromDataSheet(
            characteristic_ohm=row.characteristic_ohm,
            velocity_factor=row.velocity_factor,
            loss_db_per_m=row.loss_db_per_m,
            loss_frequency_hz=row.loss_frequency_hz,
            shield_outer_diameter_m=row.shield_outer_diameter_m,
            shield_conductivity_s_per_m=row.shield_conductivity_s_per_m,
            braid_factor=row.braid_factor,
        )
        for row in coaxial_cable_rows()
    }
