"""Limits of the stock by abrasion class, and what is assumed of pumps where a case says nothing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.tables import read_toml
from drumwright.machine.pump.records import Abrasion, FamilyName

Array = NDArray[np.float64]


def _table() -> dict[str, Any]:
    return read_toml("stock/pumps.toml")


def stage_limit(abrasion: Abrasion) -> float:
    """Pressure a stage of a progressing cavity pump may build with this abrasion class [Pa]."""
    return float(_table()["stage_limit"][abrasion])


def sliding_limit(abrasion: Abrasion) -> float:
    """Sliding speed in the seal lines allowed for this abrasion class [m/s]."""
    return float(_table()["sliding_limit"][abrasion])


def pressure_share(family: FamilyName, abrasion: Abrasion) -> float:
    """Share of its greatest pressure a pump of this family may build with this abrasion class [-].

    Parameters
    ----------
    family : str
    abrasion : str
        clean, sensitive, mild or abrasive.
    """
    return float(_table()["pressure_share"][family][abrasion])


def wear_range(abrasion: Abrasion) -> tuple[float, float]:
    """Growth of a clearance at 1 m/s and 1 bar, low and high [m/s]: assumed, no source."""
    row = _table()["wear"][abrasion]
    return float(row["low"]), float(row["high"])


def stroke_share(abrasion: Abrasion) -> float:
    """Share of the strokes of clean product that a diaphragm pump stands with this class [-]: assumed."""
    return float(_table()["stroke_share"][abrasion])


def elastomer_limits(names: list[str]) -> tuple[tuple[str, float], ...]:
    """Temperature limit of each elastomer or plastic [K], of the one table of materials.

    Parameters
    ----------
    names : list of str
        As in the stock, "NBR" or "natural rubber".

    Raises
    ------
    KeyError
        If a name is not of the table, or a metal.
    TypeError
        If a name is no text.
    """
    table = read_toml("materials.toml")["material"]
    found = []
    for name in names:
        if not isinstance(name, str):
            raise TypeError(f"no name of an elastomer: {name!r}")
        row = table[material_name(name)]
        if row["kind"] not in ("elastomer", "plastic"):
            raise KeyError(name)
        found.append((name, float(row["temperature"][1])))
    return tuple(found)


def material_name(name: str) -> str:
    """Name in the table of materials of an elastomer of the stock.

    Parameters
    ----------
    name : str
    """
    return name.strip().casefold().replace(" ", "_")


def assumed_range(key: str) -> tuple[float, float, float]:
    """Low, likely and high of a model quantity of the pumps, in SI units."""
    row = _table()["assumed"][key]
    return float(row["low"]), float(row["likely"]), float(row["high"])


def assumed(model: Mapping[str, Array], key: str) -> Array:
    """A sampled model quantity, or its careful end where the sample does not hold it.

    Parameters
    ----------
    model : mapping of ndarray
        Sampled quantities.
    key : str
        "model.*"; its table in the stock says which end is careful.
    """
    if key in model:
        return np.asarray(model[key])
    row = _table()["assumed"][key]
    return np.asarray(float(row[row["careful"]]))
