"""summary.json: every figure of the dossier for programs; its keys are told in docs/reference/summary.md."""

import json
import math
from typing import Any

from loopwright.dossier import Dossier, Finding, FindingValue

__all__ = ["FORMAT", "MADE_BY", "summary_json"]

#: Raised when a key changes its meaning or goes away.
FORMAT = 1

#: How a run directory of this tool is recognised.
MADE_BY = "loopwright"


def summary_json(dossier: Dossier) -> str:
    """Write all findings, in SI units, in the order of the dossier; keys must be unique.

    A figure that is not a number (no value, or infinite) becomes null, for JSON has no other word for it.
    """
    head = {
        "made_by": MADE_BY,
        "version": dossier.tool_version,
        "format": FORMAT,
        "title": dossier.title,
        "element_names": list(dossier.element_names),
        "methods": list(dossier.methods),
    }
    lines = [f"{_json(key)}: {_json(value)}" for key, value in head.items()]
    figures = [f"{_json(finding.key)}: {_json(_figure(finding))}" for finding in dossier.findings]
    # One figure per line: a matrix spread over a thousand lines can be neither read nor compared.
    lines.append('"figures": {\n  ' + ",\n  ".join(figures) + "\n }")
    return "{\n " + ",\n ".join(lines) + "\n}\n"


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _figure(finding: Finding) -> dict[str, Any]:
    known: dict[str, Any] = (
        {"no_uncertainty_because": finding.no_uncertainty_because}
        if finding.uncertainty is None
        else {"uncertainty": _value(finding.uncertainty)}
    )
    return {
        "label": finding.label,
        "value": _value(finding.value),
        "unit": finding.unit,
        **known,
        "how": finding.how,
        "source": str(finding.source),
    }


def _value(value: FindingValue) -> Any:
    if isinstance(value, tuple):
        return [_value(entry) for entry in value]
    if isinstance(value, str):
        return value
    return float(value) if math.isfinite(value) else None
