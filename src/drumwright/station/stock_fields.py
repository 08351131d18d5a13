"""What the fields of a stock row are: read from `data/stock/fields.toml`, one declaration for all faces."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal

from drumwright.basis.tables import read_toml

Form = Literal["quantity", "count", "choice", "text", "texts"]
# Kinds of part, in the order they are listed; test points belong to a pump.
KINDS: tuple[str, ...] = (
    "pump", "test_point", "plate", "motor", "ratio", "pipe", "hose", "valve", "buffer", "sensor",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class StockField:
    """One field of a stock row.

    Parameters
    ----------
    name, meaning : str
        Its key, and one sentence for the user.
    form : str
        How it is written.
    kind : str
        Kind of quantity, "" for other forms.
    low, high : float
        The value must be above the one and at most the other [SI].
    words : tuple of str
        Words of a choice.
    optional : bool
        Whether a row may leave it out.
    """

    name: str
    meaning: str
    form: Form
    kind: str = ""
    low: float = 0.0
    high: float = math.inf
    words: tuple[str, ...] = ()
    optional: bool = False


@cache
def fields_of(kind: str, family: str = "") -> Mapping[str, StockField]:
    """Fields of a kind of part by name, in the order they are listed.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    family : str
        Family of a pump, "" where it is not known yet.
    """
    table = read_toml("stock/fields.toml")
    common = {} if kind == "test_point" else table["common"]
    rows = {**common, **table[kind], **(table["family"][family] if family else {})}
    first = {name: rows[name] for name in ("article", "name", "family") if name in rows}
    return MappingProxyType({name: _field(name, row) for name, row in {**first, **rows}.items()})


def _field(name: str, row: Mapping[str, object]) -> StockField:
    words = row.get("words", ())
    assert isinstance(words, list | tuple)
    return StockField(
        name=name,
        meaning=str(row["meaning"]),
        form=str(row.get("form", "quantity")),  # type: ignore[arg-type]
        kind=str(row.get("kind", "")),
        low=float(row.get("low", 0.0)),  # type: ignore[arg-type]
        high=float(row.get("high", math.inf)),  # type: ignore[arg-type]
        words=tuple(str(each) for each in words),
        optional=bool(row.get("optional", False)),
    )
