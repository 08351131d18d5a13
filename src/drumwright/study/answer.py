"""Put a judgement into the result that faces and documents render."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite

from drumwright import __version__
from drumwright.basis.phrases import Phrase, phrase
from drumwright.machine.plate.recovery import shares
from drumwright.machine.pump.stock import Pump
from drumwright.station.arrangement import Choice, plate_with_port, stand_row
from drumwright.station.records import Case, declaration, iter_fields
from drumwright.study import findings as found_in
from drumwright.study.evaluation import Evaluation, GateScore, Problem
from drumwright.study.evidence_findings import range_notes
from drumwright.study.explanations import explanations
from drumwright.study.figures import (
    Scene,
    figures_of,
    lance_figures,
    one_point_figures,
)
from drumwright.study.hazards import hazards
from drumwright.study.notes import notes, unmet_wishes
from drumwright.study.picture import band, borders, curves, profile
from drumwright.study.pump_choice import (
    FamilyJudgement,
    family_rows,
    judge_families,
    kept_line,
    overruled,
    stays,
)
from drumwright.study.questions import questions
from drumwright.study.register import Register
from drumwright.study.result import (
    Arrangement,
    DutyVerdict,
    Figure,
    Finding,
    FitSummary,
    Gate,
    Head,
    Option,
    Part,
    ResiduePart,
    Result,
)
from drumwright.study.sketch import plate_forces, section_of
from drumwright.study.stand_sketch import machine_sketch
from drumwright.study.stock_findings import stock_notes
from drumwright.study.verdict import Decision
from drumwright.study.warm_sketch import warm_curves
from drumwright.study.warming import warmest

SOURCES = (
    "Herschel-Bulkley laminar pipe, slot and gap flow: standard results, checked against quadrature",
    "The model book of the project (docs/model-book.md): physics book and trade book, "
    "estimates marked as assumed",
    "Hooper, Chem. Eng. 88 (24 Aug 1981) 97: two-K constants of fittings",
    "Joe and Kuo (2008): direction numbers of the Sobol points",
)


@dataclass(frozen=True, slots=True)
class Judgement:
    """Everything found for one duty."""

    name: str
    problem: Problem
    coarse: Problem  # the same with a small sample
    asked: Evaluation | None
    best: Evaluation | None
    tried: tuple[Evaluation, ...]
    numbers: Register
    obstacles: tuple[Finding, ...]
    conditions: tuple[Finding, ...]
    changes: tuple[tuple[str, Phrase], ...]
    decision: Decision
    asked_scenes: tuple[Scene, ...]
    best_scenes: tuple[Scene, ...]


def build_result(case: Case, answer: Judgement, duties: tuple[DutyVerdict, ...], samples: int) -> Result:
    """Collect figures, findings and pictures of the binding duty."""
    problem, numbers, decision = answer.problem, answer.numbers, answer.decision
    possible = decision.verdict in ("go", "go_if")
    shown = list((possible and answer.best_scenes) or answer.asked_scenes)
    figures = _figures(answer)
    recommended = answer.best if possible else None
    judged = _families(answer, recommended or answer.asked)
    result = Result(
        head=_head(case, samples),
        verdict=decision.verdict,
        gate=decision.gate,
        reason=decision.reason,
        offer=decision.offer,
        offer_reason=decision.offer_reason,
        as_asked=_as_asked_gates(answer),
        recommended_gates=found_in.gate_results(recommended) if recommended else (),
        asked=_asked_rows(case),
        understood=_understood(problem, numbers),
        asked_arrangement=_arrangement(problem, answer.asked, ()),
        recommended=_recommended(answer, recommended),
        options=_options(answer),
        families=family_rows(judged),
        findings=_findings(answer, shown, recommended, judged),
        conditions=(*unmet_wishes(shown), *answer.conditions),
        figures=tuple(figures),
        path=tuple((scene.season, borders(scene)) for scene in shown),  # type: ignore[misc]
        profile=tuple((scene.season, profile(scene)) for scene in shown),  # type: ignore[misc]
        curves=tuple((s.season, curves(s, shown[0])) for s in shown if s.season != "summer"),  # type: ignore[misc]
        residue=_residue(shown),
        assumptions=numbers.assumptions,
        questions=questions(numbers, problem.inputs.missing if problem.enters else frozenset()),
        hazards=hazards(problem, recommended or answer.asked),
        explanations=tuple(explanations(figures, problem, answer.best.choice.bore if answer.best else None)),
        fits=_fits(problem),
        duties=duties,
        sources=SOURCES,
        caution=phrase("CAUTION"),
    )
    return _completed(result, answer, shown)


def _completed(result: Result, answer: Judgement, shown: list[Scene]) -> Result:
    """Add what is read from the finished answer, and the numbers of the pictures."""
    section = section_of(answer.problem, _norm(shown))
    return replace(
        result,
        findings=(*result.findings, *range_notes(result, answer.problem.inputs.stock)),
        plate_force=plate_forces(shown),
        warm_curves=warm_curves(answer.problem, _warm_target(answer, shown), _core_time(result)),
        section=section,
        machine=machine_sketch(shown, section),
    )


def _norm(shown: list[Scene]) -> Scene | None:
    """The scene of the norm season, else the first one."""
    return next((scene for scene in shown if scene.season == "norm"), shown[0] if shown else None)


def _warm_target(answer: Judgement, shown: list[Scene]) -> float | None:
    """Core temperature the arrangement shown warms to, or a way out that warms a drum no plate enters."""
    if shown:
        return shown[0].evaluation.choice.warm_to
    return None if answer.problem.enters else warmest(answer.problem)


def _core_time(result: Result) -> float | None:
    """When the core of the arrangement shown is warm [s]; None where nothing is warmed."""
    found = {item.key: item.likely for item in result.figures if item.key.endswith("warm_up.core_time")}
    return found.get("recommended.warm_up.core_time", found.get("warm_up.core_time"))


def _as_asked_gates(answer: Judgement) -> tuple[Gate, ...]:
    """Gates as asked; the first obstacle carries what the search found would pass it."""
    if answer.asked is None:
        return ()
    gates = found_in.gate_results(answer.asked)
    if not answer.changes or answer.decision.verdict not in ("go", "go_if"):
        return gates
    passing = phrase("WOULD-pass", changes=[text for _, text in answer.changes])
    return tuple(
        replace(gate, would_pass=passing) if gate.key == answer.decision.gate else gate for gate in gates
    )


def _figures(answer: Judgement) -> list[Figure]:
    problem, numbers = answer.problem, answer.numbers
    figures = figures_of(list(answer.asked_scenes), numbers)
    if answer.decision.verdict in ("go", "go_if"):
        figures += figures_of(list(answer.best_scenes), numbers, "recommended.")
    if not problem.enters:
        figures += lance_figures(problem, numbers)
    return figures + one_point_figures(problem, numbers)


def _head(case: Case, samples: int) -> Head:
    from drumwright.study.assess import DEFAULT_SEED

    head, enquiry = case.case, case.enquiry
    return Head(
        head.title or "", head.number or "", head.revision or "", head.date or "", head.author or "",
        head.checker or "", enquiry.customer or "", enquiry.words or "", head.place or "other",
        head.units or "metric", head.seed if head.seed is not None else DEFAULT_SEED, samples,
        case.digest, __version__,
    )  # fmt: skip


def _asked_rows(case: Case) -> tuple[tuple[str, str], ...]:
    """Wishes of the enquiry as given: label and value in words."""
    rows = []
    for path, field, value in iter_fields(case):
        if not path.startswith(("enquiry.", "destination.")) or value is None or path == "enquiry.words":
            continue
        if field.kind and hasattr(value, "likely"):
            from drumwright.basis.quantities import show

            rows.append((field.meaning, show(value.likely, field.kind, case.case.units or "metric")))
        elif isinstance(value, str | bool):
            rows.append((field.meaning, str(value).replace("_", " ")))
    return tuple(rows)


def _understood(problem: Problem, numbers: Register) -> tuple[tuple[str, str, str, float, str], ...]:
    """Inputs a person would check first, with their basis."""
    keys = (
        ("product.density", "density"), ("product.temperature.low", "temperature"),
        ("product.temperature.norm", "temperature"), ("product.temperature.high", "temperature"),
        ("product.viscosity", "viscosity"), ("product.particles.size", "diameter"),
        ("container.inside_diameter", "diameter"), ("container.diameter_top", "diameter"),
        ("container.diameter_bottom", "diameter"), ("container.length", "diameter"),
        ("container.width", "diameter"), ("container.usable_volume", "volume"),
        ("enquiry.flow", "flow"), ("enquiry.drums_per_shift", "count"), ("enquiry.shift", "duration"),
        ("line.bore", "diameter"), ("line.length", "length"), ("line.own_hose", "length"),
        ("line.rise", "length"), ("line.pressure_class", "pressure_gauge"),
        ("site.air_pressure", "pressure_gauge"), ("site.ceiling", "length"),
    )  # fmt: skip
    rows = []
    for key, kind in keys:
        estimate = problem.inputs.estimates.get(key)
        if key == "container.inside_diameter" and problem.inputs.estimates[key].basis == "computed":
            continue  # a mean of ours, not what was said
        unused = key in problem.inputs.defaulted and not numbers.numbers(key)
        if estimate is not None and not unused:
            rows.append((_label(key), key, kind, estimate.likely, estimate.basis))
    return tuple(rows)


def _label(key: str) -> str:
    try:
        path = key.replace("product.", "product[0].", 1).replace("container.", "container[0].", 1)
        return declaration(path).meaning
    except (KeyError, LookupError):
        return key


def _recommended(answer: Judgement, found: Evaluation | None) -> Arrangement | None:
    changes = tuple(text for _, text in answer.changes)
    return None if found is None else _arrangement(answer.problem, found, changes)


def _arrangement(problem: Problem, found: Evaluation | None, changes: tuple[Phrase, ...]) -> Arrangement:
    if found is None:
        return Arrangement((), changes, False, 0.0)
    return Arrangement(tuple(_parts(problem, found.choice)), changes, found.passes, found.probability)


def _parts(problem: Problem, choice: Choice) -> list[Part]:
    inputs = problem.inputs
    kind = inputs.choices["container.kind"] or "straight_drum"
    bore = choice.bore or (inputs.estimates.get("line.bore") and inputs.likely("line.bore"))
    side = "length" if "container.length" in inputs.estimates else "inside_diameter"
    name = kind.replace("_", " ").replace("ibc", "IBC")
    parts = [Part("container", "", name, inputs.likely(f"container.{side}"), "diameter", False)]
    if problem.enters:
        parts += _plate_parts(problem, choice)
        parts.append(_pump_part(choice.pump, problem.size_withheld))
    else:
        bore = inputs.likely("machine.lance_bore")
        parts.append(Part("pump", "", "lance through the opening, not this machine", bore, "diameter", True))
        return parts
    if bore:
        parts.append(
            Part("hose", "", "own hose", float(problem.sample_of(choice)["line.own_hose"][0]), "length", True)
        )
        parts.append(Part("line", "", "line bore", float(bore), "diameter", False))
    destination = inputs.choices["destination.kind"] or "open_tank"
    parts.append(Part("destination", "", destination.replace("_", " "), None, "", False))
    return parts


_PLATES = {
    "lip_seal": "generic lip-seal follower plate",
    "double_lip_seal": "generic follower plate with two lips",
    "inflatable_seal": "generic follower plate with an inflatable seal",
    "hard_plate": "generic hard follower plate without a lip",
}


def _plate_parts(problem: Problem, choice: Choice) -> list[Part]:
    """Plate and stand; or the outlet of a bin that levels itself."""
    if not choice.plated:
        bore = problem.inputs.likely("container.outlet_bore")
        return [Part("outlet", "", "no plate: outlet of the bin", bore, "diameter", False)]
    name = plate_with_port(choice.port)["id"].replace("lip", choice.seal.split("_")[0])
    return [
        Part("plate", name, _PLATES[choice.seal], choice.port, "diameter", True),
        Part("stand", stand_row(choice.stand)["id"], _stand_name(choice), None, "", True),
    ]


def _stand_name(choice: Choice) -> str:
    names = {
        "fixed_mast": "fixed mast over one drum",
        "moving_arm": "moving arm over a pallet of four",
        "tandem": "two stations in tandem",
    }
    count = f", {choice.stations} stations" if choice.stations > 1 and choice.stand != "tandem" else ""
    return names[choice.stand] + count


def _pump_part(pump: Pump, withheld: bool) -> Part:
    if withheld:
        return Part("pump", "", f"{pump.family.replace('_', ' ')} pump, no size named", None, "", True)
    name = pump.name.split(", placeholder")[0]
    placeholder = name != pump.name
    if pump.family == "air_diaphragm":
        return Part("pump", pump.identifier, name, pump.port, "diameter", placeholder)
    return Part("pump", pump.identifier, name, pump.displacement, "displacement", placeholder)


def _findings(
    answer: Judgement,
    shown: list[Scene],
    recommended: Evaluation | None,
    judged: tuple[FamilyJudgement, ...],
) -> tuple[Finding, ...]:
    """Obstacles, notes on what is shown, and what was said of the pump families."""
    return (
        *answer.obstacles,
        *notes(answer, shown),
        *stock_notes(answer.problem),
        *overruled(judged),
        *stays(answer.problem, recommended, judged),
        *kept_line(answer.coarse, answer.asked, recommended),
    )


def _families(answer: Judgement, shown: Evaluation | None) -> tuple[FamilyJudgement, ...]:
    """Every pump family on the line of the arrangement shown; none where no size may be named."""
    if shown is None or not shown.balances or answer.problem.size_withheld:
        return ()
    return judge_families(answer.coarse, shown.choice)


def _options(answer: Judgement, most: int = 6) -> tuple[Option, ...]:
    """Rejected arrangements, one for each kind of obstacle, with the number that rejected it."""
    chosen: dict[tuple[object, ...], Option] = {}
    if not answer.problem.enters:
        return ()
    everything = ([answer.asked] if answer.asked and answer.asked is not answer.best else []) + list(
        answer.tried
    )
    for found in everything:
        obstacle: GateScore | None = found.first_obstacle
        if obstacle is None or obstacle.deciding is None:
            continue
        key = (obstacle.deciding.key, found.choice.pump.family, found.choice.bore)
        if key not in chosen:
            changes = tuple(t for _, t in found_in.changes(answer.problem, answer.asked, found))
            arrangement = replace(_arrangement(answer.problem, found, changes))
            chosen[key] = Option(arrangement, found_in.finding_of(obstacle.deciding, obstacle, found))
    return tuple(list(chosen.values())[:most])


def _residue(shown: list[Scene]) -> tuple[ResiduePart, ...]:
    scene = next((s for s in shown if s.season == "norm"), None)
    if scene is None or scene.left is None:
        return ()
    places = scene.left.places
    parts = shares({place: values[1:] for place, values in places.items()})
    return tuple(ResiduePart(place, *band(values), parts[place]) for place, values in places.items())


def _fits(problem: Problem) -> tuple[FitSummary, ...]:
    kinds = {"yield_stress": "stress", "consistency": "consistency", "exponent": "exponent"}
    found = []
    product = problem.inputs.product
    measured = {}
    for curve in product.flow_curve:
        at = curve.temperature.likely if curve.temperature else problem.known.reference_temperature
        measured[at] = tuple(zip(curve.shear_rates_si().tolist(), curve.stresses_si().tolist(), strict=True))
    for temperature, fit in problem.known.fits:
        model = fit.model(fit.law_model)
        rows = tuple(
            (p.name, kinds[p.name], p.low if isfinite(p.low) else p.value, p.value,
             p.high if isfinite(p.high) else p.value)
            for p in model.parameters
        )  # fmt: skip
        others = tuple((m.model, m.rms_relative, m.aicc if isfinite(m.aicc) else 1e9) for m in fit.models)
        found.append(
            FitSummary(temperature, fit.law_model, rows, model.rms_relative, fit.shear_rate_low,
                       fit.shear_rate_high, others, measured.get(temperature, ()))
        )  # fmt: skip
    return tuple(found)
