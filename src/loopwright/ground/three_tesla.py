"""The two frequencies of protons that are both called 3 T."""

__all__ = ["HIGH_3_T_HZ", "LOW_3_T_HZ", "near_3_t", "other_3_t_hz"]

#: Proton frequencies of the two kinds of scanner that are called 3 T. [Hz]
LOW_3_T_HZ, HIGH_3_T_HZ = 123.2e6, 127.73e6
_NEAR = 0.01


def other_3_t_hz(proton_frequency_hz: float) -> float:
    """Frequency of the other kind of scanner that is called 3 T.

    Parameters
    ----------
    proton_frequency_hz : float
        Frequency of this one, within 1 % of either. [Hz]

    Returns
    -------
    float
        123.2 or 127.73 MHz, whichever is farther. [Hz]
    """
    return LOW_3_T_HZ if proton_frequency_hz > (LOW_3_T_HZ + HIGH_3_T_HZ) / 2 else HIGH_3_T_HZ


def near_3_t(proton_frequency_hz: float) -> bool:
    """Tell whether a scanner is of one of the two kinds.

    Parameters
    ----------
    proton_frequency_hz : float
        Its frequency. [Hz]

    Returns
    -------
    bool
        Within 1 % of 123.2 or 127.73 MHz.
    """
    return any(abs(proton_frequency_hz / known - 1) < _NEAR for known in (LOW_3_T_HZ, HIGH_3_T_HZ))
