"""Which open answers are worth asking for first: what decides the verdict before what changes a size."""

from __future__ import annotations

from drumwright.basis.phrases import Phrase, phrase
from drumwright.study.register import Register
from drumwright.study.result import Assumption, Question

# Questions that belong together in one sentence to the customer; the first key present leads.
_GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "flow_curve",
        (
            "product.flow_curve",
            "topic.flow_curve",
            "topic.curve_temperature",
            "one_point.shear_rate",
            "one_point.exponent",
            "one_point.yield_share",
            "evidence.rank",
        ),
    ),
    (
        "temperature",
        (
            "topic.temperature",
            "topic.core_temperature",
            "product.temperature.low",
            "product.temperature.norm",
            "topic.winter_temperature",
            "topic.colder_store",
        ),
    ),
    ("closed", ("topic.stop_pattern", "topic.closed_destination", "topic.inlet_limits")),
    (
        "container",
        (
            "topic.container_kind",
            "topic.container_change",
            "topic.diameters",
            "container.diameter_top",
            "container.diameter_bottom",
            "container.inside_diameter",
        ),
    ),
    ("liner", ("topic.liner", "topic.liner_behaviour", "model.liner_residue")),
    ("cure", ("topic.cure",)),
    ("damage", ("topic.damage_test",)),
    ("allergen", ("topic.allergen",)),
    ("abrasion", ("topic.quartz", "topic.abrasion")),
    ("zone", ("topic.zone", "topic.flammable", "topic.safety_sheet")),
    ("restart", ("product.restart_factor",)),
    ("cold_curve", ("topic.single_curve", "product.activation_energy")),
    ("route", ("line.own_hose", "line.fittings_diameters", "line.rise")),
    ("feed_trial", ("model.feed_margin", "model.filling_factor")),
    ("demand", ("enquiry.flow",)),
)
# Model quantities are ours to narrow by a trial, not the customer's to answer.
OURS = ("model.", "machine.")


def questions(numbers: Register, missing: frozenset[str]) -> tuple[Question, ...]:
    """Rank all open answers; the first three are asked first.

    Notes
    -----
    Missing answers without any default come first, then R before A before G; what a trial or a choice of ours
    settles after what the customer can answer today, what is asked of everybody (data sheet, pieces, filler)
    after the sizes this case turns on; inside a group computed flags before letters.
    """
    found: list[tuple[tuple[int, int, int], str, Phrase, Phrase, Assumption | None, tuple[str, ...]]] = []
    for key in sorted(missing, key=lambda name: (name != "product.flow_curve", name)):
        found.append(((-1, 0, 0), key, phrase(f"ASK-{key}"), phrase("BECAUSE-missing"), None, ()))
    seen = {name for name, keys in _GROUPS if missing & set(keys)} | set(missing)
    for row in numbers.assumptions:
        group = next((name for name, keys in _GROUPS if row.field in keys), row.field)
        if group in seen or (row.field.startswith(OURS) and row.flag != "R"):
            continue
        seen.add(group)
        together = tuple(
            a.number
            for a in numbers.assumptions
            if a.field == row.field or any(name == group and a.field in keys for name, keys in _GROUPS)
        )
        because = _because(row)
        rank = (tier(row), 0 if row.flag_from == "computed" else 1, _place(group))
        found.append((rank, row.field, row.ask, because, row, together))
    found.sort(key=lambda item: item[0])
    return tuple(
        Question(index, key, ask, because, row.flag if row else "R", numbers_)
        for index, (_, key, ask, because, row, numbers_) in enumerate(found, 1)
    )


# Asked of everybody: R by the letter, but after what this very case turns on.
_ROUTINE = frozenset({"topic.safety_sheet", "topic.particles", "topic.abrasion"})


def tier(row: Assumption) -> int:
    """Place of an open answer before anything is computed, 0 first.

    R that the customer can close, R that a trial of ours closes, A computed, routine R, other A, G.

    Parameters
    ----------
    row : Assumption
    """
    if row.field in _ROUTINE:
        return 3
    if row.flag == "A":
        return 2 if row.flag_from == "computed" else 4
    if row.flag == "G":
        return 5
    return 1 if row.field.startswith(OURS) else 0


def _place(group: str) -> int:
    names = [name for name, _ in _GROUPS]
    return names.index(group) if group in names else len(names)


def _because(row: Assumption) -> Phrase:
    effects = [effect.text for effect in (row.effect_low, row.effect_high) if effect is not None]
    if effects and row.flag != "G":
        return max(
            effects,
            key=lambda text: ("EFF-001", "EFF-002", "EFF-006", "EFF-005", "EFF-004", "EFF-003").index(
                text.key
            ),
        )
    return phrase(f"BECAUSE-{row.flag}")
