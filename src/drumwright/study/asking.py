"""What is worth asking: every open answer with what it can change, how it is found and where it flips."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np

from drumwright.basis.tables import read_toml
from drumwright.station.fields import read_field
from drumwright.station.record_base import get_field, steps
from drumwright.station.records import Case, declaration
from drumwright.study.answer import Judgement
from drumwright.study.assess import DEFAULT_SEED, SAMPLES_DOCUMENT, judgements, result_of
from drumwright.study.questions import OURS, tier
from drumwright.study.result import Assumption, Question, Result
from drumwright.study.shares import ranked
from drumwright.study.spread_out import spread_out
from drumwright.study.standing import PARTS, Standing, by_bins, standing_of
from drumwright.study.supposed import THIN, Flip, field_of, flips, judged, stated

FIRST = 3  # questions a customer answers
LETTER = (
    0.25  # chance that an answer no model computes with turns the decision, where its letter is R; assumed
)
WIDE = 0.3  # share of a figure's variance from which one input is named
OTHER_THAN_SAID = frozenset({"topic.container_change", "topic.zone"})  # ask whether it may be another one
LATER = (0.125, 0.375, 0.625, 0.875)  # middles of four equal parts of a range


@dataclass(frozen=True, slots=True)
class Asked:
    """One question with what its answer decides.

    Parameters
    ----------
    question : Question
        Its rank is that of the expected change of the decision.
    field : str
        Field of the case that a number or word goes into, "" where there is none.
    known : str
        How the chances are known: "bins" (of the samples), "tried" (assessed again), "unmoved" (both ends of
        the range re-run, nothing changed), "letter" (of the trade book), "missing" (nothing is judged yet).
    chances : tuple of (str, float)
        Chance that this part of the decision changes, in the order of `PARTS`.
    number : Assumption or None
        The number of the group that decides most.
    flips : tuple of Flip
        Thresholds; only of the first questions.
    words : tuple of (str, Standing or None)
        Answers tried and the decision with each, where the answer is a word.
    then : Standing or None
        The decision with the number at its likely value, where knowing it alone changes the verdict.
    how : str
        Key of a sentence, "" where none is known.
    """

    question: Question
    field: str
    known: str
    chances: tuple[tuple[str, float], ...]
    number: Assumption | None = None
    flips: tuple[Flip, ...] = ()
    words: tuple[tuple[str, Standing | None], ...] = ()
    then: Standing | None = None
    how: str = ""

    def chance(self, part: str) -> float:
        """Chance that a part of the decision changes.

        Parameters
        ----------
        part : str
        """
        return dict(self.chances).get(part, 0.0)


@dataclass(frozen=True, slots=True)
class Width:
    """A figure that is wide, and the input that makes it so.

    Parameters
    ----------
    figure : str
        Key of the figure.
    field : str
        Key of the input.
    share : float
        Of the variance that goes when it is known [-].
    how : str
        Key of a sentence, "" where none is known.
    """

    figure: str
    field: str
    share: float
    how: str


@dataclass(frozen=True, slots=True)
class Asking:
    """All open answers of a case.

    Parameters
    ----------
    result : Result
    standing, thin : Standing
        The decision today; the same with as few samples as each answer is tried with.
    asked : tuple of Asked
        Most decisive first.
    widths : tuple of Width
    """

    result: Result
    standing: Standing
    thin: Standing
    asked: tuple[Asked, ...]
    widths: tuple[Width, ...]

    @property
    def first(self) -> tuple[Asked, ...]:
        """The questions worth asking first."""
        return self.asked[:FIRST]


def questions(case: Case, *, samples: int = SAMPLES_DOCUMENT, workers: int = 1) -> Asking:
    """Rank every open answer of a case by the expected change of the decision.

    Parameters
    ----------
    case : Case
    samples : int
        A power of two.
    workers : int
        Processes; the answer is the same with any number.

    Raises
    ------
    QuantityError, FitError
        As `assess`.

    Notes
    -----
    Verdict first, then whether what was asked will do, then family, size, bore and stations; equal chances
    keep the order of `assess`. What nobody can judge without comes first of all; a trial or choice of ours
    stands behind what the customer can answer, what is asked of everybody behind that.
    """
    found = judgements(case, samples)
    result, answer = result_of(case, found, samples), found[0]
    seed = case.case.seed if case.case.seed is not None else DEFAULT_SEED
    work = _Work(_narrowed(case, answer), answer, seed)
    if workers > 1:
        work.ahead(result, workers)
    asked = [work.look(question, result) for question in result.questions]
    rows = {row.field: row for row in result.assumptions}
    order = sorted(asked, key=lambda each: _place(each, rows.get(each.question.key)))
    numbered = [
        replace(each, question=replace(each.question, rank=rank)) for rank, each in enumerate(order, 1)
    ]
    first = [work.with_flips(each) if index < FIRST else each for index, each in enumerate(numbered)]
    return Asking(result, work.base, work.thin, tuple(first), _widths(answer))


def _place(each: Asked, row: Assumption | None) -> tuple[float, ...]:
    """Order: what is missing, then by tier, then the parts of the decision, then as `assess` asks."""
    if each.known == "missing" or row is None:
        return (-1.0, float(each.question.rank))
    rank = float(tier(row))
    if each.chance("verdict") >= LETTER and not row.field.startswith(OURS):
        rank = 0.0
    elif rank > 2.0 and each.known != "letter" and any(chance > 0.0 for _, chance in each.chances):
        rank = min(rank, 2.0)
    chances = dict(each.chances)
    if row.flag == "R" and row.field.startswith("topic."):
        chances["verdict"] = max(chances.get("verdict", 0.0), LETTER)
    return (rank, *(-round(chances.get(part, 0.0), 2) for part in PARTS), float(each.question.rank))


def _narrowed(case: Case, answer: Judgement) -> Case:
    """The case of the binding pair alone, where no duties share a shift: it is judged again many times."""
    inputs = answer.problem.inputs
    if case.duty or (len(case.product) == 1 and len(case.container) < 2):
        return case
    containers = (inputs.container,) if inputs.container is not None else ()
    return case.model_copy(update={"product": (inputs.product,), "container": containers})


def _supposed(task: tuple[Case, str, Any]) -> Standing | None:
    return judged(*task)


class _Work:
    """One run over the open answers of a case."""

    def __init__(self, case: Case, answer: Judgement, seed: int) -> None:
        self.case, self.answer, self.seed = case, answer, seed
        self.base = standing_of(answer)
        self.thin = standing_of(judgements(case, THIN)[0])
        self.known: dict[tuple[str, Any], Standing | None] = {}
        self.wanted: list[tuple[Case, str, Any]] | None = None

    def ahead(self, result: Result, workers: int) -> None:
        """Judge in several processes what `look` will ask for."""
        self.wanted = []
        for question in result.questions:
            self.look(question, result)
        tasks, self.wanted = self.wanted, None
        for (_, path, value), found in zip(tasks, spread_out(_supposed, tasks, workers), strict=True):
            self.known[path, value] = found

    def supposed(self, path: str, value: Any) -> Standing | None:
        """The decision with an answer supposed; noted down and not judged while it is only asked for."""
        if self.wanted is not None:
            self.wanted.append((self.case, path, value))
            return None
        if (path, value) not in self.known:
            self.known[path, value] = judged(self.case, path, value)
        return self.known[path, value]

    def look(self, question: Question, result: Result) -> Asked:
        """What one question decides."""
        how = measured_by().get(question.key, "")
        group = [row for row in result.assumptions if row.number in question.assumptions]
        if not group:
            path = field_of(self.answer, self.case, question.key)
            return Asked(question, path, "missing", (("verdict", 1.0),), how=how)
        found = [self._number(question, row) for row in group if row.kind]
        found += [self._word(question, row) for row in group if not row.kind]
        best = max(found, key=lambda each: (each.known != "letter", *(each.chance(p) for p in PARTS)))
        how = how or next((each.how for each in found if each.how), "")
        return replace(best, how=how)

    def _number(self, question: Question, row: Assumption) -> Asked:
        path = field_of(self.answer, self.case, row.field)
        found = Asked(question, path, "unmoved", (), row, how=measured_by().get(row.field, ""))
        moves = row.flag != "G" or row.flag_from != "computed"
        estimate = self.answer.problem.inputs.estimates.get(row.field)
        if estimate is None or not estimate.has_spread:
            return replace(found, known="letter")
        if not moves:
            return found
        if self.base.verdict in ("go", "go_if") and row.field in self.answer.problem.sample:
            stands = by_bins(self.answer, row.field, self.seed)
            return replace(found, known="bins", chances=_chances((self.base, each) for each in stands))
        if not path or not self.answer.problem.enters:
            return replace(found, known="letter")
        if row.flag != "R":  # a size at most, and no size is named today
            return found
        values = estimate.sample(np.array(LATER))
        tried = [self.supposed(path, stated(float(value), estimate)) for value in values]
        return replace(found, known="tried", chances=_chances((self.thin, each) for each in tried))

    def _word(self, question: Question, row: Assumption) -> Asked:
        table = answers_of().get(row.field, {})
        named = [field_of(self.answer, self.case, each) for each in table.get("fields", ())]
        path = field_of(self.answer, self.case, table["field"]) if "field" in table else ""
        found = Asked(
            question, path or next(iter(named), ""), "letter", (), how=measured_by().get(row.field, "")
        )
        named_now = self.base.verdict in ("go", "go_if")
        said = row.field not in OTHER_THAN_SAID and _said(self.case, path) if path else True
        if said or (row.flag != "R" and not named_now):
            return found
        declared = declaration(plain_path(path))
        words = tuple((str(raw), self.supposed(path, read_field(declared, raw))) for raw in table["answers"])
        pairs = [(self.thin, stands) for _, stands in words]
        return replace(found, known="tried", chances=_chances(pairs, table["chances"]), words=words)

    def with_flips(self, each: Asked) -> Asked:
        """Where a number flips the decision, by whole re-assessments."""
        row = each.number
        if row is None or not each.field or each.known == "missing":
            return each
        estimate = self.answer.problem.inputs.estimates[row.field]

        @cache
        def at(value: float) -> Standing | None:
            return judged(self.case, each.field, stated(value, estimate))

        known = at(estimate.likely)
        alone = known is not None and "verdict" in known.differs(self.thin)
        found = flips(at, estimate.low, estimate.likely, estimate.high, PARTS)
        return replace(each, flips=found, then=known if alone else None)


def _said(case: Case, path: str) -> bool:
    """Whether somebody stated a field: no other answer is tried against what was said."""
    try:
        return get_field(case, path) not in (None, ())
    except (KeyError, IndexError):
        return False


def plain_path(path: str) -> str:
    """Path under which a field of a case is declared: lists with an index.

    Parameters
    ----------
    path : str
        As `field_of` returns it.
    """
    (head, index), *rest = steps(path)
    lists = head in ("product", "container")
    place = f"[{index or 0}]" if lists else ""
    return ".".join([f"{head}{place}", *(name for name, _ in rest)])


def _chances(
    pairs: Iterable[tuple[Standing, Standing | None]], weights: Iterable[float] | None = None
) -> tuple[tuple[str, float], ...]:
    """Share of the answers in which each part of the decision differs; what cannot be judged is left out."""
    listed = list(pairs)
    shares = list(weights) if weights is not None else [1.0] * len(listed)
    known = [(a.differs(b), w) for (a, b), w in zip(listed, shares, strict=True) if b is not None]
    whole = sum(weight for _, weight in known)
    if whole <= 0.0:
        return ()
    found = [(part, sum(w for parts, w in known if part in parts) / whole) for part in PARTS]
    return tuple((part, chance) for part, chance in found if chance > 0.0)


@cache
def answers_of() -> Mapping[str, Any]:
    """Rows of `data/answers.toml`: fields and answers to try of open answers that are no number."""
    return read_toml("answers.toml")


@cache
def measured_by() -> Mapping[str, str]:
    """Key of the sentence that says how an open answer is found cheaply, by field or topic."""
    table = read_toml("measurements.toml")
    return {key: f"MEASURE-{how}" for how, row in table.items() for key in row["for"]}


def _widths(answer: Judgement) -> tuple[Width, ...]:
    """Inputs that make the deciding figures wide, where one alone makes much of it."""
    scenes = answer.best_scenes or answer.asked_scenes
    if not scenes:
        return ()
    scene = scenes[0]
    figures = {
        "line.total": scene.state.running_gauge,
        "pump.motor_required": scene.state.load.motor_required,
        "feed.margin": scene.state.feed_margin,
    }
    if scene.left is not None:
        figures = {"residue.volume": scene.left.total, **figures}
    sample = answer.problem.sample_of(scene.evaluation.choice)
    found = []
    for key, values in figures.items():
        shares = ranked(sample, np.asarray(values))
        if shares and shares[0][1] >= WIDE:
            field, share = shares[0]
            ours = "MEASURE-ours" if field.startswith(OURS) else ""
            found.append(Width(key, field, share, measured_by().get(field, ours)))
    return tuple(found)
