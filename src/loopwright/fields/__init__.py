"""Which fields, and which port network, does the dressed array have beside this body?

From a dressed layout (:mod:`loopwright.conductors`) and a voxel body (:mod:`loopwright.bodies`) to the array's N-port
impedance, its fields per unit current, and the body's reply to each element. The wires are solved by a thin-wire
method of moments (:mod:`loopwright.fields.wires`), the body by a volume integral equation on voxel faces
(:mod:`loopwright.fields.body`), the best that any array could do by multipoles of a
sphere, or by small loops all round any body (:mod:`loopwright.fields.source_shell`).
"""

from loopwright.fields.body import (
    BodyReply,
    BodySources,
    Excitation,
    FaceRule,
    array_library,
    array_sources,
    body_reply,
    chosen_excitation,
    closed_loops,
    reply_to_sources,
)
from loopwright.fields.ultimate_map import ultimate_map
from loopwright.fields.ultimate_sources import ShellReply, shell_replies
from loopwright.fields.ultimate_sphere import ultimate_reception
from loopwright.fields.wires import (
    BendingShift,
    LoopCoupling,
    PortNetwork,
    bending_shift,
    flexed_frequencies_hz,
    impedance_gradient_ohm,
    impedance_gradients_ohm,
    linearisation_error,
    solve_network,
)

__all__ = [
    "BendingShift",
    "BodyReply",
    "BodySources",
    "Excitation",
    "FaceRule",
    "LoopCoupling",
    "PortNetwork",
    "ShellReply",
    "array_library",
    "array_sources",
    "bending_shift",
    "body_reply",
    "chosen_excitation",
    "closed_loops",
    "flexed_frequencies_hz",
    "impedance_gradient_ohm",
    "impedance_gradients_ohm",
    "linearisation_error",
    "reply_to_sources",
    "shell_replies",
    "solve_network",
    "ultimate_map",
    "ultimate_reception",
]
