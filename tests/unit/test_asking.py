"""What is worth asking: ranked by what an answer decides, with the number that flips it (invented cases)."""

from __future__ import annotations

import json
import math
import tomllib
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from drumwright.basis.catalogue import catalogue
from drumwright.basis.estimate import Estimate
from drumwright.cli.main import group
from drumwright.report import asking_form
from drumwright.report.words import words_of
from drumwright.station.casefile import case_from_dict
from drumwright.station.fields import read_field
from drumwright.station.record_base import get_field
from drumwright.station.records import Case, declaration
from drumwright.study.asking import Asking, answers_of, measured_by, questions
from drumwright.study.assess import assess, judgements
from drumwright.study.standing import BINS, PARTS, Standing, by_bins, standing_of
from drumwright.study.supposed import THIN, field_of, flips, judged, stated, with_value
from drumwright.study.topics import TOPICS

WHOLE = Path(__file__).parent.parent / "whole"
EXPECTED = tomllib.loads((WHOLE / "expected.toml").read_text(encoding="utf-8"))

SLOW = [pytest.param(name, marks=pytest.mark.slow) for name in ("S09", "S11")]


def case_of(name: str, **settings: str) -> Case:
    data = tomllib.loads((WHOLE / f"{name}.toml").read_text(encoding="utf-8"))
    return case_from_dict(data, name, {key.replace("__", "."): value for key, value in settings.items()})


@cache
def asking(name: str) -> Asking:
    return questions(case_of(name), samples=1024)


@pytest.mark.parametrize("name", ["S01", "S02", "S03", "S05", "S07", "S12", *SLOW])
def test_what_a_senior_engineer_asks_first_is_among_the_first_six(name: str) -> None:
    """Trade book 7: the flags that decide, of questions a customer still reads."""
    found = asking(name)
    numbers = {row.field: row.number for row in found.result.assumptions}
    first = {number for each in found.asked[:6] for number in each.question.assumptions}
    wanted = [field for field, flag in EXPECTED[name]["flags"].items() if flag == "R"]
    assert [field for field in wanted if numbers[field] not in first] == []


def test_ranks_are_whole_and_every_open_answer_is_kept() -> None:
    for name in ("S01", "S12"):
        found = asking(name)
        assert [each.question.rank for each in found.asked] == list(range(1, len(found.asked) + 1))
        assert {each.question.key for each in found.asked} == {each.key for each in found.result.questions}


def test_chances_are_chances_and_come_in_the_order_of_the_parts() -> None:
    for name in ("S01", "S03", "S12"):
        for each in asking(name).asked:
            assert all(0.0 < chance <= 1.0 for _, chance in each.chances)
            named = [part for part, _ in each.chances]
            assert named == [part for part in PARTS if part in named]


def test_the_container_decides_a_refusal_at_its_opening() -> None:
    """Tight-head drums are refused; another container would not be."""
    first = asking("S12").asked[0]
    assert first.question.key == "topic.container_change"
    assert first.chance("verdict") == pytest.approx(0.5)
    after = dict(first.words)["straight_drum"]
    assert after is not None and after.verdict != "refuse"


def test_a_threshold_is_where_a_re_assessment_flips() -> None:
    """Both sides of every threshold are assessed again: it changes across it and not before it."""
    case, found = case_of("S01"), asking("S01")
    seen = 0
    for each in found.first:
        for flip in each.flips:
            row = each.number
            assert row is not None and row.low is not None and row.likely is not None and row.high is not None
            estimate = Estimate(row.low, row.likely, row.high)
            step = (row.likely - flip.value) / 32.0
            beyond = judged(case, each.field, stated(flip.value, estimate))
            before = judged(case, each.field, stated(flip.value + step, estimate))
            likely = judged(case, each.field, stated(row.likely, estimate))
            assert beyond is not None and before is not None and likely is not None
            assert flip.part in beyond.differs(likely)
            assert flip.part not in before.differs(likely)
            assert row.low <= flip.value <= row.high
            seen += 1
    assert seen >= 1


