"""How finely it is computed."""

from typing import Annotated, Literal

from pydantic import Field

from loopwright.brief.records.record import Record

__all__ = ["AskedExcitation", "AskedFaceRule", "ComputationRequest"]

AskedExcitation = Literal["automatic", "loop mode", "full current"]
AskedFaceRule = Literal["area mean", "series"]


class ComputationRequest(Record):
    """Settings of the solvers.

    Attributes
    ----------
    segments_per_element
        Straight segments of the conductor of one element.
    relative_residual
        Where the iteration for the field in the body stops.
    coarse_voxel_ratio
        Voxel of the second, coarser grid over the voxel of the first; the two give the error estimate.
    band_fraction
        Half the width of the band in which the network is given, over the Larmor frequency: the network reaches this
        far to either side of it.
    frequencies
        Number of frequencies computed in the band; odd, so that the Larmor frequency is one of them.
    excitation
        Which current of the array meets the body: one uniform current for each element, or the wires' own currents
        and charges for every gap; automatic takes the first wherever it was measured to serve.
    face_rule
        Permittivity of faces between tissues: mean over the face, or the tissues in series across it.
    """

    segments_per_element: Annotated[int, Field(ge=8)]
    relative_residual: Annotated[float, Field(gt=0, lt=1)]
    coarse_voxel_ratio: Annotated[float, Field(gt=1)]
    band_fraction: Annotated[float, Field(gt=0, lt=1)]
    frequencies: Annotated[int, Field(ge=3)]
    excitation: AskedExcitation
    face_rule: AskedFaceRule
