"""Small wrong sentences a reviewer found, each held by a test."""

from pathlib import Path

import pytest

import drumwright
from drumwright.basis.errors import InputError
from drumwright.product.export_text import grid

DEMO = Path("cases/demo.toml")


def _demo(**settings: str) -> drumwright.Result:
    return drumwright.assess(drumwright.load(DEMO, settings), samples=256)


def test_what_cannot_be_computed_with_is_refused_at_its_line(tmp_path: Path) -> None:
    """A refusal found after reading names the line of its field, like one found while reading."""
    text = DEMO.read_text(encoding="utf-8")
    case = tmp_path / "case.toml"
    case.write_text(text + '\n[machine]\npump = "no such pump"\n', encoding="utf-8")
    line = 1 + case.read_text(encoding="utf-8").splitlines().index('pump = "no such pump"')
    with pytest.raises(InputError) as caught:
        drumwright.assess(drumwright.load(case), samples=64)
    (problem,) = caught.value.problems
    assert (problem.field, problem.line) == ("machine.pump", line)


def test_a_setting_that_is_refused_has_no_line() -> None:
    """The file is not blamed for what a setting said."""
    with pytest.raises(InputError) as caught:
        _demo(**{"machine.pump": "no such pump"})
    assert [problem.line for problem in caught.value.problems] == [0]


def test_a_residue_kept_in_some_containers_is_not_called_more_than_wanted() -> None:
    """A likely residue below the wish is said with its chance (it read 'more than 0.5 %: 0.498 %')."""
    result = _demo(**{"enquiry.residue_wanted": "1.1 %"})
    said = next(item for item in result.conditions if item.key == "residue.not_promised")
    assert said.value is not None and said.limit is not None and said.value <= said.limit
    assert said.text.key == "PROMISE-chance"


def test_a_refusal_names_the_gate_of_its_reason() -> None:
    """Too many drums for any line: the rate refuses, though the pressure fails first as asked."""
    result = _demo(**{"enquiry.drums_per_shift": "200", "container.kind": "conical_drum"})
    assert (result.verdict, result.gate) == ("refuse", "rate")


def test_a_flow_curve_is_asked_for_once(tmp_path: Path) -> None:
    """A product of which nothing is known gives one question about its flow, not two of the same words."""
    case = tmp_path / "case.toml"
    case.write_text(
        'format = 1\nproduct.name = "paste (invented)"\ncontainer.kind = "straight_drum"\n'
        'enquiry.flow = "1 m3/h"\nline.bore = "DN50"\nline.length = "4 m"\n'
        'destination.kind = "open_tank"\n',
        encoding="utf-8",
    )
    result = drumwright.assess(drumwright.load(case), samples=64)
    asked = [question.key for question in result.questions]
    assert "product.flow_curve" in asked
    assert "topic.flow_curve" not in asked


@pytest.mark.parametrize(("line", "sign"), [("a;b", "semicolon"), ("a\tb", "tab"), ("a,b", "comma")])
def test_a_headline_alone_tells_its_separator(line: str, sign: str) -> None:
    """Without one row of numbers the separator is told by the cells of words."""
    assert dict(grid(line).understood[0].slots)["separator"].key == f"FIT-separator.{sign}"
