"""What hard pieces, air, stall, life and rules do to the answer on pumps."""

from pathlib import Path

import pytest

import drumwright
from drumwright.machine.pump.stock import Pump, find, pumps
from drumwright.station.inputs import Inputs, resolve
from drumwright.study.checks import abrasion_class, pump_passage, required_passage
from drumwright.study.pump_rules import rules_of

WHOLE = Path("tests/whole")


def _inputs(tmp_path: Path, pieces: str) -> Inputs:
    """S01, tomato paste, with other pieces in it."""
    text = (WHOLE / "S01.toml").read_text(encoding="utf-8")
    (tmp_path / "case.toml").write_text(
        text.replace('particles = {size="1.5 mm", hardness="soft"}', pieces), encoding="utf-8"
    )
    case = drumwright.load(tmp_path / "case.toml")
    return resolve(case, case.product[0], case.container[0])


HARD, SOFT = 'particles = {size="1.5 mm", hardness="hard"}', 'particles = {size="1.5 mm", hardness="soft"}'
UNSAID, SMALL = 'particles = {size="1.5 mm"}', 'particles = {size="0.2 mm", hardness="soft"}'


@pytest.mark.parametrize("family", ["lobe", "external_gear"])
def test_hard_pieces_pass_rotors_below_their_clearance_only(tmp_path: Path, family: str) -> None:
    """Physics book 4.10: a hard piece above the clearance is ground or locks the rotors."""
    hard, soft = _inputs(tmp_path, HARD), _inputs(tmp_path, SOFT)
    for pump in (each for each in pumps() if each.family == family):
        assert pump_passage(hard, pump) == pytest.approx(2.0 * pump.geometry.clearance)  # type: ignore[union-attr]
        assert pump_passage(soft, pump) == pytest.approx(pump.passage)


@pytest.mark.parametrize("pump", pumps(), ids=lambda pump: pump.identifier)
def test_unsaid_hardness_is_never_better_than_any_that_was_said(tmp_path: Path, pump: Pump) -> None:
    """Share of the need that the pump gives: unsaid is at most that of soft, firm and hard."""

    def share(pieces: str) -> float:
        inputs = _inputs(tmp_path, pieces)
        return pump_passage(inputs, pump) / required_passage(inputs)

    said = [share(SOFT), share(HARD), share(SOFT.replace("soft", "firm"))]
    assert share(UNSAID) <= min(said) * (1.0 + 1e-9)


def test_hard_pieces_wear_and_soft_ones_matter_from_a_size_on(tmp_path: Path) -> None:
    assert abrasion_class(_inputs(tmp_path, HARD)) == abrasion_class(_inputs(tmp_path, UNSAID)) == "mild"
    assert abrasion_class(_inputs(tmp_path, SOFT)) not in ("mild", "abrasive")
    assert "soft_pieces" in rules_of(_inputs(tmp_path, SOFT), 100.0, 0.0)
    assert not {"soft_pieces", "hard_pieces"} & set(rules_of(_inputs(tmp_path, SMALL), 100.0, 0.0))
    for pieces in (HARD, UNSAID):
        assert "hard_pieces" in rules_of(_inputs(tmp_path, pieces), 100.0, 0.0)


def test_hard_pieces_reject_the_lobe_pump_by_its_passage() -> None:
    case = drumwright.load(WHOLE / "S01.toml", {"product.particles.hardness": "hard"})
    rows = {row.family: row for row in drumwright.assess(case, samples=128).families}
    assert rows["lobe"].decides.key == "feed.passage" and not rows["lobe"].passes
    assert find(rows["lobe"].stock).family == "lobe"
