"""Open answers that enter no computed figure: the letter of the trade book stands (design decision 3.2).

Each topic has a condition on the inputs, never on a product or a name.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from drumwright.station.inputs import Inputs
from drumwright.station.rheology import Evidence
from drumwright.station.vessel import way_out
from drumwright.study.checks import flammable
from drumwright.study.evaluation import Evaluation
from drumwright.study.material_findings import open_materials
from drumwright.study.result import Flag
from drumwright.study.topic_tests import (
    below_freezing,
    colder_store,
    curve_without_temperature,
    delivers_closed,
    exceeds,
    gas_cushion,
    has_bag,
    measured_span,
    one_curve_over_a_span,
    warmed,
    winter_unmeasured,
)

Test = Callable[[Inputs, Evidence, Evaluation | None], bool]


@dataclass(frozen=True, slots=True)
class Topic:
    """An open answer: what is taken meanwhile, and who can close it."""

    key: str
    flag: Flag
    taken: str  # key of a choice sentence, "" where nothing can be taken
    basis: str
    source: str
    owner: str
    condition: bool  # whether it stands as a condition of the verdict
    test: Test


_SEP = "trade book 1.3"
TOPICS: tuple[Topic, ...] = (
    Topic(
        "topic.container_kind",
        "R",
        "TAKEN-straight_drum",
        "assumed",
        "trade book 1.2",
        "customer",
        True,
        lambda i, k, b: i.choices["container.kind"] is None,
    ),
    Topic(
        "topic.container_change",
        "R",
        "TAKEN-none",
        "assumed",
        "trade book 1.2",
        "customer, supplier",
        False,
        lambda i, k, b: i.choices["container.kind"] == "tight_head_drum",
    ),
    Topic(
        "topic.warm_up",
        "A",
        "TAKEN-none",
        "assumed",
        "trade book 2.6",
        "customer",
        False,
        lambda i, k, b: i.choices["container.kind"] == "tight_head_drum" and measured_span(k) > 5.0,
    ),
    Topic(
        "topic.liner",
        "R",
        "TAKEN-liner",
        "assumed",
        "trade book 1.2, 8b",
        "customer",
        True,
        lambda i, k, b: i.choices["container.liner"] is None,
    ),
    Topic(
        "topic.liner_behaviour",
        "R",
        "TAKEN-none",
        "common_practice",
        "trade book 8b",
        "trial",
        True,
        lambda i, k, b: has_bag(i),
    ),
    Topic(
        "topic.diameters",
        "R",
        "TAKEN-none",
        "assumed",
        "trade book 1.2",
        "customer",
        True,
        lambda i, k, b: (
            i.choices["container.kind"] == "conical_drum" and not i.choices["container.diameters_measured"]
        ),
    ),
    Topic(
        "topic.flow_curve",
        "R",
        "TAKEN-none",
        "assumed",
        "trade book 1.1",
        "customer laboratory",
        True,
        lambda i, k, b: k.kind in ("none", "one_point", "combined"),
    ),
    Topic(
        "topic.single_curve",
        "A",
        "TAKEN-energy",
        "assumed",
        "trade book 1.1",
        "customer laboratory",
        False,
        one_curve_over_a_span,
    ),
    Topic(
        "topic.particles",
        "R",
        "TAKEN-no_particles",
        "assumed",
        "trade book 1.1",
        "customer",
        True,
        lambda i, k, b: "product.particles.size" not in i.estimates and i.product.particles is None,
    ),
    Topic(
        "topic.abrasion",
        "R",
        "TAKEN-not_abrasive",
        "assumed",
        "trade book 1.1",
        "customer",
        True,
        lambda i, k, b: i.choices["product.abrasive"] is None and "product.filler_share" not in i.estimates,
    ),
    Topic(
        "topic.quartz",
        "R",
        "TAKEN-abrasive",
        "common_practice",
        "trade book 1.1",
        "customer",
        True,
        lambda i, k, b: exceeds(i, "product.filler_share") or exceeds(i, "product.quartz_share"),
    ),
    Topic(
        "topic.damage_test",
        "R",
        "TAKEN-none",
        "common_practice",
        "trade book 1.1",
        "customer",
        True,
        lambda i, k, b: (
            "product.particles.size" in i.estimates
            and (
                "product.particles.damage_limit" in i.estimates or bool(i.choices["product.shear_sensitive"])
            )
        ),
    ),
    Topic(
        "topic.allergen",
        "R",
        "TAKEN-wet_clean",
        "common_practice",
        "trade book 1.1, 2.7",
        "customer",
        True,
        lambda i, k, b: bool(i.choices["product.allergens"]),
    ),
    Topic(
        "topic.seal_detectable",
        "A",
        "TAKEN-detectable",
        "common_practice",
        "trade book 1.1",
        "customer",
        False,
        lambda i, k, b: bool(i.choices["product.food"]),
    ),
    Topic(
        "topic.separation",
        "A",
        "TAKEN-not_separating",
        "assumed",
        "trade book 1.1; physics book 12",
        "customer laboratory",
        False,
        lambda i, k, b: i.choices["product.separates_under_pressure"] is None and k.yields,
    ),
    Topic(
        "topic.cure",
        "R",
        "TAKEN-stop",
        "assumed",
        "trade book 1.1",
        "customer",
        True,
        lambda i, k, b: i.choices["product.cures_with"] not in (None, "nothing"),
    ),
    Topic(
        "topic.isocyanate",
        "A",
        "TAKEN-training",
        "published",
        "REACH Annex XVII entry 74",
        "customer",
        False,
        lambda i, k, b: exceeds(i, "product.isocyanate_share", 0.001),
    ),
    Topic(
        "topic.flammable",
        "R",
        "TAKEN-not_flammable",
        "assumed",
        "trade book 1.1",
        "customer",
        True,
        lambda i, k, b: (
            i.choices["product.flammable"] is None
            and not i.choices["product.food"]
            and "product.flash_point" not in i.estimates
        ),
    ),
    Topic(
        "topic.zone",
        "R",
        "TAKEN-none",
        "assumed",
        "trade book 1.4",
        "operator of the plant",
        True,
        lambda i, k, b: flammable(i) and i.choices["site.zone"] in (None, "none", "unknown"),
    ),
    Topic(
        "topic.curve_temperature",
        "R",
        "TAKEN-norm",
        "assumed",
        "trade book 1.1",
        "customer laboratory",
        True,
        curve_without_temperature,
    ),
    Topic(
        "topic.pressure_class",
        "A",
        "TAKEN-class",
        "assumed",
        "trade book 1.2",
        "station layout",
        False,
        lambda i, k, b: "line.pressure_class" in i.defaulted and not i.choices["line.existing"],
    ),
    Topic(
        "topic.drums",
        "A",
        "TAKEN-flow_only",
        "assumed",
        "trade book 1.3",
        "customer",
        False,
        lambda i, k, b: "enquiry.drums_per_shift" not in i.estimates,
    ),
    Topic(
        "topic.safety_sheet",
        "R",
        "TAKEN-sheet",
        "assumed",
        "trade book 1.1",
        "customer",
        True,
        lambda i, k, b: not i.choices["product.safety_sheet_seen"],
    ),
    Topic(
        "topic.materials",
        "A",
        "TAKEN-no_elastomer",
        "assumed",
        "trade book 1.1",
        "customer",
        False,
        lambda i, k, b: b is None or bool(open_materials(i, b.choice)),
    ),
    Topic(
        "topic.core_temperature",
        "R",
        "TAKEN-core",
        "assumed",
        "trade book 1.1, 2.6",
        "customer",
        True,
        warmed,
    ),
    Topic(
        "topic.winter_temperature",
        "A",
        "TAKEN-winter",
        "customer",
        "trade book 1.1",
        "customer",
        False,
        winter_unmeasured,
    ),
    Topic(
        "topic.temperature",
        "R",
        "TAKEN-none",
        "assumed",
        "trade book 1.1",
        "customer",
        True,
        lambda i, k, b: {"product.temperature.low", "product.temperature.norm"} <= i.defaulted,
    ),
    Topic(
        "topic.closed_destination", "R", "TAKEN-stop30", "assumed", _SEP, "customer", True, delivers_closed
    ),
    Topic(
        "topic.stop_pattern",
        "R",
        "TAKEN-stop30",
        "assumed",
        _SEP,
        "customer",
        True,
        lambda i, k, b: (
            delivers_closed(i, k, b)
            and not i.choices["destination.stop_pattern_known"]
            and not {"destination.longest_stop", "destination.valve_closing_time"} <= set(i.estimates)
        ),
    ),
    Topic(
        "topic.inlet_limits",
        "R",
        "TAKEN-inlet",
        "assumed",
        _SEP,
        "customer",
        True,
        lambda i, k, b: delivers_closed(i, k, b) and "destination.inlet_pressure_high" not in i.estimates,
    ),
    Topic(
        "topic.gas_cushion", "R", "TAKEN-none", "assumed", "trade book 4.3", "customer", False, gas_cushion
    ),
    Topic("topic.freezing", "R", "TAKEN-none", "assumed", "trade book 8b", "customer", True, below_freezing),
    Topic(
        "topic.colder_store", "R", "TAKEN-none", "assumed", "trade book 8b", "customer", True, colder_store
    ),
    Topic(
        "topic.anchoring",
        "A",
        "TAKEN-no_anchor",
        "assumed",
        "trade book 1.4",
        "customer",
        False,
        lambda i, k, b: not i.choices["site.anchoring"],
    ),
)


_BEHIND_A_BUNG = frozenset(
    {
        "topic.container_change",
        "topic.warm_up",
        "topic.flow_curve",
        "topic.flammable",
        "topic.zone",
        "topic.safety_sheet",
        "topic.temperature",
    }
)


def open_topics(inputs: Inputs, known: Evidence, best: Evaluation | None) -> list[Topic]:
    """Topics that are open in this case, in the order of the table."""
    blocked = way_out(inputs.kind) == "opening"
    return [
        topic
        for topic in TOPICS
        if topic.test(inputs, known, best) and (not blocked or topic.key in _BEHIND_A_BUNG)
    ]
