"""The written rules of the verdict on small invented cases, each with the neighbour that flips it."""

from __future__ import annotations

import copy
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from drumwright.basis.errors import InputError, QuantityError
from drumwright.machine.pump.family import families
from drumwright.machine.pump.stock import find
from drumwright.station.casefile import case_from_dict
from drumwright.station.inputs import draw, resolve
from drumwright.station.rheology import evidence
from drumwright.study.assess import assess
from drumwright.study.evaluation import Problem, evaluate
from drumwright.study.register import RESIDUE_ONLY
from drumwright.study.result import GATES, Result
from drumwright.study.search_options import candidates

SAMPLES = 1024

PASTE: dict[str, Any] = {
    "case": {"seed": 5},
    "enquiry": {"flow": "1.5 m3/h", "drums_per_shift": 8},
    "product": [
        {
            "name": "paste (invented)",
            "food": False,
            "flammable": False,
            "safety_sheet_seen": True,
            "abrasive": False,
            "particles": {"size": "0.5 mm", "hardness": "soft"},
            "density": "1100 kg/m3",
            "temperature": {"low": "15 C", "norm": "20 C", "high": "25 C"},
            "model": [
                {
                    "temperature": "20 C",
                    "yield_stress": "100 Pa",
                    "consistency": "80 Pa.s^n",
                    "exponent": 0.35,
                }
            ],
        }
    ],
    "container": [{"kind": "straight_drum", "liner": "none"}],
    "destination": {"kind": "open_tank"},
    "line": {"bore": "DN80", "length": "5 m", "rise": "1.5 m", "pressure_class": "10 bar(g)"},
    "site": {"ceiling": "4 m", "zone": "none"},
}


def answer(changes: dict[str, Any] | None = None, drop: tuple[str, ...] = (), **settings: str) -> Result:
    """Assess the paste with nested changes, dropped fields and settings by dotted path."""
    data = copy.deepcopy(PASTE)
    for path, value in (changes or {}).items():
        record: Any = data
        *tables, field = path.split(".")
        for table in tables:
            record = record.setdefault(table, {})
            record = record[0] if isinstance(record, list) else record
        record[field] = value
    for path in drop:
        table, _, field = path.partition(".")
        record = data[table][0] if isinstance(data[table], list) else data[table]
        del record[field]
    return assess(case_from_dict(data, "test", settings), samples=SAMPLES)


def keys(result: Result) -> set[str]:
    return {item.key for item in (*result.findings, *result.conditions)}


UNBUILT = {"not_judged.hygiene"}


def test_everything_known_and_passing_rests_only_on_what_has_no_model_yet() -> None:
    """No gate passes by the absence of a model: materials and cleaning cap the verdict."""
    result = answer()
    assert (result.verdict, result.gate, result.offer) == ("go_if", "", "budget_letter")
    assert result.recommended is not None and result.recommended.changes == ()
    assert {item.key for item in result.conditions if item.role == "not_judged"} == UNBUILT
    assert not [row for row in result.assumptions if row.flag == "R"]


def test_an_open_answer_that_may_flip_makes_it_go_if() -> None:
    result = answer(drop=("container.liner",))
    assert result.verdict == "go_if"
    assert "topic.liner" in keys(result)


def test_generic_parts_never_get_a_firm_offer() -> None:
    assert answer().offer == "budget_letter"


@pytest.mark.parametrize("kind", ["closed_filler", "header", "batch_scale"])
def test_a_destination_that_shuts_is_a_condition_and_caps_the_verdict(kind: str) -> None:
    result = answer({"destination.kind": kind})
    assert result.verdict == "go_if"
    assert "destination.closes" in keys(result)
    assert "destination.closes" not in keys(answer({"destination.kind": "open_tank"}))


def test_first_failed_gate_is_named_in_order() -> None:
    """Passage (feed) fails before pressure even where both do."""
    both = {
        "product.particles": {"size": "40 mm", "hardness": "soft"},
        "line.length": "60 m",
        "line.pressure_class": "6 bar(g)",
    }
    result = answer(both)
    assert result.gate == "feed"
    assert answer({"line.length": "60 m", "line.pressure_class": "6 bar(g)"}).gate == "pressure"
    statuses = {gate.key: gate.status for gate in result.as_asked}
    assert tuple(statuses) == GATES
    assert statuses["feed"] == statuses["pressure"] == "fail"


