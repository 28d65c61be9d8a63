"""What does a body do to the loops of an array?

From voxels with tissues and loops of uniform current to the fields that they set up together, by the volume integral
equation with currents on the faces of a staggered grid, solved by FFT products and GMRES.
"""

from loopwright.fields.body.array_library import array_library
from loopwright.fields.body.reply import BodyReply, body_reply

__all__ = ["BodyReply", "array_library", "body_reply"]
