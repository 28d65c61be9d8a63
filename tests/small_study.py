"""A study that is carried out in seconds: two balls of gel, a shell of the larger one and an array on the skin."""

SMALL_STUDY = """\
title: Two elements on balls of two sizes
scanner: {field: 3 T}
conductor: {kind: round wire, wire_diameter: 0.9 mm}
imaging:
  region: {kind: whole body}
  accelerations:
    - {name: 2 x, factors: [2], directions: [x], field_of_view: [170 mm]}
  voxel_volume: 8 mm^3
computation: {segments_per_element: 12, relative_residual: 0.001, frequencies: 3}
cohort:
  patients:
    - name: small
      age: 1 year
      body: {shape: sphere, radius: 60 mm, voxel: 12 mm, material: {name: gel, permittivity: 60, conductivity: 0.6 S/m}}
    - name: large
      age: 10 years
      body: {shape: sphere, radius: 75 mm, voxel: 12 mm, material: {name: gel, permittivity: 60, conductivity: 0.6 S/m}}
  arrays:
    - name: shell
      former: {shape: sphere, radius: 75 mm, voxel: 12 mm, material: Muscle}
      array:
        tiling: {pattern: rectangular, shape: circle, count: 2, rows: 1, size: 60 mm, overlap: 1.2, span: patch,
                 facing: [0, 1, 0], stand_off: 8 mm, gaps: 4}
    - name: tight shell
      former: {shape: sphere, radius: 62 mm, voxel: 12 mm, material: Muscle}
      array:
        tiling: {pattern: rectangular, shape: circle, count: 2, rows: 1, size: 55 mm, overlap: 1.2, span: patch,
                 facing: [0, 1, 0], stand_off: 8 mm, gaps: 4}
    - name: on the skin
      mass: 120 g
      strap_tension: 30 N/m
      array:
        tiling: {pattern: rectangular, shape: circle, count: 2, rows: 1, size: 55 mm, overlap: 1.2, span: patch,
                 facing: [0, 1, 0], stand_off: 8 mm, gaps: 4}
  rest: centre
  limits: {gap: 5 mm, snr_loss: 10 %, flex_cycles: 10000}
"""
