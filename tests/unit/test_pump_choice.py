"""Every family judged: order, numbers, rules of the trade, air that is held back, the line that is kept."""

import tomllib
from pathlib import Path

import pytest

import drumwright
from drumwright.basis.phrases import render
from drumwright.machine.pump.family import families
from drumwright.machine.pump.stock import find
from drumwright.study.pump_rules import points, rating

WHOLE = Path("tests/whole")


def _of(name: str, **settings: str) -> drumwright.Result:
    return drumwright.assess(drumwright.load(WHOLE / f"{name}.toml", settings), samples=256)


@pytest.mark.parametrize("name", ["S01", "S02", "S03", "S05", "S07", "S09"])
def test_every_family_has_its_number_best_first(name: str) -> None:
    result = _of(name)
    rows = result.families
    assert {row.family for row in rows} == set(families())
    passing = [row.passes for row in rows]
    assert passing == sorted(passing, reverse=True)
    for row in rows:
        assert row.decides.value is not None and row.decides.limit is not None
        assert (row.decides.role == "passed") is row.passes
    used = (
        [part.stock for part in result.recommended.parts if part.role == "pump"] if result.recommended else []
    )
    assert {find(each).family for each in used} <= {row.family for row in rows if row.passes}


def test_a_filled_sealant_overrules_the_diaphragm_and_takes_the_piston() -> None:
    """S09: the rule 'abrasive: diaphragm' breaks on the valves; a piston pump carries it (trade book 1.6)."""
    result = _of("S09", **{"line.bore": "DN80", "line.pressure_class": "40 bar(g)"})
    said = {item.key for item in result.findings if item.role == "overruled"}
    assert "rule.air_diaphragm" in said
    rows = {row.family: row.passes for row in result.families}
    assert rows["follower_piston"] and not rows["air_diaphragm"] and not rows["external_gear"]


def test_grease_may_keep_its_narrow_pipe_with_a_piston_pump() -> None:
    """S03: the other honest way, 34 bar in the pipe and 40 with the hose, drums warm (scenario S03)."""
    note = next(item for item in _of("S03").findings if item.key == "line.kept")
    assert note.value == pytest.approx(40.0e5, rel=0.08)
    assert note.limit is not None and note.limit > note.value
    assert "injection" in render(note.text)


def test_pieces_of_fruit_pass_one_family_only() -> None:
    """S02: 18 mm soft pieces ask for 54 mm: no ball valve, no lobe pocket of the stock."""
    rows = {row.family: row for row in _of("S02").families}
    assert rows["progressing_cavity"].passes
    for family in ("air_diaphragm", "follower_piston", "lobe", "external_gear"):
        assert rows[family].decides.key == "feed.passage"


def test_air_that_could_burst_the_line_is_held_back_by_a_condition() -> None:
    """A piston pump stalls at its ratio times the air: above the weakest part the regulator is locked."""
    piston = {"machine.pump": "piston-06-9", "line.bore": "DN80", "line.pressure_class": "25 bar(g)"}
    result = _of("S09", **piston)
    setting = next(item for item in result.conditions if item.key == "pump.air_set")
    assert setting.value is not None and setting.limit is not None and setting.value > setting.limit
    low = _of("S09", **piston, **{"site.air_pressure": "2.5 bar(g)"})
    assert "pump.air_set" not in {item.key for item in low.conditions}


def test_air_that_is_held_back_is_the_air_the_flow_is_computed_with() -> None:
    """The regulator of the condition counts in the balance: with all the air of the site more would flow."""
    piston = {"machine.pump": "piston-03-9", "line.bore": "DN80", "enquiry.pump_wanted": "follower_piston"}
    flows = [
        next(f.likely for f in result.figures if f.key == "station.flow" and f.condition == "winter")
        for result in (
            _of("S09", **piston, **{"line.pressure_class": each}) for each in ("25 bar(g)", "60 bar(g)")
        )
    ]
    assert flows[0] < 0.9 * flows[1]


def test_rules_are_points_and_every_family_is_rated() -> None:
    table = tomllib.loads(Path("src/drumwright/data/pump_rules.toml").read_text(encoding="utf-8"))
    for rule, row in table["rule"].items():
        assert set(row) == set(families())
        for family in families():
            assert points((rule,), family) == table["points"][rating(rule, family)]


def test_a_narrow_passage_of_a_gear_is_no_place_for_pieces() -> None:
    """Gear pumps pass no piece greater than their clearance (physics book 4.10)."""
    rows = {row.family: row for row in _of("S01").families}
    assert rows["external_gear"].decides.key == "feed.passage"
    assert rows["external_gear"].decides.value == pytest.approx(find(rows["external_gear"].stock).passage)