def test_nothing_that_may_be_chosen_passes_is_a_refusal() -> None:
    """A limit below the static head: no bore, pump or warming helps."""
    result = answer({"enquiry.pressure_limit": "0.1 bar(g)"})
    assert (result.verdict, result.offer, result.gate) == ("refuse", "nothing", "pressure")
    assert result.recommended is None


def test_one_viscosity_of_unknown_shear_rate_asks_first() -> None:
    one = {"product.viscosity": "90 Pa.s", "line.bore": "DN50"}
    result = answer(one, drop=("product.model",))
    assert result.verdict == "ask_first"
    known = answer({**one, "product.viscosity_shear_rate": "10 1/s"}, drop=("product.model",))
    assert known.verdict != "ask_first"


def test_a_bigger_machine_does_not_lift_the_band() -> None:
    """Rule (a): even where the search finds an arrangement for the whole band."""
    one = {"product.viscosity": "90 Pa.s", "line.bore": "DN80", "line.pressure_class": "40 bar(g)"}
    assert answer(one, drop=("product.model",)).verdict == "ask_first"


@pytest.mark.parametrize("missing", ["product.model", "line.bore", "line.length"])
def test_what_has_no_default_is_asked_first(missing: str) -> None:
    result = answer(drop=(missing,))
    assert result.verdict == "ask_first"
    assert result.recommended is None
    expected = {"product.model": "product.flow_curve"}.get(missing, missing)
    assert result.questions[0].key == expected


def test_flow_without_a_wish_follows_from_the_drums() -> None:
    result = answer(drop=("enquiry.flow",))
    assert result.verdict == "go_if"
    assert any(row.field == "enquiry.flow" for row in result.assumptions)


def test_neither_flow_nor_drums_is_asked_first() -> None:
    assert answer(drop=("enquiry.flow", "enquiry.drums_per_shift")).verdict == "ask_first"


def test_frozen_product_fails_the_feed_gate_by_name() -> None:
    cold = answer({"product.freezes_at": "18 C"})
    assert (cold.verdict, cold.gate) == ("go_if", "feed")
    assert {"feed.frozen", "change.warm", "warm_up.time"} <= keys(cold)
    assert "feed.frozen" not in keys(answer({"product.freezes_at": "0 C"}))


def test_flammable_in_an_unknown_zone_is_not_decided() -> None:
    result = answer({"product.flammable": True, "site.zone": "unknown"})
    assert (result.verdict, result.gate) == ("ask_first", "hygiene_zone")
    assert next(g for g in result.as_asked if g.key == "hygiene_zone").status == "undecided"


@pytest.mark.parametrize("family", ["follower_piston", "lobe", "external_gear"])
def test_a_wished_family_is_judged_as_asked(family: str) -> None:
    result = answer({"enquiry.pump_wanted": family})
    assert "not_judged.pump" not in keys(result)
    asked = [part.stock for part in result.asked_arrangement.parts if part.role == "pump"]
    assert find(asked[0]).family == family
    rows = {row.family: row for row in result.families}
    assert set(rows) == set(families())
    other = result.recommended and [p.stock for p in result.recommended.parts if p.role == "pump"] != asked
    assert not other or "change.pump" in keys(result) or find(rows[family].stock).family == family


@pytest.mark.parametrize(
    ("changes", "verdict", "gate", "said"),
    [
        ({"container.kind": "conical_drum"}, "ask_first", "container_plate", "plate.sealed_share"),
        (
            {"container.kind": "conical_drum", "container.diameter_top": "575 mm",
             "container.diameter_bottom": "525 mm"},
            "go_if", "container_plate", "change.seal",
        ),
        ({"container.kind": "pail", "container.inside_diameter": "286 mm", "enquiry.flow": "0.2 m3/h"},
         "go_if", "", "plate.rim_pressure"),
        ({"container.kind": "fibre_drum"}, "ask_first", "container_plate", "container.spread"),
        ({"container.kind": "fibre_drum", "container.inside_diameter": "500 mm"},
         "go_if", "", "container.strength_unknown"),
        ({"container.kind": "plastic_drum"}, "ask_first", "container_plate", "container.opening"),
        ({"container.kind": "folding_bin"}, "ask_first", "container_plate", "plate.bend"),
    ],
)  # fmt: skip
def test_every_kind_of_container_is_judged_by_its_numbers(
    changes: dict[str, Any], verdict: str, gate: str, said: str
) -> None:
    result = answer(changes)
    assert (result.verdict, result.gate) == (verdict, gate)
    assert said in keys(result)


