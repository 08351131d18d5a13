"""Stand in the answer: a free base, an arm that must be anchored, wheels."""

from pathlib import Path

import pytest

import drumwright
from drumwright.basis.phrases import render
from drumwright.machine.pump.stock import find
from drumwright.machine.stand.moments import anchor_tension
from drumwright.machine.stand.tipping import raised_load
from drumwright.station.arrangement import stand_row
from drumwright.station.stand_state import MOTOR_SHARE

DEMO = Path("cases/demo.toml")


def _arm(**settings: str) -> drumwright.Result:
    wanted = {"enquiry.stand_wanted": "moving_arm", **settings}
    return drumwright.assess(drumwright.load(DEMO, wanted), samples=256)


@pytest.mark.parametrize("said", ["site.anchoring", "enquiry.wheels"])
def test_an_arm_that_nobody_may_anchor_is_turned_down_with_its_force(said: str) -> None:
    """Wheels, moving arm and high force conflict (trade book 1.4): as asked no, a fixed mast instead."""
    result = _arm(**{said: "false" if said == "site.anchoring" else "true"})
    assert (result.verdict, result.gate) == ("go_if", "container_plate")
    stop = next(item for item in result.findings if item.key == "stand.free_base")
    assert stop.value is not None and stop.limit is not None and stop.value > 5.0 * stop.limit
    assert result.recommended is not None
    assert [part.stock for part in result.recommended.parts if part.role == "stand"] == ["fixed-mast"]


def test_an_arm_whose_anchoring_is_open_is_a_condition_with_its_numbers(tmp_path: Path) -> None:
    text = DEMO.read_text(encoding="utf-8").replace("anchoring = true\n", "")
    case = tmp_path / "case.toml"
    (tmp_path / "demo-flow-curve.csv").write_bytes((DEMO.parent / "demo-flow-curve.csv").read_bytes())
    case.write_text(text, encoding="utf-8")
    result = drumwright.assess(drumwright.load(case, {"enquiry.stand_wanted": "moving_arm"}), samples=256)
    found = next(item for item in result.conditions if item.key == "stand.unanchored")
    assert found.figure == "stand.moment"
    assert "stand.deck" in {item.key for item in result.conditions}


def test_wheels_under_a_fixed_mast_are_a_condition_not_a_refusal() -> None:
    result = drumwright.assess(drumwright.load(DEMO, {"enquiry.wheels": "true"}), samples=256)
    assert result.verdict == "go_if"
    assert "stand.wheels" in {item.key for item in result.conditions}


def _figures(result: drumwright.Result) -> dict[str, float]:
    return {item.key.removeprefix("recommended."): item.likely for item in result.figures}


def test_a_closed_base_that_nobody_may_anchor_shows_no_anchor_that_pulls() -> None:
    """Figure and verdict agree: the load hangs within the base of a fixed mast, so nothing tips and pulls."""
    result = drumwright.assess(drumwright.load(DEMO, {"site.anchoring": "false"}), samples=128)
    assert result.verdict == "go_if"
    assert _figures(result)["stand.anchor_tension"] == 0.0
    assert not {"stand.unanchored", "stand.free_raise"} & {item.key for item in result.findings}


def test_a_free_stand_that_tips_when_it_raises_is_turned_down() -> None:
    """An arm hangs what its cylinders pull before its base: m g b / (S (R - b)) is what it carries free."""
    stop = next(
        item for item in _arm(**{"site.anchoring": "false"}).findings if item.key == "stand.free_raise"
    )
    row, reach = stand_row("moving_arm"), _figures(_arm())["stand.reach"]
    carried = row["mass"] * 9.80665 * row["before"] / (1.5 * (reach - row["before"]))
    assert stop.limit == pytest.approx(carried) and stop.value is not None and stop.value > carried


def test_anchors_pull_exactly_where_a_free_stand_would_tip() -> None:
    """The tension starts at the load that turns the base about the same edge, without its safety."""
    row, reach = stand_row("moving_arm"), 1.0
    tips = float(raised_load(row["mass"], row["before"], reach, 1.0))
    for load, pulls in ((0.99 * tips, False), (1.01 * tips, True)):
        found = anchor_tension(
            load * reach, -load, row["mass"], row["base"], row["pulling"], edge=row["before"]
        )
        assert bool(found > 0.0) is pulls


def test_a_pump_on_the_plate_hangs_on_the_stand_unless_its_mass_was_said() -> None:
    """m g h of plate, pump, motor share and arm (closed-form oracle); a stated mass is that with the pump."""
    assumed, said = _arm(), _arm(**{"machine.plate_mass": "80 kg"})
    shown = assumed.recommended or assumed.asked_arrangement
    pump = find(next(part.stock for part in shown.parts if part.role == "pump"))
    there, stated = _figures(assumed), _figures(said)
    more = pump.mass * (1.0 + MOTOR_SHARE if pump.turns else 1.0)
    held = 9.80665 * there["stand.stroke"]
    assert there["stand.drop_energy"] - stated["stand.drop_energy"] == pytest.approx(more * held)
    assert there["stand.holding_pressure"] > stated["stand.holding_pressure"]
    assert there["withdrawal.force"] - stated["withdrawal.force"] == pytest.approx(more * 9.80665, rel=1e-6)


def test_wheels_come_with_the_pull_and_the_slope_that_tip() -> None:
    result = drumwright.assess(drumwright.load(DEMO, {"enquiry.wheels": "true"}), samples=128)
    found = next(item for item in result.conditions if item.key == "stand.wheels")
    assert found.value is not None and 0.0 < found.value < 5000.0
    assert "slope" in render(found.text)
