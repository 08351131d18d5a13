"""Refuse what can be read but not computed with, by field, before anything is computed."""

from __future__ import annotations

import math

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import InputError, Problem
from drumwright.basis.quantities import show
from drumwright.machine.container.kinds import headspace, kind
from drumwright.product.library import library, prior_of
from drumwright.station.by_kind import PLAINEST
from drumwright.station.casefile import located
from drumwright.station.records import Case, Container, Product
from drumwright.station.stock import stock_for

LEAST_FILL = 0.01  # [m] of product a container must hold


def refuse_unusable(case: Case, product: Product, container: Container | None) -> None:
    """Refuse what cannot be computed with, by field, before anything is computed.

    Raises
    ------
    InputError
        If a named pump is not in the stock or a named prior not in the library, a flow law has no
        consistency, several curves do not each have a temperature of their own, or the headspace leaves
        nothing in the container.
    """
    problems = _without_pump(case)
    if product.prior and prior_of(product.prior) is None:
        listed = ", ".join(entry.name for entry in library())
        problems.append(_problem(case, "product.prior", "RES-020", text=product.prior, names=listed))
    for index, model in enumerate(product.model):
        if model.consistency is None or model.consistency.likely <= 0.0:
            problems.append(_problem(case, f"product.model[{index}].consistency", "RES-002"))
    rows = product.flow_curve or product.model
    stated = [row.temperature.likely if row.temperature else None for row in rows]
    if len(rows) > 1 and (None in stated or len(set(stated)) < len(stated)):
        name = "flow_curve" if product.flow_curve else "model"
        problems.append(_problem(case, f"product.{name}", "RES-003"))
    if container is not None:
        problems += _without_room(case, container)
    warm, top = case.site.warm_to, product.maximum_temperature
    if warm is not None and top is not None and warm.likely > top.likely:
        problems.append(_problem(case, "site.warm_to", "RES-006"))
    hall = case.site.heating == "hall_air"
    around = case.site.hall_temperature if hall else case.site.heating_temperature
    if warm is not None and around is not None and case.site.heating and around.likely <= warm.likely:
        field = "hall_temperature" if hall else "heating_temperature"
        problems.append(_problem(case, f"site.{field}", "RES-009"))
    if container is not None:
        problems += [_problem(case, f"container.{field}", key) for field, key in contradictions(container)]
    if problems:
        raise InputError(located(case, problems))


def _without_pump(case: Case) -> list[Problem]:
    """A named pump that the stock of the case does not hold; one no longer offered may be named."""
    if not case.machine.pump:
        return []
    names = [pump.identifier for pump in stock_for(case).pumps]
    if case.machine.pump in names:
        return []
    return [_problem(case, "machine.pump", "RES-001", text=case.machine.pump, names=", ".join(names))]


def _without_room(case: Case, container: Container) -> list[Problem]:
    """A headspace, stated or of the kind, that leaves nothing of the inside height, stated or of the kind."""
    own = kind(container.kind or PLAINEST)
    height, free = container.inside_height, container.headspace
    tall = (height or own.numbers["inside_height"]).likely
    empty = (free or headspace(own.name)).likely
    if (height is None and free is None) or tall - empty >= LEAST_FILL:
        return []
    field = "headspace" if free is not None else "inside_height"
    ends = (tall - LEAST_FILL, empty + LEAST_FILL)
    texts = {"height": tall, "headspace": empty, "most": ends[0], "least": ends[1]}
    slots = {name: show(value, "diameter") for name, value in texts.items()}
    key = "RES-004" if free is not None else "RES-011"
    return [_problem(case, f"container.{field}", key, **slots)]


OVERFULL = 1.05  # filled volume over that of the stated inside: more cannot be in it


def contradictions(container: Container) -> list[tuple[str, str]]:
    """Fields of a container that its other fields rule out, each with the key of what is wrong."""
    found = []
    inside, outside = container.inside_diameter, container.outside_diameter
    if inside is not None and outside is not None and outside.likely <= inside.likely:
        found.append(("outside_diameter", "RES-007"))
    tall, over = container.inside_height, container.outside_height
    if tall is not None and over is not None and over.likely <= tall.likely:
        found.append(("outside_height", "RES-007"))
    top, bottom = container.diameter_top, container.diameter_bottom
    if top is not None and bottom is not None and top.likely < bottom.likely:
        found.append(("diameter_top", "RES-010"))
    room, filled = _room(container), container.usable_volume
    if room is not None and filled is not None and filled.likely > room:
        found.append(("usable_volume", "RES-008"))
    return found


def _room(container: Container) -> float | None:
    """Greatest volume that a container of these dimensions, or of its kind, can hold [m3]."""
    own = kind(container.kind or PLAINEST)

    def size(name: str, of_kind: str) -> float | None:
        stated = getattr(container, name)
        usual = own.known(of_kind)
        return stated.likely if stated is not None else usual.high if usual is not None else None

    height = size("inside_height", "inside_height")
    top = size("diameter_top", "diameter_top") if container.inside_diameter is None else None
    bottom = size("diameter_bottom", "diameter_bottom")
    length, width = size("length", "length"), size("width", "width")
    if height is None:
        return None
    if own.section == "rectangular":
        return OVERFULL * height * length * width if length and width else None
    if container.inside_diameter is not None:
        return OVERFULL * 0.25 * math.pi * container.inside_diameter.likely**2 * height
    if top is None or bottom is None:
        return None
    return OVERFULL * math.pi / 12.0 * (top**2 + top * bottom + bottom**2) * height


def _problem(case: Case, field: str, key: str, **slots: str) -> Problem:
    what, allowed, remedy = trouble(key, **slots)
    return Problem(case.source, 0, 0, field, what, allowed, remedy)
