"""The field of a driven birdcage inside its shield, without array and body, per tesla of peak B1+ at its middle."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.fields.rotating import Precession, transmit_component
from loopwright.fields.transmit.birdcage import Birdcage
from loopwright.fields.transmit.birdcage_drive import Driven
from loopwright.fields.transmit.birdcage_power import end_currents_a
from loopwright.fields.transmit.birdcage_wires import CageWires
from loopwright.fields.wires.piece_fields import fields_of_ends
from loopwright.fields.wires.wire_graph import WireGraph
from loopwright.ground.errors import OutsideModelError

__all__ = ["BirdcageField", "birdcage_field", "birdcage_limits"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Share of the resonator's radius within which it is told how even the field is.
_NEAR = 1 / 3


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdcageField:
    """A transmit source: the currents of a birdcage and its shield, held.

    Attributes
    ----------
    cage : Birdcage
        The resonator.
    graph : WireGraph
        Its wires and those of the shield, in the body frame.
    end_current_a_per_t : ndarray, shape (2 pieces,)
        Current of every end per tesla of peak B1+ at the middle. [A/T]
    frequency_hz : float
        [Hz]
    sense : Precession
        Sense of precession of the spins, with which the field turns.
    """

    cage: Birdcage
    graph: WireGraph
    end_current_a_per_t: Complexes
    frequency_hz: float
    sense: Precession

    @property
    def name(self) -> str:
        """What it is, in words."""
        return (
            f"birdcage body resonator, {self.cage.rungs} rungs, {2e3 * self.cage.radius_m:.0f} mm wide and "
            f"{1e3 * self.cage.length_m:.0f} mm long, in a shield {2e3 * self.cage.shield.radius_m:.0f} mm wide"
        )

    @property
    def limits(self) -> tuple[str, ...]:
        """Where its field stops being that of a real resonator."""
        near_m = _NEAR * self.cage.radius_m
        percent = 100 * self.unevenness(near_m)
        return (
            *birdcage_limits(),
            (
                f"Without body and array B1+ differs from that at its middle by up to {percent:.0f} % within "
                f"{1e3 * near_m:.0f} mm of it."
            ),
        )

    def unevenness(self, radius_m: float) -> float:
        """Largest difference of the magnitude of B1+ from that at the middle, over it, on a sphere about it [m]."""
        ways = np.stack(np.meshgrid(*[[-1.0, 0.0, 1.0]] * 3), axis=-1).reshape(-1, 3)
        ways = ways[np.any(ways, axis=1)]
        points = np.array(self.cage.centre_m) + radius_m * ways / np.linalg.norm(ways, axis=1, keepdims=True)
        b = self.magnetic_t_per_t(points)
        return float(np.abs(np.abs(transmit_component(b[:, 0], b[:, 1], sense=self.sense)) - 1).max())

    def electric_v_per_m_per_t(self, points_m: ArrayLike) -> Complexes:
        """Electric field at points (..., 3) [m] of the body frame, shape (..., 3). [V/m per T]"""
        return self._fields(points_m)[0]

    def magnetic_t_per_t(self, points_m: ArrayLike) -> Complexes:
        """Magnetic field at points (..., 3) [m] of the body frame, shape (..., 3). [T/T]"""
        return self._fields(points_m)[1]

    def _fields(self, points_m: ArrayLike) -> tuple[Complexes, Complexes]:
        points = np.asarray(points_m, dtype=np.float64)
        electric, magnetic = fields_of_ends(
            points.reshape(-1, 3), self.graph, self.end_current_a_per_t, self.frequency_hz
        )
        return electric.reshape(points.shape), magnetic.reshape(points.shape)


def birdcage_field(wires: CageWires, driven: Driven, *, sense: Precession) -> BirdcageField:
    """Take the currents of a driven birdcage as a transmit source.

    Parameters
    ----------
    wires : CageWires
        The resonator.
    driven : Driven
        Its currents, without body.
    sense : Precession
        Sense of precession of the spins, as it was driven for.

    Raises
    ------
    OutsideModelError
        If at the middle the field turns against the spins more than with them.
    """
    ends = end_currents_a(wires, driven)
    _, middle = fields_of_ends(np.array(wires.cage.centre_m)[None], wires.graph, ends, wires.frequency_hz)
    with_spins = complex(transmit_component(middle[0, 0], middle[0, 1], sense=sense))
    if abs(with_spins) <= abs(transmit_component(middle[0, 0], middle[0, 1], sense=-sense)):
        raise OutsideModelError(
            "at its middle the field turns against the spins: the birdcage was driven for the other sense"
        )
    return BirdcageField(
        cage=wires.cage,
        graph=wires.graph,
        end_current_a_per_t=ends / with_spins,
        frequency_hz=wires.frequency_hz,
        sense=sense,
    )


def birdcage_limits() -> tuple[str, ...]:
    """Say what is left out, wherever a birdcage's field is used."""
    return (
        (
            "The resonator's currents are held as they are without a body: what array and body do back to it and its "
            "shield, and how the scanner then sets its power, is not in the field. A column of gel 0.24 m across took "
            "9 % more power at 128 MHz once shield and conductors answered it, the currents at the capacitors held."
        ),
        (
            "The shield is a smooth cylinder of sheet, open at both ends; its slots, the gradient coils and the magnet "
            "behind it, and the table in it are left out."
        ),
        (
            "Sources stand directly across two capacitors: their cables carry nothing on their outsides, and no balun, "
            "switch or detuning part of the resonator is in it."
        ),
        (
            "Strips are thin wires of a quarter of their width and the shield is a grid: within a strip's width of a "
            "conductor, or a grid's spacing of the shield, the field is not theirs."
        ),
        "Dimensions and capacitors are those of the brief, not a scanner's: its maker knows the field of the real one.",
    )
