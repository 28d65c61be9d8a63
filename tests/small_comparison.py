"""A comparison that is carried out in seconds: two sizes before a ball of gel, and one too large for it."""

from functools import cache

from loopwright.brief import read_designs
from loopwright.comparison import compare_designs
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent

SMALL = """\
title: Sizes before a ball
scanner: {field: 3 T}
body: {shape: sphere, radius: 80 mm, voxel: 10 mm, material: {name: gel, permittivity: 60, conductivity: 0.6 S/m}}
array:
  tiling: {pattern: rectangular, shape: circle, count: 2, rows: 1, size: 60 mm, overlap: 1.2, span: patch,
           stand_off: 10 mm, gaps: 4}
conductor: {kind: round wire, wire_diameter: 0.9 mm}
imaging:
  region: {kind: box, min: [-30 mm, -80 mm, -30 mm], max: [30 mm, 0 mm, 30 mm]}
  accelerations:
    - {name: 2 x, factors: [2], directions: [x], field_of_view: [160 mm]}
  voxel_volume: 8 mm^3
computation: {segments_per_element: 12, relative_residual: 0.003, frequencies: 3}
designs:
  depths: [25 mm, 40 mm]
  voxel: 12 mm
  size: [40 mm, 80 mm, 220 mm]
"""


class Notes(Silent):
    """Remember what was told."""

    def __init__(self):
        self.told = []

    def note(self, sentence):
        self.told.append(sentence)


@cache
def small_outcome():
    return told_outcome()[0]


@cache
def told_outcome():
    """The outcome, and what was told on the way."""
    notes = Notes()
    return compare_designs(read_designs(SMALL, "small.yaml"), Means(progress=notes, store=Forgetful())), notes.told