def standing(verdict: str = "go_if", family: str = "lobe", bore: float = math.nan) -> Standing:
    return Standing(verdict, False, family, "lip_seal", 1100.0, 6e5, bore, 1)  # type: ignore[arg-type]


def test_bisection_finds_a_known_threshold_and_the_weightiest_part() -> None:
    def at(value: float) -> Standing:
        if value > 7.0:
            return standing("refuse", "")
        return standing(family="lobe" if value > 2.0 else "external_gear")

    found = flips(at, 0.0, 4.0, 10.0, PARTS)
    assert [(each.part, each.below) for each in found] == [("verdict", False)]
    assert found[0].value == pytest.approx(7.0, abs=6.0 / 64.0)
    below = flips(at, 0.0, 4.0, 6.0, PARTS)
    assert [(each.part, each.below) for each in below] == [("family", True)]
    assert below[0].value == pytest.approx(2.0, abs=4.0 / 64.0)
    assert flips(at, 3.0, 4.0, 6.0, PARTS) == ()
    assert flips(lambda value: None, 0.0, 1.0, 2.0, PARTS) == ()


def test_two_standings_differ_in_what_differs() -> None:
    assert standing().differs(standing()) == frozenset()  # NaN is no difference
    assert standing(bore=0.05).differs(standing()) == {"bore"}
    assert standing("refuse", "").differs(standing()) == {"verdict"}  # no machine: nothing else to compare
    assert replace(standing(), motor=2200.0).differs(standing()) == {"size"}


def test_bins_without_effect_keep_the_decision() -> None:
    """An input no gate computes with changes nothing, whatever its bin."""
    answer = judgements(case_of("S02"), 1024)[0]
    was = standing_of(answer)
    for key in ("product.price", "container.hoop_depth"):
        found = by_bins(answer, key, 1)
        assert len(found) == BINS and all(each.differs(was) == frozenset() for each in found)


def test_bins_agree_with_re_assessment_where_a_number_decides_much() -> None:
    """A long own hose of unknown length: the bins say what assessing again with each length says."""
    case = case_of("S01", line__own_hose="{low = '0 m', likely = '3 m', high = '14 m', basis = 'assumed'}")
    answer = judgements(case, 4096)[0]
    key = "line.own_hose"
    was = standing_of(answer)
    bins = by_bins(answer, key, 1)
    values = answer.problem.sample[key][1:]
    middles = [float(np.median(part)) for part in np.array_split(np.sort(values), BINS)]
    again = [judged(case, key, Estimate.exact(middle)) for middle in middles]
    same = sum(
        ("change" in one.differs(was)) == ("change" in other.differs(was))
        for one, other in zip(bins, again, strict=True)
        if other is not None
    )
    assert same >= BINS - 2  # next to the threshold a bin lies on both sides of it


def test_an_answer_goes_into_its_own_field() -> None:
    """The unsafe thing: a supposed answer must change that field of that record and nothing else."""
    case = case_of("S09")
    answer = judgements(case, THIN)[0]
    for key in ("container.liner", "line.own_hose", "product.quartz_share", "one_point.shear_rate"):
        path = field_of(answer, case, key)
        value = "none" if key.endswith("liner") else Estimate.exact(0.5)
        changed = with_value(case, path, value)
        assert get_field(changed, path) == value
        assert with_value(changed, path, get_field(case, path)) == case
    meant = answer.problem.inputs.container
    path = field_of(answer, case, "container.liner")
    assert case.container[int(path.split("[")[1][0])] is meant
    for key in ("model.filling_factor", "topic.cure", "evidence.rank", "nonsense"):
        assert field_of(answer, case, key) == ""


