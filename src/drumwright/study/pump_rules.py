"""Rules of the trade for the pump family: which apply to a case, and the order they give the families.

Common practice, no source (`data/pump_rules.toml`). They order the trial; a number overrules them.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Any, Literal

from drumwright.basis.tables import read_toml
from drumwright.machine.pump.records import FamilyName
from drumwright.station.inputs import Inputs
from drumwright.study.checks import abrasion_class, counted_hardness
from drumwright.study.materials import words

Rating = Literal["good", "fair", "poor", "no"]
_EXPLOSIVE = ("zone_0", "zone_1", "zone_2", "zone_20", "zone_21", "zone_22")
_METERED = ("closed_filler", "batch_scale")
_WATERY = frozenset(word for word, brings in words("cleaning").items() if "water" in brings)


@cache
def _table() -> Mapping[str, Any]:
    return MappingProxyType(read_toml("pump_rules.toml"))


def rating(rule: str, family: FamilyName) -> Rating:
    """What a rule says of a family.

    Parameters
    ----------
    rule : str
        Row of the table.
    family : str

    Raises
    ------
    KeyError
        If there is no such rule.
    """
    found: Rating = _table()["rule"][rule][family]
    return found


def threshold(name: str) -> float:
    """From where a rule applies: yield stress [Pa], viscosity [Pa s] or size of a piece [m].

    Parameters
    ----------
    name : str
        Row of the table "threshold".
    """
    return float(_table()["threshold"][name])


def rules_of(inputs: Inputs, yield_stress: float, viscosity: float) -> tuple[str, ...]:
    """Rules that apply to a case, in the order of the table.

    Parameters
    ----------
    inputs : Inputs
    yield_stress : float
        In the norm season [Pa].
    viscosity : float
        Of a product without yield stress in the norm season, 0 for others [Pa s].
    """
    choices = inputs.choices
    size = inputs.estimates.get("product.particles.size")
    hard = size is not None and "hard" in counted_hardness(inputs)
    destination = choices["destination.kind"] or "open_tank"
    wet = any(agent in _WATERY for agent in choices["site.cleaning_agents"]) or choices["site.wash_down"]
    applies = {
        "abrasive": abrasion_class(inputs) == "abrasive",
        "soft_pieces": size is not None and not hard and size.high >= threshold("soft_pieces"),
        "hard_pieces": hard,
        "some_yield": threshold("some_yield") <= yield_stress < threshold("much_yield"),
        "much_yield": yield_stress >= threshold("much_yield"),
        "thick_newtonian": viscosity >= threshold("thick_newtonian"),
        "shear_sensitive": bool(choices["product.shear_sensitive"]),
        "closed_outlet": destination in ("closed_filler", "header"),
        "steady_flow": destination in _METERED,
        "wet_cleaning": bool(choices["product.food"]) and bool(wet),
        "zone": choices["site.zone"] in _EXPLOSIVE,
    }
    return tuple(rule for rule in _table()["rule"] if applies[rule])


def points(rules: tuple[str, ...], family: FamilyName) -> int:
    """How far a family is from the first choice by the rules that apply; 0 where every rule speaks for it.

    Parameters
    ----------
    rules : tuple of str
    family : str
    """
    worth = _table()["points"]
    return sum(int(worth[rating(rule, family)]) for rule in rules)
