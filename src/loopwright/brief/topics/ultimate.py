"""Ultimate: the best that any array could do, and over which sources it is sought."""

from loopwright.brief import defaults
from loopwright.brief.forms import Form, Variants
from loopwright.brief.keys import Choice, Count
from loopwright.brief.parts import Part
from loopwright.brief.records import NoUltimate, SourceShellRequest

__all__ = ["ultimate_part"]


def ultimate_part() -> Part:
    """Key and keys of ``imaging.ultimate``, by its kind."""
    return Part(
        name="ultimate",
        of=_form(),
        default=defaults.ULTIMATE,
        meaning="The best that any array could do, and how it is found.",
    )


def _form() -> Variants:
    return Variants(
        title="ultimate",
        by="kind",
        meaning="How the best that any array could do is found.",
        forms={
            "none": Form(title="no ultimate", keys=(), build=NoUltimate),
            "source shell": Form(
                title="source shell",
                keys=(
                    Choice(
                        name="coverage",
                        options=("complete", "covered", "both"),
                        default=defaults.ULTIMATE_COVERAGE,
                        meaning="Sources all round the body, on the part of the surface that lies over skin below "
                        "the elements, or one after the other.",
                    ),
                    Count(
                        name="modes",
                        low=8,
                        high=1000,
                        default=defaults.ULTIMATE_MODES,
                        meaning="Combinations of sources that are solved; the nearer to the skin, the more it takes. "
                        "Voxels where half as many give more than 5 % less are left out.",
                    ),
                ),
                build=SourceShellRequest,
                strangers={"sources": "write `modes`: the sources follow from the distance of the array"},
            ),
        },
    )
