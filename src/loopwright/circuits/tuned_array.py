"""The array of a run, tuned and seen from its element ports, whatever its elements are made of."""

from loopwright.brief.records import CapacitorsRequest
from loopwright.circuits.coaxial.coaxial_array import tune_coaxial
from loopwright.circuits.tuned.array import TunedArray
from loopwright.circuits.tuned.array_tuning import tune as tune_by_capacitors
from loopwright.circuits.tuned.noise import NoiseTemperatures
from loopwright.conductors import DressedLayout, GapCapacitors, with_gap_qualities
from loopwright.fields.body import BodyReply
from loopwright.fields.wires import PortNetwork

__all__ = ["tune"]


def tune(
    network: PortNetwork,
    reply: BodyReply,
    *,
    dressed: DressedLayout,
    temperatures: NoiseTemperatures,
    capacitors: CapacitorsRequest | None = None,
) -> TunedArray:
    """Tune every element on the body by what its kind is tuned by, and match it.

    Parameters
    ----------
    network : PortNetwork
        The conductors in air, seen from all gaps.
    reply : BodyReply
        What the body does to the sources of the array, at the operating frequency.
    dressed : DressedLayout
        What the elements are made of.
    temperatures : NoiseTemperatures
        Temperatures of body and coil, and what becomes of radiation.
    capacitors : CapacitorsRequest, optional
        What bridges the gaps, where the brief tells it: the array is then tuned once more with the loss of capacitors
        of the values that were found.

    Returns
    -------
    TunedArray
        Loops by equal capacitors in their gaps, elements of coaxial line by one part across the terminal.

    Raises
    ------
    OutsideModelError
        If an element cannot be tuned or has no positive resistance.
    """
    by_kind = tune_by_capacitors if dressed.cable is None else tune_coaxial
    array = by_kind(network, reply, dressed=dressed, temperatures=temperatures)
    if capacitors is None:
        return array
    gaps = GapCapacitors(request=capacitors, frequency_hz=array.frequency_hz)
    lossy = with_gap_qualities(dressed, gaps, [element.capacitance_f for element in array.elements])
    return by_kind(network, reply, dressed=lossy, temperatures=temperatures)
