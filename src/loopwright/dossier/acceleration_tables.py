"""Tables of section 9: what every acceleration costs, and where it costs most."""

from loopwright.dossier.evidence import Evidence
from loopwright.dossier.findings import Column, Table
from loopwright.dossier.statistics import reciprocal, region_statistics, weakest_voxel

__all__ = ["acceleration_table", "weakest_table"]


def acceleration_table(evidence: Evidence) -> Table:
    """Tell g and what is left of the SNR, acceleration by acceleration."""
    rows = []
    left = evidence.maps.named(evidence.accelerations[0].snr_map)
    for a in evidence.accelerations:
        inverse_g = region_statistics(evidence.maps.named(a.inverse_g_map), evidence.maps)
        snr = region_statistics(evidence.maps.named(a.snr_map), evidence.maps)
        rows.append(
            (
                a.name,
                a.pattern,
                a.field_of_view,
                inverse_g.percentile_5,
                inverse_g.median,
                a.g_mean,
                reciprocal(inverse_g.percentile_5),
                reciprocal(inverse_g.least),
                snr.median,
            )
        )
    return Table(
        name="acceleration",
        caption="Accelerations of the brief, over the voxels of the region.",
        columns=(
            Column(title="acceleration"),
            Column(title="sampling"),
            Column(title="field of view"),
            Column(title="1/g 5th percentile", digits=2),
            Column(title="1/g median", digits=2),
            Column(title="g mean", digits=3),
            Column(title="g 95th percentile", digits=3),
            Column(title="g largest", digits=3),
            Column(title=f"{left.quantity} median", unit=left.unit),
        ),
        rows=tuple(rows),
    )


def weakest_table(evidence: Evidence) -> Table:
    """Name the worst voxel of every acceleration, by g and by what is left of the SNR."""
    left = evidence.maps.named(evidence.accelerations[0].snr_map)
    rows = []
    for a in evidence.accelerations:
        g, snr = (weakest_voxel(evidence.maps.named(name), evidence.maps) for name in (a.inverse_g_map, a.snr_map))
        if g is not None and snr is not None:
            rows.append((a.name, reciprocal(g.value), g.place, snr.value, snr.place))
    return Table(
        name="worst_voxels",
        caption="The worst voxel of the region, by g and by what acceleration leaves.",
        columns=(
            Column(title="acceleration"),
            Column(title="g largest", digits=3),
            Column(title="where"),
            Column(title=f"{left.quantity} least", unit=left.unit),
            Column(title="where"),
        ),
        rows=tuple(rows),
    )
