"""From one solution of a body beside two loops to B1+ and SAR of several states."""

from functools import cache

import numpy as np
import pytest

from loopwright.bodies import Tissue, layered_sphere, voxelise
from loopwright.fields.transmit import absorbed_power_w, amplitudes, electric_field_by_case_v_per_m
from loopwright.transmit.averaging import averaging_cubes, parts_along_voxel
from loopwright.transmit.b1 import b1_changes
from loopwright.transmit.local_sar import (
    cube_sar_of_cases_w_per_kg,
    local_sar,
    peak_bounds_w_per_kg,
    power_in_voxels_w,
)
from loopwright.transmit.voxel_mass import voxel_mass_kg
from transmit_arrays import F_HZ, pair
from transmit_cases import reply

#: Load of every gap: blocked, blocked less well, and near resonance with little loss. [ohm]
LOADS_OHM = (1e6, 2e3 - 500j, 3 - 67j)


@cache
def solved():
    tissue = Tissue(name="muscle", eps_r=60, sigma_s_per_m=0.7, density_kg_per_m3=1050.0)
    body = voxelise(
        layered_sphere(0.05, tissue_names=["muscle"]), spacing_m=10e-3, tissues=(tissue,), frequency_hz=F_HZ
    )
    _, _, source, array = pair()
    return body, reply(body, source, array), reply(body, source)


def states():
    _, found, _ = solved()
    network = pair()[1]
    impedance = network.at(F_HZ) + found.added_impedance_ohm
    currents = [-np.linalg.solve(impedance + load * np.eye(4), found.open_v_per_t) for load in LOADS_OHM]
    return amplitudes(found, np.array(currents)) * 1e-6


@cache
def cube_sar():
    body, found, alone = solved()
    cubes = averaging_cubes(voxel_mass_kg(body), body.voxel_cover(), spacing_m=10e-3, parts=parts_along_voxel(10e-3))
    voxels = found.body.voxels
    rows = found.body.absorption_ohm.shape[0]
    return (
        body,
        cubes,
        cube_sar_of_cases_w_per_kg(body, cubes, voxels, electric_field_by_case_v_per_m(found, body, states())),
        cube_sar_of_cases_w_per_kg(body, cubes, voxels, electric_field_by_case_v_per_m(alone, body, [[1e-6]]))[0],
        cube_sar_of_cases_w_per_kg(body, cubes, voxels, electric_field_by_case_v_per_m(found, body, np.eye(rows))),
    )


def test_power_in_the_voxels_adds_up_to_that_of_the_faces():
    body, found, _ = solved()
    fields = np.array(list(electric_field_by_case_v_per_m(found, body, states())))
    power = power_in_voxels_w(body, found.body.voxels, fields).sum(axis=(1, 2, 3))
    np.testing.assert_allclose(power, absorbed_power_w(found, states()), rtol=0.06)


def test_blocked_loops_change_next_to_nothing_and_resonant_ones_much():
    body, cubes, sar, without, _ = cube_sar()
    ratios = [local_sar(body, cubes, case, without).ratio for case in sar]
    assert ratios[0] == pytest.approx(1, abs=0.02)
    assert ratios[2] > 2
    hot = local_sar(body, cubes, sar[2], without)
    assert hot.place_m[0] > 0.02  # beneath the loops, which lie at x = 65 mm


def test_no_state_exceeds_its_bound():
    _, _, sar, _, rows = cube_sar()
    assert np.all(sar.max(axis=1) <= peak_bounds_w_per_kg(rows, states()) * (1 + 1e-4))


def test_b1_changes_as_the_currents_do():
    body, found, alone = solved()
    told = b1_changes(
        found.body.magnetic_field_t,
        states(),
        1e-6 * alone.body.magnetic_field_t[-1],
        sense=found.sense,
        places_m=body.grid.centre_points_m()[found.body.voxels],
    )
    off = [abs(case.as_driven.worst - 1) for case in told]
    assert off[0] < 0.01
    assert off[0] < off[1] < off[2]
    assert told[2].as_driven.worst_place_m[0] > 0.02
