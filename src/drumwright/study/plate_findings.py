"""What is worth saying of plate and residue: why this seal, what moves the heel, what to measure next."""

from __future__ import annotations

from typing import Any

import numpy as np

from drumwright.basis.phrases import phrase
from drumwright.machine.container.lance_hole import lance_hole
from drumwright.machine.plate.end_gap import available_force, levers
from drumwright.machine.plate.recovery import shares
from drumwright.machine.plate.seal_choice import choose_seal
from drumwright.station.emptied import last_rate
from drumwright.station.plate_feed import rim_at_end
from drumwright.station.vessel import filled_height, likely_shape_of
from drumwright.study.container_figures import container_values
from drumwright.study.raising import outlet_notes, raising_notes
from drumwright.study.result import Finding

HOLE = 0.05  # [m] radius of the hole a suction pipe makes
DRIVES = 0.4  # share of the spread from which one place is worth measuring first
# What to measure of a place; the question of the register is asked again.
_MEASURE = {
    "heel": "container.bottom_mismatch", "hoops": "container.hoop_depth", "wall": "model.wall_gap",
    "liner": "model.liner_residue", "corner": "model.corner", "film": "model.film_gradient",
    "pocket": "model.stand_off", "leak": "container.inside_diameter", "bin_corners": "model.corner",
}  # fmt: skip


def plate_findings(scene: Any) -> list[Finding]:
    """Notes on the plate of an arrangement in one season.

    Parameters
    ----------
    scene : figures.Scene
        With a residue.
    """
    if scene.left is None:
        return []
    if not scene.evaluation.choice.plated:
        return [*_narrow(scene), *outlet_notes(scene)]
    notes = [*_without(scene), *_narrow(scene), *_levers(scene), *_other_seals(scene), *_raising(scene)]
    return notes + raising_notes(scene)


def _raising(scene: Any) -> list[Finding]:
    """Air that must come in under the rising plate, and air that the next container lets in."""
    found = {key: float(values[0]) for key, values in container_values(scene).items()}
    if "air.lasts" not in found:
        return []
    up = phrase(
        "FND-withdrawal.air", vent=found["withdrawal.vent_bore"], suction=found["container.lift_off"],
        orifice=found["withdrawal.orifice"], assist=found["container.assist_limit"],
        time=found["withdrawal.time"],
    )  # fmt: skip
    change = phrase(
        "FND-air.change", air=found["air.let_in"], share=found["air.share"], lasts=found["air.lasts"]
    )
    vent, air = found["withdrawal.vent_bore"], found["air.let_in"]
    pull, lift = found["withdrawal.force"], found["stand.lift_available"]
    torn = phrase("FND-stand.lift", value=pull, limit=lift)
    slow = [Finding("stand.lift", "note", "", torn, "withdrawal.force", pull, lift, "force")]
    return [
        *(slow if pull > lift else []),
        Finding("withdrawal.air", "note", "", up, "withdrawal.vent_bore", vent, None, "diameter"),
        Finding("air.change", "note", "", change, "air.let_in", air, None, "volume"),
    ]


def _without(scene: Any) -> list[Finding]:
    """What a drum would keep without the plate that was not wished for."""
    problem, state = scene.problem, scene.state
    if problem.inputs.choices["enquiry.plate_wanted"] != "none":
        return []
    sample, tau_y = problem.sample, np.asarray(state.law.yield_stress)
    height = filled_height(sample, state.feed.shape)
    rested = tau_y * sample["product.restart_factor"]
    hole = lance_hole(state.feed.shape, height, HOLE, rested, tau_y, sample["product.density"])
    kept = float((np.asarray(hole.heel) / sample["container.usable_volume"])[0])
    stands = float(np.minimum(hole.standing, height)[0])
    text = phrase("FND-no_plate.wish", value=kept, depth=stands, season=phrase(f"SEASON-{scene.season}"))
    return [Finding("no_plate.wish", "overruled", "container_plate", text, "", kept, None, "fraction")]


def _narrow(scene: Any) -> list[Finding]:
    """The place whose spread drives what stays, and what to measure."""
    found = shares({place: values[1:] for place, values in scene.left.places.items()})
    place, share = max(found.items(), key=lambda item: item[1])
    if share < DRIVES:
        return []
    plated = scene.evaluation.choice.plated
    ask = phrase(f"ASK-{_MEASURE[place]}" if plated else "ASK-model.levelling")
    where = phrase(f"PLACE-{place}" if plated or place != "heel" else "PLACE-levelled")
    text = phrase("FND-residue.driver", place=where, value=share, ask=ask)
    return [Finding("residue.driver", "note", "", text, "residue.volume", share, None, "fraction")]


def _levers(scene: Any) -> list[Finding]:
    """End gap as it is, and after each change that could make it smaller."""
    state, choice = scene.state, scene.evaluation.choice
    bottom = float(np.broadcast_to(state.feed.shape.bottom_area, state.flow.shape)[0])
    push = available_force(state.force[0], bottom, state.atmosphere[0], scene.left.port_absolute[0])
    parts = (state.law.yield_stress, state.law.consistency, state.law.exponent)
    tau_y, consistency, exponent = (float(np.asarray(part).flat[0]) for part in parts)
    rate, radius = float(last_rate(scene.problem.sample, state)[0]), float(np.sqrt(bottom / np.pi))
    gaps = levers(max(float(push), 1.0), rate, radius, 0.5 * choice.port, tau_y, consistency, exponent)
    text = phrase("FND-heel.levers", **gaps)
    return [Finding("heel.levers", "note", "", text, "residue.flow_gap", gaps["as_is"], None, "diameter")]


def _other_seals(scene: Any) -> list[Finding]:
    """Seals that do not fit this container, each with the number that speaks against it."""
    problem, state, choice = scene.problem, scene.state, scene.evaluation.choice
    rim = float(rim_at_end(state.feed, choice, scene.left.port_absolute)[0])
    tau_y = float(np.asarray(state.law.yield_stress).flat[0])
    fits = choose_seal(likely_shape_of(problem.inputs), rim, float(state.feed.push[0]), tau_y)
    found = []
    for fit in fits:
        if fit.seal == choice.seal or fit.fits:
            continue
        first = fit.rejections[0]
        text = phrase(
            f"SEAL-{first.criterion}", seal=phrase(f"KIND-{fit.seal}"), value=first.value, limit=first.limit
        )
        found.append(Finding(f"seal.{fit.seal}", "note", "", text, "", first.value, first.limit, ""))
    return found
