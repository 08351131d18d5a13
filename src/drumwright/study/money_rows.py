"""Samples of what only the money needs, beside those of the case: same number, rows of their own."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.estimate import Basis, Estimate
from drumwright.basis.sampling import scrambled_sobol
from drumwright.basis.tables import read_toml
from drumwright.station.inputs import dimensions
from drumwright.station.money_card import Alternative, Capex, Money
from drumwright.station.price_file import units
from drumwright.station.record_base import declared_in
from drumwright.study.shift_inputs import Taken

Array = NDArray[np.float64]
MOST_ALTERNATIVES = 8


def names() -> tuple[str, ...]:
    """What may be sampled, in the order of the rows."""
    found = [f"price.{name}" for name in units()]
    found += [f"assumed.{name}" for name in read_toml("money.toml")["assumed"]]
    found += [f"capex.{name}" for name in declared_in(Capex)]
    found += [f"money.{name}" for name, field in declared_in(Money).items() if field.form == "quantity"]
    found += ["wear_life", "water", "shifts_per_day"]
    fields = [name for name, field in declared_in(Alternative).items() if field.form == "quantity"]
    found += [f"alternative.{index}.{name}" for index in range(MOST_ALTERNATIVES) for name in fields]
    return tuple(found)


class Rows:
    """Samples by name, and a list of what nobody said.

    Parameters
    ----------
    count : int
        Samples of the case, without its likely point.
    seed : int
        Of the case.
    """

    def __init__(self, count: int, seed: int) -> None:
        self._first = len(dimensions())
        self._row = {name: index for index, name in enumerate(names())}
        self._uniform = scrambled_sobol(count, self._first + len(self._row), seed)
        self.count = count
        self.taken: list[Taken] = []

    def of(self, name: str, estimate: Estimate) -> Array:
        """Samples of an estimate, its likely value first; of the same name always the same."""
        values = np.empty(self.count + 1)
        values[0] = estimate.likely
        values[1:] = estimate.sample(self._uniform[self._first + self._row[name]])
        return values

    def flat(self, value: float) -> Array:
        """A number without spread."""
        return np.full(self.count + 1, value)

    def assumed(self, name: str) -> Array:
        """Samples of a number of ours, noted."""
        row: dict[str, Any] = read_toml("money.toml")["assumed"][name]
        basis: Basis = row["basis"]
        estimate = Estimate(row["low"], row["likely"], row["high"], basis)
        self.taken.append(Taken(f"money.{name}", row["kind"], estimate, row["source"]))
        return self.of(f"assumed.{name}", estimate)
