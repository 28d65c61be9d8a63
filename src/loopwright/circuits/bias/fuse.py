"""Which fuse opens when the loop is intact, survives when it is detuned, and what it costs in noise."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.ground.sources import Flag, Source

__all__ = [
    "GENERIC_FUSE",
    "Fuse",
    "FuseWindow",
    "fuse_resistance_ohm",
    "fuse_window",
    "noise_cost_db",
    "opening_time_s",
]

Floats = NDArray[np.float64]

#: Rule of the trade: three times the detuned current, a third of the intact one.
_RULE = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Fuse:
    """A kind of fuse, rating left open.

    Attributes
    ----------
    known_multiple, known_time_s
        Multiple of the rating at which it opens, and after which time at the latest. [s]
    time_exponent
        Beyond, the time falls as this power of the current: 2 for wire that loses no heat (constant I^2 t).
    drop_v
        Resistance times rating: the voltage across it at its rated current. [V]
    carried_fraction
        Part of the rating that it carries for ever.
    source
        Where the values come from.
    """

    known_multiple: float
    known_time_s: float
    time_exponent: float
    drop_v: float
    carried_fraction: float
    source: Source


GENERIC_FUSE = Fuse(
    known_multiple=2.0,
    known_time_s=5.0,
    time_exponent=2.0,
    drop_v=0.15,
    carried_fraction=0.75,
    source=Source(key="", where="order of size of small quick chip fuses; take your data sheet", flag=Flag.MEMORY),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FuseWindow:
    """Ratings that do both; every array of the shape of the currents.

    Attributes
    ----------
    least_a
        Smallest rating that survives the detuned current: by the fuse's own limit, and by the rule. [A]
    greatest_a
        Largest rating that opens in time on the intact current: by its time law, and by the rule. [A]
    """

    least_a: Floats
    greatest_a: Floats

    @property
    def empty(self) -> NDArray[np.bool_]:
        """Whether no rating does both."""
        return np.asarray(self.least_a > self.greatest_a)


def opening_time_s(current_rms_a: ArrayLike, *, rating_a: ArrayLike, fuse: Fuse) -> Floats:
    """Time until a fuse has opened at the latest.

    Parameters
    ----------
    current_rms_a, rating_a : array_like, shape (...)
        Current through it, rms, and its rating. [A]
    fuse : Fuse
        Its kind.

    Returns
    -------
    ndarray, shape (...)
        Infinite below the multiple at which it is known to open: there it may open or not. [s]
    """
    times = np.asarray(current_rms_a, dtype=np.float64) / (fuse.known_multiple * np.asarray(rating_a))
    with np.errstate(divide="ignore"):
        return np.where(times >= 1, fuse.known_time_s * times**-fuse.time_exponent, np.inf)


def fuse_window(intact_rms_a: ArrayLike, *, detuned_rms_a: ArrayLike, fuse: Fuse, within_s: float = 1.0) -> FuseWindow:
    """Ratings between the current that must open the fuse and the one that must not.

    Parameters
    ----------
    intact_rms_a : array_like, shape (...)
        Loop current with no trap acting, at the largest transmit field, rms over the sequence. [A]
    detuned_rms_a : array_like, shape (...)
        Loop current of the working, detuned coil, rms. [A]
    fuse : Fuse
        Its kind.
    within_s : float
        Time within which it has to open. [s]

    Returns
    -------
    FuseWindow
        The window, empty where the bounds cross.

    Notes
    -----
    The rule of the trade, at least three times the detuned and at most a third of the intact current, is common
    practice; the stricter of rule and time law counts at either end. Currents of an intact loop without its reaction on
    the transmit field are upper bounds: keep away from the upper end.
    """
    intact, detuned = np.broadcast_arrays(np.asarray(intact_rms_a, dtype=np.float64), detuned_rms_a)
    hurried = np.maximum(fuse.known_time_s / within_s, 1.0) ** (1 / fuse.time_exponent)
    return FuseWindow(
        least_a=np.asarray(detuned * max(_RULE, 1 / fuse.carried_fraction)),
        greatest_a=np.asarray(intact / max(_RULE, float(fuse.known_multiple * hurried))),
    )


def fuse_resistance_ohm(rating_a: ArrayLike, *, fuse: Fuse) -> Floats:
    """Cold resistance of a fuse of this rating.

    Parameters
    ----------
    rating_a : array_like, shape (...)
        Rating. [A]
    fuse : Fuse
        Its kind.

    Returns
    -------
    ndarray, shape (...)
        Its drop over its rating. [ohm]
    """
    return np.asarray(fuse.drop_v / np.asarray(rating_a, dtype=np.float64))


def noise_cost_db(
    added_ohm: ArrayLike,
    *,
    body_ohm: ArrayLike,
    coil_ohm: ArrayLike,
    body_temperature_k: float,
    coil_temperature_k: float,
) -> Floats:
    """Noise that a resistance in the loop adds to what is there.

    Parameters
    ----------
    added_ohm : array_like, shape (...)
        Resistance of the fuse, at the temperature of the coil. [ohm]
    body_ohm, coil_ohm : array_like, shape (...)
        Series resistance of the body, and of the coil without the fuse. [ohm]
    body_temperature_k, coil_temperature_k : float
        Temperatures. [K]

    Returns
    -------
    ndarray, shape (...)
        10 log10(1 + R Tc / (Rb Tb + Rc Tc)). [dB]
    """
    present = np.asarray(body_ohm) * body_temperature_k + np.asarray(coil_ohm) * coil_temperature_k
    return np.asarray(10 * np.log10(1 + np.asarray(added_ohm) * coil_temperature_k / present))
