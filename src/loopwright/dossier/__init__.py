"""What the engineer signs and shows: every figure with its uncertainty, its method and its source.

The stage takes the evidence that the other stages found, orders it into sections in the order of an engineer's
questions, and names the references behind the methods that were used. It draws nothing and writes nothing; pages and
pictures are made in ``formats``.
"""

from loopwright.dossier.benching import BenchEvidence, compile_bench
from loopwright.dossier.bibliography import Reference, parse_bibliography
from loopwright.dossier.citations import METHODS, Method, methods_of
from loopwright.dossier.cohort_page import compile_cohort
from loopwright.dossier.cohort_tables import cases_table
from loopwright.dossier.comparing import compile_comparison
from loopwright.dossier.comparing_tables import label_of, varied_keys
from loopwright.dossier.compile import compile_dossier
from loopwright.dossier.echo import asked_lines, default_lines
from loopwright.dossier.evidence import (
    AcceleratedFraction,
    AccelerationEvidence,
    AskedLine,
    BodyEvidence,
    ChoiceEvidence,
    ConductorEvidence,
    ConductorLine,
    ConstantLine,
    DefaultLine,
    ElementLine,
    Evidence,
    GridComparison,
    LayoutEvidence,
    MapKind,
    MapSet,
    MaterialValueLine,
    NeighbourLine,
    NetworkEvidence,
    NoiseEvidence,
    PartLine,
    PlateauLine,
    ScalarMap,
    SettingLine,
    ShellEvidence,
    TissueLine,
    UltimateEvidence,
)
from loopwright.dossier.findings import Answer, Cell, Column, Dossier, Finding, FindingValue, Section, Table
from loopwright.dossier.gap_evidence import CapacitorEvidence, GapLine, LumpedEvidence, PrintedEvidence
from loopwright.dossier.gap_tables import PRINTED_PICTURE
from loopwright.dossier.gathering import OnGrid, gather
from loopwright.dossier.numbers import display_unit, printed, printed_as_given, printed_range, printed_with_uncertainty
from loopwright.dossier.on_request import OnRequest
from loopwright.dossier.statistics import DepthProfile, RegionStatistics, depth_profile, region_statistics

__all__ = [
    "METHODS",
    "PRINTED_PICTURE",
    "AcceleratedFraction",
    "AccelerationEvidence",
    "Answer",
    "AskedLine",
    "BenchEvidence",
    "BodyEvidence",
    "CapacitorEvidence",
    "Cell",
    "ChoiceEvidence",
    "Column",
    "ConductorEvidence",
    "ConductorLine",
    "ConstantLine",
    "DefaultLine",
    "DepthProfile",
    "Dossier",
    "ElementLine",
    "Evidence",
    "Finding",
    "FindingValue",
    "GapLine",
    "GridComparison",
    "LayoutEvidence",
    "LumpedEvidence",
    "MapKind",
    "MapSet",
    "MaterialValueLine",
    "Method",
    "NeighbourLine",
    "NetworkEvidence",
    "NoiseEvidence",
    "OnGrid",
    "OnRequest",
    "PartLine",
    "PlateauLine",
    "PrintedEvidence",
    "Reference",
    "RegionStatistics",
    "ScalarMap",
    "Section",
    "SettingLine",
    "ShellEvidence",
    "Table",
    "TissueLine",
    "UltimateEvidence",
    "asked_lines",
    "cases_table",
    "compile_bench",
    "compile_cohort",
    "compile_comparison",
    "compile_dossier",
    "default_lines",
    "depth_profile",
    "display_unit",
    "gather",
    "label_of",
    "methods_of",
    "parse_bibliography",
    "printed",
    "printed_as_given",
    "printed_range",
    "printed_with_uncertainty",
    "region_statistics",
    "varied_keys",
]
