"""Rules of the trade: stated, tried first, overruled by name where a number breaks them (trade book 1.6)."""

from __future__ import annotations

from drumwright.basis.phrases import phrase
from drumwright.basis.statistics import quantiles
from drumwright.station.arrangement import Choice
from drumwright.study.evaluation import Evaluation, Problem, evaluate
from drumwright.study.figures import Scene
from drumwright.study.result import Finding
from drumwright.study.search_options import smallest_port


def air_pump_for_abrasives(problem: Problem) -> list[Finding]:
    """'Abrasive or with pieces: take an air diaphragm pump' (common practice, no source).

    Tried where the product is abrasive or the customer asks for that pump; broken where no size of the stock
    passes feed and pressure.
    """
    inputs = problem.inputs
    wished = inputs.choices["enquiry.pump_wanted"] == "air_diaphragm"
    if not problem.computable or not (wished or problem.abrasion == "abrasive"):
        return []
    best: tuple[float, Evaluation] | None = None
    for pump in inputs.stock.active_pumps:
        if pump.family != "air_diaphragm":
            continue
        found = evaluate(problem, Choice(pump, smallest_port(inputs)))
        judged = [gate for gate in found.gates if gate.gate in ("feed", "pressure")]
        if all(gate.status == "pass" for gate in judged):
            return []
        score = sum(gate.probability or 0.0 for gate in judged)
        if best is None or score >= best[0]:
            best = (score, found)
    if best is None:
        return []
    return [_broken(problem, best[1])]


def _broken(problem: Problem, found: Evaluation) -> Finding:
    """The number that breaks the rule: passage, suction at the valves, or the air pressure."""
    failed = [c for c in found.checks if c.probability < 0.95 and c.gate in ("feed", "pressure")]
    first = min(
        failed,
        key=lambda c: (("feed.passage", "feed.inlet").index(c.key) if c.gate == "feed" else 2, c.probability),
    )
    value, limit = float(first.value[0]), float(first.limit[0])
    if first.key == "feed.passage":
        text = phrase("RULE-air_passage", value=found.choice.pump.passage, limit=limit)
        return Finding(
            "rule.air_diaphragm", "overruled", "feed", text, "feed.passage_required", value, limit, "diameter"
        )
    state = found.balances[first.season]
    season = phrase(f"SEASON-{first.season}")
    if first.key == "feed.inlet":
        text = phrase(
            "RULE-air_feed", season=season, held=float(state.pump.suction_yield[0]), value=value, limit=limit
        )
        return Finding(
            "rule.air_diaphragm",
            "overruled",
            "feed",
            text,
            "feed.inlet_absolute",
            value,
            limit,
            "pressure_absolute",
            first.season,
        )
    text = phrase("RULE-air_pressure", season=season, value=value, limit=limit)
    return Finding(
        "rule.air_diaphragm",
        "overruled",
        "pressure",
        text,
        first.figure,
        value,
        limit,
        first.kind,
        first.season,
    )


def lip_plate_residue(views: list[Scene]) -> list[Finding]:
    """'A lip-seal plate leaves less than one per cent' (common practice, no source)."""
    found = []
    for scene in views:
        lips = scene.evaluation.choice.seal in ("lip_seal", "double_lip_seal")
        if scene.season != "norm" or scene.left is None or not lips:
            continue
        share = scene.left.total / scene.problem.sample["container.usable_volume"]
        chance = float((share[1:] < 0.01).mean())
        if chance < 0.95:
            found.append(
                Finding(
                    "rule.lip_plate_residue",
                    "overruled",
                    "",
                    phrase("RULE-residue", value=float(share[0]), high=quantiles(share[1:], 0.95)[0]),
                    "residue.share",
                    float(share[0]),
                    0.01,
                    "fraction",
                    "norm",
                    chance,
                )
            )
    return found


def residue_wanted(views: list[Scene]) -> list[Finding]:
    """A wanted residue is a promise with a probability, not a gate (design decision 3.5).

    In the season in which most stays behind: a promise holds all year.
    """
    found = []
    for scene in views:
        sample = scene.problem.sample
        if scene.left is None or "enquiry.residue_wanted" not in sample:
            continue
        share = scene.left.total / sample["container.usable_volume"]
        wanted = sample["enquiry.residue_wanted"]
        chance = float((share[1:] <= wanted[1:]).mean())
        high = quantiles(share[1:], 0.95)[0]
        key = "PROMISE-kept" if chance >= 0.95 else "PROMISE-not"
        text = phrase(key, wanted=float(wanted[0]), value=float(share[0]), high=high)
        value, limit = float(share[0]), float(wanted[0])
        found.append(
            Finding(
                "residue.wanted", "note", "", text, "residue.share", value, limit, "fraction", scene.season,
                chance,
            )
        )  # fmt: skip
    return [min(found, key=lambda each: each.probability or 0.0)] if found else []
