"""How a file of geometry is refused."""

from loopwright.ground.errors import Complaint, GeometryError

__all__ = ["CUT_SHORT", "refused"]

#: What to do about a file that ends before it should.
CUT_SHORT = "it was not written or copied to its end: export or copy it again"


def refused(name: str, found: str, allowed: str, remedy: str, *, line: int = 0) -> GeometryError:
    """An error with one complaint about a file; ``line`` counts from 1 in a file of text."""
    complaint = Complaint(file=name, line=line, field="geometry", found=found, allowed=allowed, remedy=remedy)
    return GeometryError((complaint,))
