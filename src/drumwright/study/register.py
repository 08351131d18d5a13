"""The assumption register: every default and weakly known input, numbered, with its flag and its effect."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from drumwright.basis.estimate import WEAK_BASES, Estimate
from drumwright.basis.phrases import phrase
from drumwright.station.by_kind import PLAINEST, defaults
from drumwright.station.heating import rests_on
from drumwright.station.inputs import CONDITIONS, Inputs
from drumwright.station.rheology import Evidence
from drumwright.station.vessel import bagged, way_out
from drumwright.study.evaluation import Evaluation, Problem
from drumwright.study.findings import check_sentence
from drumwright.study.result import Assumption, Effect, Flag
from drumwright.study.search import search
from drumwright.study.shift_formula import supplies
from drumwright.study.topics import Topic, open_topics
from drumwright.study.transient_figures import buffer_matters, end_of
from drumwright.study.variants import Outcome, Variant, batch, block_problem, outcomes
from drumwright.study.warming import warmest

# Kinds of a case field that is no default but weakly known (basis assumed, from memory, common practice).
_EXTRA_KINDS = {"enquiry.flow": "flow", "line.bore": "diameter", "line.length": "length"}
_OURS = ("model.", "machine.")  # ours to settle by design or trial: conditions, not questions that decide
_BEHIND_A_BUNG = frozenset({"product.density", "product.temperature.low", "product.temperature.norm",
                            "machine.lance_bore", "machine.lance_length", "model.lance_suction"})  # fmt: skip
_UNDER_A_PLATE = (
    "machine.plate", "machine.last_rate", "model.seal", "model.cylinder", "model.film", "model.wall",
    "model.hoop", "model.corner", "model.liner", "model.heel", "model.infl", "model.stand_off",
    "site.ceiling", "site.air_pressure", "container.bottom_mismatch", "container.hoop", "container.wall",
)  # fmt: skip
# Inputs of residue, money and bridging figures only: no gate and no size computes with them; no re-run.
RESIDUE_ONLY = frozenset(
    {"product.price", "container.tare", "container.bottom_mismatch", "container.hoop_depth",
     "container.hoop_width", "container.hoops", "machine.last_rate", "model.knock_down",
     "model.lift_speed", "model.bled_share", "model.air_carried",
     "model.film_gradient", "model.stand_off", "model.hoop_drained", "model.wall_gap",
     "model.hoop_retained", "model.corner", "model.liner_residue", "model.heel_mix",
     "shift.change_spread", "shift.react_time", "model.entrained_air", "model.precharge_share"}
)  # fmt: skip
# What warming computes with: no gate and no size follows from it.
_HEAT = frozenset(
    {"product.conductivity", "product.heat_capacity", "product.latent_heat", "product.expansion",
     "model.surface_coefficient", "model.bath_coefficient", "model.exposed_share", "model.stock_reserve",
     "enquiry.shifts_per_day", "site.heater_power", "site.heater_height", "line.meal_break",
     "line.night_stop", "model.filler_stop", "model.line_heat", "model.relief_branch"}
)  # fmt: skip
# What the set-point ladder is made of: it moves no gate, and stands where a motor turns the pump.
_LADDER = tuple(name for name in defaults() if name.startswith("control.") or name == "line.hose_growth")
_UNMOVED = RESIDUE_ONLY | _HEAT | frozenset(_LADDER)
MOVES = 0.10  # share of the samples whose size changes, from which an input changes a size; assumed
LIP = frozenset({"model.seal_contact", "model.seal_width", "model.seal_friction"})
STEP_SEED = 101  # own stream of the re-runs


@dataclass(frozen=True, slots=True)
class Register:
    """Assumptions in order, and what rule (c) of the verdict needs to know."""

    assumptions: tuple[Assumption, ...]
    deciding: str  # field whose range no single arrangement covers, or ""

    def numbers(self, *keys: str) -> tuple[str, ...]:
        """Numbers of the assumptions on these fields."""
        return tuple(a.number for a in self.assumptions if a.field in keys)


def register(problem: Problem, asked: Evaluation | None, best: Evaluation | None, seed: int) -> Register:
    """Number the assumptions and compute their flags.

    Parameters
    ----------
    problem : Problem
        Full problem.
    asked, best : Evaluation or None
        As asked, and the arrangement that passes; None where there is none.
    seed : int
        Seed of the case.

    Notes
    -----
    Flag of an input that enters a computed figure (design decision 3.2): re-run at low and high; verdict,
    pump family or seal changes: R; a size step (motor, bore, pump, pressure class) changes: A; else G.
    """
    best = best or asked
    keys = _weak_keys(problem.inputs, problem.known)
    if best is not None and best.choice.bore is not None and "line.pressure_class" in keys:
        keys.remove("line.pressure_class")  # a new line: its class is ours to choose
    if best is not None and best.choice.beside:
        keys.append("model.beside_suction")
    if best is not None and best.choice.seal == "inflatable_seal":
        keys = [key for key in keys if key not in LIP]
    keys += [
        key for key in _of_the_answer(problem, best) if key in problem.inputs.defaulted and key not in keys
    ]
    ends = {key: problem.inputs.estimates[key] for key in keys}
    flags: dict[str, tuple[Flag, Effect | None, Effect | None]] = {}
    deciding = ""
    if best is not None and best.balances:
        moving = {key: end for key, end in ends.items() if key not in _UNMOVED}
        flags, deciding = _computed(problem, asked, best, moving, seed)
        running = max(float(state.running_gauge[0]) for state in best.balances.values())
        unmoved = Effect(None, None, phrase("EFF-001", before=running, after=running))
        flags |= {key: ("G", unmoved, unmoved) for key in ends if key in _UNMOVED}
    for key in _waited_for(best):
        if key in ends:  # no re-run shows it: nothing is judged until it is known
            flags[key] = ("R", *flags.get(key, ("R", None, None))[1:])
    topics = open_topics(problem.inputs, problem.known, best)
    rows: list[Assumption] = []
    for key in keys:
        rows.append(_numeric(key, ends[key], problem.inputs, flags.get(key)))
    rows += [_topic(topic) for topic in topics]
    order = {"R": 0, "A": 1, "G": 2}
    rows.sort(key=lambda row: order[row.flag])
    numbered = tuple(_renumber(row, index) for index, row in enumerate(rows, 1))
    return Register(numbered, deciding)


def _waited_for(best: Evaluation | None) -> set[str]:
    """Fields that a check which is not decided waits for."""
    return {key for check in best.checks for key in check.waits_for} if best is not None else set()


def _of_the_answer(problem: Problem, best: Evaluation | None) -> list[str]:
    """What is assumed of an inflatable seal, of warming or a moving arm, where the answer rests on one."""
    found: list[str] = []
    warm_to = warmest(problem) if not problem.enters else best.choice.warm_to if best is not None else None
    if warm_to is not None:
        found += sorted(rests_on(problem.inputs, warm_to))
    if best is None:
        return found
    if best.choice.seal == "inflatable_seal":
        found += ["model.inflation", "model.inflatable_width", "model.inflatable_friction", "model.stand_off"]
    found += _OF_FAMILY[best.choice.pump.family]
    found += ["line.meal_break", "line.night_stop", "model.filler_stop", "model.line_heat"]
    if best.choice.pump.turns:
        found += ["model.relief_branch", *_LADDER]
        found += ["model.entrained_air"] if end_of(problem.inputs).by_weight else []
        found += ["model.precharge_share"] if buffer_matters(problem.inputs) else []
    if best.choice.stand == "moving_arm":
        found += ["model.change_arm", "model.pallet_exchange", "container.outside_diameter"]
    return found


def _renumber(row: Assumption, index: int) -> Assumption:
    return replace(row, number=f"A-{index:03d}")


def _weak_keys(inputs: Inputs, known: Evidence) -> list[str]:
    """Numeric inputs that are defaults or weakly known, in the order of the defaults table."""
    used = []
    for key, estimate in inputs.estimates.items():
        default = key in inputs.defaulted or (estimate.has_spread and key.startswith(CONDITIONS))
        weak = estimate.basis in WEAK_BASES and (key in inputs.rows or key in _EXTRA_KINDS)
        if (default or weak) and _relevant(key, inputs, known):
            used.append(key)
    place = {key: index for index, key in enumerate(inputs.rows)}
    return sorted(used, key=lambda key: place.get(key, -1))


# Never an assumption by itself: added where the answer rests on it (`_of_the_answer`), or said elsewhere.
_NOT_ALONE = frozenset(
    {"machine.lance_bore", "machine.lance_length", "model.lance_suction", "model.beside_suction",
     "model.inflation", "model.inflatable_width", "model.inflatable_friction", "model.stand_off",
     "enquiry.recipes_per_shift", "container.hoops", "destination.pressure", "model.entrained_air",
     "model.precharge_share"}
)  # fmt: skip
# Assumptions of a pump family, where the answer rests on one of its pumps.
_TWO_ROTORS = ["model.rotor_clearance_factor", "model.rotor_friction_share", "model.derate_viscosity"]
_OF_FAMILY: dict[str, list[str]] = {
    "progressing_cavity": [],
    "air_diaphragm": [
        "model.suction_net", "model.ball_back_flow", "model.ball_back_seated", "model.air_dead_share",
        "model.switch_time",
    ],
    "follower_piston": [
        "model.piston_friction", "model.check_back_flow", "model.packing_clearance", "model.air_dead_share",
        "model.switch_time",
    ],
    "lobe": _TWO_ROTORS,
    "external_gear": _TWO_ROTORS,
}  # fmt: skip
_OF_PUMPS = frozenset(key for keys in _OF_FAMILY.values() for key in keys) - {"model.suction_net"}
_ADDED = _NOT_ALONE | _HEAT | _OF_PUMPS | frozenset(_LADDER)
_OF_AN_ARM = frozenset({"model.change_arm", "model.pallet_exchange", "container.outside_diameter"})


def _relevant(key: str, inputs: Inputs, known: Evidence) -> bool:
    """Leave out defaults that play no part in this case."""
    way = way_out(inputs.kind)
    if way == "opening":
        return key in _BEHIND_A_BUNG
    if (way == "outlet" and key.startswith(_UNDER_A_PLATE)) or key in _ADDED:
        return False
    if key in _OF_AN_ARM:
        return bool(inputs.choices["enquiry.stand_wanted"] == "moving_arm")
    if key.startswith(("container.hoop_", "model.hoop_")) and inputs.estimates["container.hoops"].high <= 0.0:
        return False
    conditions: dict[str, bool] = {
        "product.activation_energy": known.kind == "one_point" or len(known.points) == 1,
        "evidence.rank": known.kind == "combined",
        "line.pressure_class": bool(inputs.choices["line.existing"]),  # else the class is ours to choose
        "model.levelling": way == "outlet",
        "enquiry.operator_share": "enquiry.drums_per_shift" in inputs.estimates,
        "model.suction_net": inputs.choices["enquiry.pump_wanted"] == "air_diaphragm",
        "model.change_fixed": "enquiry.change_time" not in inputs.estimates,
        # volume and diameter say the same
        "container.inside_height": inputs.kind != PLAINEST,
        "container.hoop_spacing": inputs.kind != PLAINEST,
        "shift.change_spread": supplies(inputs),
        "shift.react_time": supplies(inputs) and "enquiry.change_time" not in inputs.estimates,
        "enquiry.cleaning_time": inputs.likely("enquiry.recipes_per_shift") > 1.0,
        "model.liner_residue": bagged(inputs),
    }
    return conditions.get(key, inputs.estimates[key].has_spread)


def _computed(
    problem: Problem,
    asked: Evaluation | None,
    best: Evaluation,
    ends: dict[str, Estimate],
    seed: int,
) -> tuple[dict[str, tuple[Flag, Effect | None, Effect | None]], str]:
    variants = [Variant("", 0.0)]
    for key, estimate in ends.items():
        variants += [Variant(key, estimate.low), Variant(key, estimate.high)]
    narrowed = replace(problem, seasons=_seasons(asked, best, ends))
    together = batch(narrowed, variants, seed + STEP_SEED)
    results = outcomes(together, best.choice, variants)
    base, deciding = results[0], ""
    found: dict[str, tuple[Flag, Effect | None, Effect | None]] = {}
    plain: list[Outcome] | None = None
    if asked is not None and asked is not best and asked.balances:
        plain = outcomes(together, asked.choice, variants)
    for index, key in enumerate(ends):
        low, high = results[1 + 2 * index], results[2 + 2 * index]
        flags, lost = [], False
        for outcome in (low, high):
            flag, nothing_passes = _flag(problem, best, base, outcome, seed)
            flags.append(flag)
            lost = lost or nothing_passes
        as_asked = _asked_at(plain, index)
        if any(as_asked):
            flags.append("A")  # at one end what was asked would do: a size step
        flag = min(flags, key="RAG".index)
        if key.startswith("one_point.") and problem.size_withheld:
            flag = "R"
        if lost and not key.startswith(_OURS) and not deciding:
            deciding = key
        silent = problem.size_withheld
        found[key] = (
            flag,
            _effect(base, low, as_asked[0], silent),
            _effect(base, high, as_asked[1], silent),
        )
    return found, deciding


def _seasons(asked: Evaluation | None, best: Evaluation, ends: dict[str, Estimate]) -> tuple[str, ...]:
    """Seasons that decide a gate, and those whose temperature is itself an assumption."""
    wanted = {"winter"}
    for found in (asked, best):
        if found is not None:
            wanted |= {gate.deciding.season for gate in found.gates if gate.deciding is not None}
    named = (("product.temperature.norm", "norm"), ("product.temperature.high", "summer"))
    wanted |= {season for key, season in named if key in ends}
    return tuple(season for season in best.balances if season in wanted) or tuple(best.balances)


def _asked_at(plain: list[Outcome] | None, index: int) -> tuple[Outcome | None, Outcome | None]:
    """The arrangement as asked at the low and high end, where it passes there and not as the case stands."""
    if plain is None or plain[0].probability >= 0.95:
        return None, None
    ends = plain[1 + 2 * index], plain[2 + 2 * index]
    low, high = (end if end.probability >= 0.95 else None for end in ends)
    return low, high


def _lost(base: Outcome, outcome: Outcome) -> bool:
    """Whether an end fails by more than the small sample of the re-runs would make it fail anyway."""
    return outcome.probability < min(0.90, base.probability - 0.03)


def _flag(
    problem: Problem, best: Evaluation, base: Outcome, outcome: Outcome, seed: int
) -> tuple[Flag, bool]:
    """Flag of one end, and whether nothing passes there."""
    if best.passes and _lost(base, outcome):
        inputs = problem.inputs.with_estimate(
            outcome.variant.key,
            problem.inputs.estimates[outcome.variant.key].at(outcome.variant.value),
        )
        other = search(block_problem(problem, inputs, seed), limit=400, after=best.choice)
        if other.best is None:
            return "R", other.exhausted
        same = other.best.choice.pump.family == best.choice.pump.family
        return ("A", False) if same else ("R", False)
    if not best.passes and base.probability < 0.95 <= outcome.probability:
        return "R", False
    stepped = (outcome.motor, outcome.pressure_class) != (base.motor, base.pressure_class)
    return ("A" if stepped or outcome.moved >= MOVES else "G"), False


def _effect(base: Outcome, outcome: Outcome, as_asked: Outcome | None, silent: bool) -> Effect:
    if as_asked is not None:
        text = phrase("EFF-005", after=as_asked.running)
    elif outcome.probability < 0.90 <= base.probability:
        text = phrase(
            "EFF-003", check=check_sentence(outcome.failing, outcome.value, outcome.limit, outcome.season)
        )
    elif not (math.isfinite(outcome.motor) and math.isfinite(outcome.pressure_class)):
        text = phrase("EFF-004", before=base.running, after=outcome.running)
    elif (outcome.motor, outcome.pressure_class) != (base.motor, base.pressure_class) and silent:
        text = phrase("EFF-006", before=base.running, after=outcome.running)
    elif (outcome.motor, outcome.pressure_class) != (base.motor, base.pressure_class):
        text = phrase(
            "EFF-002",
            before=base.running,
            after=outcome.running,
            motor=outcome.motor,
            pressure_class=outcome.pressure_class,
        )
    else:
        text = phrase("EFF-001", before=base.running, after=outcome.running)
    return Effect(outcome.variant.value, None, text)


def _numeric(
    key: str, estimate: Estimate, inputs: Inputs, computed: tuple[Flag, Effect | None, Effect | None] | None
) -> Assumption:
    row = inputs.rows.get(key)
    flag: Flag = computed[0] if computed else (row.flag if row else "A")  # type: ignore[assignment]
    return Assumption(
        number="",
        field=key,
        meaning=phrase(f"MEANS-{key}"),
        kind=row.kind if row else _EXTRA_KINDS.get(key, "diameter"),
        low=estimate.low,
        likely=estimate.likely,
        high=estimate.high,
        choice="",
        basis=estimate.basis,
        source=row.source if row and key in inputs.defaulted else estimate.note,
        owner=row.owner if row else "customer",
        flag=flag,
        flag_from="computed" if computed else "trade",
        closed=False,
        effect_low=computed[1] if computed else None,
        effect_high=computed[2] if computed else None,
        ask=phrase(f"ASK-{key}"),
    )


def _topic(topic: Topic) -> Assumption:
    return Assumption(
        number="",
        field=topic.key,
        meaning=phrase(f"MEANS-{topic.key}"),
        kind="",
        low=None,
        likely=None,
        high=None,
        choice=topic.taken,
        basis=topic.basis,
        source=topic.source,
        owner=topic.owner,
        flag=topic.flag,
        flag_from="trade",
        closed=False,
        effect_low=None,
        effect_high=None,
        ask=phrase(f"ASK-{topic.key}"),
    )
