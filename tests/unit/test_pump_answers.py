"""What hard pieces, air, stall, life and rules do to the answer on pumps."""

import math
from pathlib import Path
from types import SimpleNamespace

import pytest

import drumwright
from drumwright.basis.phrases import render
from drumwright.machine.pump.diaphragm_family import strokes_stood
from drumwright.machine.pump.operate import greatest_air
from drumwright.machine.pump.records import Wear
from drumwright.machine.pump.stock import Pump, find, pumps
from drumwright.station.arrangement import Choice
from drumwright.station.inputs import Inputs, draw, resolve
from drumwright.station.rheology import evidence
from drumwright.study.checks import abrasion_class, pump_passage, required_passage
from drumwright.study.evaluation import Problem
from drumwright.study.pump_choice import TRIED, _sizes
from drumwright.study.pump_figures import _life
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


def _of(name: str, **settings: str) -> drumwright.Result:
    return drumwright.assess(drumwright.load(WHOLE / f"{name}.toml", settings), samples=128)


@pytest.mark.parametrize(("family", "own"), [("air_diaphragm", 7.0e5), ("follower_piston", 6.0e5)])
def test_air_above_what_the_pump_bears_is_held_back_with_its_number(family: str, own: float) -> None:
    """10 bar of air on a pump that bears less: regulated by a condition, and never counted in the balance."""
    found = next(each for each in pumps() if each.family == family)
    assert greatest_air(found) == own
    result = _of("S01", **{
        "site.air_pressure": "10 bar(g)", "line.pressure_class": "400 bar(g)",
        "machine.pump": found.identifier,
    })  # fmt: skip
    held = next(item for item in result.conditions if item.key == "pump.air_rated")
    assert held.limit == pytest.approx(own) and held.value == pytest.approx(10.0e5)
    stall = next(item for item in result.figures if item.key == "pump.stall_pressure")
    ratio = getattr(found.geometry, "ratio", 1.0)
    assert stall.likely <= own * ratio * (1.0 + 1e-9)


def test_a_turning_pump_that_stalls_above_the_weakest_part_asks_for_relief_and_trip() -> None:
    """S01: with the torque of its motor the pump builds 2 pi (1.5 T_n - T_f)/V, more than the line bears."""
    result = _of("S01")
    found = next(item for item in result.conditions if item.key == "pump.stall")
    text = render(found.text)
    assert found.value is not None and found.limit is not None and found.value > found.limit
    assert "independent" in text and "relief valve" in text and "direct on line" in text


def test_the_torque_limit_lets_through_its_high_end_without_any_drag() -> None:
    """The sentence gives the high end of the figure; the bound is the limit with the least friction drawn."""
    result = _of("S01")
    prefix = "recommended." if any(f.key.startswith("recommended.") for f in result.figures) else ""
    figures = {item.key: item for item in result.figures}
    through = figures[f"{prefix}drive.overload_pressure"]
    torque = figures[f"{prefix}drive.overload_torque"].likely
    pump = find(next(part.stock for part in result.recommended.parts if part.role == "pump"))  # type: ignore[union-attr]
    assert through.high > through.likely > 0.0
    assert through.high < 2.0 * math.pi * torque / pump.displacement
    note = next(item for item in result.findings if item.key == "drive.overload")
    assert f"{through.high / 1e5:.3g} bar(g)" in render(note.text)


def _said(result: drumwright.Result, key: str) -> str:
    return next((render(item.text) for item in result.findings if item.key == key), "")


def test_a_first_choice_that_is_not_recommended_is_explained() -> None:
    """S03: the piston pump stands first by the rules, the plainest change that passes is recommended."""
    result = _of("S03")
    first = result.families[0]
    used = find(next(part.stock for part in result.recommended.parts if part.role == "pump"))  # type: ignore[union-attr]
    assert first.passes and first.family != used.family
    assert "follower-fed piston pump stands first" in _said(result, "pump.stays")


def test_rules_against_the_pump_shown_are_named() -> None:
    assert "closed outlet" in _said(_of("S03"), "pump.against_rules")
    assert not _said(_of("S02"), "pump.against_rules")


def test_a_dry_run_in_a_zone_may_ignite() -> None:
    assert not _said(_of("S01"), "pump.dry_run_zone")
    assert "ignite" in _said(_of("S01", **{"site.zone": "zone_1"}), "pump.dry_run_zone")


def test_filling_that_does_not_limit_is_said_so_and_not_as_a_flow() -> None:
    assert "does not limit" in _said(_of("S01"), "pump.cap")
    assert "m3/h" in _said(_of("S09"), "pump.cap") or "does not limit" in _said(_of("S09"), "pump.cap")


def _life_text(containers: tuple[float, float], family: str) -> str:
    """The sentence on life of a pump of a family, whatever else it does."""
    pump = next(each for each in pumps() if each.family == family)
    scene = SimpleNamespace(
        evaluation=SimpleNamespace(choice=SimpleNamespace(pump=pump)),
        problem=SimpleNamespace(abrasion="abrasive"),
    )
    wear = Wear((0.0, 0.0), (0.0, 0.0), containers, (0.0, 0.0))
    return render(_life(scene, SimpleNamespace(wear=wear)))  # type: ignore[arg-type]


def test_a_life_of_no_container_is_never_a_number() -> None:
    assert "wears at once" in _life_text((0.0, 0.4), "lobe")
    assert "may wear at once" in _life_text((0.2, 40.0), "lobe")
    assert "about 0" not in _life_text((0.2, 40.0), "lobe") + _life_text((0.0, 0.4), "air_diaphragm")
    fewest, most = strokes_stood("abrasive")
    said = _life_text((300.0, 9000.0), "air_diaphragm")
    assert "strokes" in said and "displacement" not in said
    assert 0.0 < fewest < most


def test_weak_sizes_stand_for_a_family_too_where_the_strong_ones_do_not_carry_it() -> None:
    """Strength is judged after feed: sizes that are not strong enough are tried after those that are."""
    case = drumwright.load(WHOLE / "S09.toml")
    inputs = resolve(case, case.product[0], case.container[0])
    problem = Problem(
        inputs, draw(inputs, 64, 3), evidence(case.product[0], inputs.likely("product.temperature.norm"))
    )
    base = Choice(find("cavity-M-4"), 0.080)
    tried = list(_sizes(problem, base, "lobe"))
    assert len(set(tried)) == len(tried) <= 2 * TRIED
    strongest = max(each.maximum_pressure for each in tried)
    assert any(each.maximum_pressure < strongest for each in tried)
    assert {each.family for each in tried} == {"lobe"}


def test_unsaid_hardness_is_said_to_count_as_hard(tmp_path: Path) -> None:
    for pieces, said in ((UNSAID, True), (SOFT, False)):
        _inputs(tmp_path, pieces)
        result = drumwright.assess(drumwright.load(tmp_path / "case.toml"), samples=64)
        assert bool(_said(result, "pump.hardness_unsaid")) is said
