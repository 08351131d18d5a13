"""For the tests of `machine` and `station`: likely model values, an invented case, one season of it."""

from __future__ import annotations

import copy
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.pump.stock import find
from drumwright.product.law import FlowLaw
from drumwright.station.arrangement import Choice
from drumwright.station.balance import Balance, balance
from drumwright.station.by_kind import defaults
from drumwright.station.casefile import case_from_dict
from drumwright.station.inputs import Inputs, draw, resolve
from drumwright.station.records import Case
from drumwright.station.rheology import evidence, law_in_season, season_temperature

Array = NDArray[np.float64]
ATMOSPHERE = 101325.0
# the three invented products of the physics book, 0.2
TOMATO = FlowLaw(150.0, 60.0, 0.35)
GREASE = FlowLaw(600.0, 25.0, 0.6)
SYRUP = FlowLaw(0.0, 50.0, 1.0)

# an invented paste in a plain drum; every number of it is said, so that little is left to defaults
PASTE: dict[str, Any] = {
    "enquiry": {"flow": "1 m3/h"},
    "product": [
        {
            "name": "paste",
            "density": "1100 kg/m3",
            "temperature": {"low": "10 C", "norm": "20 C", "high": "30 C"},
            "model": [
                {
                    "temperature": "20 C",
                    "yield_stress": "150 Pa",
                    "consistency": "60 Pa.s^n",
                    "exponent": 0.35,
                },
                {
                    "temperature": "5 C",
                    "yield_stress": "250 Pa",
                    "consistency": "110 Pa.s^n",
                    "exponent": 0.35,
                },
            ],
        }
    ],
    "container": [{"kind": "straight_drum", "inside_diameter": "571.5 mm", "usable_volume": "200 L"}],
    "destination": {"kind": "open_tank"},
    "line": {"bore": "DN50", "length": "5 m", "rise": "1 m", "own_hose": "3 m"},
}


def likely_model(count: int = 1) -> dict[str, Array]:
    """Likely value of every numbered default, as arrays."""
    return {key: np.full(count, row.estimate.likely) for key, row in defaults().items()}


def changed(data: dict[str, Any], **values: Any) -> dict[str, Any]:
    """A deep copy of a case; `line__bore="DN80"` sets one field, `model` replaces the product's models."""
    made = copy.deepcopy(data)
    for name, value in values.items():
        if name == "model":
            made["product"][0]["model"] = value
            continue
        table, key = name.split("__")
        target = made[table][0] if table in ("product", "container") else made.setdefault(table, {})
        target[key] = value
    return made


def one_model(law: FlowLaw) -> list[dict[str, Any]]:
    """The model table of one law at 20 C."""
    return [
        {
            "temperature": "20 C",
            "yield_stress": f"{law.yield_stress} Pa",
            "consistency": f"{law.consistency} Pa.s^n",
            "exponent": law.exponent,
        }
    ]


class Setting(NamedTuple):
    """A case made ready for the balance."""

    case: Case
    inputs: Inputs
    sample: dict[str, Array]
    law: FlowLaw
    temperature: Array


def prepare(data: dict[str, Any], count: int = 0, season: str = "norm", seed: int = 1) -> Setting:
    """Resolve a case, draw its sample (the point of likely values alone for 0) and take one season."""
    return prepare_case(case_from_dict(data, "test"), count, season, seed)


def prepare_case(case: Case, count: int = 0, season: str = "norm", seed: int = 1) -> Setting:
    """The same for a case that was read."""
    container = case.container[-1] if case.container else None
    inputs = resolve(case, case.product[0], container)
    drawn = draw(inputs, max(count, 1), seed)
    sample = drawn if count else {key: value[:1] for key, value in drawn.items()}
    known = evidence(case.product[0], season_temperature(inputs, "norm"))
    temperature = np.full_like(sample["product.density"], season_temperature(inputs, season))
    law, _ = law_in_season(known, temperature, sample)
    return Setting(case, inputs, sample, law, temperature)


def settled(setting: Setting, choice: Choice | None = None, settle: bool = True) -> Balance:
    """Balance of a prepared case; by default a middle progressing cavity pump on a 100 mm throat."""
    chosen = choice or Choice(find("cavity-M-4"), 0.100)
    return balance(setting.sample, setting.law, setting.temperature, chosen, "clean", settle)
