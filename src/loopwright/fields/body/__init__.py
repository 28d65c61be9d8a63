"""What does a body do to the currents of an array?

From voxels with tissues and what carries current beside them to the fields that they set up together, by the
volume integral equation with currents on the faces of a staggered grid, solved by FFT products and GMRES.
"""

from loopwright.fields.body.array_library import array_library
from loopwright.fields.body.faces import FaceRule
from loopwright.fields.body.loop_mode import loop_mode_holds, missed_at_most
from loopwright.fields.body.reply import BodyReply, body_reply, reply_to_sources
from loopwright.fields.body.sources import (
    BodySources,
    Excitation,
    LoopSources,
    WireSources,
    array_sources,
    chosen_excitation,
    closed_loops,
)
from loopwright.fields.body.voxel_fields import electric_field_at_voxels

__all__ = [
    "BodyReply",
    "BodySources",
    "Excitation",
    "FaceRule",
    "LoopSources",
    "WireSources",
    "array_library",
    "array_sources",
    "body_reply",
    "chosen_excitation",
    "closed_loops",
    "electric_field_at_voxels",
    "loop_mode_holds",
    "missed_at_most",
    "reply_to_sources",
]
