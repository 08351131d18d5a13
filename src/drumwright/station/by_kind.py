"""Numbered assumptions of one kind of container: the general ones, with what differs for the kind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType
from typing import Any

from drumwright.basis.estimate import Estimate
from drumwright.basis.quantities import read
from drumwright.basis.tables import read_toml
from drumwright.machine.container.kinds import Kind, kind

PLAINEST = "straight_drum"  # taken where the kind of container was not said
# Dimensions of `containers.toml` that are numbered assumptions: name there, key here, flag.
_DIMENSIONS: tuple[tuple[str, str, str], ...] = (
    ("usable_volume", "container.usable_volume", "A"),
    ("inside_height", "container.inside_height", "A"),
    ("outside_diameter", "container.outside_diameter", "A"),
    ("outside_height", "container.outside_height", "A"),
    ("tare", "container.tare", "G"),
    ("wall", "container.wall", "A"),
    ("hoops", "container.hoops", "G"),
    ("hoop_depth", "container.hoop_depth", "A"),
    ("hoop_width", "container.hoop_width", "G"),
    ("hoop_spacing", "container.hoop_spacing", "G"),
    ("length", "container.length", "A"),
    ("width", "container.width", "A"),
    ("outlet_bore", "container.outlet_bore", "A"),
    ("outlet_length", "container.outlet_length", "A"),
)
_KINDS = {
    "container.usable_volume": "volume", "container.tare": "mass", "container.hoops": "count",
    "container.outlet_length": "length",
}  # fmt: skip
TAPERED = ("conical_drum", "pail")  # kinds whose diameters at top and bottom differ


@dataclass(frozen=True, slots=True)
class Default:
    """One numbered assumption in SI units."""

    key: str
    kind: str
    estimate: Estimate
    source: str
    flag: str
    owner: str


@cache
def defaults() -> Mapping[str, Default]:
    """All general assumptions by field, in the order of `data/defaults.toml`, then those of the pumps."""
    rows = read_toml("defaults.toml")
    return MappingProxyType({key: _row(key, row, row["kind"]) for key, row in rows.items()} | _of_pumps())


def _of_pumps() -> dict[str, Default]:
    """What is assumed of the pump families, from their stock [SI]."""
    found = {}
    for key, row in read_toml("stock/pumps.toml")["assumed"].items():
        if key.startswith("model."):
            estimate = Estimate(row["low"], row["likely"], row["high"], "assumed")
            found[key] = Default(key, row["kind"], estimate, row["source"], "A", "pump maker")
    return found


@cache
def defaults_of(name: str | None) -> Mapping[str, Default]:
    """Assumptions that hold for one kind of container, general ones first.

    Parameters
    ----------
    name : str or None
        Kind of the case file; None takes the plainest.

    Raises
    ------
    KeyError
        If there is no such kind.
    """
    found = dict(defaults())
    own = kind(name or PLAINEST)
    if own.name != PLAINEST:
        for key in _not_of(own):
            found.pop(key, None)
    for key, row in _dimensions(own).items():
        if own.name != PLAINEST or key not in found:
            found[key] = row
    if own.known("hoops") is None:  # flat walls have none
        found["container.hoops"] = replace(found["container.hoops"], estimate=Estimate.exact(0.0, "assumed"))
    for key, row in read_toml("by_kind.toml").get(own.name, {}).items():
        general = found.get(key)
        found[key] = (
            replace(general, estimate=_estimate(row, general.kind), source=row["source"])
            if general
            else _row(key, row, row["kind"])
        )
    return MappingProxyType(found)


def _not_of(own: Kind) -> tuple[str, ...]:
    """General assumptions that make no sense for the kind."""
    return ("container.inside_diameter",) if own.section == "rectangular" or own.name in TAPERED else ()


def _dimensions(own: Kind) -> dict[str, Default]:
    rows = [*_DIMENSIONS]
    if own.section == "rectangular":  # whether a seal follows its corners, where a plate goes in
        rows.append(("corner_radius", "container.corner_radius", "R" if own.top == "whole" else "G"))
    if own.section == "round" and own.name in TAPERED:
        rows += [(end, f"container.{end}", "R") for end in ("diameter_top", "diameter_bottom")]
    elif own.section == "round":
        rows.append(("diameter_top", "container.inside_diameter", "A"))
    found = {}
    for name, key, flag in rows:
        estimate = own.known(name)
        if estimate is not None:
            kind_of = _KINDS.get(key, "diameter")
            found[key] = Default(key, kind_of, replace(estimate, note=""), estimate.note, flag, "customer")
    return found


def _row(key: str, row: Mapping[str, Any], kind_of: str) -> Default:
    return Default(key, kind_of, _estimate(row, kind_of), row["source"], row["flag"], row["owner"])


def _estimate(row: Mapping[str, Any], kind_of: str) -> Estimate:
    low, likely, high = (read(row[name], kind_of) for name in ("low", "likely", "high"))
    return Estimate(low, likely, high, row["basis"], row.get("shape", "triangular"))


def kind_keys() -> frozenset[str]:
    """Keys that are assumptions for some kind of container and not in the general table."""
    names = [row[1] for row in _DIMENSIONS] + ["container.diameter_top", "container.diameter_bottom"]
    names += ["container.corner_radius"]
    names += [key for rows in read_toml("by_kind.toml").values() for key in rows]
    return frozenset(names) - frozenset(defaults())
