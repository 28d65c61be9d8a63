"""The waves of all pairs of an array in one field after another."""

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.bias.clamped_pair import ClampedPairs
from loopwright.circuits.under_field.pairs_balanced import PairsDriven
from loopwright.ground.errors import NotConvergedError, OutsideModelError

__all__ = [
    "acting",
    "blocked_currents_a_per_t",
    "followed",
    "junction_siemens",
    "led",
    "linear_waves_v",
    "pair_siemens",
    "port_currents_a_per_t",
    "voltage_and_current",
]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Where following begins: this voltage across the pair that sees most; far below any diode's. [V]
_WEAK_V = 1e-3
#: A step of the field at most, and the least before following is given up.
_GREATEST_STEP, _LEAST_STEP = 2.0, 1.0 + 1e-6
_TOLERANCE, _STEPS = 1e-10, 40
#: Of a Newton step; less is as good as standing still.
_LEAST_PART = 1e-4


def linear_waves_v(driven: PairsDriven) -> Complexes:
    """Waves per field of pairs that are as they are in a weak one, shape (N,). [V/T]"""
    shares, _ = driven.curves.shares(np.zeros(len(driven.seen.pairs)))
    whole = np.diag(shares[0]) + driven.seen.ohm * (shares[1] / driven.curves.behind_ohm)
    return np.asarray(np.linalg.solve(whole, driven.seen.open_v))


def followed(driven: PairsDriven, fields_t: Floats) -> Complexes:
    """Waves of the pairs in each field.

    Parameters
    ----------
    driven : PairsDriven
        N pairs.
    fields_t : ndarray, shape (B,)
        In any order. [T]

    Returns
    -------
    ndarray, shape (B, N)
        [V]
    """
    waves = np.zeros((len(fields_t), len(driven.seen.pairs)), dtype=np.complex128)
    if not driven.seen.pairs:
        return waves
    linear, strongest_v = linear_waves_v(driven), np.abs(driven.seen.open_v).max()
    here_t = min(float(fields_t.min()), _WEAK_V / strongest_v) if strongest_v else float(fields_t.min())
    wave = linear * here_t
    for place in np.argsort(fields_t):
        wave = led(driven, wave, here_t, float(fields_t[place]))
        here_t, waves[place] = float(fields_t[place]), wave
    return waves


def led(driven: PairsDriven, wave: Complexes, from_t: float, to_t: float) -> Complexes:
    """Lead the waves from one field to a stronger one, by steps as small as they need to be.

    Parameters
    ----------
    driven : PairsDriven
        N pairs.
    wave : ndarray, shape (N,)
        In the field to begin with. [V]
    from_t, to_t : float
        Both fields. [T]

    Returns
    -------
    ndarray, shape (N,)
        In the other. [V]

    Raises
    ------
    NotConvergedError
        If no state follows from one before.
    OutsideModelError
        If more current flows than the curves tell of.
    """
    step = _GREATEST_STEP
    while True:
        next_t = min(from_t * step, to_t)
        found = _balanced(driven, wave * next_t / from_t, next_t)
        if found is not None:
            if np.abs(found).max() > driven.curves.greatest_v:
                raise OutsideModelError(f"crossed diodes at {next_t * 1e6:.4g} uT: more current than is told of them")
            wave, from_t, step = found, next_t, min(step**2, _GREATEST_STEP)
            if from_t >= to_t:
                return wave
        elif step < _LEAST_STEP:
            raise NotConvergedError(
                f"crossed diodes: no state of the array follows from that at {from_t * 1e6:.4g} uT; the impedance "
                "between the gaps or a circuit gives power away"
            )
        else:
            step = np.sqrt(step)


def _balanced(driven: PairsDriven, wave: Complexes, field_t: float) -> Complexes | None:
    """Waves at which every pair has what the array leaves it, by damped Newton steps; None where they do not settle."""
    missing, size = _missing(driven, wave, field_t)
    for _ in range(_STEPS):
        if size <= _TOLERANCE:
            return wave
        step, part = _newton_step(driven, wave, missing), 1.0
        while True:
            tried = wave - part * step
            left, left_size = _missing(driven, tried, field_t)
            if left_size < size or left_size <= _TOLERANCE:
                break
            part /= 2
            if part < _LEAST_PART:
                return None
        wave, missing, size = tried, left, left_size
    return None


def _missing(driven: PairsDriven, wave: Complexes, field_t: float) -> tuple[Complexes, float]:
    """V + Z I - V0 of every pair, and the greatest over the voltages that it is made of."""
    voltage, current = voltage_and_current(wave, driven.curves)
    open_v, ohm = driven.seen.open_v * field_t, driven.seen.ohm
    missing = voltage + ohm @ current - open_v
    sum_v = np.abs(voltage) + np.abs(ohm) @ np.abs(current) + np.abs(open_v)
    return missing, float(np.max(np.abs(missing) / np.maximum(sum_v, np.finfo(np.float64).tiny)))


