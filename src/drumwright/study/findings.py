"""Turn checks and gates into findings: a sentence with its number and its limit."""

from __future__ import annotations

from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.statistics import quantiles
from drumwright.flow.numbers import GRAVITY
from drumwright.station.strength import wall_limit
from drumwright.study.check import LOWER_LIMITS, Check
from drumwright.study.checks import counted_hardness, passages, required_passage
from drumwright.study.evaluation import Evaluation, GateScore, Problem
from drumwright.study.result import GATES, Finding, Gate
from drumwright.study.topics import open_topics

# Checks that hold all year: their sentence names no season.
WITHOUT_SEASON = frozenset(
    {"container.opening", "container.spread", "feed.passage", "feed.frozen"}
    | {"plate.sealed_share", "plate.reach", "plate.strain", "plate.bend"}
)


def gate_results(evaluation: Evaluation) -> tuple[Gate, ...]:
    """Gates of an evaluation as they are shown, each with its deciding finding."""
    return tuple(
        Gate(
            score.gate,
            score.status,
            score.probability,
            finding_of(score.deciding, score, evaluation) if score.deciding is not None else None,
            None,
        )
        for score in evaluation.gates
    )


def finding_of(check: Check, score: GateScore, evaluation: Evaluation) -> Finding:
    """The finding of one check, in the season where it is worst."""
    role = {"pass": "passed", "fail": "fail", "undecided": "undecided"}.get(score.status, "not_judged")
    value, limit = float(check.value[0]), float(check.limit[0])
    return Finding(
        key=check.key,
        role=role,  # type: ignore[arg-type]
        gate=check.gate,
        text=_sentence(check, value, limit, evaluation),
        figure=check.figure,
        value=value,
        limit=limit,
        kind=check.kind,
        condition=check.season,
        probability=check.probability if check.decided else None,
    )


def _sentence(check: Check, value: float, limit: float, evaluation: Evaluation) -> Phrase:
    season = phrase(f"SEASON-{check.season}")
    good = check.probability >= 0.95
    if check.text is not None:
        return check.text
    if check.key == "container.entry":
        return phrase("CHK-container.entry-ok" if good else "CHK-container.entry")
    if check.key == "feed.passage":
        return phrase("CHK-feed.passage-ok" if good else "CHK-feed.passage", value=value, limit=limit)
    if check.value.size > 1 and 0.05 < check.probability < 0.95:
        return phrase(
            "CHK-open", check=check_sentence(check.key, value, limit, check.season), far=_far(check)
        )
    if check.key == "feed.inlet" and evaluation.choice.pump.family == "air_diaphragm" and not good:
        state = evaluation.balances[check.season]
        return phrase(
            "CHK-feed.valves",
            season=season,
            value=value,
            limit=limit,
            held=float(state.pump.suction_yield[0]),
        )
    return check_sentence(check.key, value, limit, check.season)


def _far(check: Check) -> Phrase:
    """The value at the end of the band that lies toward its limit."""
    share = 0.05 if check.key in LOWER_LIMITS else 0.95
    # the limit has a spread of its own: the distance to it at that end, from the likely limit
    distance = quantiles(check.value[1:] - check.limit[1:], share)[0]
    far = float(check.limit[0]) + distance
    if check.kind == "pressure_absolute":
        far = max(far, 0.0)  # what is missing beyond a vacuum is said elsewhere
    return phrase(f"NUM-{check.kind}", value=far)


def check_sentence(key: str, value: float, limit: float, season: str) -> Phrase:
    """The plain sentence of a check with its number and its limit."""
    if key == "container.entry":
        return phrase("CHK-container.entry")
    if key.startswith("materials."):
        return phrase("CHK-materials", part=phrase(f"MATPART-{key.removeprefix('materials.')}"))
    if key == "feed.inlet" and value < 0.0:
        return phrase("CHK-feed.nothing", season=phrase(f"SEASON-{season}"), lack=limit - value)
    if key in WITHOUT_SEASON:
        return phrase(f"CHK-{key}", value=value, limit=limit)
    return phrase(f"CHK-{key}", season=phrase(f"SEASON-{season}"), value=value, limit=limit)


def obstacles(evaluation: Evaluation) -> list[Finding]:
    """Every failed or undecided check, first gate first."""
    found = []
    for score in evaluation.gates:
        if score.status not in ("fail", "undecided"):
            continue
        own = [c for c in evaluation.checks if c.gate == score.gate and c.probability < 0.95]
        worst: dict[str, Check] = {}
        for check in own:
            if check.key not in worst or check.probability < worst[check.key].probability:
                worst[check.key] = check
        found += [finding_of(check, score, evaluation) for check in worst.values()]
    order = {gate: index for index, gate in enumerate(GATES)}
    return sorted(found, key=lambda item: order[item.gate])


def passage_findings(problem: Problem, evaluation: Evaluation) -> list[Finding]:
    """Each part of the path that is narrower than the largest piece asks for."""
    need = required_passage(problem.inputs)
    if need <= 0.0 or "line.bore" not in problem.inputs.estimates:
        return []
    unsaid = "_unsaid" if len(counted_hardness(problem.inputs)) > 1 else ""
    return [
        Finding(
            f"feed.passage.{part}",
            "fail",
            "feed",
            phrase(
                f"FND-passage{unsaid if part == 'pump' else ''}",
                part=phrase(f"PART-{part}"),
                value=have,
                limit=need,
            ),
            "feed.passage_available",
            have,
            need,
            "diameter",
        )
        for part, have in passages(problem.inputs, evaluation.choice).items()
        if have < need
    ]


