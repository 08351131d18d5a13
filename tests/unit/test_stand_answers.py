"""Stand in the answer: a free base, an arm that must be anchored, wheels."""

from pathlib import Path

import pytest

import drumwright

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
