"""Three loops on a ball of muscle in the transmit field: a whole job that takes seconds."""

from functools import cache

from loopwright import bodies, fields
from loopwright.brief import read_brief
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent
from loopwright.job import dressed_array, driven_array, tuned_on
from loopwright.questions import wired_array
from loopwright.transmission import while_transmitting

TRAPS = "[PIN trap, crossed-diode trap]"
PIN_ONLY = "[PIN trap]"
HEAT = "heat: {probes: 4, part_size: '1111'}"

BRIEF = """
title: invented
scanner: {{field: 3 T}}
body: {{shape: sphere, radius: 70 mm, material: Muscle, voxel: 12 mm}}
array:
  elements:
    - {{name: A1, shape: circle, diameter: 60 mm, centre: [0 mm, -84 mm, 0 mm], normal: [0, -1, 0], gaps: 4}}
    - {{name: A2, shape: circle, diameter: 60 mm, centre: [84 mm, 0 mm, 0 mm], normal: [1, 0, 0], gaps: 4}}
    - {{name: A3, shape: circle, diameter: 60 mm, centre: [-84 mm, 0 mm, 10 mm], normal: [-1, 0, 0], gaps: 4}}
conductor: {{kind: flat strip, width: 5 mm, thickness: 35 um, capacitor_q: 1000}}
imaging: {{voxel_volume: 8 mm^3, region: {{kind: sphere, centre: [0 mm, 0 mm, 0 mm], radius: 45 mm}}}}
computation: {{segments_per_element: 24, excitation: loop mode}}
circuit:
  wiring: capacitive match with traps
  protection: {protection}
  preamplifier: {{input_resistance: 2 ohm, least_noise_figure: 0.5 dB}}
interface:
  channels_per_plug: 4
  bias_lines: [{{name: line 1, elements: [A1, A2, A3], branches: 3, chokes: 2}}]
transmit: {{worst_states: 4, patient_mass: 12 kg}}
{heat}
"""


@cache
def prepared(protection, heat=""):
    """Array, network, body and circuits of the brief."""
    brief = read_brief(BRIEF.format(protection=protection, heat=heat), "ball.yaml")
    means = Means(progress=Silent(), store=Forgetful())
    body = bodies.place(brief.body, frequency_hz=brief.scanner.frequency_hz)
    dressed = dressed_array(brief, body, body, means)
    driven = driven_array(brief, dressed, fields.Excitation.LOOP_MODE)
    reply, tuned = tuned_on(brief, body, driven, means)
    return brief, dressed, driven.network, body, wired_array(brief, driven.network, reply, tuned, means)


def told(protection, heat=""):
    """Everything that is told, computed anew."""
    brief, dressed, network, body, circuit = prepared(protection, heat)
    means = Means(progress=Silent(), store=Forgetful())
    return while_transmitting(brief, dressed=dressed, network=network, body=body, circuit=circuit, means=means)


once = cache(told)
