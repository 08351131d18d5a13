"""Every arrangement at once against the same arrangements judged one by one (brute force), and its bits."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import drumwright
from drumwright.station.inputs import draw, resolve
from drumwright.station.rheology import evidence
from drumwright.station.vessel import way_out
from drumwright.study import flow_tables
from drumwright.study.assess import _pairs
from drumwright.study.bits import count, pack
from drumwright.study.combinations import Passing, passing
from drumwright.study.criteria import CRITERIA, Criteria, order_by
from drumwright.study.evaluation import SEASONS, Problem, evaluate
from drumwright.study.search_space import Place
from drumwright.study.shortlist import passes_by_numbers

ROOT = Path(__file__).parents[2]
CASES = ("tests/whole/S05.toml", "tests/whole/S02.toml", "tests/whole/S07.toml")


def problem_of(path: str, **settings: str) -> Problem:
    """The problem of a case with 256 common samples."""
    case = drumwright.load(ROOT / path, settings)
    pair = _pairs(case)[0]
    inputs = resolve(case, pair.product, pair.container, pair.duty, pair.share)
    known = evidence(pair.product, inputs.likely("product.temperature.norm"))
    return Problem(inputs, draw(inputs, 256, 1), known, SEASONS, way_out(inputs.kind))


def drawn_places(found: Passing, many: int, seed: int = 1) -> list[Place]:
    """Places at random, some that pass, and their neighbours on one axis."""
    random, lengths = np.random.default_rng(seed), found.space.lengths
    rows = [Place(*(int(random.integers(each)) for each in lengths)) for _ in range(many)]
    for row in random.integers(max(len(found), 1), size=many if len(found) else 0):
        own = found.place(int(row))
        axis = int(random.integers(len(lengths)))
        moved = list(own)
        moved[axis] = int(random.integers(lengths[axis]))
        rows += [own, Place(*moved)]
    return rows


@pytest.mark.parametrize("path", CASES)
def test_what_passes_is_what_passes_one_by_one(path: str) -> None:
    problem = problem_of(path)
    found, census = passing(problem)
    places = {tuple(row) for row in found.places.tolist()}
    assert len(places) == len(found)
    assert sum(census.stopped.values()) + len(found) == found.space.size
    for place in drawn_places(found, 60):
        own = evaluate(problem, found.space.choice(place), quick=True)
        assert passes_by_numbers(own) == (tuple(place) in places), place


VARIED = (
    ("tests/whole/S02.toml", {"container.kind": "rigid_ibc", "product.particles.size": "2 mm"}),
    ("cases/demo.toml", {"container.wall": "0.4 mm", "container.kind": "fibre_drum"}),
    ("cases/demo.toml", {"site.anchoring": "false", "enquiry.pump_wanted": "follower_piston"}),
    ("cases/demo.toml", {"site.ceiling": "2.3 m", "line.own_hose": "3 m", "enquiry.stations": "2"}),
)


@pytest.mark.parametrize(("path", "settings"), VARIED)
def test_bins_weak_walls_free_stands_and_low_beams_pass_as_one_by_one(
    path: str, settings: dict[str, str]
) -> None:
    problem = problem_of(path, **settings)
    found, census = passing(problem)
    places = {tuple(row) for row in found.places.tolist()}
    assert sum(census.stopped.values()) + len(found) == found.space.size
    for place in drawn_places(found, 40, seed=5):
        own = evaluate(problem, found.space.choice(place), quick=True)
        assert passes_by_numbers(own) == (tuple(place) in places), place


@pytest.mark.parametrize("seed", range(3))
def test_random_stocks_pass_as_one_by_one(seed: int) -> None:
    """A stock with some pumps left out and sizes, limits and passages of the others changed at random."""
    problem = problem_of("tests/whole/S07.toml")
    random, stock = np.random.default_rng(seed), problem.inputs.stock
    pumps = [
        replace(
            pump,
            identifier=f"R{index}",
            displacement=pump.displacement * random.uniform(0.5, 2.0),
            maximum_pressure=pump.maximum_pressure * random.uniform(0.9, 2.0),
            maximum_speed=pump.maximum_speed * random.uniform(0.3, 1.5),
            height=pump.height * random.uniform(0.5, 2.0),
        )
        for index, pump in enumerate(stock.active_pumps)
        if random.random() < 0.5
    ]
    own_stock = replace(stock, pumps=tuple(pumps))
    problem = replace(problem, inputs=replace(problem.inputs, stock=own_stock))
    assert {pump.identifier for pump in problem.inputs.stock.active_pumps} == {p.identifier for p in pumps}
    found, census = passing(problem)
    places = {tuple(row) for row in found.places.tolist()}
    assert sum(census.stopped.values()) + len(found) == found.space.size
    for place in drawn_places(found, 40, seed):
        own = evaluate(problem, found.space.choice(place), quick=True)
        assert passes_by_numbers(own) == (tuple(place) in places), place


def test_joint_counts_are_those_of_the_checks_together() -> None:
    problem = problem_of("tests/whole/S05.toml")
    found, _ = passing(problem)
    for row in range(0, len(found), len(found) // 12):
        own = evaluate(problem, found.space.choice(found.place(row)), quick=True)
        together = {
            season: np.logical_and.reduce(
                [
                    np.broadcast_to(check.ok, 257)
                    for check in own.checks
                    if check.season in (season, "all") and check.ok.size > 1
                ]
            )[1:].sum()
            for season in SEASONS
        }
        assert found.joint[row] == min(together.values())
        assert found.cold[row] == together["winter"]


def test_boxes_settle_nothing_that_the_parts_would_not(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without bounds, every line and feed looked at in every sample: the same set and the same counts."""
    settings = {"line.pressure_class": "16 bar(g)", "enquiry.pump_wanted": "lobe"}
    with_boxes, _ = passing(problem_of("tests/whole/S05.toml", **settings))

    def every_part(self: Any, machine: int, rows: Any, left: Any, samples: Any, whole: Any) -> None:
        pairs, inlets, _, _ = rows
        for bore in range(left.shape[2]):
            own = self.lines(machine, pairs[:, 0], inlets, np.full(len(pairs), bore))
            whole[:, :, bore] = own.holds

    monkeypatch.setattr(flow_tables._Flow, "_open", lambda self, found: np.arange(self.wanted.size))
    monkeypatch.setattr(flow_tables._Flow, "_divided", every_part)
    without, _ = passing(problem_of("tests/whole/S05.toml", **settings))
    assert np.array_equal(with_boxes.places, without.places)
    assert np.array_equal(with_boxes.joint, without.joint)


