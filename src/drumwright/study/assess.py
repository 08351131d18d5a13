"""Assess a case: every duty judged, the worst one is the answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import QuantityError
from drumwright.basis.estimate import Estimate
from drumwright.basis.phrases import phrase
from drumwright.basis.quantities import read, show
from drumwright.station.arrangement import Choice
from drumwright.station.inputs import Inputs, draw, resolve
from drumwright.station.records import Case, Container, Duty, Product, declaration
from drumwright.station.rheology import evidence
from drumwright.station.vessel import way_out
from drumwright.study import findings as found_in
from drumwright.study.answer import Judgement, build_result
from drumwright.study.conditions import machine_conditions, unbuilt_models, unused_answers
from drumwright.study.evaluation import Evaluation, Problem, evaluate
from drumwright.study.evidence_findings import disagreements, fit_doubts
from drumwright.study.figures import scenes
from drumwright.study.lance_findings import lance_findings
from drumwright.study.register import register
from drumwright.study.result import SEASONS, DutyVerdict, Finding, Result, Verdict
from drumwright.study.search import Found, as_asked, rate_is_settled, search
from drumwright.study.stock_findings import outside_test
from drumwright.study.verdict import decide

DEFAULT_SEED = 20260101
SEARCH_SAMPLES = 256
SAMPLES_WHAT_IF: int = 4096
SAMPLES_DOCUMENT: int = 16384
_WORST: tuple[Verdict, ...] = ("refuse", "ask_first", "go_if", "go")


@dataclass(frozen=True, slots=True)
class Pair:
    """A product in a container, with the duty that asks for it."""

    product: Product
    container: Container | None
    duty: Duty | None
    share: float = 1.0  # of the shift

    @property
    def name(self) -> str:
        """Name of the pair for people."""
        if self.container is None:
            return self.product.name
        return f"{self.product.name} / {self.container.name or self.container.kind or ''}"


def assess(
    case: Case, *, samples: int = SAMPLES_DOCUMENT, at: str | None = None, in_time: bool = False
) -> Result:
    """Judge a case.

    Parameters
    ----------
    case : Case
        As read; gaps become numbered assumptions.
    samples : int
        Scrambled Sobol points, a power of two: 4,096 for a what-if, 16,384 in documents.
    at : str, optional
        A season (winter, norm, summer) taken for the whole year, or a product temperature ("10 C").
    in_time : bool
        Run it in time too, with every single fault, its control and a shift: some seconds more.

    Returns
    -------
    Result

    Raises
    ------
    QuantityError
        If `at` is neither a season nor a temperature the product can have.
    FitError
        If a flow curve cannot be used.
    """
    answers = judgements(case, samples, at)
    result = result_of(case, answers, samples)
    if not in_time:
        return result
    from drumwright.study.in_time import in_time as run_in_time

    timed = replace(result, in_time=run_in_time(case, answers[0]))
    if case.money.prices is None:
        return timed
    from drumwright.study.economics import counted

    return replace(timed, money=counted(case, answers, samples))


def result_of(case: Case, answers: list[Judgement], samples: int) -> Result:
    """The answer of what was judged.

    Parameters
    ----------
    case : Case
    answers : list of Judgement
        As `judgements` returns them.
    samples : int
        They were judged with.
    """
    duties = tuple(
        DutyVerdict(a.name, a.decision.verdict, a.decision.gate, a.obstacles[0] if a.obstacles else None)
        for a in answers
    )
    return build_result(case, _with_duties(answers), duties, samples)


def judgements(case: Case, samples: int, at: str | None = None) -> list[Judgement]:
    """Everything found for every duty of a case, the binding one first.

    Parameters
    ----------
    case : Case
    samples : int
        As in `assess`.
    at : str, optional
        As in `assess`.
    """
    return sorted((_judge(case, pair, samples, at) for pair in _pairs(case)), key=_binding)


def _binding(answer: Judgement) -> tuple[int, float]:
    """Order of the duties: worst verdict first, then the arrangement with the least chance as asked."""
    chance = answer.asked.probability if answer.asked is not None else 0.0
    return _WORST.index(answer.decision.verdict), chance


def _with_duties(answers: list[Judgement]) -> Judgement:
    """The binding answer; where the duties ask for different machines, that is a condition."""
    first = answers[0]
    machines = {_fixed_parts(answer.best) for answer in answers if answer.best is not None}
    if len(machines) < 2:
        return first
    named = Finding("not_judged.duties", "not_judged", "", phrase("FND-duties"))
    return replace(first, conditions=(*first.conditions, named))


def _fixed_parts(found: Evaluation | None) -> tuple[object, ...]:
    """What cannot change between duties."""
    if found is None:
        return ()
    choice = found.choice
    return (
        choice.pump.identifier,
        choice.port,
        choice.bore,
        choice.pressure_class,
        choice.stand,
        choice.stations,
    )


def _pairs(case: Case) -> list[Pair]:
    """Duties of the case; without duties every product in every container."""
    containers: Sequence[Container | None] = case.container or (None,)
    if case.duty:
        products = {product.name: product for product in case.product}
        named = {container.name: container for container in case.container}
        pairs = [
            Pair(
                products.get(duty.product or "", case.product[0]),
                named.get(duty.container, containers[0]) if duty.container else containers[0],
                duty,
            )
            for duty in case.duty
        ]
        return _shared(case, pairs)
    return [Pair(product, container, None) for product in case.product for container in containers]


def _shared(case: Case, pairs: list[Pair]) -> list[Pair]:
    """Give each duty its part of the shift: as stated, else in proportion to the time its drums take."""
    stated = [pair.duty.share.likely if pair.duty and pair.duty.share else None for pair in pairs]
    known = [share for share in stated if share is not None]
    if len(pairs) < 2 or len(known) == len(pairs):
        return [replace(pair, share=share or 1.0) for pair, share in zip(pairs, stated, strict=True)]
    busy = [_busy(case, pair) for pair in pairs]
    open_time = sum(time for time, share in zip(busy, stated, strict=True) if share is None)
    rest = max(1.0 - sum(known), 0.0)
    return [
        replace(pair, share=share if share is not None else rest * time / open_time if open_time else rest)
        for pair, share, time in zip(pairs, stated, busy, strict=True)
    ]


def _busy(case: Case, pair: Pair) -> float:
    """Time the drums of a duty take one station at likely values [s]; 1 where no drums were named."""
    inputs = resolve(case, pair.product, pair.container, pair.duty)
    if "enquiry.drums_per_shift" not in inputs.estimates or "enquiry.flow" not in inputs.estimates:
        return 1.0
    change = "enquiry.change_time" if "enquiry.change_time" in inputs.estimates else "model.change_fixed"
    drum = inputs.likely(change) + inputs.likely("container.usable_volume") / inputs.likely("enquiry.flow")
    return inputs.likely("enquiry.drums_per_shift") * drum


def _judge(case: Case, pair: Pair, samples: int, at: str | None) -> Judgement:
    inputs = _at(resolve(case, pair.product, pair.container, pair.duty, pair.share), at)
    seed = case.case.seed if case.case.seed is not None else DEFAULT_SEED
    known = evidence(pair.product, inputs.likely("product.temperature.norm"))
    seasons = SEASONS if at is None else (at if at in SEASONS else "norm",)
    full = Problem(inputs, draw(inputs, samples, seed), known, seasons, way_out(inputs.kind))
    coarse = replace(full, sample=draw(inputs, SEARCH_SAMPLES, seed))
    asked_coarse = as_asked(coarse)
    asked = evaluate(full, asked_coarse.choice) if asked_coarse else None
    best, found = _best(full, coarse, asked)
    numbers = register(full, asked, best, seed)
    obstacles = _obstacles(full, asked)
    changes = found_in.changes(full, asked, best) if best is not None and best is not asked else []
    conditions = _conditions(full, best or asked, changes)
    decision = decide(full, asked, best, found, numbers, conditions, obstacles, [text for _, text in changes])
    shown = scenes(full, asked) if asked else []
    other = scenes(full, best, shown) if best is not None and best is not asked else []
    return Judgement(
        name=pair.name,
        problem=full,
        coarse=coarse,
        asked=asked,
        best=best,
        tried=found.tried,
        numbers=numbers,
        obstacles=tuple(obstacles),
        conditions=tuple(conditions),
        changes=tuple(changes),
        decision=decision,
        asked_scenes=tuple(shown),
        best_scenes=tuple(other),
    )


def _best(full: Problem, coarse: Problem, asked: Evaluation | None) -> tuple[Evaluation | None, Found]:
    """The arrangement that passes with the full sample: as asked, or the cheapest change found."""
    if asked is not None and asked.passes and asked.balances:
        return asked, Found(asked, (), True)
    skip: list[Choice] = []
    tried: list[Evaluation] = []
    while True:
        found = search(coarse, skip=skip, rate_settled=rate_is_settled(asked))
        tried += found.tried
        if found.best is None or len(skip) >= 8:
            return None, Found(None, tuple(tried), found.exhausted and found.best is None)
        confirmed = evaluate(full, found.best.choice)
        if confirmed.passes:
            return confirmed, Found(confirmed, tuple(tried), True)
        skip.append(found.best.choice)
        tried.append(confirmed)


def _at(inputs: Inputs, at: str | None) -> Inputs:
    """Pin all seasons to one season or one temperature."""
    if at is None:
        return inputs
    season = {"winter": "low", "norm": "norm", "summer": "high"}.get(at)
    value = inputs.likely(f"product.temperature.{season}") if season else _asked_temperature(inputs, at)
    pinned = Estimate.exact(value)
    for name in ("low", "norm", "high"):
        inputs = inputs.with_estimate(f"product.temperature.{name}", pinned)
    return inputs


def _asked_temperature(inputs: Inputs, at: str) -> float:
    """A product temperature to look at, within what the field allows and the product bears."""
    value = read(at, "temperature")
    low, high = declaration("product[0].temperature.low").hard
    top = inputs.estimates.get("product.maximum_temperature")
    high = high if top is None else min(high, top.likely)
    if low <= value <= high:
        return value
    what, allowed, remedy = trouble(
        "RES-005", text=at, low=show(low, "temperature"), high=show(high, "temperature")
    )
    raise QuantityError(what, allowed, remedy)


def _obstacles(problem: Problem, asked: Evaluation | None) -> list[Finding]:
    if asked is None:
        return [item for item in found_in.not_judged(problem) if item.key == "not_judged.pump"]
    extra: list[Finding] = []
    if not problem.enters:
        extra = lance_findings(problem)
    decisive = [item for item in extra if item.role == "fail"]
    return [*decisive, *found_in.obstacles(asked), *(item for item in extra if item.role != "fail")]


def _conditions(
    problem: Problem,
    best: Evaluation | None,
    changes: Sequence[tuple[str, object]],
) -> list[Finding]:
    listed = [
        Finding(f"change.{name}", "condition", "", phrase("FND-change", what=text)) for name, text in changes
    ]
    listed += found_in.topic_conditions(problem, best)
    listed += (
        found_in.not_judged(problem) + unused_answers(problem) + disagreements(problem) + fit_doubts(problem)
    )
    if problem.enters:
        listed += unbuilt_models()
    if best is not None:
        listed += machine_conditions(problem, best) + outside_test(problem, best)
        listed += [item for item in found_in.beyond_findings(best) if item.role == "condition"]
    if any(item.key == "plate.reach_reserve" for item in listed):
        listed = [item for item in listed if item.key != "topic.diameters"]  # said there with its number
    return sorted(listed, key=_condition_rank)


_ROUTINE = frozenset({"topic.particles", "topic.abrasion", "topic.safety_sheet"})


def _condition_rank(item: Finding) -> int:
    """Changes first, then what this case brings, then what is not judged, then what is asked of everybody."""
    if item.key.startswith(("change.", "warm_up.", "evidence.")):
        return 0 if item.key.startswith("change.") else 1
    if item.key in _ROUTINE:
        return 4
    return 3 if item.role == "not_judged" else 2
