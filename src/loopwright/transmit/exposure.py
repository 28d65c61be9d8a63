"""How strongly and how long the scanner transmits."""

from dataclasses import dataclass

__all__ = ["Exposure"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """The field of a sequence: what one pulse reaches, and what heats over time.

    Attributes
    ----------
    peak_b1_plus_t : float
        Largest amplitude of B1+ within a pulse, at the middle of the unloaded resonator. [T]
    rms_b1_plus_t : float
        Root of the mean square of the amplitude of B1+ over a period of the sequence, as scanners print B1+rms; mean
        powers are those of a steady field of this amplitude. [T]
    duration_s : float
        For which it is played. [s]
    """

    peak_b1_plus_t: float
    rms_b1_plus_t: float
    duration_s: float

    @property
    def duty(self) -> float:
        """Mean power over that at the peak."""
        return (self.rms_b1_plus_t / self.peak_b1_plus_t) ** 2
