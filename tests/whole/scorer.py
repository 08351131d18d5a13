"""Points for an answer to a worked enquiry, as the trade book scores them (section 7).

Verdict 40, gate and its reason 20, numbers in tolerance 20, flags and ranked questions 15, what must and must
not be said 5. A firm offer where asking or refusing is right scores nothing at all.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from drumwright.report import json_form
from drumwright.study.result import Result

ASKED_FIRST = 6  # questions a customer still reads
NO_OFFER = ("ask_first", "refuse")


@dataclass(frozen=True, slots=True)
class Score:
    """Points by part, and what cost some."""

    verdict: float
    gate: float
    numbers: float
    questions: float
    words: float
    lost: tuple[str, ...]

    @property
    def total(self) -> float:
        """Out of a hundred."""
        return self.verdict + self.gate + self.numbers + self.questions + self.words


def score(
    result: Result,
    expected: Mapping[str, Any],
    met: Sequence[tuple[str, bool]],
    said: Mapping[str, Sequence[str]],
) -> Score:
    """Score an answer.

    Parameters
    ----------
    result : Result
    expected : mapping
        Row of `expected.toml`.
    met : sequence of (str, bool)
        Check values and whether each is met.
    said : mapping
        Row of `scoring.toml`.
    """
    if result.offer == "firm_offer" and expected["verdict"] in NO_OFFER:
        return Score(0.0, 0.0, 0.0, 0.0, 0.0, ("a firm offer where none may go out",))
    lost: list[str] = []
    verdict = 40.0 if result.verdict == expected["verdict"] else 0.0
    if not verdict:
        lost.append(f"verdict {result.verdict}")
    found = {item.key for item in (*result.findings, *result.conditions)}
    gate = 12.0 if result.gate == expected["gate"] else 0.0
    reasons = [each for each in expected["says"] if each in found]
    gate += 8.0 * len(reasons) / len(expected["says"])
    lost += [f"reason {each}" for each in expected["says"] if each not in found]
    right = [name for name, good in met if good]
    lost += [f"number {name}" for name, good in met if not good]
    numbers = 20.0 * len(right) / len(met) if met else 20.0
    questions, missed = _questions(result, expected["flags"])
    words, unsaid = _words(result, said)
    return Score(verdict, gate, numbers, questions, words, (*lost, *missed, *unsaid))


def _questions(result: Result, flags: Mapping[str, str]) -> tuple[float, list[str]]:
    """Eight points for the flags, seven for asking the required ones first."""
    raised = {row.field: (row.flag, row.number) for row in result.assumptions}
    missed = [f"flag {field}" for field, flag in flags.items() if raised.get(field, ("", ""))[0] != flag]
    first = result.questions[:ASKED_FIRST]
    numbers = {number for each in first for number in each.assumptions}
    needed = [field for field, flag in flags.items() if flag == "R"]
    late = [
        f"question {field}"
        for field in needed
        if raised.get(field, ("", ""))[1] not in numbers and field not in {each.key for each in first}
    ]
    asked = 7.0 * (1.0 - len(late) / len(needed)) if needed else 7.0
    return 8.0 * (1.0 - len(missed) / len(flags)) + asked, missed + late


def _words(result: Result, said: Mapping[str, Sequence[str]]) -> tuple[float, list[str]]:
    """Five points for what must be said; none where something is said that must not be."""
    text = json_form.text(result)
    wrong = [f"says {each}" for each in said["must_not"] if re.search(each, text)]
    silent = [f"does not say {each}" for each in said["must"] if not re.search(each, text)]
    points = 0.0 if wrong else 5.0 * (1.0 - len(silent) / len(said["must"]))
    return points, wrong + silent
