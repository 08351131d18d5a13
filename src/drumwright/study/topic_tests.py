"""When an open answer matters: conditions on the inputs that the table of topics uses by name."""

from __future__ import annotations

from drumwright.machine.delivery.destination import is_closed
from drumwright.station.inputs import Inputs
from drumwright.station.rheology import Evidence
from drumwright.study.evaluation import Evaluation
from drumwright.study.transient_figures import has_gas


def has_bag(inputs: Inputs) -> bool:
    """Whether the product stands in a bag inside the container."""
    return inputs.choices["container.liner"] in ("loose_bag", "fitted_bag", "aseptic_bag")


def exceeds(inputs: Inputs, key: str, above: float = 0.0) -> bool:
    """Whether a number was stated that may be above this one [SI unit of the key]."""
    estimate = inputs.estimates.get(key)
    return estimate is not None and estimate.high > above


def warmed(inputs: Inputs, known: Evidence, best: Evaluation | None) -> bool:
    """Drums stand colder than the hall, or the answer counts on warming them."""
    if best is not None and best.choice.warm_to is not None:
        return True
    low, hall = inputs.likely("product.temperature.low"), inputs.likely("site.hall_temperature")
    stated = "product.temperature.low" not in inputs.defaulted
    return stated and "site.hall_temperature" not in inputs.defaulted and hall - low > 5.0


ICE = 273.15  # [K]


def below_freezing(inputs: Inputs, known: Evidence, best: Evaluation | None) -> bool:
    """Food or a product heavier than water is named below 0 C, and nobody said whether it freezes."""
    if "product.freezes_at" in inputs.estimates or "product.sets_at" in inputs.estimates:
        return False
    named = [f"product.temperature.{name}" for name in ("low", "norm")] + ["site.store_temperature"]
    said = [inputs.likely(key) for key in named if key in inputs.estimates and key not in inputs.defaulted]
    watery = bool(inputs.choices["product.food"]) or inputs.likely("product.density") > 960.0
    return watery and min(said, default=ICE) < ICE


def colder_store(inputs: Inputs, known: Evidence, best: Evaluation | None) -> bool:
    """The store is colder than the product was said to be, and no time in between was named."""
    store = inputs.estimates.get("site.store_temperature")
    if store is None or "site.conditioning_time" in inputs.estimates:
        return False
    low = "product.temperature.low"
    return low not in inputs.defaulted and store.likely < inputs.likely(low) - 3.0


def winter_unmeasured(inputs: Inputs, known: Evidence, best: Evaluation | None) -> bool:
    """The winter temperature was named, lies well below the norm, and nobody measured it."""
    low = inputs.estimates["product.temperature.low"]
    spread = inputs.likely("product.temperature.norm") - low.likely
    given = "product.temperature.low" not in inputs.defaulted
    return given and low.basis != "measured" and spread > 3.0


def delivers_closed(inputs: Inputs, known: Evidence, best: Evaluation | None) -> bool:
    """The destination can stop the flow."""
    return is_closed(inputs.choices["destination.kind"] or "open_tank")


def gas_cushion(inputs: Inputs, known: Evidence, best: Evaluation | None) -> bool:
    """A closed vessel was asked for that has gas over the product, or nobody said that it has none."""
    return has_gas(inputs)


def curve_without_temperature(inputs: Inputs, known: Evidence, best: Evaluation | None) -> bool:
    """Some flow curve, or the single viscosity, came without its temperature."""
    product = inputs.product
    if known.kind == "one_point":
        return product.viscosity_temperature is None
    rows = product.flow_curve or product.model
    return any(row.temperature is None for row in rows)


def one_curve_over_a_span(inputs: Inputs, known: Evidence, best: Evaluation | None) -> bool:
    """One curve has to serve temperatures more than 3 K apart."""
    span = inputs.likely("product.temperature.high") - inputs.likely("product.temperature.low")
    return len(known.points) == 1 and span > 3.0


def measured_span(known: Evidence) -> float:
    """Temperatures the evidence spans [K]; 0 without evidence."""
    ends = known.measured_range
    return ends[1] - ends[0] if ends else 0.0
