"""Kinds of containers of `data/containers.toml`: every number with its spread and source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any, Literal

from drumwright.basis.estimate import Estimate
from drumwright.basis.tables import read_toml

Section = Literal["round", "rectangular"]
Top = Literal["whole", "bung", "mouth"]

QUANTITIES: tuple[str, ...] = (
    "diameter_top",
    "diameter_bottom",
    "diameter_tolerance",
    "length",
    "width",
    "corner_radius",
    "inside_height",
    "outside_diameter",
    "outside_height",
    "brimful_volume",
    "usable_volume",
    "headspace",
    "tare",
    "wall",
    "hoops",
    "hoop_depth",
    "hoop_width",
    "hoop_spacing",
    "bottom_wall",
    "standing_clearance",
    "opening",
    "outlet_bore",
    "outlet_length",
)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of container; its numbers in SI units, their note says where they come from.

    `numbers` holds only what is known for the kind: what is missing must be asked for.
    """

    name: str
    section: Section
    material: str
    bottom: str
    top: Top
    liner: str
    outlet: str
    numbers: Mapping[str, Estimate]

    def known(self, quantity: str) -> Estimate | None:
        """Return one of `QUANTITIES`, None where nothing is known for the kind.

        Raises
        ------
        KeyError
            If there is no such quantity.
        """
        if quantity not in QUANTITIES:
            raise KeyError(quantity)
        return self.numbers.get(quantity)


@cache
def kinds() -> Mapping[str, Kind]:
    """Every kind of container by name."""
    return MappingProxyType({name: _kind(name, row) for name, row in read_toml("containers.toml").items()})


def kind(name: str) -> Kind:
    """Return one kind of container.

    Raises
    ------
    KeyError
        If the table has no such kind.
    """
    return kinds()[name]


def headspace(name: str) -> Estimate:
    """Return the height from brim down to product of one kind [m]; every kind has one.

    Parameters
    ----------
    name : str
        Kind of container.

    Raises
    ------
    KeyError
        If the table has no such kind.
    """
    return kind(name).numbers["headspace"]


def _kind(name: str, row: Mapping[str, Any]) -> Kind:
    numbers = {
        key: Estimate(value["low"], value["likely"], value["high"], value["basis"], note=value["source"])
        for key, value in row["numbers"].items()
    }
    parts = {key: row[key] for key in ("section", "material", "bottom", "top", "liner", "outlet")}
    return Kind(name=name, numbers=MappingProxyType(numbers), **parts)
