"""What the parts in contact with the product meet: product and cleaning, as far as somebody said."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from drumwright.station.inputs import Inputs
from drumwright.study.checks import abrasion_class
from drumwright.study.materials import Exposure, agents, level, words

# Solvents that do not occur in a food (common practice, no source); alcohol may.
_NOT_IN_FOOD = ("ketone", "ester", "aromatic", "chlorinated", "mineral_oil")
_ASKS = {
    "fat": "product.fat_share",
    "acid": "product.ph",
    "caustic": "product.ph",
    "chloride": "product.chloride",
    "acid_chloride": "product.ph",
    "much_chloride": "product.chloride",
    "abrasion": "product.abrasive",
    "food": "product.food",
    "oxidant": "site.cleaning_agents",
    "steam": "site.cleaning_agents",
    "water": "site.cleaning_agents",
    "hot_water": "site.cleaning_temperature",
}


def exposure_of(inputs: Inputs, warm_to: float | None = None) -> Exposure:
    """What product and cleaning bring to the parts, each agent yes, no or unknown.

    Parameters
    ----------
    inputs : Inputs
    warm_to : float or None
        Core temperature an arrangement warms to [K].

    Notes
    -----
    Yes where product or cleaning brings it, no where both were said and neither does, else unknown. Cleaning
    without a named agent, or with one whose composition nobody said, is unknown, and so is its temperature.
    Acid and oxidant of the cleaning count with chloride of the product (what is left of it); heat counts
    where the chloride is: in the product, or in the cleaning (assumed: rinsed before it is cleaned hot).
    """
    warm = _product_hot(inputs, warm_to)
    product, cleaning = _of_product(inputs, warm), _of_cleaning(inputs)
    named = inputs.choices["site.cleaning_agents"]
    met: dict[str, bool | None] = {}
    asks: dict[str, str] = {}
    for agent in agents():
        ours, theirs = product.get(agent), cleaning.get(agent)
        met[agent] = True if ours or theirs else None if ours is None or theirs is None else False
        own = _ASKS.get(agent, "product.solvents")
        asks[agent] = own if ours is None else f"site.cleaning_agents{'.which' if named else ''}"
        if agent == "hot_water" and named:
            asks[agent] = "site.cleaning_temperature"
    coldest = inputs.estimates["product.temperature.low"].low
    hotter = _could_be_hotter(inputs)
    chloride_hot = _chloride_hot(inputs, product, cleaning, warm)
    return Exposure(met, asks, coldest, max(warm, *_cleaning_hot(inputs)), hotter, chloride_hot)


def _product_hot(inputs: Inputs, warm_to: float | None) -> float:
    """Hottest product, the warming of it and a heater that was named counted [K]: the high ends."""
    keys = ("product.temperature.high", "site.warm_to", "site.heating_temperature")
    said = [
        key for key in keys if key in inputs.estimates and (key == keys[0] or key not in inputs.defaulted)
    ]
    return max(warm_to or 0.0, *(inputs.estimates[key].high for key in said))


def _cleaning_hot(inputs: Inputs) -> list[float]:
    """Temperatures of cleaning that were said [K]; at least one number, 0 where nobody said."""
    stated = inputs.estimates.get("site.cleaning_temperature")
    steam = level("steam") if "steam" in inputs.choices["site.cleaning_agents"] else 0.0
    return [steam, stated.high if stated is not None else 0.0]


def _could_be_hotter(inputs: Inputs) -> dict[str, float]:
    """How hot cleaning could be by what nobody said: any steam, or the usual temperature of warm cleaning."""
    named = inputs.choices["site.cleaning_agents"]
    if not named:
        return {"site.cleaning_agents": level("steam")}
    if "water" in _brought("cleaning", named) and "site.cleaning_temperature" not in inputs.estimates:
        return {"site.cleaning_temperature": level("usual_warm_cleaning")}
    return {}


def _chloride_hot(
    inputs: Inputs, product: dict[str, bool | None], cleaning: dict[str, bool | None], warm: float
) -> bool | None:
    """Whether chloride stands hot on the parts; None where it is in a cleaning of unknown temperature."""
    hot = level("chloride_heat")
    if product["chloride"] is not False and warm > hot:
        return True
    if not cleaning["chloride"]:
        return False
    if max(_cleaning_hot(inputs)) > hot:
        return True
    return None if _could_be_hotter(inputs) else False


def _of_product(inputs: Inputs, warm: float) -> dict[str, bool | None]:
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
    share = _level_share(warm)
    found["chloride"] = _over(inputs, "product.chloride", "chloride", share)
    found["much_chloride"] = _over(inputs, "product.chloride", "much_chloride", share)
    acidity = inputs.estimates.get("product.ph")
    sour = None if acidity is None else acidity.low < level("acid_chloride_ph")
    found["acid_chloride"] = _both(sour, found["chloride"])
    found["acid"] = None if acidity is None else acidity.low < level("acid_ph")
    found["caustic"] = None if acidity is None else acidity.high > level("caustic_ph")
    hard = abrasion_class(inputs) == "abrasive"
    found["abrasion"] = True if hard else inputs.choices["product.abrasive"]
    if found["water"] and warm > level("hot_water"):
        found["hot_water"] = True
    return found


def _over(inputs: Inputs, key: str, name: str, share: float = 1.0) -> bool | None:
    """Whether a stated number may be over a share of a level; None where nothing was stated."""
    stated = inputs.estimates.get(key)
    return None if stated is None else stated.high > level(name) * share


def _level_share(temperature: float) -> float:
    """Share of the levels of chloride that holds at a temperature [K]: half with every step; assumed."""
    return float(0.5 ** (max(temperature - level("chloride_from"), 0.0) / level("chloride_step")))


def _both(one: bool | None, other: bool | None) -> bool | None:
    """Whether both hold: no where one does not, whatever the other."""
    if one is False or other is False:
        return False
    return None if one is None or other is None else True


def _of_cleaning(inputs: Inputs) -> dict[str, bool | None]:
    """Agents that cleaning brings; unknown where no name, or one that says little, could."""
    could = {agent for brings in words("cleaning").values() for agent in brings}
    named = inputs.choices["site.cleaning_agents"]
    brought, may = _brought("cleaning", named), _brought("cleaning_may", named)
    could |= {agent for brings in words("cleaning_may").values() for agent in brings}
    found: dict[str, bool | None] = dict.fromkeys(agents(), False)
    for agent in could:
        unknown = agent in may if named else True
        found[agent] = True if agent in brought else None if unknown else False
    if named and "water" in brought and not found["hot_water"]:
        warm = inputs.estimates.get("site.cleaning_temperature")
        found["hot_water"] = None if warm is None else warm.high > level("hot_water")
    if not named and inputs.choices["site.wash_down"]:
        found["water"] = True
    return found


def _brought(table: Literal["solvent", "cleaning", "cleaning_may"], named: Iterable[str]) -> frozenset[str]:
    """Agents behind the words of a case."""
    known = words(table)
    return frozenset(agent for word in named for agent in known.get(word, ()))
