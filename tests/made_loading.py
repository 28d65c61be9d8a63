"""Made-up loads of one element: what dossier and formats need of them."""

import numpy as np

from loopwright.designs import BareLoop, Load, LoadingEquivalence


def loading():
    """Two patients, three phantoms: one alike, one heavier than any conductivity tried, one of a tissue."""

    def load(name, ohm, off=0.02, filling=""):
        return Load(name=name, body_name="sphere", towards=(0.0, -1.0, 0.0), voxel_m=5e-3, fine_ohm=ohm,
                    coarse_ohm=ohm + off, filling=filling)  # fmt: skip

    return LoadingEquivalence(
        diameter_m=0.08,
        stand_off_m=0.01,
        frequency_hz=123.2e6,
        loop=BareLoop(conductor_ohm=0.2, capacitor_ohm=0.1, other_ohm=0.1, reactance_ohm=140.0),
        patients=(load("newborn", 2.0), load("adult", 4.0)),
        phantoms=(
            load("bottle", 2.01, filling="saline: 3 g/L sodium chloride"),
            load("jar", 3.0),
            load("joint of meat", 1.0),
        ),
        equal_s_per_m=np.array([[0.5, 1.1], [0.4, np.nan], [np.nan, np.nan]]),
        filled_s_per_m=np.array([0.5, 0.62, np.nan]),
    )
