"""Material: a tissue by name, a mapping of what it is, or a liquid of salts."""

from dataclasses import dataclass
from typing import Any

from loopwright.brief.defaults import Default
from loopwright.brief.filling import read, written
from loopwright.brief.forms import Form
from loopwright.brief.keys import Absent, Number, Words, did_you_mean
from loopwright.brief.notebook import Place
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import ExplicitMaterial, TissueByName
from loopwright.brief.topics.liquid import LIQUID, LIQUID_ALONE
from loopwright.brief.tree import Mapping as MappingNode
from loopwright.brief.tree import Node, Scalar, described
from loopwright.ground.tables import tissue_names

__all__ = ["MaterialPart"]

_EXPLICIT = Form(
    title="material",
    keys=(
        Words(name="name", longest=60, sample="saline", meaning="Name to be printed."),
        Number(
            name="permittivity",
            field="eps_r",
            low=1,
            high=200,
            sample="78",
            meaning="Relative permittivity at the Larmor frequency.",
        ),
        Quantity(
            name="conductivity",
            field="sigma_s_per_m",
            unit="S/m",
            low="0 S/m",
            high="10 S/m",
            sample="0.6 S/m",
            meaning="Conductivity at the Larmor frequency.",
        ),
    ),
    build=ExplicitMaterial,
    strangers={
        "eps_r": "write `permittivity`",
        "sigma": "write `conductivity`",
        "tissue": "write the name of the tissue alone, such as `material: Muscle`",
        "salts": "write them below `liquid`",
    },
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialPart:
    """A tissue by name, a mapping with name, permittivity and conductivity, or a liquid."""

    name: str = "material"
    meaning: str
    of: Form = _EXPLICIT
    liquid: Form = LIQUID
    field: str = ""
    default: Default | None = None
    absent: Absent = Absent.REFUSED

    @property
    def allowed(self) -> str:
        """One of the three."""
        return "the name of a tissue, a mapping with name, permittivity and conductivity, or one with `liquid`"

    @property
    def kind(self) -> str:
        """Material."""
        return "material"

    def read_at(self, node: Node, place: Place) -> Any:
        """Read the name or the mapping."""
        if isinstance(node, MappingNode):
            return read(LIQUID_ALONE if "liquid" in written(node) else self.of, node, place).record
        if not isinstance(node, Scalar) or not node.text:
            place.complain(found=described(node), allowed=self.allowed, remedy="write for example `material: Muscle`")
            return None
        for tissue in tissue_names():
            if tissue.casefold() == node.text.casefold():
                return TissueByName(tissue=tissue)
        place.complain(
            found=f"{described(node)}, which is no tissue of the table",
            allowed=self.allowed,
            remedy=did_you_mean(node.text, tissue_names(), otherwise=f"choose one of: {'; '.join(tissue_names())}"),
        )
        return None
