"""Arrays on carriers, laid once for all tests: a film and a cloth on a round limb and on an egg, from briefs."""

from functools import cache

from loopwright import bodies, designs, layouts
from loopwright.brief import read_brief
from loopwright.questions import loop_coupling

LIMB = "{shape: elliptic cylinder, semi_axes: [60 mm, 60 mm], height: 300 mm, voxel: 6 mm, material: Muscle}"
EGG = "{shape: ellipsoid, semi_axes: [90 mm, 75 mm, 120 mm], voxel: 6 mm, material: Muscle}"
FILM = "{kind: film, margin: 9 mm, padding: [{name: foam, thickness: 5 mm}, {name: fabric, thickness: 0.5 mm}]}"
CLOTH = "{kind: stretching, stretch_limit: 2 %}"
BRIEF = """\
title: An array on a carrier
scanner: {{field: 3 T}}
body: {body}
array:
  tiling:
    pattern: rectangular
    shape: circle
    count: 8
    rows: 2
    size: 50 mm
    overlap: 0.78
    span: patch
    gaps: 4
    {stand_off}
  {carrier}
conductor:
  kind: flat strip
  width: 3 mm
  thickness: 35 um
  substrate: [{{material: polyimide, thickness: 50 um, area: 200 cm^2}}]
imaging: {{voxel_volume: 8 mm^3}}
"""
#: Half of 35 um, 50 um of polyimide, 5 mm of foam, 0.5 mm of fabric.
STAND_OFF_M = 5.5675e-3


def brief_text(*, body=LIMB, carrier=FILM, stand_off=""):
    return BRIEF.format(
        body=body,
        carrier=f"carrier: {carrier}" if carrier else "",
        stand_off=f"stand_off: {stand_off}" if stand_off else "",
    )


@cache
def laid(text):
    """The brief, the body's solid and the layout."""
    brief = read_brief(text, "carrier.yaml")
    solid = bodies.solid_of(brief.body)
    return brief, solid, layouts.arrange_on(brief.array, solid, coupling=loop_coupling(brief))


@cache
def draped(text):
    brief, solid, layout = laid(text)
    return designs.draped_array(
        brief.array,
        brief.conductor,
        layout,
        solid,
        coupling=loop_coupling(brief),
        frequency_hz=brief.scanner.frequency_hz,
    )


def film_on_limb():
    return draped(brief_text())


def film_on_egg():
    return draped(brief_text(body=EGG))


def cloth_on_egg():
    return draped(brief_text(body=EGG, carrier=CLOTH, stand_off="8 mm"))