def test_a_bin_with_yield_stress_is_refused_by_its_heel_and_a_thin_one_is_not() -> None:
    outlet = {"container.outlet_bore": "80 mm", "container.outlet_length": "0.3 m"}
    stiff = answer({"container.kind": "rigid_ibc", **outlet})
    assert (stiff.verdict, stiff.gate) == ("refuse", "container_plate")
    assert "container.heel" in keys(stiff)
    syrup = [{"temperature": "20 C", "consistency": "5 Pa.s^n", "exponent": 1.0}]
    thin = answer(
        {"container.kind": "rigid_ibc", "product.model": syrup, "enquiry.residue_wanted": "2 %",
         "enquiry.drums_per_shift": 2, **outlet}
    )  # fmt: skip
    assert thin.verdict == "go_if" and "container.heel" not in keys(thin)
    assert "outlet.air" in keys(thin)
    assert {"outlet.waiting", "outlet.waiting_minutes"} & keys(thin)
    found = {hazard.key for hazard in thin.hazards}
    assert {"hazard.dead_head", "hazard.dry_run", "hazard.restart"} <= found  # the pump is there all the same
    assert not {"hazard.crush", "hazard.plate_falls", "hazard.drum_bursts", "hazard.cutting_open"} & found


def test_a_drum_without_a_plate_is_overruled_by_what_it_would_keep() -> None:
    wished = answer({"enquiry.plate_wanted": "none"})
    said = next(item for item in wished.findings if item.key == "no_plate.wish")
    assert said.value is not None and 0.05 < said.value < 0.3
    assert "no_plate.wish" not in keys(answer())


def test_a_curve_that_falls_or_that_no_law_meets_is_a_condition() -> None:
    curve = {"temperature": "20 C", "shear_rate": [0.1, 0.3, 1, 3, 10, 30, 100]}
    bad = answer(
        {"product.flow_curve": [{**curve, "stress": [240, 200, 150, 190, 300, 420, 600]}]},
        drop=("product.model",),
    )
    assert {"fit.stress_not_rising", "fit.poor_fit"} <= keys(bad)
    good = answer(
        {"product.flow_curve": [{**curve, "stress": [126, 139, 160, 195, 260, 350, 510]}]},
        drop=("product.model",),
    )
    assert not {key for key in keys(good) if key.startswith("fit.")}


def test_every_duty_is_judged_and_the_worst_is_the_answer() -> None:
    second = {"name": "tight", "kind": "tight_head_drum"}
    result = answer({"container": [{"name": "open", "kind": "straight_drum", "liner": "none"}, second]})
    assert {duty.verdict for duty in result.duties} == {"go_if", "refuse"}
    assert result.verdict == "refuse"


def test_seasons_may_be_pinned() -> None:
    cold = assess(case_from_dict(copy.deepcopy(PASTE), "test"), samples=SAMPLES, at="5 C")
    assert {f.likely for f in cold.figures if f.key == "product.temperature"} == {278.15}


def test_a_wished_residue_is_a_promise_not_a_gate() -> None:
    result = answer({"enquiry.residue_wanted": "0.2 %"})
    assert result.verdict == "go_if" and result.gate == ""
    note = next(item for item in result.findings if item.key == "residue.wanted")
    assert note.role == "note" and note.probability is not None and note.probability < 0.5


def test_no_size_is_named_from_one_number_of_unknown_shear_rate() -> None:
    one = {"product.viscosity": "90 Pa.s"}
    result = answer(one, drop=("product.model",))
    assert not [f.key for f in result.figures if f.key.startswith("pump.")]
    assert all(part.size is None for part in result.asked_arrangement.parts if part.role == "pump")
    said = [e.text.key for row in result.assumptions for e in (row.effect_low, row.effect_high) if e]
    assert "EFF-002" not in said
    known = answer({**one, "product.viscosity_shear_rate": "10 1/s"}, drop=("product.model",))
    assert [f.key for f in known.figures if f.key == "pump.motor"]


def test_an_open_r_answer_that_no_arrangement_covers_is_asked_first() -> None:
    """Rule (c): the exponent of a one-point viscosity decides between passing and nothing passing."""
    changes = {
        "product.viscosity": "652 Pa.s",
        "product.viscosity_shear_rate": "0.1 1/s",
        "enquiry.pressure_limit": "5 bar(g)",
        "line.length": "25 m",
    }
    result = answer(changes, drop=("product.model",))
    assert (result.verdict, result.reason.key) == ("ask_first", "VER-ask-range")


