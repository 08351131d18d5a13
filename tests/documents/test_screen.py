"""The terminal screen: 80 columns, one screen, the answer first."""

from __future__ import annotations

from dataclasses import replace

import pytest
import sample_result as sample

from drumwright.report.explain import explain
from drumwright.report.terminal import WIDTH, deciding, screen
from drumwright.study.result import Result

LONG = "a very long sentence that goes on " * 40


def _long() -> Result:
    head = replace(sample.HEAD, title=LONG)
    asks = tuple(replace(each, ask=sample.plain(LONG)) for each in sample.SAMPLE.questions)
    return replace(
        sample.SAMPLE, head=head, reason=sample.plain(LONG), offer_reason=sample.plain(LONG), questions=asks
    )


@pytest.mark.parametrize(
    "result",
    [sample.SAMPLE, sample.refused(), sample.in_us_units(), _long()],
    ids=["go_if", "refused", "US", "long"],
)
def test_screen_fits(result: Result) -> None:
    lines = screen(result)
    assert max(len(line.text) for line in lines) <= WIDTH
    assert len(lines) <= 46


def test_answer_comes_first() -> None:
    texts = [line.text for line in screen(sample.SAMPLE)]
    assert texts[2] == "VERDICT: GO, IF   (Gate: pressure)"
    whole = "\n".join(texts)
    order = [
        "VERDICT",
        "Not as asked",
        "May go out today",
        "Decides",
        "Product's path",
        "Ask first",
        "This is an",
    ]
    places = [whole.index(each) for each in order]
    assert places == sorted(places)
    assert "5.75 bar(g); limit 5.10 bar(g) (winter): line.total" in whole
    assert whole.count("Question about") == 3
    assert "5 in all: 1 that decide (R), 2 that change a size (A)" in whole


def test_path_has_every_season() -> None:
    texts = [line.text for line in screen(sample.SAMPLE)]
    outlet = next(text for text in texts if text.startswith("  Pump outlet"))
    assert " ".join(outlet.split()) == "Pump outlet 4.17 bar(g) 3.13 bar(g) 2.50 bar(g) max 5.10 bar(g)"


def test_a_limit_in_absolute_pressure_is_compared_with_absolute_pressure() -> None:
    texts = [line.text for line in screen(sample.SAMPLE)]
    inlet = next(text for text in texts if text.startswith("  Pump inlet"))
    assert " ".join(inlet.split()) == "Pump inlet 1.23 bar(a) 1.17 bar(a) 1.14 bar(a) min 0.477 bar(a)"


def test_deciding_finding_is_that_of_the_gate_named() -> None:
    found = deciding(sample.SAMPLE)
    assert found is not None and found.key == "pressure.running"
    passed = replace(sample.SAMPLE, gate="", findings=(), as_asked=sample.gates("pass"))
    tightest = deciding(passed)
    assert tightest is not None and tightest.role == "passed" and tightest.probability == 0.987


def test_explanation_shows_equation_inputs_validity_and_source() -> None:
    text = "\n".join(explain(sample.SAMPLE, "line.total"))
    for each in ("invented equation of two terms", "line.friction = 3.70 bar", "laminar flow",
                 "inside its validity",
                 "invented source", "A-001", "4.17 (3.75 to 4.59) bar(g)"):  # fmt: skip
        assert each in text
    with pytest.raises(KeyError):
        explain(sample.SAMPLE, "line.nothing")
