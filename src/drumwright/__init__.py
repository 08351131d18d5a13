"""drumwright: empty drums of thick product into a line, from a vague enquiry to a defensible proposal.

The public names below are loaded when they are first used: importing the package costs next to nothing. Their
types stand in the stub beside this file.
"""

from importlib import import_module

__version__ = "0.1.0"

# Public name -> room and module it lives in.
_HOMES = {
    "Assumption": "study.result",
    "Case": "station.records",
    "ControlSheet": "study.control_sheet",
    "DrumwrightError": "basis.errors",
    "Estimate": "basis.estimate",
    "Figure": "study.result",
    "Finding": "study.result",
    "FitError": "basis.errors",
    "Fitted": "study.fitting",
    "FlowOutOfRange": "basis.errors",
    "InputError": "basis.errors",
    "NotJudgedYet": "basis.errors",
    "Phrase": "basis.phrases",
    "PhraseError": "basis.errors",
    "Problem": "basis.errors",
    "QuantityError": "basis.errors",
    "Question": "study.result",
    "Result": "study.result",
    "RunStudy": "study.run_study",
    "ShiftStudy": "study.shift",
    "StockError": "basis.errors",
    "assess": "study.assess",
    "case_from_dict": "station.casefile",
    "control": "study.control_sheet",
    "difference": "study.difference",
    "documents": "report.files",
    "fit": "study.fitting",
    "load": "station.casefile",
    "matrix": "study.matrix",
    "money": "study.economics",
    "questions": "study.asking",
    "read": "basis.quantities",
    "render": "basis.phrases",
    "run": "study.run_study",
    "run_worst": "study.run_study",
    "shift": "study.shift",
    "shortlist": "study.shortlist",
    "show": "basis.quantities",
    "sweep": "study.sweep",
    "warnings": "station.casefile",
    "would_pass": "study.would_pass",
    "write": "report.files",
    "write_template": "station.casefile",
}
__all__ = [*_HOMES, "__version__"]


def __getattr__(name: str) -> object:
    """Load a public name."""
    if name not in _HOMES:
        raise AttributeError(f"module 'drumwright' has no attribute {name!r}")
    return getattr(import_module(f"drumwright.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    """Name what is public."""
    return sorted(__all__)