def _newton_step(driven: PairsDriven, wave: Complexes, missing: Complexes) -> Complexes:
    """Real and imaginary parts of the waves are the unknowns: curves over amplitudes are not analytic."""
    shares, slopes = driven.curves.shares(np.abs(wave))
    count = len(wave)
    size = np.where(wave == 0, 1.0, np.abs(wave))
    columns = []
    for turn in (1.0, 1j):
        longer = (turn * wave.conj()).real / size**2  # of the logarithm of the amplitude
        voltage, scaled = shares * turn + slopes * wave * longer
        columns.append(np.diag(voltage) + driven.seen.ohm * (scaled / driven.curves.behind_ohm))
    whole = np.block([[c.real for c in columns], [c.imag for c in columns]])
    step = np.linalg.solve(whole, np.concatenate((missing.real, missing.imag)))
    return np.asarray(step[:count] + 1j * step[count:])


def voltage_and_current(waves: Complexes, curves: ClampedPairs) -> tuple[Complexes, Complexes]:
    """Of every pair, shape (..., N). [V], [A]"""
    flat = waves.reshape(int(np.prod(waves.shape[:-1])), waves.shape[-1])
    both = [curves.shares(np.abs(wave))[0] * wave for wave in flat]
    voltage, scaled = np.moveaxis(
        np.array(both, dtype=np.complex128).reshape(*waves.shape[:-1], 2, waves.shape[-1]), -2, 0
    )
    return voltage, np.asarray(scaled / curves.behind_ohm)


def pair_siemens(driven: PairsDriven, waves_v: Complexes) -> Complexes:
    """Admittance of each pair, its blocking resistance left out.

    Parameters
    ----------
    driven : PairsDriven
        N pairs.
    waves_v : ndarray, shape (B, N)
        [V]

    Returns
    -------
    ndarray, shape (B, N)
        [S]
    """
    shares = np.array([driven.curves.shares(np.abs(wave))[0] for wave in waves_v]).reshape(
        len(waves_v), 2, waves_v.shape[-1]
    )
    return np.asarray(shares[:, 1] / shares[:, 0] / driven.curves.behind_ohm)


def junction_siemens(driven: PairsDriven, waves_v: Complexes) -> Complexes:
    """Admittance of the junctions of each pair behind its series resistance.

    Parameters
    ----------
    driven : PairsDriven
        N pairs.
    waves_v : ndarray, shape (B, N)
        [V]

    Returns
    -------
    ndarray, shape (B, N)
        [S]
    """
    series = np.array([pair.law.series_resistance_ohm for pair in driven.seen.pairs])
    return np.asarray(1 / (1 / pair_siemens(driven, waves_v) - series))


def acting(driven: PairsDriven, waves_v: Complexes, f: float) -> Floats:
    """Conductance of the junctions over the admittance of all that lies beside them.

    Parameters
    ----------
    driven : PairsDriven
        N pairs.
    waves_v : ndarray, shape (B, N)
        [V]
    f : float
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (B, N)
        The other pairs are what they are in the same field.
    """
    pairs = driven.seen.pairs
    series = np.array([pair.law.series_resistance_ohm for pair in pairs])
    capacitance = 2j * np.pi * f * np.array([pair.law.junction_capacitance_f for pair in pairs])
    pair_ohm = 1 / pair_siemens(driven, waves_v)
    # Array and pairs in series, inverted: what the whole loop through one pair is, that pair included.
    inside = np.linalg.inv(driven.seen.ohm + pair_ohm[:, None, :] * np.eye(len(pairs)))
    seen_ohm = 1 / np.diagonal(inside, axis1=-2, axis2=-1) - pair_ohm
    beside = np.abs(1 / (seen_ohm + series) + capacitance)
    return np.asarray(junction_siemens(driven, waves_v).real / beside)


def port_currents_a_per_t(driven: PairsDriven, wave_v: Complexes, field_t: float) -> Complexes:
    """Currents of all gaps per field.

    Parameters
    ----------
    driven : PairsDriven
        N pairs on P gaps.
    wave_v : ndarray, shape (N,)
        [V]
    field_t : float
        In which they are so. [T]

    Returns
    -------
    ndarray, shape (P,)
        [A/T]
    """
    _, current = voltage_and_current(wave_v, driven.curves)
    return np.asarray(driven.seen.port_a + driven.seen.port_per_pair @ current / field_t)


def blocked_currents_a_per_t(driven: PairsDriven) -> Complexes:
    """Return the same in a field too weak for any pair, shape (P,). [A/T]"""
    shares, _ = driven.curves.shares(np.zeros(len(driven.seen.pairs)))
    current = shares[1] * linear_waves_v(driven) / driven.curves.behind_ohm
    return np.asarray(driven.seen.port_a + driven.seen.port_per_pair @ current)