def test_the_failed_gate_says_what_would_pass_it() -> None:
    result = answer({"line.bore": "DN32"})
    gate = next(g for g in result.as_asked if g.key == result.gate)
    assert result.recommended is not None and gate.would_pass is not None
    assert dict(gate.would_pass.slots)["changes"] == result.recommended.changes


def test_duties_share_one_shift() -> None:
    """Two duties that fill a shift each cannot both be done in it."""
    duties = [
        {"product": "paste (invented)", "drums_per_shift": 20},
        {"product": "paste (invented)", "drums_per_shift": 20},
    ]
    both = answer({"duty": duties})
    assert both.gate == "rate" and "rate.utilisation" in keys(both)
    assert answer({"duty": duties[:1]}).gate == ""


def test_flash_point_near_the_product_counts_as_flammable() -> None:
    near = answer({"product.flash_point": "30 C"}, drop=("product.flammable",))
    assert (near.verdict, near.gate) == ("ask_first", "hygiene_zone")
    assert "hazard.zone" in {hazard.key for hazard in near.hazards}
    far = answer({"product.flash_point": "180 C"}, drop=("product.flammable",))
    assert far.gate == ""


def test_a_low_ceiling_costs_a_suction_hose() -> None:
    low, high = answer({"site.ceiling": "2.3 m"}), answer()
    assert (
        low.figure("feed.inlet_absolute", "winter").likely
        < high.figure("feed.inlet_absolute", "winter").likely
    )
    assert any(row.field == "model.beside_suction" for row in low.assumptions)


def test_restart_is_held_against_the_pump_too() -> None:
    changes = {"product.restart_factor": "8", "line.length": "30 m", "line.pressure_class": "40 bar(g)"}
    result = answer(changes)
    gate = next(g for g in result.as_asked if g.key == "pressure")
    assert gate.status == "pass"  # the search for a pump takes one that can restart
    pump = next(p for p in result.asked_arrangement.parts if p.role == "pump")
    assert "two stages" not in pump.name


def test_warming_stays_below_what_the_product_is_known_to_bear() -> None:
    cold = {
        "product.temperature": {"low": "2 C", "norm": "5 C", "high": "8 C"},
        "product.activation_energy": "60 kJ/mol",
        "line.pressure_class": "6 bar(g)",
        "line.length": "20 m",
    }
    result = answer(cold)
    warmed = [item for item in result.conditions if item.key == "warm.limit"]
    assert all(item.value is not None and item.value <= 281.15 for item in warmed)


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"container.opening": "300 mm"}, "container.opening"),
        ({"container.inside_diameter": {"low": "500 mm", "high": "640 mm"}}, "container.spread"),
    ],
)
def test_what_is_said_of_the_container_must_fit_what_it_is_called(changes: dict[str, Any], key: str) -> None:
    result = answer(changes)
    assert result.gate == "container_plate" and key in keys(result)
    assert result.verdict in ("ask_first", "refuse")
    assert key not in keys(answer())


def test_a_drum_called_straight_that_tapers_gets_a_seal_that_follows() -> None:
    result = answer({"container.diameter_top": "590 mm", "container.diameter_bottom": "510 mm"})
    assert (result.verdict, result.gate) == ("go_if", "container_plate")
    assert {"plate.sealed_share", "change.seal"} <= keys(result)


def test_an_unanchored_arm_is_a_condition_with_its_moment() -> None:
    arm = answer({"enquiry.stand_wanted": "moving_arm"})
    found = next(item for item in arm.conditions if item.key == "stand.unanchored")
    assert found.value is not None and found.value > 1000.0
    anchored = answer({"enquiry.stand_wanted": "moving_arm", "site.anchoring": True})
    assert "stand.unanchored" not in keys(anchored)


def test_a_stated_change_time_holds_for_the_stand_it_was_stated_for() -> None:
    result = answer({"enquiry.stand_wanted": "moving_arm", "enquiry.change_time": "14 min"})
    assert result.figure("station.change_time").likely == 840.0


