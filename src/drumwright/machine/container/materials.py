"""What container walls are made of, as the table `data/wall_materials.toml` knows it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from drumwright.basis.estimate import Estimate
from drumwright.basis.tables import read_toml


@dataclass(frozen=True, slots=True)
class Material:
    """A wall material: modulus [Pa], Poisson's ratio [-] and allowed stress [Pa], each with its source."""

    name: str
    modulus: Estimate
    poisson: Estimate
    allowed_stress: Estimate


@cache
def material(name: str) -> Material | None:
    """Return a wall material, None where its strength is not known and must be asked for (fibre).

    Parameters
    ----------
    name : str
        Wall material of the case file.
    """
    row = read_toml("wall_materials.toml").get(name)
    if row is None or "modulus" not in row:
        return None
    parts = (_estimate(row[key]) for key in ("modulus", "poisson", "allowed_stress"))
    return Material(name, *parts)


def knock_down() -> Estimate:
    """Share of the collapse pressure of a perfect shell that a used container bears [-]."""
    return _estimate(read_toml("wall_materials.toml")["knock_down"]["of_perfect_shell"])


def general_limit(row: str) -> Estimate:
    """Pressure that assist air is held to in any container [Pa(g)].

    Parameters
    ----------
    row : str
        "assist_regulated" or "assist_relieved".

    Raises
    ------
    KeyError
        If there is no such row.
    """
    return _estimate(read_toml("wall_materials.toml")["general"][row])


def _estimate(row: Mapping[str, Any]) -> Estimate:
    return Estimate(row["low"], row["likely"], row["high"], row["basis"], note=row["source"])
