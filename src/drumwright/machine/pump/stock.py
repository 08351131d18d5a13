"""Generic pumps of the stock, as records with their derived geometry."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

from drumwright.basis.tables import read_toml
from drumwright.machine.pump.family import families, family_of
from drumwright.machine.pump.limits import sliding_limit, stage_limit
from drumwright.machine.pump.records import Abrasion, FamilyName, Pump

__all__ = [
    "JUDGED_FAMILIES",
    "Abrasion",
    "FamilyName",
    "Pump",
    "find",
    "judged_pumps",
    "pump_from_row",
    "pumps",
    "rated_pressure",
    "sliding_limit",
    "stage_limit",
]

JUDGED_FAMILIES: tuple[FamilyName, ...] = tuple(families())


def pump_from_row(family: str, fields: dict[str, Any]) -> Pump:
    """Return the pump of one row, read by its family.

    Parameters
    ----------
    family : str
    fields : dict
        Common fields and those of the geometry, SI units.

    Raises
    ------
    KeyError
        If there is no such family.
    StockError
        If a field is missing, unknown or not allowed.
    """
    return families()[family].from_row(fields)  # type: ignore[index]


@cache
def pumps() -> tuple[Pump, ...]:
    """All generic pumps, smallest first in each family."""
    data = read_toml("stock/pumps.toml")
    return tuple(pump_from_row(family, row) for family in families() for row in _rows(data, family))


@cache
def judged_pumps() -> tuple[Pump, ...]:
    """The pumps that the search may offer: of a judged family, and active."""
    return tuple(p for p in pumps() if p.status == "active")


def find(identifier: str) -> Pump:
    """Return the pump with this identifier.

    Raises
    ------
    KeyError
        If the stock has no such pump.
    """
    for pump in pumps():
        if pump.identifier == identifier:
            return pump
    raise KeyError(identifier)


def rated_pressure(pump: Pump, abrasion: Abrasion) -> float:
    """Pressure the pump may build with this abrasion class [Pa].

    Parameters
    ----------
    pump : Pump
    abrasion : str
        clean, sensitive, mild or abrasive.
    """
    return family_of(pump).rated_pressure(pump, abrasion)


def _rows(data: dict[str, Any], family: FamilyName) -> Iterator[dict[str, Any]]:
    """Rows of a family; sizes times stages or ratios are written out."""
    series = data["series"].get(family)
    shared = {key: value for key, value in data["family"][family].items() if key != "source"}
    for size in data[family]:
        for step in data[series] if series else [{}]:
            row = {**shared, **size, **step}
            row["id"] = "-".join([row.pop("head"), row.pop("size"), *_tail(row)])
            row["name"] = ", ".join([row["name"], *([row.pop("step_name")] if step else []), data["note"]])
            row["height"] += row.pop("added_height", 0.0)
            yield row


def _tail(row: dict[str, Any]) -> list[str]:
    """What tells the rows of one size apart."""
    return [row.pop("mark")] if "mark" in row else []
