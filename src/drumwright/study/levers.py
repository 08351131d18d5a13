"""What can be changed of an arrangement, one lever each, from nothing to as far as it goes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from drumwright.basis.estimate import Estimate
from drumwright.basis.phrases import Phrase, phrase
from drumwright.machine.pump.family import families
from drumwright.station.arrangement import bores, pressure_classes
from drumwright.station.plate_feed import push_of
from drumwright.study.container_checks import fitting_seals
from drumwright.study.evaluation import Evaluation, Problem
from drumwright.study.search_options import (
    FLOW_FACTORS,
    RAM_SHARES,
    _stand_options,
    _warm_options,
    asked_family,
)

STEPS = 48  # of a lever without steps of its own; a value is good to one of them
LEAST_FLOW, LEAST_LENGTH, MOST_FORCE = 0.1, 0.1, 3.0  # shares of what there is, looked at; assumed
MOST_HOPPER = 2.0  # [m3], looked at; assumed


@dataclass(frozen=True, slots=True)
class State:
    """What was changed: factors of sampled quantities, values put in place, parts of the arrangement."""

    scaled: Mapping[str, float] = field(default_factory=dict)
    stated: Mapping[str, float] = field(default_factory=dict)
    words: Mapping[str, Any] = field(default_factory=dict)
    parts: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Lever:
    """One change, in steps from the smallest to the greatest.

    Parameters
    ----------
    name : str
    values : tuple
        Rising change; the last is as far as it goes.
    steady : bool
        Whether more of it never makes it worse, so that the smallest can be looked for by halving.
    set : callable
        A state with a value of this lever.
    say : callable
        The change in words.
    """

    name: str
    values: tuple[Any, ...]
    steady: bool
    set: Callable[[Any, State], State]
    say: Callable[[Any], Phrase]


def problem_of(problem: Problem, state: State) -> Problem:
    """The problem with what was changed of its numbers.

    Parameters
    ----------
    problem : Problem
    state : State
    """
    if not (state.scaled or state.stated or state.words):
        return problem
    inputs, sample = problem.inputs, dict(problem.sample)
    estimates = dict(inputs.estimates)
    for key, factor in state.scaled.items():
        own = estimates[key]
        estimates[key] = replace(
            own, low=own.low * factor, likely=own.likely * factor, high=own.high * factor
        )
        sample[key] = sample[key] * factor
    for key, value in state.stated.items():
        estimates[key] = Estimate.exact(value)
        sample[key] = np.full_like(sample["product.density"], value)
    choices = {**inputs.choices, **state.words}
    return replace(problem, inputs=replace(inputs, estimates=estimates, choices=choices), sample=sample)


def levers_of(problem: Problem, asked: Evaluation) -> tuple[Lever, ...]:
    """Every lever a case has, those that change least first.

    Parameters
    ----------
    problem : Problem
    asked : Evaluation
        As asked.
    """
    found = [
        *_line(problem), *_warm(problem), *_flow(problem), *_plate(problem, asked), *_machine(problem, asked),
        *_shift(problem),
    ]  # fmt: skip
    return tuple(each for each in found if each.values)


def _part(name: str) -> Callable[[Any, State], State]:
    return lambda value, state: replace(state, parts={**state.parts, name: value})


def _scale(key: str) -> Callable[[Any, State], State]:
    return lambda factor, state: replace(state, scaled={**state.scaled, key: factor})


def _put(key: str) -> Callable[[Any, State], State]:
    return lambda value, state: replace(state, stated={**state.stated, key: value})


def _steps(first: float, last: float) -> tuple[float, ...]:
    return tuple(float(each) for each in np.linspace(first, last, STEPS + 1)[1:])


def _line(problem: Problem) -> list[Lever]:
    """Bore, length and class of the line."""
    inputs = problem.inputs
    own, rated = inputs.likely("line.bore"), inputs.likely("line.pressure_class")
    wider = tuple(bore for bore in bores() if bore > own * 1.001)
    classes = tuple(each for each in pressure_classes() if each > rated * 1.001)
    length = inputs.likely("line.length")
    found = [Lever("bore", wider, True, _part("bore"), lambda v: phrase("WPS-bore", value=v, before=own))]
    if not inputs.pieces and length > 0.0:
        found.append(
            Lever(
                "length", _steps(1.0, LEAST_LENGTH), True, _scale("line.length"),
                lambda v: phrase("WPS-length", value=v * length, before=length),
            )
        )  # fmt: skip
    if "enquiry.pressure_limit" not in inputs.estimates:
        found.append(
            Lever(
                "class", classes, True, _part("pressure_class"),
                lambda v: phrase("WPS-class", value=v, before=rated),
            )
        )  # fmt: skip
    return found


def _warm(problem: Problem) -> list[Lever]:
    """A core temperature made sure of, as far as the product is known to bear it."""
    targets = [target for _, target in _warm_options(problem.inputs)[1:] if target is not None]
    low = problem.coldest
    if not targets or max(targets) <= low + 0.5:
        return []
    steps = tuple(float(each) for each in np.arange(np.ceil(low), max(targets), 1.0) if each > low)
    values = (*(each for each in steps if each < max(targets)), max(targets))
    return [Lever("warm", values, False, _part("warm_to"), lambda v: phrase("WPS-warm", value=v))]


def _flow(problem: Problem) -> list[Lever]:
    """A faster pump for what the shift asks, and less flow."""
    flow = problem.inputs.likely("enquiry.flow")
    faster = FLOW_FACTORS[1:]
    return [
        Lever(
            "faster", faster, False, _part("flow_factor"),
            lambda v: phrase("WPS-faster", value=v * flow, before=flow),
        ),
        Lever(
            "flow", _steps(1.0, LEAST_FLOW), False, _scale("enquiry.flow"),
            lambda v: phrase("WPS-flow", value=v * flow, before=flow),
        )
    ]  # fmt: skip


def _plate(problem: Problem, asked: Evaluation) -> list[Lever]:
    """Seal, and the force of the ram both ways."""
    choice, inputs = asked.choice, problem.inputs
    if not choice.plated:
        return []
    before = phrase(f"KIND-{choice.seal}")
    seals = tuple(name for name in fitting_seals(inputs, choice.seal) if name != choice.seal)
    likely = {key: np.asarray([values[0]]) for key, values in problem.sample.items()}
    ram = float(push_of(likely, choice.stand)[0] - push_of(likely, choice.stand, 0.0)[0])
    return [
        Lever(
            "seal", seals, False, _part("seal"),
            lambda v: phrase("WPS-seal", name=phrase(f"KIND-{v}"), before=before),
        ),
        Lever("gentle", RAM_SHARES[1:], False, _part("ram"), lambda v: phrase("WPS-gentle", value=v)),
        Lever(
            "force", tuple(ram * each for each in _steps(1.0, MOST_FORCE)), False, _put("machine.ram_force"),
            lambda v: phrase("WPS-force", value=v, before=ram),
        ),
    ]  # fmt: skip


def _machine(problem: Problem, asked: Evaluation) -> list[Lever]:
    """Another family of pumps, another stand, more stations."""
    inputs, choice = problem.inputs, asked.choice
    held = {pump.family for pump in inputs.stock.active_pumps}
    own = asked_family(inputs)
    others = tuple(each for each in families() if each in held and each != own)
    stands = tuple(dict.fromkeys(kind for _, kind, _ in _stand_options(inputs) if kind != choice.stand))
    more = () if choice.stand == "tandem" else tuple(range(choice.stations + 1, choice.stations + 3))
    named = phrase(f"KIND-{own}"), phrase(f"KIND-{choice.stand}")
    found = [
        Lever(
            "stand", stands, False, _part("stand"),
            lambda v: phrase("WPS-stand", name=phrase(f"KIND-{v}"), before=named[1]),
        ),
        Lever(
            "stations", more, True, _part("stations"),
            lambda v: phrase("WPS-stations", value=v, before=choice.stations),
        ),
    ]  # fmt: skip
    if not inputs.choices["machine.pump"]:
        found.append(
            Lever(
                "family", others, False, _part("family"),
                lambda v: phrase("WPS-family", name=phrase(f"KIND-{v}"), before=named[0]),
            )
        )  # fmt: skip
    return found


def _shift(problem: Problem) -> list[Lever]:
    """A hopper that bridges a change, fewer containers."""
    inputs, found = problem.inputs, []
    if inputs.choices["enquiry.uninterrupted"]:
        least = inputs.estimates.get("destination.hopper_volume")
        values = tuple(v for v in _steps(0.0, MOST_HOPPER) if least is None or v > least.likely)
        say = _put("destination.hopper_volume")
        found.append(Lever("hopper", values, True, say, lambda v: phrase("WPS-hopper", value=v)))
    if "enquiry.drums_per_shift" in inputs.estimates:
        drums = round(inputs.likely("enquiry.drums_per_shift"))
        fewer = tuple(range(drums - 1, 0, -1))
        found.append(
            Lever(
                "drums", fewer, True, _put("enquiry.drums_per_shift"),
                lambda v: phrase("WPS-drums", value=v, before=drums),
            )
        )  # fmt: skip
    return found
