"""What a run tells of its coaxial elements beside the tuned array: resonance, terminal, coupling, limits."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from loopwright.circuits.array_ports import array_ports
from loopwright.circuits.coaxial.coaxial_coupling import PairCoupling, pair_coupling
from loopwright.circuits.coaxial.coaxial_element import CoaxialElement
from loopwright.circuits.coaxial.coaxial_layout import elements_of
from loopwright.circuits.coaxial.coaxial_limits import coaxial_limits
from loopwright.circuits.coaxial.coaxial_on_body import CoaxialFigures, coaxial_on_body
from loopwright.circuits.tuned.noise import NoiseTemperatures
from loopwright.conductors import DressedLayout
from loopwright.fields.body import BodyReply
from loopwright.fields.wires import PortNetwork

__all__ = ["CoaxialOutcome", "coaxial_outcome"]

#: Pairs that are held against loops, the nearest ones: each is solved by itself.
MOST_PAIRS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class CoaxialOutcome:
    """Coaxial elements of a run.

    Attributes
    ----------
    figures : tuple of CoaxialFigures
        Each alone on this body, nothing at its terminal.
    pairs : tuple of PairCoupling
        The nearest ones, in air, beside equal loops with capacitors.
    limits : tuple of str
        What the model leaves out, every sentence once.
    """

    figures: tuple[CoaxialFigures, ...]
    pairs: tuple[PairCoupling, ...]
    limits: tuple[str, ...]


def coaxial_outcome(
    network: PortNetwork, reply: BodyReply, *, dressed: DressedLayout, temperatures: NoiseTemperatures
) -> CoaxialOutcome:
    """Tell what the coaxial elements of a run are.

    Parameters
    ----------
    network : PortNetwork
        The outsides of the shields in air.
    reply : BodyReply
        What the body does to them.
    dressed : DressedLayout
        Elements and their cable.
    temperatures : NoiseTemperatures
        Of body and coil.

    Raises
    ------
    OutsideModelError
        If the elements are of another conductor, or cannot be tuned in air.
    """
    elements, f0 = elements_of(dressed), network.frequency_hz
    limits = [sentence for element in elements for sentence in coaxial_limits(element, f0)]
    return CoaxialOutcome(
        figures=coaxial_on_body(network, array_ports(network, reply, temperatures), elements),
        pairs=tuple(pair_coupling(elements, pair, f0) for pair in _nearest(elements)),
        limits=tuple(dict.fromkeys(limits)),
    )


def _nearest(elements: Sequence[CoaxialElement]) -> list[tuple[int, int]]:
    centres = [element.vertices_m.mean(axis=0) for element in elements]
    pairs = list(combinations(range(len(elements)), 2))
    return sorted(pairs, key=lambda pair: float(np.linalg.norm(centres[pair[0]] - centres[pair[1]])))[:MOST_PAIRS]
