"""Whatever the enquiry says, the answer is complete, finite and never bolder than the rules allow."""

from __future__ import annotations

import math
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drumwright.basis.phrases import render
from drumwright.station.casefile import case_from_dict
from drumwright.study.assess import assess

KINDS = ["straight_drum", "tight_head_drum", "conical_drum", "rigid_ibc", "pail", None]


def _maybe(values: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.one_of(values, values, values, values, st.none())


@st.composite
def enquiries(draw: st.DrawFn) -> dict[str, Any]:
    """Cases with gaps: every answer may be missing but the product's name."""
    product: dict[str, Any] = {"name": "something"}
    evidence = draw(st.sampled_from(["none", "one", "one_at_rate", "model", "two_models"]))
    if evidence.startswith("one"):
        product["viscosity"] = f"{draw(st.floats(0.5, 400.0)):.2f} Pa.s"
    if evidence == "one_at_rate":
        product["viscosity_shear_rate"] = f"{draw(st.floats(0.1, 100.0)):.2f} 1/s"
    if "model" in evidence:
        stress, factor = draw(st.floats(0.0, 1500.0)), draw(st.floats(0.5, 900.0))
        product["model"] = [
            {
                "temperature": "20 C",
                "yield_stress": f"{stress:.1f} Pa",
                "consistency": f"{factor:.1f} Pa.s^n",
                "exponent": round(draw(st.floats(0.2, 1.0)), 3),
            }
        ]
    if evidence == "two_models":
        product["model"].append(
            {**product["model"][0], "temperature": "5 C", "consistency": f"{2 * factor:.1f} Pa.s^n"}
        )
    if (norm := draw(_maybe(st.integers(-10, 60)))) is not None:
        product["temperature"] = {"norm": f"{norm} C"}
    for name, values in (("food", st.booleans()), ("abrasive", st.booleans()), ("flammable", st.booleans())):
        if (value := draw(_maybe(values))) is not None:
            product[name] = value
    if (size := draw(_maybe(st.floats(0.5, 30.0)))) is not None:
        product["particles"] = {"size": f"{size:.3g} mm", "hardness": draw(st.sampled_from(["soft", "firm"]))}
    case: dict[str, Any] = {"product": [product], "line": {}, "enquiry": {}, "destination": {}}
    kind = draw(st.sampled_from(KINDS))
    if kind is not None:
        case["container"] = [{"kind": kind}]
    optional = (
        ("line", "bore", st.sampled_from(["DN25", "DN50", "DN80"])),
        ("line", "length", st.sampled_from(["2 m", "12 m", "60 m"])),
        ("line", "pressure_class", st.sampled_from(["6 bar(g)", "16 bar(g)"])),
        ("enquiry", "flow", st.sampled_from(["0.1 m3/h", "2 m3/h", "8 m3/h"])),
        ("enquiry", "drums_per_shift", st.integers(1, 80)),
        ("enquiry", "pump_wanted", st.sampled_from(["air_diaphragm", "lobe", "progressing_cavity"])),
        ("enquiry", "stand_wanted", st.sampled_from(["fixed_mast", "moving_arm", "tandem"])),
        ("destination", "kind", st.sampled_from(["open_tank", "closed_filler", "hopper"])),
    )
    for table, name, values in optional:
        if (value := draw(_maybe(values))) is not None:
            case[table][name] = value
    return case


@settings(max_examples=150, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(enquiries())
def test_every_enquiry_gets_an_honest_answer(data: dict[str, Any]) -> None:
    result = assess(case_from_dict(data, "property"), samples=128)
    assert result.offer != "firm_offer"
    assert (result.recommended is not None) == (result.verdict in ("go", "go_if"))
    for figure in result.figures:
        assert all(map(math.isfinite, (figure.likely, figure.low, figure.middle, figure.high))), figure.key
        assert figure.low <= figure.high
    numbers = {row.number for row in result.assumptions}
    assert all(set(figure.assumptions) <= numbers for figure in result.figures)
    sentences = [result.reason, result.offer_reason, result.caution]
    sentences += [item.text for item in (*result.findings, *result.conditions)]
    sentences += [part for row in result.assumptions for part in (row.meaning, row.ask)]
    sentences += [
        e.text for row in result.assumptions for e in (row.effect_low, row.effect_high) if e is not None
    ]
    sentences += [part for q in result.questions for part in (q.ask, q.because)]
    for sentence in sentences:
        assert render(sentence, "metric") and render(sentence, "US")
    if result.verdict in ("ask_first", "refuse"):
        assert result.gate


def test_the_same_case_gives_the_same_answer() -> None:
    data = {
        "product": [
            {"name": "p", "model": [{"yield_stress": "80 Pa", "consistency": "60 Pa.s^n", "exponent": 0.4}]}
        ],
        "line": {"bore": "DN50", "length": "4 m"},
        "enquiry": {"flow": "1 m3/h"},
    }
    assert assess(case_from_dict(data, "a"), samples=256) == assess(case_from_dict(data, "a"), samples=256)
