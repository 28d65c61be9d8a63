"""A flexible array as it is worn: from the air outside through part, film and foam to skin and muscle."""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.sources import Flag, Published, Source
from loopwright.heating.layers import Layer, Outside
from loopwright.heating.stack import BLOOD_TEMPERATURE_C, Heat, Stack
from loopwright.heating.tissue import air_gap_layer, material_layer, tissue_layer

__all__ = ["USUAL_THICKNESSES", "heat_limits", "part_heat", "worn_stack"]


def _usual(metres: float, where: str, flag: Flag = Flag.COMMON_PRACTICE) -> Published:
    return Published(value=metres, unit="m", source=Source(key="", where=where, flag=flag))


#: Thickness of every layer of a worn array, from the air to the core; 0 leaves one out. [m]
USUAL_THICKNESSES: Mapping[str, Published] = MappingProxyType(
    {
        "outer fabric": _usual(0.8e-3, "washable cover, 200 g/m^2"),
        "outer foam": _usual(3e-3, "padding that hides parts from outside"),
        "part": _usual(1.0e-3, "small rigid board with its parts"),
        "film": _usual(50e-6, "substrate of flexible circuits"),
        "encapsulation": _usual(0.5e-3, "moulded or cast over the conductor"),
        "foam": _usual(4e-3, "keeps conductors 4 mm from the skin"),
        "fabric": _usual(0.8e-3, "washable cover, 200 g/m^2"),
        "air gap": _usual(0.5e-3, "folds of a cover that lies on the skin"),
        "Skin (Dry)": _usual(1.5e-3, "epidermis and dermis of the trunk; 1 to 2 mm", Flag.MEMORY),
        "Fat (Not Infiltrated)": _usual(5e-3, "below the skin of a lean child; 3 to 10 mm", Flag.MEMORY),
        "Muscle": _usual(30e-3, "deeper than heat reaches through perfused tissue, about 14 mm", Flag.COMPUTED),
    }
)

_MATERIALS = {
    "outer fabric": "polyester textile",
    "outer foam": "polyurethane foam",
    "part": "FR-4",
    "film": "polyimide",
    "encapsulation": "silicone",
    "foam": "polyurethane foam",
    "fabric": "polyester textile",
}


def worn_stack(first: Outside, thicknesses_m: Mapping[str, float], materials: Mapping[str, str]) -> Stack:
    """Build the layers of an array on a patient, from the air outside to the core.

    Parameters
    ----------
    first : Outside
        The air outside.
    thicknesses_m : mapping of str to float
        Where they differ from ``USUAL_THICKNESSES``, by its names; 0 leaves a layer out. [m]
    materials : mapping of str to str
        Where the solid layers are of other materials than usual, names of the table of thermal values.

    Returns
    -------
    Stack
        Ends at the temperature of blood, behind the muscle.

    Raises
    ------
    OutsideModelError
        For layers or materials that are not known.
    """
    unknown = (set(thicknesses_m) - set(USUAL_THICKNESSES)) | (set(materials) - set(_MATERIALS))
    if unknown:
        raise OutsideModelError(f"no layer {', '.join(sorted(unknown))}; there are {', '.join(USUAL_THICKNESSES)}")
    made = {**_MATERIALS, **materials}
    thick = {name: thicknesses_m.get(name, usual.value) for name, usual in USUAL_THICKNESSES.items()}
    return Stack(
        layers=tuple(_layer(name, metres, made) for name, metres in thick.items() if metres != 0),
        first=first,
        last=Outside(temperature_c=BLOOD_TEMPERATURE_C, transfer_w_per_m2_k=np.inf),
    )


def part_heat(stack: Stack, power_w: float, *, spread_m2: float) -> Heat:
    """Heat of a part as a sheet between the part and its film.

    Parameters
    ----------
    stack : Stack
        With a layer "film".
    power_w : float
        [W]
    spread_m2 : float
        Area over which copper and board spread it. [m^2]

    Raises
    ------
    OutsideModelError
        If the stack has no film, or the area is not positive.

    Notes
    -----
    Beside this area nothing flows. With the area of the part itself, temperatures lie above those of a local model;
    with a larger area the part may be hotter than told here.
    """
    if spread_m2 <= 0:
        raise OutsideModelError("the area over which heat is spread must be positive")
    return Heat(sheets_w_per_m2=((stack.place_of("film"), power_w / spread_m2),))


def heat_limits(start_c: float, core_c: float = BLOOD_TEMPERATURE_C) -> tuple[str, ...]:
    """Say what stands behind temperatures of worn arrays, and what they leave out.

    Parameters
    ----------
    start_c : float
        Temperature of the surface on the skin before power is on. [degC]
    core_c : float
        Of the core. [degC]
    """
    return (
        (
            f"The surface on the skin starts at {start_c:.1f} degC here; on most patients it starts near 33 to 35"
            " degC, and higher under a coil that keeps them warm. The rise that is allowed counts from there to"
            " the limit, not from the temperature of the room."
        ),
        (
            "Limits of surface temperature were set for adults' skin and for times in contact. A child's skin is"
            " thinner, and a child who sleeps or is sedated neither moves nor complains; whoever sets a limit for"
            " a child has to say so."
        ),
        (
            "Blood flow and metabolism are those of resting adults at all temperatures. Warm skin opens its"
            " vessels; pressed, cold or sedated skin may have far less flow and then gets warmer than told."
        ),
        (
            f"The core stays at {core_c:g} degC. What the transmit field deposits in the whole body raises it, and is"
            " not in these temperatures."
        ),
        (
            "Sweat and evaporation are left out. A blanket, a second array or an arm over the coil takes away the"
            " way to the air; so does a warm bore."
        ),
        (
            "Thermal values come mostly from memory or common practice and spread by 10 to 30 %; foams and"
            " textiles conduct several times more when wet. No margin smaller than that spread counts before it is"
            " measured."
        ),
    )


def _layer(name: str, thickness_m: float, materials: Mapping[str, str]) -> Layer:
    if name == "air gap":
        return air_gap_layer(thickness_m)
    if name in materials:
        return material_layer(materials[name], thickness_m, name=name)
    return tissue_layer(name, thickness_m)
