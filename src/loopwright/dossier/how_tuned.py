"""What a run takes as tuned and matched, in words."""

__all__ = ["TUNED_AT_TERMINALS", "TUNED_BY_CAPACITORS"]

TUNED_BY_CAPACITORS = (
    "Each element is tuned alone: the gaps of all others open, equal capacitors in its gaps, this body beside it, "
    "reactance zero at the operating frequency. Then a lossless match of every element to 50 ohm real. network.sNp "
    "holds the element ports before matching: a break in series with the first gap's capacitor, the other gaps closed "
    "by theirs."
)
TUNED_AT_TERMINALS = (
    "Each element is tuned alone: the gaps of all others open, one part across its terminal, the first cut of its "
    "inner conductor, this body beside it. Then a lossless match of every element to 50 ohm real. So that figures are "
    "those of a loop, an ideal quarter-wave line stands behind each terminal: one ampere at the element port is one "
    "ampere round the loop outside, an open port is a shorted terminal, and the inductance holds the energy of the "
    "line inside. It loses nothing, so noise and SNR are those of the terminals. network.sNp holds these ports before "
    "matching."
)
