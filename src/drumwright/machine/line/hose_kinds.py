"""Generic kinds of hose from the table: expansion, least bend radius, rated pressure."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from drumwright.basis.errors import StockError
from drumwright.basis.tables import read_toml

TABLE = "hoses.toml"


class Band(NamedTuple):
    """A number that is not known well; no maker's value."""

    low: float
    likely: float
    high: float
    kind: str  # assumed or from_memory
    source: str


class HoseKind(NamedTuple):
    """One generic kind of hose; placeholder, not for order."""

    key: str
    expansion: Band  # growth of the volume for each pascal [1/Pa]
    bend: Band  # least bend radius over bore [-]
    rated: Band  # [Pa(g)]


@cache
def hose_kinds() -> dict[str, HoseKind]:
    """Every kind of the table, by its key."""
    table = read_toml(TABLE)
    return {
        key: HoseKind(key, *(Band(**row[name]) for name in ("expansion", "bend", "rated")))
        for key, row in table.items()
        if key != "general"
    }


def hose_kind(key: str) -> HoseKind:
    """One kind of hose.

    Parameters
    ----------
    key : str

    Raises
    ------
    StockError
        If there is no such kind.
    """
    if key not in hose_kinds():
        raise StockError(f"no kind of hose {key}; allowed: {', '.join(hose_kinds())}")
    return hose_kinds()[key]


def hose_bores() -> tuple[float, ...]:
    """Usual bores of hoses, from narrow to wide [m]."""
    return tuple(read_toml(TABLE)["general"]["bores"])


def hose_layout() -> dict[str, Band]:
    """Straight ends and distance of the legs of a hanging loop [m], where nobody said."""
    general = read_toml(TABLE)["general"]
    return {name: Band(**general[name]) for name in ("ends", "leg_distance")}
