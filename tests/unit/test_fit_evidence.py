"""Readings on a product card: complete or refused with the reason, and carried through to the flow law."""

import copy
import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

from drumwright.basis.errors import InputError
from drumwright.basis.phrases import render
from drumwright.station.casefile import case_from_dict
from drumwright.station.evidence import against_curves, combined, contradictions, pieces_of
from drumwright.station.evidence_card import NEEDS
from drumwright.station.inputs import draw, resolve
from drumwright.station.records import Case
from drumwright.station.rheology import evidence, law_in_season
from drumwright.study.assess import assess

READINGS: dict[str, dict[str, object]] = {
    "viscosity": {"viscosity": "30 Pa.s", "shear_rate": "10 1/s"},
    "disc_spindle": {"spindle": 6, "speed": "10 rpm", "viscosity": "50 Pa.s"},
    "cylinder_spindle": {"torque": "0.01 N.m", "diameter": "25 mm", "length": "40 mm", "speed": "20 rpm"},
    "vane": {"torque": "0.03 N.m", "diameter": "40 mm", "length": "80 mm"},
    "static_yield": {"yield_stress": "200 Pa"},
    "bostwick": {"run_out": "50 mm", "test_solids": "30 %", "product_solids": "30 %", "temperature": "20 C"},
    "spread": {"volume": "1 L", "diameter": "300 mm"},
    "cone_penetration": {"penetration": "28 mm"},
    "consistency_number": {"grade": "2"},
    "flow_pressure": {"pressure": "400 mbar", "bore": "2 mm", "length": "50 mm", "temperature": "-10 C"},
    "extrusion_rate": {"pressure": "5 bar", "bore": "4 mm", "length": "30 mm", "mass": "50 g",
                       "time": "60 s"},
    "tube_viscometer": {"bore": "20 mm", "length": "1 m", "flows": [1, 10], "flows_unit": "L/min",
                        "pressures": [0.5, 1.0], "pressures_unit": "bar"},
    "todays_line": {"pump_speed": "60 rpm", "displacement": "0.2 L/rev", "pressure": "4 bar", "bore": "50 mm",
                    "length": "10 m", "rise": "2 m", "fittings_diameters": 30},
}  # fmt: skip
BASE = {
    "container": {"kind": "straight_drum"},
    "enquiry": {"flow": "1 m3/h"},
    "line": {"bore": "DN50", "length": "5 m"},
}


def case_with(*readings: dict[str, object], **product: object) -> dict[str, object]:
    data = copy.deepcopy(BASE)
    return {**data, "product": {"name": "invented", "evidence": list(readings), **product}}


def reading(kind: str, **more: object) -> dict[str, object]:
    return {"kind": kind, **READINGS[kind], **more}