def line_findings(evaluation: Evaluation) -> list[Finding]:
    """Yield-only pressure against what line and pump stand: the refusal line; and high-pressure cautions."""
    found: list[Finding] = []
    allowed = next((c for c in evaluation.checks if c.key == "pressure.running"), None)
    if allowed is None:
        return found
    for season, state in evaluation.balances.items():
        limit = float(allowed.limit[0])
        alone = float(state.yield_only[0])
        if alone > limit:
            found.append(
                Finding(
                    "line.yield_only_above_limit",
                    "fail",
                    "pressure",
                    phrase("FND-yield_only", season=phrase(f"SEASON-{season}"), value=alone, limit=limit),
                    "line.yield_only",
                    alone,
                    limit,
                    "pressure_difference",
                    season,
                )
            )
    return found


def beyond_findings(evaluation: Evaluation) -> list[Finding]:
    """Seasons whose temperature lies outside the evidence of the flow curve."""
    return [
        Finding(
            "product.temperature_beyond_evidence",
            "condition" if outside > 10.0 and season == "winter" else "note",
            "",
            phrase("FND-beyond", season=phrase(f"SEASON-{season}"), value=outside),
            "product.temperature",
            outside,
            10.0,
            "temperature_difference",
            season,
        )
        for season, outside in evaluation.beyond.items()
        if outside > 1.0
    ]


def not_judged(problem: Problem) -> list[Finding]:
    """What this version does not judge, each named as a condition.

    Parameters
    ----------
    problem : Problem
    """
    inputs = problem.inputs
    found = []
    wanted = inputs.choices["enquiry.pump_wanted"]
    if wanted is not None and wanted not in {pump.family for pump in inputs.stock.active_pumps}:
        text = phrase("FND-stock.no_family", family=phrase(f"KIND-{wanted}"), name=inputs.stock.name)
        found.append(Finding("not_judged.pump", "not_judged", "", text))
    zone = inputs.choices["site.zone"]
    if zone not in (None, "none", "unknown"):
        found.append(_left_out("zone", phrase("KIND-zone")))
    return found


def _left_out(what: str, name: Phrase) -> Finding:
    return Finding(
        f"not_judged.{what}",
        "not_judged",
        "",
        phrase("FND-not_judged", name=name, what=phrase(f"PART-{what}")),
    )


def topic_conditions(problem: Problem, best: Evaluation | None) -> list[Finding]:
    """Open R answers that stand as conditions of the verdict."""
    return [
        Finding(topic.key, "condition", "", phrase(f"COND-{topic.key}"))
        for topic in open_topics(problem.inputs, problem.known, best)
        if topic.condition
    ]


def _weaker_ram(problem: Problem, best: Evaluation) -> Phrase:
    """The force to which the ram is turned down, and the wall that asks for it."""
    state = best.balances[problem.seasons[0]]
    limit = wall_limit(problem.inputs, problem.sample, state.feed.shape)
    ram = float(state.feed.push[0]) - problem.inputs.likely("machine.plate_mass") * GRAVITY
    borne = float(limit[0]) if limit is not None else 0.0
    return phrase("CHG-ram", after=ram, share=best.choice.ram, limit=borne)


def changes(problem: Problem, asked: Evaluation | None, best: Evaluation) -> list[tuple[str, Phrase]]:
    """Differences between as asked and the arrangement that passes."""
    choice, found = best.choice, []
    inputs = problem.inputs
    if choice.bore is not None:
        found.append(("bore", phrase("CHG-bore", before=inputs.likely("line.bore"), after=choice.bore)))
    if choice.pressure_class is not None:
        found.append(("pressure_class", phrase("CHG-class", after=choice.pressure_class)))
    if choice.warm_to is not None and choice.warm_to > problem.coldest + 0.5:
        found.append(("warm", phrase("CHG-warm", after=choice.warm_to)))
    asked_choice = asked.choice if asked else None
    if asked_choice is not None and choice.seal != asked_choice.seal:
        found.append(("seal", phrase("CHG-seal", after=phrase(f"KIND-{choice.seal}"))))
    if asked_choice is None or choice.pump.family != asked_choice.pump.family:
        found.append(("pump", phrase("CHG-pump", after=phrase(f"KIND-{choice.pump.family}"))))
    if asked_choice is not None and choice.stand != asked_choice.stand:
        found.append(("stand", phrase("CHG-stand", after=phrase(f"KIND-{choice.stand}"))))
    if choice.ram != 1.0:
        found.append(("ram", _weaker_ram(problem, best)))
    more = asked_choice is not None and choice.stations != asked_choice.stations
    if more and choice.stand != "tandem":
        found.append(("stations", phrase("CHG-stations", after=choice.stations)))
    if choice.flow_factor != 1.0:
        found.append(("flow", phrase("CHG-flow", after=choice.flow_factor * inputs.likely("enquiry.flow"))))
    return found