def test_no_answer_is_tried_against_what_was_said() -> None:
    """The share of quartz was said: another one is not supposed, the letter stands."""
    data = {"product": [{"name": "paste", "filler_share": "50 %", "quartz_share": "3 %"}]}
    found = questions(case_from_dict(data), samples=256)
    quartz = next(each for each in found.asked if each.question.key == "topic.quartz")
    assert quartz.known == "letter" and quartz.words == ()


def test_several_processes_find_the_same() -> None:
    alone, together = asking("S12"), questions(case_of("S12"), samples=1024, workers=2)
    words = words_of(alone.result)
    assert asking_form.as_dictionary(alone, words) == asking_form.as_dictionary(together, words)


def test_a_record_that_is_not_there_is_begun() -> None:
    case = case_from_dict({"product": [{"name": "paste"}]})
    changed = with_value(case, "product.particles.size", Estimate.exact(0.01))
    assert changed.product[0].particles is not None
    assert with_value(case, "container.kind", "pail").container[0].kind == "pail"


def test_the_tables_name_what_exists() -> None:
    """Topics, fields, answers that can be read, sentences that exist; chances that add up."""
    topics = {topic.key for topic in TOPICS}
    assert set(answers_of()) <= topics
    for key, row in answers_of().items():
        for field in row["fields"]:
            assert declaration(indexed(field)) is not None, (key, field)
        if "field" in row:
            assert row["field"] in row["fields"]
            for raw in row["answers"]:
                read_field(declaration(indexed(row["field"])), raw)
            assert sum(row["chances"]) == pytest.approx(1.0) and len(row["chances"]) == len(row["answers"])
    assert set(measured_by().values()) <= set(catalogue())
    asked = {key.removeprefix("ASK-") for key in catalogue() if key.startswith("ASK-")}
    assert (
        set(measured_by()) - asked
        == {"container.bottom_depth", "container.headspace", "model.liner_residue"} - asked
    )


def indexed(path: str) -> str:
    head, _, rest = path.partition(".")
    return f"{head}[0].{rest}" if head in ("product", "container") else path


def test_nothing_known_asks_what_nothing_can_be_judged_without() -> None:
    found = questions(case_from_dict({"product": [{"name": "paste"}]}), samples=256)
    assert found.asked[0].question.key == "product.flow_curve" and found.asked[0].known == "missing"
    words = words_of(found.result)
    assert "nothing can be judged" in " ".join(asking_form.explained(found.asked[0], found, words))


def test_the_widest_figure_names_its_input() -> None:
    """Of the residue of a steel drum the gap at its bottom decides: a straight edge measures it."""
    width = next(each for each in asking("S02").widths if each.figure == "residue.volume")
    assert width.field == "container.bottom_mismatch" and width.share > 0.5
    assert width.how == "MEASURE-straight_edge"


@pytest.mark.parametrize("name", ["S01", "S12"])
def test_screen_keeps_its_width_and_json_its_keys(name: str) -> None:
    found = asking(name)
    words = words_of(found.result)
    assert max(len(line) for line in asking_form.lines(found, words)) <= asking_form.WIDTH
    data = asking_form.as_dictionary(found, words)
    assert json.loads(json.dumps(data, allow_nan=False)) == data
    assert len(data["questions"][0]["turns"]) >= 1


def test_command_and_python_say_the_same(tmp_path: Path) -> None:
    path = WHOLE / "S12.toml"
    done = CliRunner().invoke(group, ["questions", str(path), "--json"])
    assert done.exit_code == 0
    asked = json.loads(done.stdout)["questions"]
    from drumwright.station.casefile import load

    assert [each["key"] for each in asked] == [each.question.key for each in questions(load(path)).asked]


def test_the_order_of_assess_puts_our_own_trials_behind_the_customer() -> None:
    order = [each.key for each in assess(case_of("S09"), samples=512).questions]
    assert {"topic.cure", "topic.quartz"} <= set(order[:6])
    assert order.index("topic.quartz") < order.index("model.filling_factor")
