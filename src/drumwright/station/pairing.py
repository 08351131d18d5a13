"""A machine that is there and a product that is new: two files become one case."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

from drumwright.basis.errors import InputError
from drumwright.station import settings as overrides
from drumwright.station.positions import Path as FieldPath
from drumwright.station.records import Case
from drumwright.station.references import Gathered, gather
from drumwright.station.source_text import SourceText, read_source, refused
from drumwright.station.stock_reference import with_stock
from drumwright.station.validation import build

LEFT_OUT = ("product", "duty")  # of the machine's file: they name what it moved before
OF_A_CASE = ("product", "case", "enquiry", "container", "line", "destination", "machine", "site")


def load_pair(
    machine: Path,
    product: Path,
    index: int = 0,
    settings: Mapping[str, str] = MappingProxyType({}),
    stock: Path | None = None,
) -> Case:
    """Read the case of one machine with one product of another file.

    Parameters
    ----------
    machine : Path
        A case file; the products and duties in it are left out.
    product : Path
        A product card, or a case file.
    index : int
        Of the product in that file.
    settings : mapping of str to str
        Overrides as in `load`.
    stock : Path, optional
        As in `load`.

    Raises
    ------
    InputError
        With every problem found, each with the file it stands in.
    """
    station, source = read_source(Path(machine), str(machine)), read_source(Path(product), str(product))
    whole, items = gather(station), products_in(source)
    data = {name: table for name, table in whole.data.items() if name not in LEFT_OUT}
    data["product"] = [dict(items[index])]
    done, problems = overrides.apply(data, settings)
    digest = hashlib.sha256(station.content + source.content + str(index).encode())
    for card in whole.cards:
        digest.update(card.source.content)
    if settings:
        digest.update(json.dumps(sorted(settings.items())).encode())
    locate = _Locator(station, source, index, frozenset(done))
    extra = {"source": str(machine), "digest": digest.hexdigest()}
    if problems:
        raise InputError(tuple(problems))
    case = build(data, locate, station.shown, **extra)
    return with_stock(case, digest, lambda: locate(("case", "stock")), stock)


def products_in(source: SourceText) -> list[Mapping[str, Any]]:
    """Products of a file: those of a case, or the one of a card.

    Parameters
    ----------
    source : SourceText

    Raises
    ------
    InputError
        If there is none.
    """
    if "product" not in source.data:
        if any(name in source.data for name in OF_A_CASE) or "name" not in source.data:
            raise refused(source.shown, "MTX-001")
        return [{key: value for key, value in source.data.items() if key != "format"}]
    gathered: Gathered = gather(source)
    items = gathered.data["product"]
    listed = [items] if isinstance(items, dict) else items
    if not isinstance(listed, list) or not listed or not all(isinstance(each, dict) for each in listed):
        raise refused(source.shown, "MTX-001")
    return listed


class _Locator:
    """File, line and column of a field: of the product in its file, of all else in that of the machine."""

    def __init__(
        self, station: SourceText, product: SourceText, index: int, done: frozenset[FieldPath]
    ) -> None:
        self._station, self._product, self._index, self._done = station, product, index, done

    def __call__(self, path: FieldPath) -> tuple[str, int, int]:
        if any(path[: len(each)] == each for each in self._done):
            return overrides.NAME, 0, 0
        if path[:1] != ("product",):
            return self._station.shown, *self._station.positions.nearest(path)
        card = "product" not in self._product.data
        inner = path[2:] if card else ("product", self._index, *path[2:])
        return self._product.shown, *self._product.positions.nearest(inner)
