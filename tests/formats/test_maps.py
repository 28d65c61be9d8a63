"""Maps as netCDF-4: named axes, units, metres, and complex fields in two real halves."""

import h5py
import numpy as np
import pytest

from loopwright.formats.maps import maps_dataset, read_maps, write_maps
from synthetic_evidence import synthetic_evidence


@pytest.fixture(scope="module")
def evidence():
    return synthetic_evidence(count=4)


@pytest.fixture(scope="module")
def path(evidence, tmp_path_factory):
    where = tmp_path_factory.mktemp("maps") / "maps.nc"
    dataset = maps_dataset(evidence.maps, element_names=evidence.element_names, title="t", tool_version="1.2.3")
    write_maps(dataset, where)
    return where


def test_axes_are_named_in_order_with_coordinates_in_metres(path, evidence):
    found = read_maps(path)
    assert found["snr_optimum"].dims == ("x", "y", "z")
    assert found["receive_field_real"].dims == ("element", "x", "y", "z")
    for axis, expected in (("x", evidence.maps.x_m), ("y", evidence.maps.y_m), ("z", evidence.maps.z_m)):
        assert found[axis].attrs["units"] == "m"
        np.testing.assert_array_equal(found[axis], expected)
    assert tuple(found["element"].values) == evidence.element_names


def test_every_variable_has_a_unit_and_a_meaning(path):
    for name, variable in read_maps(path).data_vars.items():
        assert variable.attrs["units"], name
        assert variable.attrs["long_name"], name


def test_values_and_gaps_come_back(path, evidence):
    found = read_maps(path)
    np.testing.assert_allclose(found["snr_optimum"], evidence.maps.named("snr_optimum").values, rtol=1e-6)
    assert np.isnan(found["snr_optimum"].values).any()
    field = found["receive_field_real"].values + 1j * found["receive_field_imag"].values
    np.testing.assert_allclose(field, evidence.maps.receive_field_t_per_a, rtol=1e-5)
    assert found["receive_field_real"].attrs["units"] == "T/A"


def test_the_file_is_plain_hdf5_that_other_languages_open(path):
    with h5py.File(path) as file:
        assert file["snr_optimum"].dtype == np.dtype("<f4")
        assert file["receive_field_imag"].shape[0] == 4
        assert file["snr_optimum"].attrs["units"] == "1"
