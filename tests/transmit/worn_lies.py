"""Two strip loops on a small ball of muscle in a resonator's field, in every lie of their carrier."""

from functools import cache

from body_cases import voxel_sphere
from circuits.ready_circuits import two_traps
from exact.layers import LayeredSphere
from loopwright.brief.records import ArrayRequest, TilingRequest
from loopwright.conductors import DressedLayout, FlatStrip
from loopwright.fields import solve_network
from loopwright.fields.transmit import BodyResonator, open_array
from loopwright.ground.progress import Forgetful, Silent
from loopwright.layouts import arrange_on
from loopwright.transmit.wearing import DesignedArray, WearingMeans, worn_array, worn_on_body
from transmit_cases import reply

F_HZ = 123.2e6
RADIUS_M = 0.05
MEANS = WearingMeans(strain=0.1)
SOURCE = BodyResonator(radius_m=0.35, length_m=0.5, centre_m=(0.0, 0.0, 0.0), frequency_hz=F_HZ)
STRIP = FlatStrip(width_m=4e-3, thickness_m=35e-6, conductivity_s_per_m=5.8e7)
PAIR = TilingRequest(
    pattern="rectangular",
    shape="circle",
    count=2,
    rows=1,
    size_m=0.05,
    overlap=1.2,
    stand_off_m=8e-3,
    gaps=4,
    span="patch",
)


@cache
def ball():
    return voxel_sphere(LayeredSphere.uniform(RADIUS_M, 60.0, 0.6), voxel_m=0.01, frequency_hz=F_HZ)


@cache
def designed():
    layout = arrange_on(ArrayRequest(tiling=PAIR), ball().solid)
    parts = DressedLayout(layout=layout, cross_section=STRIP, capacitor_q=1500, other_series_resistance_ohm=0.05)
    network = solve_network(parts, F_HZ, band_fraction=1e-3, frequency_count=1)
    return DesignedArray(
        dressed=parts,
        circuits=(two_traps(),) * 2,
        solid=ball().solid,
        source=SOURCE,
        reply=reply(ball(), SOURCE, open_array(parts, network, SOURCE)),
    )


@cache
def lie(wearing):
    return worn_array(wearing, designed(), MEANS)


@cache
def solved(wearing):
    return worn_on_body(lie(wearing), ball(), SOURCE, relative_residual=1e-4, progress=Silent(), store=Forgetful())
