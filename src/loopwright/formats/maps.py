"""Maps as netCDF-4, which opens in every scientific language.

Variables have the named axes (element, x, y, z), their units in the attribute ``units``, and coordinates in metres in
the body frame of docs/conventions.md. A complex field is two real variables that end in ``_real`` and ``_imag``, for
netCDF has no complex numbers of its own that all readers share.
"""

from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from loopwright.dossier import MapSet

__all__ = ["maps_dataset", "read_maps", "write_maps"]

_AXES = ("x", "y", "z")
_TOWARDS = {"x": "patient's left", "y": "posterior", "z": "head"}


def maps_dataset(maps: MapSet, *, element_names: tuple[str, ...], title: str, tool_version: str) -> xr.Dataset:
    """Gather all maps of a run in one data set with named axes and units.

    Parameters
    ----------
    maps : MapSet
        The maps, axes (x, y, z).
    element_names : tuple of str
        Names along the element axis; none where the maps hold no field of elements.
    title, tool_version : str
        Written as attributes.
    """
    variables: dict[str, Any] = {
        "body_fraction": _variable(maps.body_fraction, "1", "share of the voxel that is body"),
        "region": _variable(maps.region.astype(np.int8), "1", "1 where the statistics of the dossier are taken"),
        "depth": _variable(maps.depth_m, "m", "distance below the skin"),
    }
    for scalar in maps.scalars:
        variables[scalar.name] = _variable(scalar.values, scalar.unit, f"{scalar.title}: {scalar.definition}")
    if maps.receive_field_t_per_a is not None:
        variables |= _complex(maps.receive_field_t_per_a)
    return xr.Dataset(
        variables,
        coords=_coordinates(maps, element_names),
        attrs={"title": title, "source": f"loopwright {tool_version}", "Conventions": "loopwright body frame, SI"},
    )


def write_maps(dataset: xr.Dataset, path: Path) -> None:
    """Write the data set; maps are compressed without loss.

    The file is made in memory: its library, once a disk is full, complains long after the error has been told.
    """
    encoding = {name: {"zlib": True, "complevel": 4} for name in dataset.data_vars}
    path.write_bytes(dataset.to_netcdf(engine="h5netcdf", encoding=encoding))


def read_maps(path: Path) -> xr.Dataset:
    """Read a file of maps into memory; nothing stays open."""
    with xr.open_dataset(path, engine="h5netcdf") as dataset:
        return dataset.load()


def _variable(values: NDArray[Any], unit: str, long_name: str) -> tuple[tuple[str, ...], NDArray[Any], dict[str, str]]:
    kept = values.astype(np.float32) if values.dtype.kind == "f" else values
    return _AXES, kept, {"units": unit, "long_name": long_name}


def _complex(field_t_per_a: NDArray[np.complexfloating]) -> dict[str, Any]:
    axes = ("element", *_AXES)
    long_name = "reception field per ampere (peak) of element-port current, the other ports open, exp(+j omega t)"
    return {
        f"receive_field_{part}": (
            axes,
            values.astype(np.float32),
            {"units": "T/A", "long_name": f"{long_name}, {part}"},
        )
        for part, values in (("real", field_t_per_a.real), ("imag", field_t_per_a.imag))
    }


def _coordinates(maps: MapSet, element_names: tuple[str, ...]) -> dict[str, Any]:
    axes = {"x": maps.x_m, "y": maps.y_m, "z": maps.z_m}
    coordinates: dict[str, Any] = {
        axis: (axis, values, {"units": "m", "long_name": f"towards the {_TOWARDS[axis]}"})
        for axis, values in axes.items()
    }
    if element_names:
        coordinates["element"] = ("element", np.array(element_names, dtype=object))
    return coordinates
