"""Whether, and for which sources, the best that any array could do is computed."""

from typing import Annotated, Literal

from pydantic import Field

from loopwright.brief.records.record import Record

__all__ = ["Coverage", "NoUltimate", "SourceShellRequest", "UltimateRequest"]

Coverage = Literal["complete", "covered", "both"]


class NoUltimate(Record):
    """No source shell is solved; a uniform sphere still has its closed form."""

    kind: Literal["none"] = "none"


class SourceShellRequest(Record):
    """Sources all round the body, on the part of their surface that the array covers, or both.

    Attributes
    ----------
    modes
        Combinations of sources that are solved.
    """

    kind: Literal["source shell"] = "source shell"
    coverage: Coverage
    modes: Annotated[int, Field(ge=8)]

    @property
    def coverages(self) -> tuple[Literal["complete", "covered"], ...]:
        """What `both` stands for, one by one."""
        return ("complete", "covered") if self.coverage == "both" else (self.coverage,)


UltimateRequest = NoUltimate | SourceShellRequest
