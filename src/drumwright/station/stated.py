"""What a case says as it stands: numbers and choices of one product in one container, by key."""

from __future__ import annotations

from typing import Any

from drumwright.basis.estimate import Estimate
from drumwright.station.records import Case, Container, Product

# Quantities read from the case as they stand: (key, table, attribute). Those also in the defaults table are
# filled from it; the others stay absent and are looked for where they matter.
_FIELDS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    (
        "enquiry",
        "enquiry",
        (
            "flow", "drums_per_shift", "shift", "residue_wanted", "pressure_limit", "recipes_per_shift",
            "cleaning_time", "change_time", "stations", "operator_share", "buffer_volume",
            "buffer_pressure", "shifts_per_day",
        ),
    ),
    (
        "line",
        "line",
        (
            "bore", "length", "rise", "own_hose", "own_hose_bore", "bends", "valves",
            "fittings_diameters", "pressure_class", "working_share", "smallest_passage", "meal_break",
            "night_stop", "hose_growth", "effective_modulus",
        ),
    ),
    (
        "site",
        "site",
        (
            "ceiling", "air_pressure", "altitude", "hall_temperature", "store_temperature", "warm_to",
            "heating_temperature", "cleaning_temperature", "heater_power", "heater_height",
            "conditioning_time", "pallet_length", "pallet_width", "mains_frequency",
        ),
    ),
    (
        "machine",
        "machine",
        (
            "plate_mass", "ram_force", "port_bore", "plate_clearance", "last_rate", "lance_bore",
            "lance_length",
        ),
    ),
    (
        "destination",
        "destination",
        (
            "pressure", "inlet_pressure_low", "inlet_pressure_high", "longest_stop", "valve_closing_time",
            "hopper_volume", "valve_opening_time", "dose", "cycle_time", "batch_mass", "slow_from",
            "slow_share",
        ),
    ),
    (
        "control",
        "control",
        (
            "ramp_time", "drive_lag", "scan_time", "transmitter_lag", "transmitter_span",
            "transmitter_tolerance", "switch_tolerance", "switch_delay", "run_on_time", "relief_tolerance",
            "relief_overpressure", "hysteresis",
        ),
    ),
    (
        "buffer",
        "buffer",
        ("volume", "pressure", "precharge", "full_pressure", "neck_bore", "neck_length"),
    ),
    ("shift", "shift", ("draw", "change_spread", "react_time", "heel", "start_level")),
)  # fmt: skip
_PRODUCT = (
    "density", "restart_factor", "batch_factor", "activation_energy", "vapour_pressure", "price",
    "viscosity", "viscosity_shear_rate", "viscosity_temperature", "filler_share", "quartz_share",
    "isocyanate_share", "flash_point", "skin_time", "longest_stop", "sets_at", "freezes_at",
    "maximum_temperature", "static_yield_stress", "rest_time", "restart_time", "air_share", "conductivity",
    "heat_capacity", "expansion", "latent_heat", "freezing_width", "crystallises_at",
    "wall_temperature_limit", "z_value", "damage_reference", "ph", "chloride", "fat_share",
)  # fmt: skip
_CONTAINER = (
    "inside_diameter", "diameter_top", "diameter_bottom", "inside_height", "outside_diameter",
    "outside_height", "usable_volume", "headspace", "tare", "wall", "hoops", "hoop_depth", "hoop_width",
    "bottom_depth", "bottom_mismatch", "opening", "length", "width", "corner_radius", "outlet_bore",
    "outlet_length", "hoop_spacing", "hold_down", "allowed_suction", "allowed_pressure",
)  # fmt: skip
_PARTICLES = ("size", "share", "damage_limit")


def quantities() -> frozenset[str]:
    """Keys of the quantities that are read from a case as they stand."""
    found = {f"{prefix}.{name}" for prefix, _, names in _FIELDS for name in names}
    found |= {f"product.{name}" for name in _PRODUCT} | {f"container.{name}" for name in _CONTAINER}
    return frozenset(found | {f"product.particles.{name}" for name in _PARTICLES})


def stated_numbers(
    case: Case, product: Product, container: Container | None, duty: Any
) -> dict[str, Estimate]:
    """The numbers that were said of one pair, by key; those of the duty go before those of the enquiry."""
    said: dict[str, Estimate] = {}
    for prefix, record, names in _FIELDS:
        _collect(said, prefix, getattr(case, record), names)
    _collect(said, "product", product, _PRODUCT)
    _collect(said, "product.temperature", product.temperature, ("low", "norm", "high"))
    if product.particles is not None:
        _collect(said, "product.particles", product.particles, _PARTICLES)
    if container is not None:
        _collect(said, "container", container, _CONTAINER)
    if duty is not None:
        _collect(said, "enquiry", duty, ("flow", "drums_per_shift"))
    return said


def _collect(said: dict[str, Estimate], prefix: str, record: Any, names: tuple[str, ...]) -> None:
    for name in names:
        value = getattr(record, name, None)
        if isinstance(value, Estimate):
            said[f"{prefix}.{name}"] = value


def _stops(case: Case) -> tuple[tuple[float, float], ...]:
    """Stops of the destination: how long it runs between two, how long one lasts [s]."""
    return tuple(
        (each.every_run.likely, each.lasts.likely)
        for each in case.destination.stop
        if each.every_run is not None and each.lasts is not None
    )


def stated_choices(case: Case, product: Product, container: Container | None) -> dict[str, Any]:
    """What was said in words or yes and no, by key; None where nothing was said."""
    particles = product.particles
    return {
        "container.kind": container.kind if container else None,
        "container.liner": container.liner if container else None,
        "container.diameters_measured": container.diameters_measured if container else None,
        "container.material": container.material if container else None,
        "container.bottom": container.bottom if container else None,
        "case.place": case.case.place,
        "buffer.kind": case.buffer.kind,
        "destination.kind": case.destination.kind,
        "destination.stops": _stops(case),
        "destination.valves": case.destination.valves,
        "destination.stop_pattern_known": case.destination.stop_pattern_known,
        "enquiry.pump_wanted": case.enquiry.pump_wanted,
        "enquiry.stand_wanted": case.enquiry.stand_wanted,
        "enquiry.plate_wanted": case.enquiry.plate_wanted,
        "enquiry.uninterrupted": case.enquiry.uninterrupted,
        "enquiry.wheels": case.enquiry.wheels,
        "line.existing": case.line.existing,
        "shift.cleaning": case.shift.cleaning,
        "shift.lifting_aid": case.shift.lifting_aid,
        "site.zone": case.site.zone,
        "site.anchoring": case.site.anchoring,
        "site.wash_down": case.site.wash_down,
        "site.cleaning_agents": case.site.cleaning_agents,
        "site.heating": case.site.heating,
        "site.pallet": case.site.pallet,
        "machine.pump": case.machine.pump,
        "product.food": product.food,
        "product.abrasive": product.abrasive,
        "product.shear_sensitive": product.shear_sensitive,
        "product.flammable": product.flammable,
        "product.solvents": product.solvents,
        "product.cures_with": product.cures_with,
        "product.separates_under_pressure": product.separates_under_pressure,
        "product.safety_sheet_seen": product.safety_sheet_seen,
        "product.allergens": tuple(product.allergens or ()),
        "product.particles.hardness": particles.hardness if particles else None,
    }
