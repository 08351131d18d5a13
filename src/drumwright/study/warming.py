"""Warming the containers: to which core temperature, how long, how many stand in the warm."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.statistics import quantiles
from drumwright.product.law import FlowLaw
from drumwright.station.heating import borne, hottest_of_bands
from drumwright.station.rheology import law_in_season
from drumwright.station.warm_up import Warming, night, warming
from drumwright.study.result import Finding

Array = NDArray[np.float64]
SAMPLES = 1025  # point and first Sobol points: enough for P5 and P95 of a time in hours
KEYS = (
    "warm_up.core_time", "warm_up.mean_time", "warm_up.surroundings", "warm_up.energy", "warm_up.swelling",
    "warm_up.stock", "warm_up.floor", "warm_up.energy_a_day",
    "warm_up.hottest", "warm_up.damage", "warm_up.standing_time", "warm_up.time_above",
    "warm_up.limit_time", "warm_up.unlimited_wall", "warm_up.covered",
)  # fmt: skip
NIGHT = 14 * 3600.0  # [s] a winter night; assumed
COVERED = 0.95  # share of the height under bands from which nothing is said of the rest; assumed
DAY = 86400.0  # [s]


def warmest(problem: Any) -> float | None:
    """Warmest temperature with evidence that the product bears [K]; None where it is no warmer than usual.

    Parameters
    ----------
    problem : evaluation.Problem
    """
    ends = problem.known.measured_range
    if ends is None:
        return None
    top = problem.inputs.estimates.get("product.maximum_temperature")
    warm = float(ends[1] if top is None else min(ends[1], top.likely))
    return warm if warm > problem.inputs.likely("product.temperature.norm") else None


def warmed(problem: Any, target: float | None) -> Warming | None:
    """Warm-up of the coldest container to a core temperature; None where none is wanted or needed.

    Parameters
    ----------
    problem : evaluation.Problem
    target : float or None
        Core temperature wanted [K].
    """
    if target is None or problem.known.kind == "none":
        return None
    found: Warming | None = problem.kept.once(("warmed", target), lambda: _warmed(problem, target))
    return found


def _warmed(problem: Any, target: float) -> Warming | None:
    sample: Mapping[str, Array] = {key: values[:SAMPLES] for key, values in problem.sample.items()}
    start = sample["product.temperature.low"]
    if float(start[0]) >= target:
        return None
    return warming(problem.inputs, sample, law_of(problem, sample), start, target)


def law_of(problem: Any, sample: Mapping[str, Array]) -> Callable[[Array], FlowLaw]:
    """The product's flow law over samples, as a function of temperature.

    Parameters
    ----------
    problem : evaluation.Problem
    sample : mapping of ndarray, shape (n,)
    """

    def law(temperature: Array) -> FlowLaw:
        return law_in_season(problem.known, temperature, sample)[0]

    return law


def warm_up_values(found: Warming) -> dict[str, Array]:
    """Values of `KEYS` of a warm-up, arrays over samples.

    Parameters
    ----------
    found : Warming
    """
    result = found.result
    values = {
        "warm_up.core_time": np.asarray(result.core_time),
        "warm_up.mean_time": np.asarray(result.mean_time),
        "warm_up.surroundings": found.around,
        "warm_up.energy": np.asarray(result.energy),
        "warm_up.swelling": np.asarray(result.expansion_volume),
        "warm_up.hottest": found.hottest,
    }
    if found.damage is not None:
        values["warm_up.damage"] = found.damage
    if found.above is not None:
        values["warm_up.time_above"] = found.above
    if _turns(found):
        values["warm_up.standing_time"] = np.asarray(result.conduction_time)
    if found.bands is not None:
        values |= {"warm_up.unlimited_wall": found.bands.unlimited, "warm_up.covered": found.bands.covered}
        if np.isfinite(found.bands.limit_after[0]):
            values["warm_up.limit_time"] = found.bands.limit_after
    if found.room is not None:
        values |= {"warm_up.stock": found.room.stock, "warm_up.floor": found.room.floor}
        values["warm_up.energy_a_day"] = found.room.energy
    return values


def _turns(found: Warming) -> bool:
    """Whether the time given is that of a product that turns over."""
    return str(found.result.mode.flat[0]) == "convection"


def warming_findings(problem: Any, target: float | None) -> list[Finding]:
    """How long the containers stand in the warm, and what that asks for, as conditions.

    Parameters
    ----------
    problem : evaluation.Problem
    target : float or None
        Core temperature wanted [K].
    """
    found = warmed(problem, target)
    if found is None:
        return []
    hot = [*_hot(problem, found), *_band(found)]
    return [_time(found), *_still(found), *_turning(found), *_closed(found), *hot]


def _hot(problem: Any, found: Warming) -> list[Finding]:
    """A wall or product that gets hotter than the product bears."""
    least = borne(problem.inputs)
    named = problem.inputs.estimates.get("site.heating_temperature")
    around = float(found.around[0])
    value = max(around, named.likely) if named is not None and found.how != "hall_air" else around
    if value <= least + 1e-9:
        return []
    text = phrase("FND-warm_up.too_hot", value=value, limit=least)
    if found.above is not None and found.above[0] > 0.0:
        text = phrase("FND-warm_up.too_hot_for", value=value, limit=least, time=float(found.above[0]))
    return [
        Finding("warm_up.too_hot", "condition", "feed", text, "warm_up.hottest", value, least, "temperature")
    ]


def _band(found: Warming) -> list[Finding]:
    """A band heater never works without a limit of its wall; what its power and its height do not reach."""
    bands = found.bands
    if bands is None:
        return []
    limit, wall, part = float(found.around[0]), float(bands.unlimited[0]), float(bands.covered[0])
    said = [_under_bands("band_heater", limit, None, phrase("FND-warm_up.band_heater", value=limit))]
    reached = float(bands.limit_after[0])
    if np.isfinite(reached) and wall > limit:
        text = phrase("FND-warm_up.unlimited", limit=limit, time=reached, value=wall)
        said.append(_under_bands("unlimited", wall, limit, text))
    if part < COVERED and not _turns(found):
        text = phrase("FND-warm_up.uncovered", value=part)
        said.append(
            Finding(
                "warm_up.uncovered", "condition", "feed", text, "warm_up.covered", part, COVERED, "fraction"
            )
        )
    return said


def _under_bands(name: str, value: float, limit: float | None, text: Phrase) -> Finding:
    """A condition on the wall under a band heater."""
    key = f"warm_up.{name}"
    return Finding(key, "condition", "feed", text, "warm_up.hottest", value, limit, "temperature")


def _time(found: Warming) -> Finding:
    around = float(found.around[0])
    time = np.asarray(found.result.core_time)
    likely, long = float(time[0]), quantiles(time[1:], 0.95)[0]
    slots = {"value": likely, "days": likely / DAY, "high": long, "around": around, "target": found.target}
    how = phrase(f"HOW-{found.how}")
    if found.room is not None and np.isfinite(found.room.stock[0]):
        text = phrase("FND-warm_up.stock", how=how, stock=int(np.ceil(found.room.stock[0])), **slots)
    else:
        text = phrase("FND-warm_up.time", how=how, **slots)
    return Finding("warm_up.time", "condition", "feed", text, "warm_up.core_time", likely, long, "long_time")


def _still(found: Warming) -> list[Finding]:
    """A yield stress too low to hold the product still for sure: the time given is the careful one."""
    if str(found.result.mode.flat[0]) != "may_convect":
        return []
    likely = float(np.asarray(found.result.core_time).flat[0])
    text = phrase("FND-warm_up.may_convect", value=likely)
    return [Finding("warm_up.may_convect", "note", "", text, "warm_up.core_time", likely, None, "long_time")]


def _turning(found: Warming) -> list[Finding]:
    """A product that turns over is ready soonest; one that stands still takes the time of conduction."""
    if not _turns(found):
        return []
    soon, still = float(np.asarray(found.result.core_time)[0]), np.asarray(found.result.conduction_time)
    value, high = float(still[0]), float(quantiles(still[1:], 0.95)[0])
    slots = {"low": soon, "least": soon / DAY, "value": value, "days": value / DAY, "high": high}
    text = phrase("FND-warm_up.standing", **slots)
    key = "warm_up.standing"
    return [Finding(key, "condition", "feed", text, "warm_up.standing_time", value, high, "long_time")]


def _closed(found: Warming) -> list[Finding]:
    """A closed bung: the product swells."""
    if str(found.result.mode.flat[0]) == "phase_change":
        return []
    swell = float(np.asarray(found.result.expansion_volume).flat[0])
    text = phrase("FND-warm_up.swelling", value=swell)
    return [Finding("warm_up.swelling", "condition", "feed", text, "warm_up.swelling", swell, None, "volume")]


def weak_bands(problem: Any) -> list[Finding]:
    """A heater whose loss to the hall eats up its power before the core is as warm as wanted.

    Parameters
    ----------
    problem : evaluation.Problem
    """
    inputs = problem.inputs
    wanted = inputs.estimates.get("site.warm_to")
    if wanted is None or inputs.choices["site.heating"] != "band_heater":
        return []
    value = hottest_of_bands(inputs)
    if value > wanted.likely:
        return []
    slots = {"value": value, "target": wanted.likely, "power": inputs.likely("site.heater_power")}
    text = phrase("FND-warm_up.weak", **slots)
    key = "warm_up.weak"
    return [Finding(key, "fail", "feed", text, "", value, wanted.likely, "temperature")]


def cold_night(problem: Any) -> list[Finding]:
    """What one night in a cold store does to a container that came in at its usual temperature.

    Parameters
    ----------
    problem : evaluation.Problem
    """
    outside = problem.inputs.estimates.get("site.store_temperature")
    start = problem.inputs.likely("product.temperature.norm")
    if "product.temperature.norm" in problem.inputs.defaulted:
        return []
    if outside is None or outside.likely >= start:
        return []
    sample = {key: values[:1] for key, values in problem.sample.items()}
    found = problem.kept.once("night", lambda: night(problem.inputs, sample, start, outside.likely, NIGHT))
    slots = {"start": start, "outside": outside.likely, "core": found.core, "wall": found.wall}
    melts = problem.inputs.estimates.get("product.freezes_at")
    text, key, limit = phrase("FND-cold.night", time=NIGHT, **slots), "cold.night", start
    if found.frozen > 0.0 and melts is not None:
        slots |= {"limit": melts.likely, "frozen": found.frozen, "left": found.left, "week": found.week}
        text, key, limit = phrase("FND-cold.frozen", time=NIGHT, **slots), "cold.frozen", melts.likely
    return [Finding(key, "note", "feed", text, "", found.core, limit, "temperature")]