PAGE = Path(__file__).parent.parent.parent / "docs" / "how-to-product.md"
SHOWN = dict(
    re.findall(r"^\| `(\w+)` \| [^|]+ \| `([^`]+)` \|$", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
)


@pytest.mark.parametrize("kind", NEEDS)
def test_the_smallest_example_of_the_page_is_read_and_nothing_in_it_is_spare(kind: str) -> None:
    shown = tomllib.loads(f"row = {{ {SHOWN[kind]} }}")["row"]
    assert pieces_of(case_from_dict(case_with({"kind": kind, **shown})).product[0])
    wanted = {each for names in NEEDS[kind] for each in names.split("|")}
    assert {name for name in shown if not name.endswith("_unit")} <= wanted
    for names in NEEDS[kind]:
        assert any(each in shown for each in names.split("|")), names


def test_every_kind_has_an_example() -> None:
    assert set(READINGS) == set(NEEDS)


@pytest.mark.parametrize("kind", READINGS)
def test_every_kind_becomes_a_law(kind: str) -> None:
    case = case_from_dict(case_with(reading(kind)))
    assert pieces_of(case.product[0])
    inputs = resolve(case, case.product[0], case.container[0])
    assert "product.flow_curve" not in inputs.missing and "one_point.exponent" not in inputs.estimates
    assert "computed from readings" in inputs.estimates["evidence.rank"].note
    known = evidence(case.product[0], 293.15)
    assert known.kind == "combined" and known.measured_range is not None
    sample = draw(inputs, 256, 1)
    law, beyond = law_in_season(known, np.full(257, known.reference_temperature), sample)
    stress = np.asarray(law.stress(30.0))
    assert stress.shape == (257,) and (stress > 0.0).all() and np.ptp(stress) > 0.0
    assert (beyond == 0.0).all()
    cold, _ = law_in_season(known, np.full(257, known.reference_temperature - 10.0), sample)
    assert (np.asarray(cold.stress(30.0)) > stress).all()


@pytest.mark.parametrize(("kind", "names"), NEEDS.items(), ids=NEEDS)
def test_a_reading_without_what_it_needs_is_refused(kind: str, names: tuple[str, ...]) -> None:
    for name in names:
        bare = {key: value for key, value in reading(kind).items() if key not in name.split("|")}
        if any(each in bare for each in name.split("|")):
            continue
        with pytest.raises(InputError) as caught:
            case_from_dict(case_with(bare))
        said = str(caught.value)
        assert name.partition("|")[0] in said and "means nothing without" in said


def test_a_diluted_trough_says_nothing() -> None:
    with pytest.raises(InputError, match="diluted"):
        case_from_dict(case_with(reading("bostwick", test_solids="12.5 %")))
    with pytest.raises(InputError, match="what was measured"):
        case_from_dict(case_with({"viscosity": "30 Pa.s"}))
    with pytest.raises(InputError, match="library"):
        assess(case_from_dict(case_with(prior="no such thing")), samples=256)


def test_one_number_with_spindle_and_speed_is_no_unknown_shear_rate() -> None:
    case = case_from_dict(case_with(reading("disc_spindle"), viscosity="50 Pa.s"))
    inputs = resolve(case, case.product[0], case.container[0])
    assert not any(key.startswith("one_point.") for key in inputs.defaulted)
    assert evidence(case.product[0], 293.15).kind == "combined"


def test_a_static_yield_stress_makes_the_restart_factor() -> None:
    """300 Pa after rest over 150 Pa of the law: 2, and 1.67 to 2.4 for a vane; a stated factor goes first."""
    law = {"temperature": "20 C", "yield_stress": "150 Pa", "consistency": "60 Pa.s^n", "exponent": 0.35}
    more = {"model": [law], "static_yield_stress": "300 Pa", "yield_method": "vane"}
    case = case_from_dict(case_with(**more))
    made = resolve(case, case.product[0], case.container[0]).estimates["product.restart_factor"]
    assert (made.low, made.likely, made.high) == pytest.approx((2.0 / 1.2, 2.0, 2.4))
    said = case_from_dict(case_with(**more, restart_factor=1.3))
    kept = resolve(said, said.product[0], said.container[0]).estimates["product.restart_factor"]
    assert kept.likely == 1.3


def test_measured_curves_go_first_and_readings_are_compared_with_them() -> None:
    curve = {
        "temperature": "20 C",
        "shear_rate": [0.1, 0.3, 1, 3, 10, 100],
        "stress": [177, 189, 210, 238, 284, 451],
    }
    fits = case_from_dict(case_with(reading("static_yield"), flow_curve=[curve])).product[0]
    known = evidence(fits, 293.15)
    assert known.kind == "curves" and against_curves(fits, known.points) == ()
    clash = case_from_dict(case_with(reading("static_yield", yield_stress="3 kPa"), flow_curve=[curve]))
    said = [render(each) for each in against_curves(clash.product[0], known.points)]
    assert len(said) == 1 and "does not fit the measured curves" in said[0]


def test_what_clashes_is_named_in_the_register() -> None:
    case = case_from_dict(case_with(reading("disc_spindle"), reading("static_yield", yield_stress="5 kPa")))
    band = combined(case.product[0], 293.15)
    assert band is not None
    said = [render(each) for each in contradictions(band, case.product[0])]
    assert len(said) == 1 and said[0].startswith("disc spindle and static yield stress do not fit together")
    row = next(a for a in assess(case, samples=256).assumptions if a.field == "evidence.rank")
    assert said[0] in row.source


def two_viscosities(factor: float) -> Case:
    readings = [reading("viscosity"), reading("viscosity", viscosity=f"{30.0 * factor:.1f} Pa.s")]
    return case_from_dict(case_with(*readings))


def told(case: Case) -> tuple[list[str], str]:
    """Conditions of readings that clash, and the register's row of the readings."""
    result = assess(case, samples=256)
    row = next(a for a in result.assumptions if a.field == "evidence.rank")
    return [render(c.text) for c in result.conditions if c.key == "evidence.contradiction"], row.source


def clash_of(case: Case) -> float:
    band = combined(case.product[0], 293.15)
    assert band is not None
    return max((each.factor for each in band.contradictions), default=1.0)


@pytest.mark.parametrize("apart", [(1.05, 1.5), (1.5, 3.0), (3.0, 1e3)])
def test_how_far_apart_readings_are_decides_what_is_said(apart: tuple[float, float]) -> None:
    """Below 1.5 times the register only, from there a condition, from 3 times which one to repeat first."""
    cases = (two_viscosities(1.15**step) for step in range(1, 40))
    case = next(each for each in cases if apart[0] <= clash_of(each) < apart[1])
    conditions, row = told(case)
    assert "do not fit together" in row
    assert len(conditions) == (0 if apart[1] == 1.5 else 1)
    assert ["repeat first" in said for said in conditions] == [apart[0] == 3.0] * len(conditions)


def test_the_reading_that_clashes_with_most_is_to_be_repeated() -> None:
    wild = reading("static_yield", yield_stress="20 kPa")
    case = case_from_dict(case_with(reading("viscosity"), reading("disc_spindle"), wild))
    conditions, _ = told(case)
    assert len(conditions) == 2
    assert all(said.endswith("repeat first: static yield stress.") for said in conditions)


def test_a_prior_is_never_measured() -> None:
    case = case_from_dict(case_with(prior="Tomato paste"))
    row = next(a for a in assess(case, samples=256).assumptions if a.field == "evidence.rank")
    assert "the library's tomato paste as a prior, not measured" in row.source
    assert row.basis == "assumed"
