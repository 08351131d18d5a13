"""Fields of money: drums a year, what is spent, how the work is done today; no prices."""

from __future__ import annotations

from typing import Literal

from drumwright.basis.estimate import Estimate
from drumwright.station.fields import choice, flag, quantity, table, tables, text
from drumwright.station.record_base import Record

EstimateClass = Literal["class_3", "class_4", "class_5"]
AlternativeKind = Literal[
    "scraper_and_scale", "bulk_delivery", "other_container", "second_hand_follower", "other"
]  # fmt: skip
_SHARE = (0.0, 1.0)
_AMOUNT, _USUAL = (0.0, 1e9), (0.0, 1e6)


class Capex(Record):
    """What the station costs to buy, item by item; what is not said is missing from the sum and named."""

    machine: Estimate | None = quantity("money", "Stand, drive and ram.", _AMOUNT, _USUAL)
    pump: Estimate | None = quantity("money", "Pump with its motor.", _AMOUNT, _USUAL)
    plates: Estimate | None = quantity("money", "A plate set for each container.", _AMOUNT, _USUAL)
    controls: Estimate | None = quantity("money", "Controls, explosion protection included.", _AMOUNT, _USUAL)
    buffer: Estimate | None = quantity("money", "Buffer vessel or hopper.", _AMOUNT, _USUAL)
    installation: Estimate | None = quantity("money", "Installation and pipework.", _AMOUNT, _USUAL)
    warm_store: Estimate | None = quantity("money", "Warm store for the containers.", _AMOUNT, _USUAL)
    guarding: Estimate | None = quantity("money", "Guards and fences.", _AMOUNT, _USUAL)
    validation: Estimate | None = quantity("money", "Validation of cleaning and process.", _AMOUNT, _USUAL)
    training: Estimate | None = quantity("money", "Training of the people.", _AMOUNT, _USUAL)
    spares: Estimate | None = quantity("money", "First set of spares.", _AMOUNT, _USUAL)
    contingency: Estimate | None = quantity(
        "money", "Contingency for what nobody thought of.", _AMOUNT, _USUAL
    )
    estimate_class: EstimateClass | None = choice(
        "Class of the estimate; it spreads what has no band of its own.", EstimateClass
    )


class Alternative(Record):
    """Another way than this machine, as far as its numbers are known."""

    kind: AlternativeKind | None = choice("Which other way it is.", AlternativeKind)
    capex: Estimate | None = quantity("money", "What it costs to begin.", _AMOUNT, _USUAL)
    residue: Estimate | None = quantity(
        "fraction", "Share of the filling it leaves behind.", _SHARE, (0.0, 0.2)
    )
    hands: Estimate | None = quantity(
        "duration", "Person-minutes a container.", (0.0, 36000.0), (30.0, 3600.0)
    )
    price_change: Estimate | None = quantity(
        "money", "What a kilogram costs more; less than nothing where it is cheaper.", (-1e6, 1e6),
        (-10.0, 10.0),
    )  # fmt: skip
    yearly_cost: Estimate | None = quantity("money", "What it costs each year beside.", _AMOUNT, _USUAL)


class Money(Record):
    """What the money is counted with, as far as it was said."""

    currency: str | None = text("Currency of every amount of this table.")
    prices: str | None = text("File of dated prices, relative to the case.")
    drums_per_year: Estimate | None = quantity(
        "count", "Containers in a year.", (1.0, 1e7), (50.0, 100_000.0)
    )
    days_per_year: Estimate | None = quantity(
        "count", "Working days in a year.", (1.0, 366.0), (100.0, 366.0)
    )
    changeovers_per_year: Estimate | None = quantity(
        "count", "Changes of product with cleaning in a year.", (0.0, 1e6), (0.0, 3000.0)
    )
    years: Estimate | None = quantity("count", "Years the station is counted over.", (1.0, 60.0), (3.0, 20.0))
    rate: Estimate | None = quantity(
        "fraction", "Rate of interest the plant asks, a year.", _SHARE, (0.0, 0.3)
    )
    present_residue: Estimate | None = quantity(
        "fraction", "Share of the filling that stays behind today.", _SHARE, (0.001, 0.2)
    )
    present_hands: Estimate | None = quantity(
        "duration", "Person-minutes a container takes today.", (0.0, 36000.0), (60.0, 7200.0)
    )
    present_changeover_loss: Estimate | None = quantity(
        "mass", "Product lost at a change of product today.", (0.0, 1e5), (0.0, 200.0)
    )
    present_cleaning: Estimate | None = quantity(
        "duration", "Person-minutes of a cleaning today.", (0.0, 86400.0), (0.0, 14400.0)
    )
    hours_released: bool | None = flag("Whether hours that are saved leave the payroll or do paid work.")
    seal_life: Estimate | None = quantity(
        "count", "Containers a set of plate seals lasts.", (1.0, 1e6), (200.0, 10_000.0)
    )
    wear_life: Estimate | None = quantity(
        "count", "Containers a set of wearing parts of the pump lasts.", (1.0, 1e7), (100.0, 1e6)
    )
    chemicals_per_clean: Estimate | None = quantity(
        "mass", "Cleaning agent for one cleaning.", (0.0, 1e4), (0.0, 100.0)
    )
    seal_change: Estimate | None = quantity(
        "duration", "Time to change the plate seals.", (0.0, 86400.0), (300.0, 14400.0)
    )
    pump_repair: Estimate | None = quantity(
        "duration", "Time to change the wearing parts of the pump.", (0.0, 604800.0), (900.0, 28800.0)
    )
    spares_from: str | None = text("From whose shelf the wearing parts come, and how soon.")
    last_purchase: str | None = text("What the last machine bought like this missed.")
    signs_file: str | None = text("Who signs for the conformity of the whole and its risk file.")
    noise: str | None = text("Noise at the work place, by whom measured or declared.")
    capex: Capex = table("What the station costs to buy.", Capex)
    alternative: tuple[Alternative, ...] = tables("Other ways, as far as their numbers are known.")
