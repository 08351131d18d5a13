"""A handful of genuinely different arrangements out of everything the stock offers, each with its reasons."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.errors import NotJudgedYet
from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.statistics import quantiles
from drumwright.station.arrangement import Choice
from drumwright.station.records import Case
from drumwright.study import findings as found_in
from drumwright.study.answer import Judgement
from drumwright.study.assess import SEARCH_SAMPLES, judgements
from drumwright.study.check import Check
from drumwright.study.combinations import Passing, passing
from drumwright.study.criteria import CLEANING, CRITERIA, Criteria, order_by
from drumwright.study.evaluation import Evaluation, Problem, evaluate, relative_margin
from drumwright.study.figures import left_in
from drumwright.study.ordinary import Alternative, ordinary

SAMPLES = 1024  # that the arrangements of the list are judged with
MOST = 6  # arrangements of a list, where as many differ
TRIES = 12  # rows looked at for one place of the list, where the finer sample does not confirm the first
FAULT = "blocked_outlet"  # the transient that is run for every arrangement of the list


@dataclass(frozen=True, slots=True)
class Member:
    """One arrangement of the list.

    Parameters
    ----------
    choice : Choice
    name : Phrase
    changes : tuple of Phrase
        Against what was asked.
    roles : tuple of str
        Criteria in which nothing that passes is better.
    numbers : mapping of str to float
        By criterion; residue as a share of the container, cleaning as a rank from 0, easiest.
    residue : tuple of float
        P5, likely and P95 share left in the container in its worst season [-].
    chance : float
        That all that numbers decide holds at once, in the worst season.
    peak : float or None
        Pressure with the outlet blocked over that of the weakest part [-]; None where it was not run.
    why : tuple of Phrase
        Why it is there.
    runner_up : Phrase or None
        Which comes next for its first reason, and why it is not there.
    """

    choice: Choice
    name: Phrase
    changes: tuple[Phrase, ...]
    roles: tuple[str, ...]
    numbers: Mapping[str, float]
    residue: tuple[float, float, float]
    chance: float
    peak: float | None
    why: tuple[Phrase, ...]
    runner_up: Phrase | None


@dataclass(frozen=True, slots=True)
class Shortlist:
    """The list of a case, and what stands beside it.

    Parameters
    ----------
    title, verdict : str
        Verdict of the case: a list makes it no better.
    reason : Phrase
        Of the verdict.
    looked_at, passed, samples : int
        Arrangements judged, those that pass, samples common to all.
    stopped : mapping of str to int
        Arrangements by the first condition that stops them.
    members : tuple of Member
    why_none : Phrase or None
        Where there are no members.
    alternatives : tuple of Alternative
        The ordinary ways, each with the number for or against it.
    """

    title: str
    verdict: str
    reason: Phrase
    looked_at: int
    passed: int
    samples: int
    stopped: Mapping[str, int]
    members: tuple[Member, ...]
    why_none: Phrase | None
    alternatives: tuple[Alternative, ...]


def shortlist(
    case: Case,
    *,
    samples: int = SAMPLES,
    workers: int = 1,
    transient: bool = True,
    tell: Callable[[int, int], None] = lambda done, asked: None,
) -> Shortlist:
    """Search everything the stock offers and name a handful of different arrangements.

    Parameters
    ----------
    case : Case
    samples : int
        That the arrangements of the list are confirmed with, a power of two.
    workers : int
        Threads; the answer does not depend on it.
    transient : bool
        Whether the blocked outlet is run for the list.
    tell : callable
        Called with the numbers of parts done and asked for.

    Raises
    ------
    FitError
        If a flow curve cannot be used.
    """
    answer = judgements(case, samples)[0]
    title = case.case.title or answer.name
    decision = answer.decision
    head = Shortlist(title, decision.verdict, decision.reason, 0, 0, SEARCH_SAMPLES, {}, (), None, ())
    problem = replace(answer.coarse)
    head = replace(head, alternatives=ordinary(case, answer))
    if not problem.computable or answer.asked is None:
        return replace(head, why_none=_not_searched(answer))
    found, census = passing(problem, workers=workers, tell=tell)
    head = replace(head, looked_at=found.space.size, passed=len(found), stopped=census.stopped)
    if problem.size_withheld:
        return replace(head, why_none=phrase("SHL-withheld"))
    members = tuple(_Picker(answer, found, transient).members()) if len(found) else ()
    return replace(head, members=members, why_none=None if members else _nearest(answer))


def _not_searched(answer: Judgement) -> Phrase:
    return phrase("SHL-not_searched", why=answer.decision.reason)


def _nearest(answer: Judgement) -> Phrase:
    """The arrangement that gets furthest, and what it lacks."""
    tried = [each for each in (answer.asked, *answer.tried) if each is not None]
    best = max(tried, key=lambda each: (each.probability, _margin(each)))
    score = best.first_obstacle
    if score is None or score.deciding is None:
        return phrase("SHL-none_confirmed")
    lacks = found_in.finding_of(score.deciding, score, best).text
    return phrase("SHL-nearest", name=name_of(answer.problem, best.choice), lacks=lacks)


def _margin(found: Evaluation) -> float:
    score = found.first_obstacle
    check: Check | None = score.deciding if score is not None else None
    return relative_margin(check) if check is not None else 0.0


def name_of(problem: Problem, choice: Choice) -> Phrase:
    """An arrangement in one line: pump, line, stand, plate.

    Parameters
    ----------
    problem : Problem
    choice : Choice
    """
    bore = choice.bore or problem.inputs.likely("line.bore")
    stand = phrase(f"KIND-{choice.stand}") if choice.plated else phrase("SHL-no_stand")
    return phrase(
        "SHL-name", pump=choice.pump.name.split(", placeholder")[0], bore=bore, stand=stand,
        count=1 if choice.stand == "tandem" else choice.stations,
        seal=phrase(f"KIND-{choice.seal}") if choice.plated else phrase("SHL-no_plate"),
    )  # fmt: skip


def passes_by_numbers(found: Evaluation) -> bool:
    """Whether every gate that numbers decide passes: hygiene and zone wait for answers.

    Parameters
    ----------
    found : Evaluation
    """
    left = (gate for gate in found.gates if gate.gate != "hygiene_zone")
    stopped = any(check.key.startswith("materials.") for check in found.checks)
    return not stopped and all(gate.status in ("pass", "not_judged") for gate in left)


def _told(name: str, value: float) -> object:
    """What a sentence says of a criterion: its number, or how a family is cleaned."""
    return phrase(f"SHL-cleaning.{CLEANING[round(value)]}") if name == "cleaning" else value


class _Picker:
    """Picks the list from everything that passes."""

    def __init__(self, answer: Judgement, found: Passing, transient: bool) -> None:
        self.answer, self.found, self.transient = answer, found, transient
        self.criteria = Criteria(found)
        self.columns = self.criteria.columns()
        self.orders = {name: order_by(self.columns, name) for name in CRITERIA}
        self.confirmed: dict[int, Evaluation | None] = {}

    def members(self) -> Iterator[Member]:
        """The list, each arrangement once with everything it is best in."""
        rows: dict[int, list[str]] = {}
        telling = [name for name in CRITERIA if np.ptp(self.columns[name]) > 0.0]
        for name in telling or CRITERIA[:1]:
            holder = next((row for row in rows if self._best(name, row)), None)
            row = holder if holder is not None else self._first(name)
            if row is not None and (row in rows or len(rows) < MOST):
                rows.setdefault(row, []).append(name)
        rows = self._without_dominated(rows)
        for row, roles in rows.items():
            yield self._member(row, tuple(roles), tuple(rows))

    def _best(self, name: str, row: int) -> bool:
        """Whether nothing that passes is better than a row in a criterion."""
        column = self.columns[name]
        return bool(column[row] <= column.min())

    def _first(self, name: str) -> int | None:
        """The best row by a criterion that the finer sample confirms."""
        for row in self.orders[name][:TRIES]:
            if self._evaluated(int(row)) is not None:
                return int(row)
        return None

    def _evaluated(self, row: int) -> Evaluation | None:
        if row not in self.confirmed:
            choice = self.found.space.choice(self.found.place(row))
            found = evaluate(self.answer.problem, choice)
            self.confirmed[row] = found if passes_by_numbers(found) else None
        return self.confirmed[row]

    def _without_dominated(self, rows: dict[int, list[str]]) -> dict[int, list[str]]:
        """Without those that another one of the list equals or beats in every criterion."""
        points = {row: self._point(row) for row in rows}

        def beaten(row: int) -> bool:
            own = points[row]
            return any(
                bool(np.all(other <= own) and np.any(other < own))
                for at, other in points.items()
                if at != row
            )

        return {row: roles for row, roles in rows.items() if not beaten(row)}

    def _point(self, row: int) -> NDArray[np.float64]:
        return np.array([self.columns[name][row] for name in CRITERIA])

    def _member(self, row: int, roles: tuple[str, ...], rows: tuple[int, ...]) -> Member:
        found = self._evaluated(row)
        assert found is not None  # only confirmed rows are picked
        problem = self.answer.problem
        numbers = {name: self.criteria.value(name, row) for name in CRITERIA}
        shares = [self._residue(found, season) for season in found.balances]
        changed = found_in.changes(problem, self.answer.asked, found)
        return Member(
            choice=found.choice,
            name=name_of(problem, found.choice),
            changes=tuple(text for _, text in changed),
            roles=roles,
            numbers=numbers,
            residue=max(shares, key=lambda share: share[1]),
            chance=float(self.found.joint[row]) / self.found.samples,
            peak=self._peak(found) if self.transient else None,
            why=tuple(phrase(f"SHL-why.{name}", value=_told(name, numbers[name])) for name in roles),
            runner_up=self._runner_up(row, roles[0], rows),
        )

    def _residue(self, found: Evaluation, season: str) -> tuple[float, float, float]:
        problem = self.answer.problem
        volume = problem.sample["container.usable_volume"]
        share = np.asarray(left_in(problem, found, season, found.balances[season]).total / volume)
        low, high = quantiles(share[1:], 0.05, 0.95)
        return float(low), float(share[0]), float(high)

    def _peak(self, found: Evaluation) -> float | None:
        """Pressure with the outlet blocked over that of the weakest part, in the coldest season."""
        from drumwright.study.faults import play
        from drumwright.study.running import flows, machine_for

        if not flows(found):
            return None
        try:
            return float(play(machine_for(self.answer.problem, found), FAULT, fast=True).over)
        except NotJudgedYet:
            return None

    def _runner_up(self, row: int, role: str, rows: tuple[int, ...]) -> Phrase | None:
        """The next arrangement of another kind by the same criterion, and the number it loses by."""
        kind = self._kind(row)
        column, own = self.columns, self._point(row)
        for other in self.orders[role][:20000]:
            if int(other) in rows or self._kind(int(other)) == kind:
                continue
            worse = [name for name in CRITERIA if column[name][other] > column[name][row]]
            better = [name for name, at in zip(CRITERIA, own, strict=True) if column[name][other] < at]
            lost = role if role in worse else next(iter(worse), None)
            if lost is None:
                continue
            slots = {
                "name": name_of(self.answer.problem, self.found.space.choice(self.found.place(int(other)))),
                "lost": phrase(
                    f"SHL-lost.{lost}", value=_told(lost, self.criteria.value(lost, int(other))),
                    ours=_told(lost, self.criteria.value(lost, row)),
                ),
            }  # fmt: skip
            if not better:
                return phrase("SHL-runner_up", **slots)
            value = _told(better[0], self.criteria.value(better[0], int(other)))
            gain = phrase(f"SHL-gain.{better[0]}", value=value)
            return phrase("SHL-runner_up_gains", **slots, gain=gain)
        return None

    def _kind(self, row: int) -> tuple[object, ...]:
        """What makes arrangements genuinely different: family, stand and stations, seal, warming, line."""
        place = self.found.place(row)
        family = self.found.space.pumps[place.pump].family
        return (family, place.stand, place.seal, place.warm, place.bore)
