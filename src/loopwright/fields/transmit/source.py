r"""What transmits: the field of a resonator as it is without array and body, per tesla of peak B1+ at its middle."""

from dataclasses import dataclass
from math import pi
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.fields.rotating import Precession
from loopwright.fields.transmit.uniform_field import ElectricField, electric_field_v_per_m, rotating_field_t

__all__ = ["BodyResonator", "TransmitSource", "UniformField"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


class TransmitSource(Protocol):
    """A resonator that transmits at one frequency, alone in free space.

    Peak phasors per tesla of peak B1+ at its middle; ``limits`` are the sentences that a reader has to know.
    """

    @property
    def name(self) -> str:
        """What it is, in words."""

    @property
    def limits(self) -> tuple[str, ...]:
        """Where its field stops being that of a real resonator."""

    @property
    def frequency_hz(self) -> float:
        """Frequency. [Hz]"""

    @property
    def sense(self) -> Precession:
        """Sense of precession of the spins, with which its field turns."""

    def electric_v_per_m_per_t(self, points_m: ArrayLike) -> Complexes:
        """Electric field at points (..., 3) [m] of the body frame, shape (..., 3). [V/(m T)]"""

    def magnetic_t_per_t(self, points_m: ArrayLike) -> Complexes:
        """Magnetic field at points (..., 3) [m] of the body frame, shape (..., 3). [T/T]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class UniformField:
    """A uniform rotating field.

    Attributes
    ----------
    frequency_hz : float
        [Hz]
    sense : Precession
        Sense of precession of the spins, with which the field turns.
    gauge : ElectricField
        Which electric field goes with it.
    centre_m : tuple of 3 floats
        Where the electric field is zero, in the body frame; the origin when left out. [m]
    """

    frequency_hz: float
    sense: Precession = Precession.CLOCKWISE
    gauge: ElectricField = ElectricField.AXIAL
    centre_m: tuple[float, float, float] = (0.0, 0.0, 0.0)

    @property
    def name(self) -> str:
        """What it is, in words."""
        return f"uniform rotating field, electric field {self.gauge.value}"

    @property
    def limits(self) -> tuple[str, ...]:
        """Where its field stops being that of a real resonator."""
        return (
            "The transmit field is uniform without end: that of a real resonator falls off towards its ends.",
            (
                f"A uniform field does not tell its electric field, taken here as: {self.gauge.value}. Currents of "
                "detuned elements and of cables depend on it."
            ),
            _HELD,
        )

    def electric_v_per_m_per_t(self, points_m: ArrayLike) -> Complexes:
        """Electric field at points (..., 3) [m], shape (..., 3). [V/(m T)]"""
        return electric_field_v_per_m(
            np.asarray(points_m) - np.array(self.centre_m),
            rotating_field_t(1.0, sense=self.sense),
            frequency_hz=self.frequency_hz,
            electric=self.gauge,
        )

    def magnetic_t_per_t(self, points_m: ArrayLike) -> Complexes:
        """Magnetic field at points (..., 3) [m], shape (..., 3). [T/T]"""
        return np.broadcast_to(rotating_field_t(1.0, sense=self.sense), np.shape(points_m)).copy()


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyResonator:
    r"""An idealised body resonator along z: a rotating field with the profile of its length, all E along z.

    Attributes
    ----------
    radius_m, length_m : float
        Of the cylinder of its legs, between its end rings. [m]
    centre_m : tuple of 3 floats
        Its middle, in the body frame. [m]
    frequency_hz : float
        [Hz]
    sense : Precession
        Sense of precession of the spins, with which the field turns.

    Notes
    -----
    With x, y, z from its middle and s = +-1 the sense, all follows from one vector potential along z,

    .. math:: A_z = a(z)\,(y - j s x),\qquad E = -j\omega A,\qquad B = \nabla\times A = a(z)\,(1, js, 0),

    so that curl E = -j omega B and div B = 0 hold exactly, and \|E\| = omega B1+ r in the bore.

    The profile a is that of a sheet of current on the cylinder, :math:`K_z = K\cos\varphi` over \|z\| < h = length/2,
    on the axis. The sheet's law of Biot and Savart, :math:`\int\cos^2\varphi\,d\varphi = \pi`, leaves

    .. math:: \frac{\mu_0 K R^2}{4}\int_{-h}^{h}\frac{dz'}{(R^2+(z-z')^2)^{3/2}}
              = \frac{\mu_0 K}{4}\Big[\frac{u}{\sqrt{R^2+u^2}}\Big]_{z-h}^{z+h}.

    What arrives at an end flows round its ring, :math:`I_\varphi = \pm KR\sin\varphi` at z = +-h, which adds
    :math:`\frac{\mu_0 K}{4}\,R^2 u/(R^2+u^2)^{3/2}` between the same bounds, and nothing along z. Hence

    .. math:: a(z) = \frac{g(z+h) - g(z-h)}{2\,g(h)},\qquad
              g(u) = \frac{u}{\sqrt{R^2+u^2}}\Big(1+\frac{R^2}{R^2+u^2}\Big),

    one at the middle.
    """

    radius_m: float
    length_m: float
    centre_m: tuple[float, float, float]
    frequency_hz: float
    sense: Precession = Precession.CLOCKWISE

    def __post_init__(self) -> None:
        """Refuse a resonator without extent."""
        if not (self.radius_m > 0 and self.length_m > 0 and self.frequency_hz > 0):
            raise ValueError(
                f"a body resonator needs a radius, a length and a frequency above zero; found radius_m = "
                f"{self.radius_m:g}, length_m = {self.length_m:g}, frequency_hz = {self.frequency_hz:g}"
            )

    @property
    def name(self) -> str:
        """What it is, in words."""
        return f"idealised body resonator, {2e3 * self.radius_m:.0f} mm wide and {1e3 * self.length_m:.0f} mm long"

    @property
    def limits(self) -> tuple[str, ...]:
        """Where its field stops being that of a real resonator."""
        return (
            (
                "The transmit field has the same strength everywhere across the bore, and no part along z: near the "
                "legs, and towards and beyond the end rings, that of a real resonator differs."
            ),
            (
                "Its electric field is along the bore and obeys Faraday's law everywhere; Ampere's law holds only "
                "where the profile along z is flat, and within a small part of a wavelength from the axis."
            ),
            "The profile is that of a static current sheet with end rings on its axis; a shield makes it shorter.",
            _HELD,
        )

    def profile(self, z_m: ArrayLike) -> Floats:
        """B1+ on the axis over that at the middle, at z from the middle [m], shape as given. [1]"""
        z, h = np.asarray(z_m, dtype=np.float64), self.length_m / 2
        return np.asarray((self._end(z + h) - self._end(z - h)) / (2 * self._end(np.array(h))))

    def _end(self, u_m: Floats) -> Floats:
        """Share of one end of the sheet and of its ring: g in the class's notes."""
        square = self.radius_m**2 + u_m**2
        return np.asarray(u_m / np.sqrt(square) * (1 + self.radius_m**2 / square))

    def electric_v_per_m_per_t(self, points_m: ArrayLike) -> Complexes:
        """Electric field at points (..., 3) [m], shape (..., 3). [V/(m T)]"""
        x, y, z = np.moveaxis(np.asarray(points_m, dtype=np.float64) - np.array(self.centre_m), -1, 0)
        along_z = -2j * pi * self.frequency_hz * self.profile(z) * (y - 1j * self.sense * x)
        return np.asarray(along_z[..., None] * np.array([0, 0, 1]))

    def magnetic_t_per_t(self, points_m: ArrayLike) -> Complexes:
        """Magnetic field at points (..., 3) [m], shape (..., 3). [T/T]"""
        z = np.asarray(points_m, dtype=np.float64)[..., 2] - self.centre_m[2]
        return rotating_field_t(self.profile(z), sense=self.sense)


_HELD = (
    "The resonator's current is held: what array and body do back to the resonator, and how the scanner then sets "
    "its power, is not in the field."
)
