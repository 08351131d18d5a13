"""Screening of pipes, vessels and gas cushions against the pressure-equipment directive; no declaration."""

from __future__ import annotations

import math
from typing import Any, Literal, NamedTuple, TypeAlias

from drumwright.basis.errors import FlowOutOfRange
from drumwright.basis.tables import read_toml

Item: TypeAlias = Literal["pipe", "vessel", "gas_cushion"]
Group: TypeAlias = Literal[1, 2]
Category: TypeAlias = Literal["none", "sep", "I", "II", "III", "IV", "beyond", "ask"]
STEPS: tuple[Category, ...] = ("sep", "I", "II", "III", "IV")
BAR, LITRE, MILLIMETRE = 1e5, 1e-3, 1e-3
SAFETY_VALVE: Category = "IV"  # safety accessory, category IV by default (trade book 4.3)


class Screening(NamedTuple):
    """Result of one look at the table. Always "screening only"; every limit is from memory."""

    item: Item
    group: Group
    category: Category
    product: float  # PS V [bar L] or PS DN [bar mm]
    source: str


def screen(item: Item, gauge: float, size: float, group: Group | None) -> Screening:
    """Category of one item, screening only.

    Parameters
    ----------
    item : str
        pipe (liquid), vessel (liquid without gas space) or gas_cushion (any gas space over the product).
    gauge : float
        Greatest allowed pressure PS, that during relief, not the running one [Pa(g)].
    size : float
        Nominal size of a pipe [m]; volume of a vessel, of the whole vessel where it has a cushion [m3].
    group : int or None
        Fluid group, 1 dangerous or 2 others. None, unknown, is screened as 1.

    Returns
    -------
    Screening
        Category "none" at 0.5 bar and below, "sep" sound engineering practice, I to IV; "beyond" where a
        liquid leaves sound engineering practice and the category must be read from the directive; "ask" for a
        size or pressure that is not known.

    Raises
    ------
    FlowOutOfRange
        If pressure or size is negative, or there is no such item or group.

    Notes
    -----
    Directive 2014/68/EU, Article 4 and Annex II, from memory (trade book 4.3). A liquid whose vapour pressure
    passes 0.5 bar over atmosphere at its hottest counts as gas. Pumps are normally outside, as machines.
    """
    taken: Group = 1 if group is None else group
    tables: dict[str, Any] = read_toml("pressure_equipment.toml")
    if item not in ("pipe", "vessel", "gas_cushion") or taken not in (1, 2):
        raise FlowOutOfRange(f"no pressure equipment {item} of fluid group {taken}")
    table = tables[item][str(taken)]
    if math.isnan(gauge) or math.isnan(size):
        return Screening(item, taken, "ask", math.nan, table["source"])
    if gauge < 0.0 or size < 0.0:
        raise FlowOutOfRange("pressure and size must be zero or more")
    bars, measure = gauge / BAR, size / (MILLIMETRE if item == "pipe" else LITRE)
    product = bars * measure
    if bars <= tables["scope"]["least_pressure"]:
        return Screening(item, taken, "none", product, tables["scope"]["source"])
    found = _cushion(table, bars, measure) if item == "gas_cushion" else _liquid(table, bars, measure)
    return Screening(item, taken, found, product, table["source"])


def unclassed_cushion(group: Group | None) -> float:
    """Greatest PS V of a gas cushion that stays outside the categories [Pa m3], screening only.

    Parameters
    ----------
    group : int or None
        Fluid group; None, unknown, is screened as 1.
    """
    taken: Group = 1 if group is None else group
    steps = read_toml("pressure_equipment.toml")["gas_cushion"][str(taken)]["steps"]
    return float(steps[0]) * BAR * LITRE


def _liquid(table: dict[str, Any], bars: float, measure: float) -> Category:
    inside = _above(bars, table["least_pressure"]) and _above(measure, table["least_size"])
    return "beyond" if inside and _above(bars * measure, table["product"]) else "sep"


def _cushion(table: dict[str, Any], bars: float, measure: float) -> Category:
    if not _above(measure, table["least_size"]):
        return "ask" if _above(bars, table["small_pressure"]) else "sep"
    return STEPS[sum(_above(bars * measure, limit) for limit in table["steps"])]


def _above(product: float, limit: float) -> bool:
    """Whether a product of pressure and size passes a limit, rounding of the units apart."""
    return product > limit * (1.0 + 1e-9)
