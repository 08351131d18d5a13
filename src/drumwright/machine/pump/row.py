"""Read one row of the stock with errors that name row, field, value and what is allowed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, get_args

from drumwright.basis.errors import StockError
from drumwright.machine.pump.limits import elastomer_limits
from drumwright.machine.pump.records import Status

# What every row of every family says beside its own geometry; passage and mostly displacement follow from it.
COMMON = ("id", "name", "maximum_pressure", "maximum_speed", "preferred_speed", "port", "height", "mass")


class Row:
    """A row of the stock, read field by field.

    Parameters
    ----------
    fields : mapping
        The row as read.
    family : str
        Family of the pump, for the error text.
    """

    def __init__(self, fields: Mapping[str, Any], family: str) -> None:
        self._fields, self._family = fields, family

    def _wrong(self, field: str, value: object, allowed: str) -> StockError:
        name = self._fields.get("id", "without id")
        message = f"{self._family} pump {name}: {field} is {value!r}; allowed: {allowed}"
        return StockError(message, field, repr(value), allowed)

    def wrong(self, field: str, allowed: str) -> StockError:
        """Return the error of a field that does not fit the others.

        Parameters
        ----------
        field : str
        allowed : str
            What would fit.
        """
        return self._wrong(field, self._fields.get(field), allowed)

    def text(self, field: str) -> str:
        """Return a text that is not empty."""
        value = self._fields.get(field)
        if not isinstance(value, str) or not value.strip():
            raise self._wrong(field, value, "a text")
        return value

    def number(self, field: str, unit: str, default: float | None = None, least: float = 0.0) -> float:
        """Return a finite number above a least one.

        Parameters
        ----------
        field : str
        unit : str
            SI unit, for the error text.
        default : float or None
            [SI unit] where the row may leave the field out.
        least : float
            [SI unit]; the value must be above.
        """
        value = self._fields.get(field, default)
        good = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
        if not good or float(value) <= least:
            raise self._wrong(field, value, f"a number above {least:g} [{unit}]")
        return float(value)

    def count(self, field: str, least: int = 1) -> int:
        """Return a whole number, at least so great.

        Parameters
        ----------
        field : str
        least : int
            Smallest that is allowed.
        """
        value = self._fields.get(field)
        if not isinstance(value, int) or isinstance(value, bool) or value < least:
            raise self._wrong(field, value, f"a whole number, {least} or more")
        return value

    def status(self) -> Status:
        """Return active, old or held_back; active where the row does not say."""
        value = self._fields.get("status", "active")
        if value not in get_args(Status):
            raise self._wrong("status", value, ", ".join(get_args(Status)))
        return value  # type: ignore[no-any-return]

    def common(self, own: Sequence[str]) -> dict[str, Any]:
        """Return the fields that every family has; refuse fields that nobody reads.

        Parameters
        ----------
        own : sequence of str
            Fields of the geometry of the family.
        """
        known = {*COMMON, *own, "status", "elastomers", "test_points"}
        for field in self._fields:
            if field not in known:
                raise self._wrong(field, self._fields[field], f"one of {', '.join(sorted(known))}")
        most, preferred = self.number("maximum_speed", "1/s"), self.number("preferred_speed", "1/s")
        if preferred > most:
            raise self._wrong("preferred_speed", preferred, f"at most the maximum_speed of {most:g} [1/s]")
        return {
            "identifier": self.text("id"),
            "name": self.text("name"),
            "maximum_pressure": self.number("maximum_pressure", "Pa"),
            "maximum_speed": most,
            "preferred_speed": preferred,
            "port": self.number("port", "m"),
            "height": self.number("height", "m"),
            "mass": self.number("mass", "kg"),
            "status": self.status(),
            "temperature_limits": self._elastomers(),
        }

    def _elastomers(self) -> tuple[tuple[str, float], ...]:
        names = self._fields.get("elastomers", [])
        try:
            return elastomer_limits(list(names))
        except (KeyError, TypeError):
            raise self._wrong("elastomers", names, "a list of names of the elastomer table") from None
