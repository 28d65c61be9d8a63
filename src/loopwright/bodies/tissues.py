"""Dielectric properties of tissues at one frequency, from the four-term dispersion of Gabriel et al. 1996."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.ground.constants import EPSILON_0_F_PER_M
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.tables import ColeColeRow, cole_cole_rows, density_thermal_rows

#: The dispersions were fitted to measurements over this range (Gabriel et al. 1996, abstract). [Hz]
FITTED_RANGE_HZ = (10.0, 20e9)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tissue:
    """A material at one frequency; ``note`` tells where its numbers come from and how far they were checked."""

    name: str
    eps_r: float
    sigma_s_per_m: float
    density_kg_per_m3: float | None = None
    note: str = ""

    def permittivity(self, frequency_hz: float) -> complex:
        """Complex relative permittivity eps_r - j sigma / (omega eps_0) at this frequency [Hz]. [1]"""
        return complex(self.eps_r, -self.sigma_s_per_m / (2 * np.pi * frequency_hz * EPSILON_0_F_PER_M))


def cole_cole_permittivity(
    frequency_hz: ArrayLike,
    *,
    eps_inf: float,
    deltas: Sequence[float],
    taus_s: Sequence[float],
    alphas: Sequence[float],
    sigma_static_s_per_m: float,
) -> NDArray[np.complex128]:
    """Complex relative permittivity of a sum of Cole-Cole dispersions and a static conductivity.

    Parameters
    ----------
    frequency_hz : array_like, shape (...)
        Frequency. [Hz]
    eps_inf : float
        Permittivity far above all dispersions. [1]
    deltas, alphas : sequences of float
        Strength and broadening of each dispersion. [1]
    taus_s : sequence of float
        Relaxation time of each dispersion. [s]
    sigma_static_s_per_m : float
        Static ionic conductivity. [S/m]

    Returns
    -------
    ndarray, shape (...)
        eps_inf + sum delta / (1 + (j omega tau)^(1 - alpha)) + sigma_static / (j omega eps_0). [1]

    References
    ----------
    S. Gabriel, R. W. Lau, C. Gabriel, Phys. Med. Biol. 41, 2271, 1996 [gabriel1996].
    """
    omega = 2 * np.pi * np.asarray(frequency_hz, dtype=float)
    eps = eps_inf + sigma_static_s_per_m / (1j * omega * EPSILON_0_F_PER_M)
    for delta, tau, alpha in zip(deltas, taus_s, alphas, strict=True):
        eps = eps + delta / (1 + (1j * omega * tau) ** (1 - alpha))
    return np.asarray(eps)


def tissue_at(name: str, *, frequency_hz: float) -> Tissue:
    """A tissue of the packaged table at one frequency.

    Parameters
    ----------
    name : str
        Name as in the table.
    frequency_hz : float
        Frequency. [Hz]

    Raises
    ------
    OutsideModelError
        If the table does not know the name, or the frequency lies outside the fitted range.

    Notes
    -----
    Adult values; samples of one tissue scatter by some 5 to 10 % (from memory), and tissues of children are wetter.
    Every row keeps its own static conductivity: published variants with another one below 1 MHz are never mixed in.
    """
    low, high = FITTED_RANGE_HZ
    if not low <= frequency_hz <= high:
        raise OutsideModelError(
            f"tissue properties at {frequency_hz:g} Hz: the dispersions were fitted from {low:g} Hz to {high:g} Hz."
        )
    row = _row(name)
    eps = cole_cole_permittivity(
        frequency_hz,
        eps_inf=row.eps_inf,
        deltas=row.deltas,
        taus_s=row.taus_s,
        alphas=row.alphas,
        sigma_static_s_per_m=row.sigma_static_s_per_m,
    ).item()
    density, density_note = _density(name)
    return Tissue(
        name=name,
        eps_r=float(eps.real),
        sigma_s_per_m=float(-eps.imag * 2 * np.pi * frequency_hz * EPSILON_0_F_PER_M),
        density_kg_per_m3=density,
        note=f"dispersion {_in_words(row.note)}; {_check_in_words(row.check)}; density {_in_words(density_note)}",
    )


def _row(name: str) -> ColeColeRow:
    rows = {row.tissue: row for row in cole_cole_rows()}
    if name not in rows:
        raise OutsideModelError(f"tissue {name!r} is not in the table. It knows: {', '.join(rows)}.")
    return rows[name]


def _density(name: str) -> tuple[float | None, str]:
    for row in density_thermal_rows():
        if row.tissue == name:
            return row.density_kg_per_m3, row.note
    return None, "not in the table"


def _in_words(note: str) -> str:
    """Say where a row was read, without the shorthand of the tables."""
    where = re.search(r"\((.*)\)", note)
    if note.startswith("READ") and where is not None:
        place = where[1].partition(" seen in ")[2] or f"a {where[1]}"
        return f"read in {place.replace('; original ', ', original: ')}"
    return note.replace("MEMORY", "from memory, unverified")


def _check_in_words(check: str) -> str:
    """Say how a row compares with another publication, where the table does."""
    found = re.match(r"(\S+) MHz vs independent published (\S+)/(\S+) S/m: (\S+)% / (\S+)%$", check)
    if found is None:
        return check
    megahertz, eps_r, sigma, eps_off, sigma_off = found.groups()
    eps_off, sigma_off = (off.replace("-", "\N{MINUS SIGN}") for off in (eps_off, sigma_off))
    return f"{eps_off} % and {sigma_off} % from an independent {eps_r} and {sigma} S/m at {megahertz} MHz"
