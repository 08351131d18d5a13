"""What the parts in contact with the product meet: product and cleaning, as far as somebody said."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from drumwright.station.inputs import Inputs
from drumwright.study.checks import abrasion_class
from drumwright.study.materials import Exposure, agents, level, words

STEAM = 394.15  # [K] 121 C, where steam is named without a temperature; common practice, no source
# Solvents that do not occur in a food (common practice, no source); alcohol may.
_NOT_IN_FOOD = ("ketone", "ester", "aromatic", "chlorinated", "mineral_oil")
_ASKS = {
    "fat": "product.fat_share",
    "acid": "product.ph",
    "caustic": "product.ph",
    "chloride": "product.chloride",
    "much_chloride": "product.chloride",
    "abrasion": "product.abrasive",
    "food": "product.food",
    "oxidant": "site.cleaning_agents",
    "steam": "site.cleaning_agents",
    "water": "site.cleaning_agents",
    "hot_water": "site.cleaning_temperature",
}


def exposure_of(inputs: Inputs) -> Exposure:
    """What product and cleaning bring to the parts, each agent yes, no or unknown.

    Parameters
    ----------
    inputs : Inputs

    Notes
    -----
    Yes where product or cleaning brings it, no where both were said and neither does, else unknown. Cleaning
    without a named agent is unknown, and so is its temperature.
    """
    product, cleaning = _of_product(inputs), _of_cleaning(inputs)
    met: dict[str, bool | None] = {}
    asks: dict[str, str] = {}
    for agent in agents():
        ours, theirs = product.get(agent), cleaning.get(agent)
        met[agent] = True if ours or theirs else None if ours is None or theirs is None else False
        own = _ASKS.get(agent, "product.solvents")
        asks[agent] = own if ours is None else "site.cleaning_agents"
        if agent == "hot_water" and inputs.choices["site.cleaning_agents"]:
            asks[agent] = "site.cleaning_temperature"
    coldest = inputs.likely("product.temperature.low")
    return Exposure(met, asks, coldest, _hottest(inputs))


def _of_product(inputs: Inputs) -> dict[str, bool | None]:
    food = inputs.choices["product.food"]
    found: dict[str, bool | None] = dict.fromkeys(agents())
    found.update({"oxidant": False, "steam": False, "hot_water": False, "food": food})
    # water stands in every food; elsewhere nobody said
    found["water"] = True if food else None
    stated = inputs.choices["product.solvents"]
    for agent in {brought for brings in words("solvent").values() for brought in brings}:
        found[agent] = False if food and agent in _NOT_IN_FOOD else None
    if stated:
        brought = _brought("solvent", stated)
        for agent in {each for brings in words("solvent").values() for each in brings}:
            found[agent] = agent in brought
    found["fat"] = _over(inputs, "product.fat_share", "fat")
    found["chloride"] = _over(inputs, "product.chloride", "chloride")
    found["much_chloride"] = _over(inputs, "product.chloride", "much_chloride")
    acidity = inputs.estimates.get("product.ph")
    found["acid"] = None if acidity is None else acidity.low < level("acid_ph")
    found["caustic"] = None if acidity is None else acidity.high > level("caustic_ph")
    hard = abrasion_class(inputs) == "abrasive"
    found["abrasion"] = True if hard else inputs.choices["product.abrasive"]
    if found["water"] and inputs.likely("product.temperature.high") > level("hot_water"):
        found["hot_water"] = True
    return found


def _over(inputs: Inputs, key: str, name: str) -> bool | None:
    """Whether a stated number may be over a level of the table; None where nothing was stated."""
    stated = inputs.estimates.get(key)
    return None if stated is None else stated.high > level(name)


def _of_cleaning(inputs: Inputs) -> dict[str, bool | None]:
    """Agents that cleaning brings; without a named agent unknown where cleaning could bring them."""
    could = {agent for brings in words("cleaning").values() for agent in brings}
    named = inputs.choices["site.cleaning_agents"]
    brought = _brought("cleaning", named)
    found: dict[str, bool | None] = dict.fromkeys(agents(), False)
    for agent in could:
        found[agent] = agent in brought if named else None
    if named and "water" in brought and not found["hot_water"]:
        warm = inputs.estimates.get("site.cleaning_temperature")
        found["hot_water"] = None if warm is None else warm.high > level("hot_water")
    if not named and inputs.choices["site.wash_down"]:
        found["water"] = True
    return found


def _brought(table: Literal["solvent", "cleaning"], named: Iterable[str]) -> frozenset[str]:
    """Agents behind the words of a case."""
    known = words(table)
    return frozenset(agent for word in named for agent in known[word])


def _hottest(inputs: Inputs) -> float:
    """Hottest contact: product, warming of it, cleaning [K]."""
    temperatures = [inputs.likely("product.temperature.high")]
    for key in ("site.warm_to", "site.cleaning_temperature"):
        if key in inputs.estimates:
            temperatures.append(inputs.estimates[key].high)
    if "steam" in inputs.choices["site.cleaning_agents"]:
        temperatures.append(STEAM)
    return max(temperatures)
