"""Maps of the body while the scanner transmits: B1+ and averages over 10 g, with the array and without."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.transmit import amplitudes
from loopwright.limits.case_told import CaseTold
from loopwright.limits.while_transmitting import ScalarInBody
from loopwright.transmit.averaging import spread_over_voxels
from loopwright.transmit.b1 import b1_ratios
from loopwright.transmit.case_sar import BodySar
from loopwright.transmit.lie import Lie

__all__ = ["b1_map", "sar_maps"]

Real = NDArray[np.float64]


def b1_map(lie: Lie, told: CaseTold, name: str) -> ScalarInBody:
    """B1+ of one case over that without the array, in every voxel of the body."""
    rows = lie.rows
    x = amplitudes(lie.reply, told.answer.port_current_a_per_t[None])
    (ratios,) = b1_ratios(rows.magnetic_field_t, x, lie.without_t(), sense=lie.reply.sense)
    values = np.full(rows.voxels.shape, np.nan, dtype=np.float32)
    values[rows.voxels] = ratios
    return ScalarInBody(
        name=name,
        title=f"B1+ over that without the array, {told.case.name}",
        definition="Magnitude of B1+ with the array over that without, the resonator's current being held.",
        values=values,
        unit="1",
    )


def sar_maps(sar: BodySar, told: CaseTold, cube_sar_w_per_kg: Real) -> Iterator[ScalarInBody]:
    """Averages over 10 g of one case, from that over every cube [W/kg], and without the array."""
    for name, words, values in (
        ("local_sar_with", told.case.name, cube_sar_w_per_kg),
        ("local_sar_without", "without the array", sar.without_w_per_kg),
    ):
        spread = spread_over_voxels(sar.cubes, values)
        yield ScalarInBody(
            name=name,
            title=f"SAR over 10 g, {words}",
            definition="Mean over cubes of 10 g at the rms field of the sequence; no limit is held against it.",
            values=np.where(spread > 0, spread, np.nan).astype(np.float32),
            unit="W/kg",
        )
