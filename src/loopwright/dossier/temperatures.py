"""Whether noise is taken at the temperature that the liquid of a phantom has."""

from loopwright.brief.records import Brief, FigureRequest, LiquidMaterial, PatientRequest, materials_of
from loopwright.ground.units import engineering_text

__all__ = ["temperature_cautions"]

#: Differences below it change absolute SNR by less than one per cent. [K]
_WORTH_TELLING_K = 2.0


def temperature_cautions(brief: Brief) -> tuple[str, ...]:
    """Tell how far off absolute SNR is where a liquid has another temperature than the noise is taken at.

    Parameters
    ----------
    brief : Brief
        What is asked for.

    Notes
    -----
    Magnetisation goes with the inverse of the temperature, noise of the body with its root; conductivity is already
    that of the liquid at its own.
    """
    if isinstance(brief.body, FigureRequest | PatientRequest):
        return ()
    assumed_k = brief.conductor.body_temperature_k
    found = []
    for material in materials_of(brief.body):
        if isinstance(material, LiquidMaterial) and abs(material.temperature_k - assumed_k) > _WORTH_TELLING_K:
            own = engineering_text(material.temperature_k, "K")
            change = 100 * ((assumed_k / material.temperature_k) ** 1.5 - 1)
            found.append(
                f"{material.name} is told at {own}, but magnetisation and noise are taken at "
                f"{engineering_text(assumed_k, 'K')}: at {own} absolute SNR is up to {abs(change):.2g} % "
                f"{'higher' if change > 0 else 'lower'}. Write `body_temperature` below `conductor`."
            )
    return tuple(dict.fromkeys(found))
