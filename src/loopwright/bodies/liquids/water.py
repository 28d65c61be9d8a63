"""Water: viscosity, permittivity at rest and its relaxation."""

from math import pi

from loopwright.ground.errors import OutsideModelError

__all__ = ["TEMPERATURES_K", "static_permittivity", "viscosity_pa_s", "water_permittivity"]

#: Liquids of phantoms are told between these temperatures only. [K]
TEMPERATURES_K = (278.15, 318.15)

_ROOM_K = 298.15
#: Relaxation time of water at 25 degC, and permittivity far above it (Kaatze 1989 [kaatze1989], from memory). [s]
_RELAXATION_S = 8.27e-12
_EPS_FAR_ABOVE = 5.2


def viscosity_pa_s(temperature_k: float) -> float:
    """Viscosity of water at atmospheric pressure.

    Parameters
    ----------
    temperature_k : float
        Within 0 to 100 degC. [K]

    Returns
    -------
    float
        [Pa s]

    References
    ----------
    Correlation of M. L. Huber et al., J. Phys. Chem. Ref. Data 38, 101, 2009 [huber2009], for 0.1 MPa, from memory; it
    gives the accepted 1.0016 mPa s at 20 degC.
    """
    t = temperature_k / 300.0
    return 1e-6 * (280.68 * t**-1.9 + 511.45 * t**-7.7 + 61.131 * t**-19.6 + 0.45903 * t**-40)


def static_permittivity(temperature_k: float) -> float:
    """Relative permittivity of water at rest.

    Parameters
    ----------
    temperature_k : float
        Within 0 to 100 degC. [K]

    References
    ----------
    C. G. Malmberg, A. A. Maryott, J. Res. Nat. Bur. Stand. 56, 1, 1956 [malmberg1956], from memory; 78.30 at 25 degC.
    """
    t = temperature_k - 273.15
    return 87.740 - 0.40008 * t + 9.398e-4 * t**2 - 1.410e-6 * t**3


def water_permittivity(frequency_hz: float, temperature_k: float, *, static: float | None = None) -> complex:
    """Complex relative permittivity of water with one relaxation, without ions.

    Parameters
    ----------
    frequency_hz : float
        Frequency, below 10 GHz. [Hz]
    temperature_k : float
        [K]
    static : float, optional
        Permittivity at rest, where salt has lowered it; that of pure water otherwise.

    Returns
    -------
    complex
        With exp(+j omega t): a negative imaginary part is loss.

    Notes
    -----
    The relaxation time goes with viscosity over temperature (Debye), which is within 1.5 % of what was measured at
    20 degC; at 300 MHz its loss is some 0.02 S/m.
    """
    at_rest = static_permittivity(temperature_k) if static is None else static
    tau = _RELAXATION_S * viscosity_pa_s(temperature_k) / viscosity_pa_s(_ROOM_K) * _ROOM_K / temperature_k
    return _EPS_FAR_ABOVE + (at_rest - _EPS_FAR_ABOVE) / (1 + 2j * pi * frequency_hz * tau)


def check_temperature(temperature_k: float) -> None:
    """Refuse temperatures [K] at which no liquid of a phantom is told.

    Raises
    ------
    OutsideModelError
        Below 5 or above 45 degC.
    """
    low, high = TEMPERATURES_K
    if not low <= temperature_k <= high:
        raise OutsideModelError(
            f"a liquid at {temperature_k - 273.15:g} degC: its conductivity is told from {low - 273.15:g} to "
            f"{high - 273.15:g} degC"
        )
