"""What the stock of a case says of the answer: which one it was, a tested pump used outside its test."""

from __future__ import annotations

import numpy as np

from drumwright.basis.phrases import phrase
from drumwright.machine.pump.air_test_points import AirFit
from drumwright.station.balance import Balance
from drumwright.study.evaluation import Evaluation, Problem
from drumwright.study.result import Finding

OFTEN = 0.05  # share of the samples from which a use outside the test points is a condition


def stock_notes(problem: Problem) -> list[Finding]:
    """Which stock the pumps were chosen from; nothing where it was the generic one.

    Parameters
    ----------
    problem : Problem
    """
    stock = problem.inputs.stock
    if stock.generic:
        return []
    count = len(stock.active_pumps)
    text = phrase("FND-stock.used", name=stock.name, digest=stock.digest[:16], count=count)
    return [Finding("stock.used", "note", "", text)]


def outside_test(problem: Problem, found: Evaluation) -> list[Finding]:
    """A tested pump that would run outside the range of its test points, in its worst season.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
        With its balances.
    """
    pump = found.choice.pump
    shares = {season: _outside(problem, found, state) for season, state in found.balances.items()}
    if pump.identifier not in problem.inputs.stock.fits or not shares:
        return []
    season = max(shares, key=lambda name: shares[name])
    if shares[season] < OFTEN:
        return []
    slots = {"article": pump.identifier, "share": shares[season], "season": phrase(f"SEASON-{season}")}
    text = phrase("FND-stock.outside_test", **slots)
    return [Finding("stock.outside_test", "condition", "pressure", text, condition=season)]


def _outside(problem: Problem, found: Evaluation, state: Balance) -> float:
    """Share of the samples in which speed, pressure, air or product lie outside the test points."""
    pump = found.choice.pump
    fit = problem.inputs.stock.fits.get(pump.identifier)
    if fit is None:
        return 0.0
    if isinstance(fit, AirFit):
        air = problem.sample["site.air_pressure"]
        return float(np.mean(fit.outside(air, np.maximum(state.running_gauge, 0.0))))
    added = np.maximum(state.pressure_added, 0.0)
    return float(np.mean(fit.outside(state.pump_wanted.speed, added, state.law)))
