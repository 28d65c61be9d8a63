"""What no conductor can be."""

from loopwright.ground.errors import OutsideModelError

__all__ = ["refuse_unless_flat", "refuse_unless_measured", "refuse_unless_positive"]


def refuse_unless_positive(**quantities: float) -> None:
    """Refuse a quantity that is zero, negative or not a number."""
    for name, value in quantities.items():
        if not value > 0:
            raise OutsideModelError(f"a conductor needs {name} > 0, found {value:g}")


def refuse_unless_measured(measured_ohm_per_m: float | None) -> None:
    """Refuse a measured resistance [ohm/m] that no conductor has; None is one that was not measured."""
    if measured_ohm_per_m is not None:
        refuse_unless_positive(measured_ohm_per_m=measured_ohm_per_m)


def refuse_unless_flat(width_m: float, thickness_m: float, conductivity_s_per_m: float) -> None:
    """Refuse a strip [m], [S/m] that could not be made."""
    refuse_unless_positive(width_m=width_m, thickness_m=thickness_m, conductivity_s_per_m=conductivity_s_per_m)
    if thickness_m > width_m:
        raise OutsideModelError(f"a strip's thickness_m = {thickness_m:g} must not exceed its width_m = {width_m:g}")