def test_injection_hazard_follows_the_pressure_the_line_may_hold() -> None:
    assert "hazard.jet" in {hazard.key for hazard in answer().hazards}
    low = answer({"line.pressure_class": "6 bar(g)"})
    assert "hazard.jet" not in {hazard.key for hazard in low.hazards}


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"machine.pump": "cavity-Q-2"}, "machine.pump"),
        (
            {"product.model": [{"temperature": "20 C", "yield_stress": "50 Pa"}]},
            "product.model[0].consistency",
        ),
    ],
)
def test_what_cannot_be_computed_with_is_an_input_error(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as caught:
        answer(changes)
    problem = caught.value.problems[0]
    assert problem.field == field and problem.remedy


def test_a_stated_spread_of_a_season_is_looked_at() -> None:
    """A winter that may be much colder than its likely value must show what that does."""
    spread = {"low": {"low": "-20 C", "likely": "15 C", "high": "15 C"}, "norm": "20 C", "high": "25 C"}
    result = answer({"product.temperature": spread, "product.activation_energy": "60 kJ/mol"})
    assert any(row.field == "product.temperature.low" and row.flag != "G" for row in result.assumptions)


def test_residue_only_inputs_move_no_check() -> None:
    """The re-run left out for them would have changed nothing: every check is equal at their ends."""
    case = case_from_dict(copy.deepcopy(PASTE), "test")
    inputs = resolve(case, case.product[0], case.container[0])
    known = evidence(case.product[0], inputs.likely("product.temperature.norm"))
    problem = Problem(inputs, draw(inputs, 64, 1), known)
    choice = next(iter(candidates(inputs)))
    base = evaluate(problem, choice).checks
    for key in RESIDUE_ONLY & set(inputs.estimates):
        for end in (inputs.estimates[key].low, inputs.estimates[key].high):
            sample = {**problem.sample, key: np.full_like(problem.sample[key], end)}
            for one, other in zip(
                base, evaluate(replace(problem, sample=sample), choice).checks, strict=True
            ):
                assert np.array_equal(one.value, other.value) and np.array_equal(one.ok, other.ok), key


def test_a_wish_that_is_not_promised_stands_with_the_conditions() -> None:
    missed = answer({"enquiry.residue_wanted": "0.2 %"})
    assert "residue.not_promised" in {item.key for item in missed.conditions}
    met = answer({"enquiry.residue_wanted": "5 %"})
    assert "residue.not_promised" not in {item.key for item in met.conditions}


def test_a_product_no_family_moves_is_refused_with_every_family_s_number() -> None:
    stiff = {
        "enquiry.pump_wanted": "follower_piston",
        "product.model": [
            {"temperature": "20 C", "yield_stress": "9000 Pa", "consistency": "9000 Pa.s^n", "exponent": 0.4}
        ],
    }
    result = answer(stiff)
    assert result.verdict == "refuse" and result.offer == "nothing"
    assert {row.family for row in result.families} == set(families())
    assert not any(row.passes for row in result.families)
    assert all(row.decides.value is not None for row in result.families)


@pytest.mark.parametrize("at", ["300 C", "45 C"])
def test_a_temperature_the_product_cannot_have_is_refused(at: str) -> None:
    data = copy.deepcopy(PASTE)
    data["product"][0]["maximum_temperature"] = "40 C"
    with pytest.raises(QuantityError):
        assess(case_from_dict(data, "test"), samples=SAMPLES, at=at)
    assert assess(case_from_dict(data, "test"), samples=SAMPLES, at="35 C").verdict == "go_if"


def test_a_recommended_figure_is_explained_with_its_own_numbers() -> None:
    result = answer({"line.bore": "DN32"})
    figure = result.figure("recommended.line.total", "winter")
    explained = {item.key: item for item in result.explanations}[figure.why]
    put_in = {name: value for name, _, value in explained.inputs}
    assert sum(put_in.values()) == pytest.approx(figure.likely, rel=1e-6)


def test_a_closed_destination_is_sized_for_its_highest_inlet_pressure() -> None:
    closed = {"destination.kind": "closed_filler", "destination.inlet_pressure_low": "0.5 bar(g)"}
    low = answer(closed).figure("line.total", "winter").likely
    both = (
        answer({**closed, "destination.inlet_pressure_high": "3 bar(g)"})
        .figure("line.total", "winter")
        .likely
    )
    assert both - low == pytest.approx(2.5e5)


def test_a_flow_taken_from_the_drums_meets_the_rate_it_was_taken_from() -> None:
    """What drumwright chose itself is never called "not as asked"."""
    named = {"enquiry.drums_per_shift": 30}
    result = answer(named, drop=("enquiry.flow",))
    rate = next(gate for gate in result.as_asked if gate.key == "rate")
    assert rate.status == "pass"
    taken = next(row for row in result.assumptions if row.field == "enquiry.flow")
    assert taken.likely is not None and not taken.closed
    slower = answer({**named, "enquiry.flow": f"{0.5 * taken.likely * 3600.0} m3/h"})
    assert next(gate for gate in slower.as_asked if gate.key == "rate").status != "pass"
