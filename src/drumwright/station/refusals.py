"""Refuse what can be read but not computed with, by field, before anything is computed."""

from __future__ import annotations

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import InputError, Problem
from drumwright.machine.pump.stock import pumps
from drumwright.product.library import library, prior_of
from drumwright.station.records import Case, Container, Product

HEADSPACE = 0.075  # [m] trade book 1.2: 50-100 mm
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
    problems = []
    if case.machine.pump and case.machine.pump not in {pump.identifier for pump in pumps()}:
        names = ", ".join(pump.identifier for pump in pumps())
        problems.append(_problem(case, "machine.pump", "RES-001", text=case.machine.pump, names=names))
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
    if container is not None and container.inside_height is not None:
        headspace = container.headspace.likely if container.headspace else HEADSPACE
        if container.inside_height.likely - headspace < LEAST_FILL:
            problems.append(_problem(case, "container.headspace", "RES-004"))
    if problems:
        raise InputError(tuple(problems))


def _problem(case: Case, field: str, key: str, **slots: str) -> Problem:
    what, allowed, remedy = trouble(key, **slots)
    return Problem(case.source, 0, 0, field, what, allowed, remedy)
