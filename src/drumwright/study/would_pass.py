"""What would make it pass: the smallest changes, one alone and two together, each with its price."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from drumwright.basis.phrases import Phrase, phrase
from drumwright.machine.line.route import volume
from drumwright.machine.pump.stock import Pump
from drumwright.station.arrangement import Choice
from drumwright.station.balance import route_of
from drumwright.station.records import Case
from drumwright.study.answer import Judgement
from drumwright.study.assess import judgements
from drumwright.study.checks import hands_share, needs_beside, utilisation
from drumwright.study.evaluation import Evaluation, Problem, evaluate
from drumwright.study.figures import left_in
from drumwright.study.levers import Lever, State, levers_of, problem_of
from drumwright.study.ordinary import Alternative, ordinary
from drumwright.study.remedies import remedies
from drumwright.study.search_options import _not_oversized, asked_family, ordered_pumps
from drumwright.study.set_points import ladder_of, missing_at
from drumwright.study.shortlist import passes_by_numbers

SAMPLES = 256
SINGLES, PAIRS = 8, 8  # most that are told
FEW, PARTNERS = 8, 3  # values of the first change of a pair: all of a few are looked at, three of more
MOVES = 0.02  # a figure that moves less than this share is no price; assumed
PRICES = ("residue", "people", "hold_up", "pressure", "time")
SMALLEST = (  # which change is said first where several pass; assumed
    *("class", "bore", "seal", "stand", "warm", "family", "hopper", "faster"),
    *("length", "gentle", "force", "flow", "stations", "drums"),
)


@dataclass(frozen=True, slots=True)
class Way:
    """One or two changes that make it pass.

    Parameters
    ----------
    levers : tuple of str
    values : tuple
        Of the levers [SI], or the name of a part.
    changes : tuple of Phrase
    prices : tuple of Phrase
        Figures that move, before and after, at likely values in their worst season.
    chance : float
        Least chance of any gate.
    """

    levers: tuple[str, ...]
    values: tuple[object, ...]
    changes: tuple[Phrase, ...]
    prices: tuple[Phrase, ...]
    chance: float


@dataclass(frozen=True, slots=True)
class WouldPass:
    """What would turn a refusal or a failed check.

    Parameters
    ----------
    title, verdict : str
    reason : Phrase
        Of the verdict.
    stops : tuple of Phrase
        What stops it as asked.
    singles, pairs : tuple of Way
    together : tuple of Phrase
        Changes of the arrangement of the answer, where no pair is enough.
    containers : tuple of Alternative
        Containers of other kinds.
    set_points : tuple of Phrase
        What makes the set points fit, where they do not: buffer, signal of the filler, hose, flow.
    not_enough : tuple of str
        Levers that are not enough alone, as far as they go.
    no_number : tuple of Phrase
        What no number changes.
    paired : bool
        Whether pairs were looked at.
    """

    title: str
    verdict: str
    reason: Phrase
    stops: tuple[Phrase, ...]
    singles: tuple[Way, ...]
    pairs: tuple[Way, ...]
    together: tuple[Phrase, ...]
    containers: tuple[Alternative, ...]
    set_points: tuple[Phrase, ...]
    not_enough: tuple[str, ...]
    no_number: tuple[Phrase, ...]
    paired: bool


def would_pass(
    case: Case,
    *,
    samples: int = SAMPLES,
    pairs: bool = True,
    tell: Callable[[int, int], None] = lambda done, asked: None,
) -> WouldPass:
    """Look for the smallest changes that make what was asked pass.

    Parameters
    ----------
    case : Case
    samples : int
        A power of two.
    pairs : bool
        Whether pairs are looked at too.
    tell : callable
        Called with the numbers of pairs done and asked for.

    Notes
    -----
    Every value is one that was judged and passes; the next smaller step was judged and fails. The size of the
    pump is free, its family is that of the enquiry unless it is the change.
    """
    answer = judgements(case, samples)[0]
    title, decision, problem = case.case.title or answer.name, answer.decision, answer.problem
    none = _no_number(answer)
    head = WouldPass(title, decision.verdict, decision.reason, *((),) * 7, none, pairs)
    containers = tuple(each for each in ordinary(case, answer) if each.key.startswith("container."))
    head = replace(head, containers=containers)
    if answer.asked is None or not problem.computable or problem.size_withheld:
        return head
    head = replace(head, set_points=_set_points(answer))
    seeker = _Seeker(answer, problem, answer.asked)
    asked = seeker.judged(State())
    if passes_by_numbers(asked):
        none = () if head.no_number else (phrase("WPS-passes"),)
        return replace(head, no_number=(*head.no_number, *none))
    stops = tuple(item.text for item in answer.obstacles if item.role in ("fail", "undecided"))
    singles, open_levers = seeker.alone()
    found = seeker.together(open_levers, tell) if pairs else []
    return replace(
        head,
        stops=stops,
        singles=tuple(singles[:SINGLES]),
        pairs=tuple(found[:PAIRS]),
        together=() if singles or found else tuple(text for _, text in answer.changes),
        not_enough=tuple(lever.name for lever in open_levers),
    )


def _set_points(answer: Judgement) -> tuple[Phrase, ...]:
    """Remedies for set points that do not fit the arrangement the answer rests on."""
    found = answer.best or answer.asked
    if found is None or not found.balances or not found.choice.pump.turns:
        return ()
    made = ladder_of(answer.problem, found)
    if made is None or missing_at(made) <= 0.0:
        return ()
    return tuple(each.text for each in remedies(answer.problem, found))


def _no_number(answer: Judgement) -> tuple[Phrase, ...]:
    """Reasons that wait for an answer or a trial, whatever the machine."""
    problem, why, found = answer.problem, answer.decision.reason, []
    if not problem.enters:
        found.append(phrase("WPS-opening", why=why))
    elif not problem.computable or problem.only_a_prior:
        found.append(phrase("WPS-missing", why=why))
    if problem.size_withheld:
        found.append(phrase("WPS-withheld"))
    asked = answer.asked
    for gate in asked.gates if asked is not None else ():
        if gate.gate == "hygiene_zone" and gate.status == "undecided" and gate.deciding is None:
            found.append(phrase("WPS-zone"))
    found += [item.text for item in answer.conditions if item.key in UNMOVED]
    return tuple(found)


UNMOVED = frozenset(
    {"topic.cure", "topic.isocyanate", "topic.zone", "topic.toxic", "topic.closed_destination"}
)


class _Seeker:
    """Judges changed arrangements and looks for the smallest change."""

    def __init__(self, answer: Judgement, problem: Problem, asked: Evaluation) -> None:
        self.answer, self.problem, self.asked = answer, problem, asked
        self.levers = levers_of(problem, asked)
        self.done: dict[str, Evaluation] = {}

    def judged(self, state: State) -> Evaluation:
        """The pump size that passes first, or gets furthest, with what was changed.

        Parameters
        ----------
        state : State
        """
        key = repr((sorted(state.scaled.items()), sorted(state.stated.items()), sorted(state.parts.items())))
        if key not in self.done:
            self.done[key] = self._judged(state)
        return self.done[key]

    def _judged(self, state: State) -> Evaluation:
        problem = problem_of(self.problem, state)
        best: Evaluation | None = None
        for pump in self._pumps(problem, state):
            found = evaluate(problem, self._choice(problem, pump, state), quick=True)
            if passes_by_numbers(found):
                return found
            if best is None or found.probability > best.probability:
                best = found
        return best if best is not None else self.asked

    def _pumps(self, problem: Problem, state: State) -> list[Pump]:
        inputs = problem.inputs
        family = state.parts.get("family", asked_family(inputs))
        offered = _not_oversized(inputs, inputs.stock.active_pumps)
        own = [pump for pump in offered if pump.family == family]
        return ordered_pumps(inputs, own, 1.0)

    def _choice(self, problem: Problem, pump: Pump, state: State) -> Choice:
        parts = {key: value for key, value in state.parts.items() if key != "family"}
        base = replace(self.asked.choice, pump=pump, **parts)
        own_stand = base.stand == self.asked.choice.stand
        beside = needs_beside(problem.inputs, pump.height, base.port)
        return replace(base, beside=beside, stated_change=own_stand, stations=_stations(base))

    def passes(self, state: State) -> bool:
        """Whether a state passes every gate that numbers decide.

        Parameters
        ----------
        state : State
        """
        return passes_by_numbers(self.judged(state))

    def alone(self) -> tuple[list[Way], list[Lever]]:
        """Ways of one change, and the levers that are not enough alone."""
        ways, left = [], []
        for lever in self.levers:
            place = self.smallest(lever, State())
            if place is None:
                left.append(lever)
            else:
                ways.append(self._way([(lever, lever.values[place])]))
        return sorted(ways, key=_size), left

    def together(self, levers: list[Lever], tell: Callable[[int, int], None]) -> list[Way]:
        """Ways of two changes of levers that are not enough alone.

        Parameters
        ----------
        levers : list of Lever
        tell : callable
        """
        ways = []
        both = list(combinations(levers, 2))
        for done, (one, other) in enumerate(both, 1):
            found = self._pair(one, other)
            if found is not None:
                ways.append(found)
            tell(done, len(both))
        return sorted(ways, key=_size)

    def _pair(self, one: Lever, other: Lever) -> Way | None:
        """The pair with the least of the first, and of the second the least that is enough with it."""
        many = len(one.values) if len(one.values) <= FEW else PARTNERS
        places = np.unique(np.linspace(0, len(one.values) - 1, many).round().astype(int))
        furthest = other.set(other.values[-1], one.set(one.values[-1], State()))
        if one.steady and other.steady and not self.passes(furthest):
            return None
        for place in places:
            value = one.values[place]
            found = self.smallest(other, one.set(value, State()))
            if found is not None:
                return self._way([(one, value), (other, other.values[found])])
        return None

    def smallest(self, lever: Lever, state: State) -> int | None:
        """Place of the smallest value that passes on top of a state; None where none does.

        Parameters
        ----------
        lever : Lever
        state : State

        Notes
        -----
        By halving between a place that fails and one that passes. A lever of which more can also be worse is
        looked at in a few places first, the smallest that passes ends the interval.
        """
        last = len(lever.values) - 1
        places = [last] if lever.steady else list(np.unique(np.linspace(0, last, 6).round().astype(int)))
        below = -1
        for place in places:
            if self.passes(lever.set(lever.values[place], state)):
                above = int(place)
                break
            below = int(place) if not lever.steady else below
        else:
            return None
        while above - below > 1:
            middle = (above + below) // 2
            if self.passes(lever.set(lever.values[middle], state)):
                above = middle
            else:
                below = middle
        return above

    def _way(self, taken: list[tuple[Lever, object]]) -> Way:
        state = State()
        for lever, value in taken:
            state = lever.set(value, state)
        found = self.judged(state)
        settled = evaluate(problem_of(self.problem, state), found.choice)
        before, after = _figures(self.problem, self.asked), _figures(problem_of(self.problem, state), settled)
        moved = [
            name for name in PRICES if abs(after[name] - before[name]) > MOVES * max(abs(before[name]), 1e-12)
        ]
        return Way(
            tuple(lever.name for lever, _ in taken),
            tuple(value for _, value in taken),
            tuple(lever.say(value) for lever, value in taken),
            tuple(phrase(f"WPS-price.{name}", before=before[name], after=after[name]) for name in moved),
            settled.probability,
        )


def _stations(choice: Choice) -> int:
    """Two of a tandem; as many as there were else."""
    return 2 if choice.stand == "tandem" else choice.stations


def _size(way: Way) -> tuple[int, ...]:
    return tuple(sorted(SMALLEST.index(name) for name in way.levers))


def _figures(problem: Problem, found: Evaluation) -> dict[str, float]:
    """The figures a change is paid in, at likely values in their worst season."""
    inputs, sample = problem.inputs, problem.sample_of(found.choice)
    states = found.balances
    room = float(sample["container.usable_volume"][0])
    left = [float(left_in(problem, found, season, state).total[0]) / room for season, state in states.items()]
    route = route_of(sample, found.choice, problem.pieces)
    state = next(iter(states.values()))
    timed = "enquiry.drums_per_shift" in inputs.estimates
    busy = utilisation(inputs, sample, state, found.choice) if timed else None
    return {
        "residue": max(left),
        "people": float(hands_share(inputs, sample, found.choice)[0]) if timed else 0.0,
        "hold_up": float(np.ravel(volume(route))[0]),
        "pressure": max(float(each.running_gauge[0]) for each in states.values()),
        "time": float(busy[0]) if busy is not None else 0.0,
    }
