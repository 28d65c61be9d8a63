"""Invented birdcage resonators that several tests share."""

from loopwright.conductors import FlatStrip
from loopwright.fields.transmit.birdcage import Birdcage, Shield

COPPER = 5.8e7


def strip(width_m=0.04):
    return FlatStrip(width_m=width_m, thickness_m=1e-4, conductivity_s_per_m=COPPER)


def birdcage(**changed):
    """Twelve rungs, 0.6 m wide and long, on a coarse mesh: seconds."""
    given = {
        "radius_m": 0.30,
        "length_m": 0.60,
        "rungs": 12,
        "section": strip(),
        "shield": Shield(radius_m=0.36, length_m=0.9, wires_per_rung=2),
        "capacitor_q": 1000.0,
        "pieces_per_rung": 8,
    }
    return Birdcage(**(given | changed))


def adult_birdcage(length_m):
    """Sixteen rungs, 0.6 m wide, in a shield of 0.68 m."""
    return birdcage(
        length_m=length_m,
        rungs=16,
        shield=Shield(radius_m=0.34, length_m=1.2, wires_per_rung=3),
        pieces_per_rung=12,
    )