def test_the_number_of_threads_changes_nothing() -> None:
    one, own = passing(problem_of("tests/whole/S02.toml"))
    two, other = passing(problem_of("tests/whole/S02.toml"), workers=2)
    assert np.array_equal(one.places, two.places)
    assert np.array_equal(one.joint, two.joint)
    assert own.stopped == other.stopped


def test_first_of_an_order_is_beaten_by_nothing_that_passes() -> None:
    """A brute comparison with every arrangement that passes, criterion by criterion."""
    found, _ = passing(problem_of("tests/whole/S02.toml"))
    columns = Criteria(found).columns()
    table = np.stack([columns[name] for name in CRITERIA])
    for name in CRITERIA:
        first = table[:, order_by(columns, name)[0]][:, None]
        beats = (table <= first).all(axis=0) & (table < first).any(axis=0)
        assert not beats.any(), name
        assert first[CRITERIA.index(name), 0] == columns[name].min()


def test_bits_count_as_the_samples_do() -> None:
    random = np.random.default_rng(3)
    ok, other = random.random((2, 7, 257)) < 0.8
    assert np.array_equal(count(pack(ok) & pack(other)), (ok & other)[:, 1:].sum(axis=1))
    with pytest.raises(ValueError, match="no whole words"):
        pack(np.ones(12, bool))
