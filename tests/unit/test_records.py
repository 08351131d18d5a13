"""The declarations of the fields and the records built from them."""

from __future__ import annotations

import math

import pytest
from pydantic import ValidationError

from drumwright.basis.errors import InputError
from drumwright.basis.estimate import Estimate
from drumwright.basis.kinds import KINDS
from drumwright.station.casefile import case_from_dict
from drumwright.station.fields import Declaration
from drumwright.station.record_base import Record, declared_in, record_in
from drumwright.station.records import Case, Line, Product, declaration, get_field, iter_fields


def below(record: type[Record]) -> list[type[Record]]:
    """Return the records a record holds, itself first."""
    inner = [found for name in declared_in(record) if (found := record_in(record, name)) is not None]
    return [record, *(each for one in inner for each in below(one))]


EVERY = [
    (f"{record.__name__}.{name}", declared)
    for record in below(Case)
    for name, declared in declared_in(record).items()
]


@pytest.mark.parametrize(("name", "declared"), EVERY, ids=[name for name, _ in EVERY])
def test_every_field_has_a_meaning_and_numbers_a_range(name: str, declared: Declaration) -> None:
    assert len(declared.meaning) > 10 and declared.meaning.endswith(".")
    if declared.form == "quantity":
        assert declared.kind in KINDS
        low, high = declared.hard
        assert math.isfinite(low) and math.isfinite(high) and low < high
        assert low <= declared.usual[0] < declared.usual[1] <= high
    if declared.form == "choice":
        assert len(declared.choices) > 1


def test_every_field_of_every_record_is_declared() -> None:
    free = {"source", "digest", "cards", "stock_file", "stock_digest"}
    assert set(Case.model_fields) - set(declared_in(Case)) == free
    for record in below(Case)[1:]:
        assert set(record.model_fields) == set(declared_in(record))
    assert len(EVERY) > 120


@pytest.fixture
def case() -> Case:
    """A small case built from a dictionary."""
    return case_from_dict(
        {
            "product": {"name": "paste", "density": "1130 kg/m3", "temperature": {"norm": "22 C"}},
            "line": {"bore": "DN65", "own_hose": {"low": "2 m", "likely": "3 m", "high": "4 m"}},
        }
    )


def test_a_case_is_built_from_a_dictionary(case: Case) -> None:
    assert case.product[0].density == Estimate(1130.0, 1130.0, 1130.0, "customer")
    assert case.line.bore == Estimate(0.065, 0.065, 0.065, "customer", note="DN65")
    assert case.line.own_hose == Estimate(2.0, 3.0, 4.0, "customer")
    assert case.enquiry.flow is None and case.product[0].particles is None
    assert case.case.units == "metric" and case.case.seed == 1
    assert len(case.digest) == 64 and case.source == "python"


def test_records_are_frozen_and_hashable(case: Case) -> None:
    with pytest.raises(ValidationError):
        case.line.bore = None  # type: ignore[misc]
    assert hash(case) == hash(case.model_copy())


def test_fields_are_found_by_path(case: Case) -> None:
    assert get_field(case, "product.density") is get_field(case, "product[0].density")
    assert get_field(case, "product.temperature.norm").likely == 295.15
    assert declaration("product[3].temperature.low").kind == "temperature"
    assert declaration("line.bore").kind == "diameter"
    for path in ("line.bor", "product[1].density", "line.bore.low", "line..bore", "", "digest"):
        with pytest.raises(KeyError):
            get_field(case, path)
    for path in ("line.bor", "line.bore.low", "x", ""):
        with pytest.raises(KeyError):
            declaration(path)


def test_every_iterated_path_leads_back_to_its_value_and_declaration(case: Case) -> None:
    found = list(iter_fields(case))
    assert len(found) > 90
    for path, declared, value in found:
        assert get_field(case, path) is value
        assert declaration(path) is declared


def test_several_products_need_an_index() -> None:
    case = case_from_dict({"product": [{"name": "a"}, {"name": "b"}]})
    assert get_field(case, "product[1].name") == "b"
    with pytest.raises(KeyError):
        get_field(case, "product.name")
    assert "product[1].name" in [path for path, _, _ in iter_fields(case)]


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("3 m", Estimate(3.0, 3.0, 3.0)),
        ({"value": "3 m"}, Estimate(3.0, 3.0, 3.0)),
        ({"likely": "3 m", "high": "4 m"}, Estimate(3.0, 3.0, 4.0)),
        ({"low": "2 m", "high": "4 m"}, Estimate(2.0, 3.0, 4.0, shape="uniform")),
        ({"low": "2 m", "high": "4 m", "shape": "triangular"}, Estimate(2.0, 3.0, 4.0)),
        ({"value": "3 m", "plus_minus": "1 m"}, Estimate(2.0, 3.0, 4.0, shape="normal")),
        ({"value": "4 m", "plus_minus": "25 %"}, Estimate(3.0, 4.0, 5.0, shape="normal")),
        (
            {"value": "3 m", "basis": "measured", "note": "tape"},
            Estimate(3.0, 3.0, 3.0, "measured", note="tape"),
        ),
        (Estimate(1.0, 2.0, 3.0, "assumed"), Estimate(1.0, 2.0, 3.0, "assumed")),
    ],
)
def test_spreads(written: object, expected: Estimate) -> None:
    assert Line(length=written).length == expected


def test_a_spread_of_a_temperature_is_a_difference() -> None:
    case = case_from_dict(
        {"product": {"name": "x", "temperature": {"norm": {"value": "20 C", "plus_minus": "2 K"}}}}
    )
    assert case.product[0].temperature.norm == Estimate(291.15, 293.15, 295.15, shape="normal")


def test_flow_curves_give_stress_in_si() -> None:
    curve = {"shear_rate": [6.0, 60.0, 600.0], "viscosity": [1000.0, 200.0, 50.0]}
    units = {"shear_rate_unit": "1/min", "viscosity_unit": "cP"}
    case = case_from_dict({"product": {"name": "x", "flow_curve": [curve | units]}})
    found = case.product[0].flow_curve[0]
    assert found.shear_rates_si().tolist() == pytest.approx([0.1, 1.0, 10.0])
    assert found.stresses_si().tolist() == pytest.approx([0.1, 0.2, 0.5])


def test_problems_of_a_dictionary_are_told_with_their_field() -> None:
    with pytest.raises(InputError) as caught:
        case_from_dict({"product": [{"name": "a", "density": 3}, {}], "lime": {}}, source="mine")
    assert [problem.field for problem in caught.value.problems] == [
        "lime",
        "product[0].density",
        "product[1].name",
    ]
    assert {problem.file for problem in caught.value.problems} == {"mine"}


def test_records_can_be_built_one_by_one() -> None:
    case = Case(product=[Product(name="x", density="1 g/cm3")], line=Line(bore="2 in"))
    assert isinstance(case, Record) and case.product[0].density is not None
    assert case.product[0].density.likely == pytest.approx(1000.0)
