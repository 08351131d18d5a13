"""What every record of the case has in common: frozen, read by declaration, walked by path."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Any, get_args

from pydantic import BaseModel, ConfigDict, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from drumwright.station.fields import Declaration, FieldTroubles, read_field, refuse, said


class Record(BaseModel):
    """Base of every record: frozen, no unknown fields, every field read by its declaration."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)

    @field_validator("*", mode="wrap")
    @classmethod
    def _by_declaration(cls, raw: Any, handler: Any, info: ValidationInfo) -> Any:
        declared = declared_in(cls).get(info.field_name or "")
        if declared is None:
            return handler(raw)
        try:
            if declared.form == "table":
                return handler(_as_table(raw))
            if declared.form == "tables":
                return handler(_as_tables(raw))
            return read_field(declared, raw)
        except FieldTroubles as found:
            raise custom(found) from None


def custom(found: FieldTroubles) -> PydanticCustomError:
    """Return the troubles in the form pydantic collects."""
    return PydanticCustomError("drumwright", "this cannot be used", {"troubles": found.troubles})


def _as_table(raw: Any) -> Any:
    if raw is None or isinstance(raw, (dict, Record)):
        return raw
    raise refuse("FLD-040", text=said(raw))


def _as_tables(raw: Any) -> Any:
    if isinstance(raw, (dict, Record)):
        return [raw]
    if not isinstance(raw, (list, tuple)):
        raise refuse("FLD-041", text=said(raw))
    wrong = [(index, item) for index, item in enumerate(raw) if not isinstance(item, (dict, Record))]
    if wrong:
        raise FieldTroubles(
            each for index, item in wrong for each in refuse("FLD-040", (index,), text=said(item)).troubles
        )
    return list(raw)


@lru_cache(maxsize=64)
def declared_in(record: type[Record]) -> dict[str, Declaration]:
    """Return the declarations of a record class by field name."""
    found = {}
    for name, info in record.model_fields.items():
        declared = [each for each in info.metadata if isinstance(each, Declaration)]
        if declared:
            found[name] = declared[0]
    return found


def record_in(record: type[Record], name: str) -> type[Record] | None:
    """Return the record class a table field holds, or None."""
    annotation = record.model_fields[name].annotation
    for each in (annotation, *get_args(annotation)):
        if isinstance(each, type) and issubclass(each, Record):
            return each
    return None


def iter_fields(case: Record, prefix: str = "") -> Iterator[tuple[str, Declaration, Any]]:
    """Yield path, declaration and value of every field that is not a table, in the order of the records.

    Lists of one element have no index in the path: ``product.density``, else ``product[0].density``.
    """
    for name, declared in declared_in(type(case)).items():
        value = getattr(case, name)
        path = f"{prefix}{name}"
        if declared.form == "table":
            if value is not None:
                yield from iter_fields(value, f"{path}.")
        elif declared.form == "tables":
            for index, item in enumerate(value):
                step = path if len(value) == 1 else f"{path}[{index}]"
                yield from iter_fields(item, f"{step}.")
        else:
            yield path, declared, value


_STEP = re.compile(r"([A-Za-z_]\w*)(?:\[(\d+)\])?")


def steps(path: str) -> list[tuple[str, int | None]]:
    """Return the names of a dotted path with their index, counted from 0; raises KeyError if malformed."""
    found = []
    for part in path.split("."):
        match = _STEP.fullmatch(part)
        if match is None:
            raise KeyError(path)
        found.append((match[1], int(match[2]) if match[2] else None))
    return found


def get_field(case: Record, path: str) -> Any:
    """Return one value by its path, such as "line.own_hose" or "product[1].temperature.low".

    Raises
    ------
    KeyError
        If there is no such field, or a list of several elements is named without an index.
    """
    value: Any = case
    for name, index in steps(path):
        if not isinstance(value, Record) or name not in declared_in(type(value)):
            raise KeyError(path)
        value = getattr(value, name)
        if isinstance(value, tuple) and value and isinstance(value[0], Record):
            if (index is None and len(value) > 1) or (index or 0) >= len(value):
                raise KeyError(path)
            value = value[index or 0]
    return value
