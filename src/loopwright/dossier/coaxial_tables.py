"""Tables of coaxial elements: what they are on the body, how they couple, how large they must be."""

from collections.abc import Mapping, Sequence

from loopwright.circuits.coaxial.coaxial_coupling import CouplingRow, PairCoupling
from loopwright.circuits.coaxial.coaxial_on_body import CoaxialFigures
from loopwright.circuits.coaxial.coaxial_resonance import closed_form_diameter_m, diameter_for_frequency_m
from loopwright.conductors.coaxial_line import CoaxialCable
from loopwright.dossier.findings import Column, Table

__all__ = [
    "COUPLING_COLUMNS",
    "coaxial_coupling_table",
    "coaxial_elements_table",
    "coaxial_sizes_table",
    "coupling_cells",
]


#: Coaxial elements beside equal loops.
COUPLING_COLUMNS = (
    Column(title="k, coaxial", decimals=4),
    Column(title="k, loops", decimals=4),
    Column(title="mutual reactance, coaxial", unit="ohm", decimals=3),
    Column(title="mutual reactance, loops", unit="ohm", decimals=3),
    Column(title="resistive, coaxial", decimals=3),
    Column(title="resistive, loops", decimals=3),
)


def coaxial_elements_table(figures: Mapping[str, CoaxialFigures], *, frequency_hz: float) -> Table:
    """Tell every element on the body.

    Parameters
    ----------
    figures : mapping of str to CoaxialFigures
        By the names of the elements.
    frequency_hz : float
        Operating frequency. [Hz]
    """
    return Table(
        name="coaxial_elements",
        caption="Coaxial elements on this body, each alone. Resistances are losses over the square of the current "
        "outside; a negative capacitor across the terminal is an inductor of that susceptance.",
        columns=(
            Column(title="element"),
            Column(title="self-resonance", unit="Hz", digits=5),
            Column(title="tuning capacitor at the terminal", unit="F"),
            Column(title="body", unit="ohm"),
            Column(title="outside of the shield", unit="ohm"),
            Column(title="line inside", unit="ohm"),
            Column(title="radiation", unit="ohm"),
            Column(title="Q without body"),
            Column(title="Q on the body"),
            Column(title="coil noise figure", unit="dB", digits=2),
        ),
        rows=tuple(
            (
                name,
                one.self_resonance_hz,
                one.tuning_capacitance_f(frequency_hz),
                one.body_ohm,
                one.conductor_ohm,
                one.line_ohm,
                one.radiation_ohm,
                one.q_unloaded,
                one.q_loaded,
                one.noise_figure_db,
            )
            for name, one in figures.items()
        ),
    )


def coupling_cells(row: CouplingRow | PairCoupling) -> tuple[float, ...]:
    """Two coaxial elements and the loops in their places, under ``COUPLING_COLUMNS``."""
    return (
        row.coaxial.coefficient,
        row.lumped.coefficient,
        row.coaxial.mutual_ohm.imag,
        row.lumped.mutual_ohm.imag,
        row.coaxial.resistive,
        row.lumped.resistive,
    )


def coaxial_coupling_table(rows: Sequence[CouplingRow], *, diameter_m: float) -> Table:
    """Set two coaxial elements beside two equal loops with capacitors.

    Parameters
    ----------
    rows : sequence of CouplingRow
        By distance.
    diameter_m : float
        Of the elements. [m]
    """
    return Table(
        name="coaxial_coupling",
        caption="Coupling of two coaxial elements, and of two loops of the same shield with capacitors in four gaps at "
        "the same frequency: coefficient that splits the pair, mutual reactance, and correlation of what they lose.",
        columns=(
            Column(title="distance of centres", unit="m", digits=4),
            Column(title="over diameter", decimals=3),
            *COUPLING_COLUMNS,
        ),
        rows=tuple(
            (
                row.distance_m,
                row.distance_m / diameter_m,
                *coupling_cells(row),
            )
            for row in rows
        ),
    )


def coaxial_sizes_table(
    cables: Mapping[str, CoaxialCable], frequencies_hz: Sequence[float], *, most_pairs: int = 3
) -> Table:
    """Tell how large a circle must be for a frequency, cable by cable.

    Parameters
    ----------
    cables : mapping of str to CableFromDimensions or CableFromDataSheet
        By name.
    frequencies_hz : sequence of float
        [Hz]
    most_pairs : int
        Gaps of the shield, from one to so many.
    """
    return Table(
        name="coaxial_sizes",
        caption="Diameter of a circle of one turn that is resonant in air, nothing at its terminal.",
        columns=(
            Column(title="cable"),
            Column(title="frequency", unit="Hz", digits=5),
            Column(title="gaps in the shield"),
            Column(title="diameter", unit="m", digits=4),
            Column(title="diameter by the closed form", unit="m", digits=4),
        ),
        rows=tuple(
            (
                name,
                frequency_hz,
                pairs,
                diameter_for_frequency_m(cable, frequency_hz, pairs=pairs),
                closed_form_diameter_m(cable, frequency_hz, pairs=pairs),
            )
            for name, cable in cables.items()
            for frequency_hz in frequencies_hz
            for pairs in range(1, most_pairs + 1)
        ),
    )
