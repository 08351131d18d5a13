"""Each figure explained once: equation, source, values put in, validity and whether it is inside."""

from __future__ import annotations

from collections.abc import Mapping

from drumwright.station.by_kind import defaults
from drumwright.study.evaluation import Problem
from drumwright.study.figures import table
from drumwright.study.result import Explanation, Figure


def explanations(found: list[Figure], problem: Problem, bore: float | None = None) -> list[Explanation]:
    """Explain each figure once, with the point values of its own arrangement put in, winter first.

    Parameters
    ----------
    found : list of Figure
    problem : Problem
    bore : float, optional
        Bore of the recommended line where it is not the customer's [m].
    """
    explained = []
    for prefix in ("", "recommended."):
        by_key: dict[str, Figure] = {}
        for item in found:
            name = item.key.removeprefix("recommended.")
            if item.key == prefix + name and (name not in by_key or item.condition == "winter"):
                by_key[name] = item
        chosen = {"line.bore": bore} if prefix and bore is not None else {}
        explained += [_explained(prefix + key, by_key, problem, chosen) for key in by_key]
    return explained


def _explained(
    full_name: str, by_key: Mapping[str, Figure], problem: Problem, chosen: Mapping[str, float]
) -> Explanation:
    key = full_name.removeprefix("recommended.")
    row = table()[key]
    put_in = []
    for name in row["inputs"]:
        if name in by_key:
            put_in.append((name, by_key[name].kind, by_key[name].likely))
        elif name in problem.inputs.estimates:
            put_in.append((name, _kind_of(name, problem), chosen.get(name, problem.inputs.likely(name))))
    inside = _inside(key, by_key)
    return Explanation(full_name, row["equation"], row["source"], tuple(put_in), row["validity"], inside)


_KINDS = {
    "enquiry.flow": "flow",
    "line.bore": "diameter",
    "line.length": "length",
    "enquiry.drums_per_shift": "count",
    "enquiry.residue_wanted": "fraction",
    "product.viscosity": "viscosity",
    "product.particles.size": "diameter",
}


def _kind_of(name: str, problem: Problem) -> str:
    row = problem.inputs.rows.get(name) or defaults().get(name)
    return row.kind if row else _KINDS.get(name, "ratio")


def _inside(key: str, by_key: Mapping[str, Figure]) -> bool | None:
    """Whether the figure lies inside its stated validity, where that can be told from numbers."""
    if key.startswith("line.") and "friction" in key and "line.reynolds" in by_key:
        return by_key["line.reynolds"].high < 2000.0
    if key == "line.fittings" and "line.reynolds" in by_key:
        return by_key["line.reynolds"].low > 20.0
    return None
