"""Fields of what happens in time: bad input is named with its line, the ends of the possible are answered."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from drumwright.basis import quantities
from drumwright.basis.errors import InputError, QuantityError
from drumwright.station.casefile import case_from_dict, load
from drumwright.station.fields import Declaration
from drumwright.station.record_base import Record, declared_in, record_in
from drumwright.station.records import Case
from drumwright.study.assess import assess
from drumwright.study.shift import shift

BASE = tomllib.loads((Path(__file__).parents[1] / "whole" / "S07.toml").read_text(encoding="utf-8"))
CUSHION = {"buffer.kind": "gas_cushion", "buffer.volume": "5 L", "buffer.precharge": "1 bar(g)",
           "buffer.neck_bore": "50 mm", "buffer.neck_length": "0.1 m"}  # fmt: skip
HEAD = 'format = 1\n[[product]]\nname = "x"\n'
LISTS = ("destination.stop", "shift.element")


def declared(table: str) -> dict[str, Declaration]:
    """Fields of a table that hold a value."""
    record: type[Record] = Case
    for name in table.split("."):
        below = record_in(record, name)
        assert below is not None
        record = below
    return {name: each for name, each in declared_in(record).items() if record_in(record, name) is None}


def fields() -> Iterator[tuple[str, str, Declaration]]:
    """Table, name and declaration of each field."""
    for table in ("buffer", "control", "shift", *LISTS):
        yield from ((table, name, each) for name, each in declared(table).items())
    line = declared("line")
    yield from (("line", name, line[name]) for name in ("hose_growth", "effective_modulus"))


FIELDS = [pytest.param(*each, id=f"{each[0]}.{each[1]}") for each in fields()]
BOUNDED = [each for each in FIELDS if each.values[2].form == "quantity"]
WRONG = {
    "quantity": ("true", '"much"', '"7 lightyears"', '"-1e9"', '"nan"', '[1, 2]', '{low = "1"}'),
    "choice": ('"something else"', "3", "true", "[]"),
    "flag": ('"perhaps"', "3", "[]"),
}  # fmt: skip


def written(value: float, kind: str) -> str:
    """A value with its unit."""
    return f"{quantities.plain(quantities.to_display(value, kind), 9)} {quantities.unit(kind)}".strip()


@pytest.mark.parametrize(("table", "name", "each"), FIELDS)
def test_a_bad_value_is_named_with_its_line_and_field(
    tmp_path: Path, table: str, name: str, each: Declaration
) -> None:
    head = f"[[{table}]]" if table in LISTS else f"[{table}]"
    path = tmp_path / "case.toml"
    for value in WRONG[each.form]:
        path.write_text(f"{HEAD}{head}\n{name} = {value}\n", encoding="utf-8")
        with pytest.raises(InputError) as raised:
            load(path)
        problem = raised.value.problems[0]
        assert problem.line == 5, value
        assert problem.field.startswith(table) and name in problem.field, value
        assert problem.what and problem.remedy, value


@pytest.mark.parametrize(("table", "name", "each"), BOUNDED)
def test_outside_the_possible_is_refused(table: str, name: str, each: Declaration) -> None:
    low, high = each.hard
    step = max(high - low, 1e-6)
    for value in (low - 0.01 * step, high + 0.01 * step):
        text = written(value, each.kind)
        row = {name: text}
        data = {"format": 1, "product": [{"name": "x"}]}
        first, _, below = table.partition(".")
        data[first] = {below: [row]} if below else row
        with pytest.raises((InputError, QuantityError), match=name):
            case_from_dict(data, "x", {})


@pytest.mark.parametrize(("table", "name"), [("buffer", "sort"), ("control", "ramp"), ("shift", "people")])
def test_an_unknown_name_is_refused(table: str, name: str) -> None:
    data = {"format": 1, "product": [{"name": "x"}], table: {name: "1 s"}}
    with pytest.raises(InputError, match=name):
        case_from_dict(data, "x", {})


ENDS = [
    pytest.param(
        f"{each.values[0]}.{each.values[1]}", written(value, each.values[2].kind), id=f"{each.id}-{n}"
    )
    for each in BOUNDED
    if each.values[0] not in LISTS
    for n, value in enumerate(each.values[2].hard)
]


@pytest.mark.parametrize(("path", "value"), ENDS)
def test_the_ends_of_the_possible_are_answered_in_numbers(path: str, value: str) -> None:
    """Every figure is finite, or the two fields that contradict each other are refused by name."""
    settings = {path: value}
    if path.startswith("buffer."):
        settings = CUSHION | settings
    try:
        case = case_from_dict(BASE, "S07", settings)
    except InputError as error:
        assert "full_pressure" in str(error) or "precharge" in str(error)
        return
    for figure in assess(case, samples=32).figures:
        assert all(math.isfinite(each) for each in (figure.likely, figure.low, figure.high)), figure.key
    if path.startswith(("shift.", "buffer.")):
        for row in shift(case, shifts=2).rows:
            assert all(math.isfinite(each) for each in (row.mean, row.low, row.high)), row.key


@pytest.mark.parametrize("field", ["destination.pressure", "destination.inlet_pressure_low"])
def test_a_destination_at_no_pressure_at_all_gets_no_credit_for_a_pot(field: str) -> None:
    case = case_from_dict(BASE, "S07", {field: "-1 bar(g)", "site.altitude": "200 m"})
    found = {figure.key: figure.likely for figure in assess(case, samples=64).figures}
    if field == "destination.pressure":
        assert "buffer.stored" not in found
        assert shift(case, shifts=2).plan.hopper == 0.0
    assert found["buffer.pressure_volume"] == pytest.approx(360e2)
