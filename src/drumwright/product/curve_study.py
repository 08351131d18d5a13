"""Everything that can be said of the flow curves of one product at one temperature."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from drumwright.basis.errors import FitError
from drumwright.basis.phrases import Phrase, phrase
from drumwright.flow.numbers import Array
from drumwright.product.choice import FEW
from drumwright.product.export_curves import Curve
from drumwright.product.fit import CurveFit, Model, fit_curve, modelled
from drumwright.product.quality import (
    Hysteresis,
    Runs,
    SlipLine,
    hysteresis,
    mooney,
    runs_of_signs,
    slip_signs,
)
from drumwright.product.ranges import USUAL, Need, Reach, reaches, sentence
from drumwright.product.resample import COUNT, Resamples, resample
from drumwright.product.weighting import outliers_found, repeat_weights, robust_weights

Trust = Literal["trusted", "careful", "not_usable"]
Weighting = Literal["equal", "repeats", "robust", "robust_asked"]
SAME_TEMPERATURE = 1.5  # K
GRID = 60
POOR, HOPELESS = 0.10, 0.30  # relative residual: said, and refused
FLAT, OVER = 1.02, 10.0  # stress that rises less than this over such a range of shear rate is no flow curve
FEW_VOTES = 0.6
SLIP_SHARE = 0.1  # share of the apparent shear rate that is slip and worth naming, assumed
SHAPE_MATTERS = 0.03  # relative residual below which a pattern is of no consequence


@dataclass(frozen=True, slots=True)
class CurveStudy:
    """One temperature: points, fit, how sure it is, and whether to believe it.

    Parameters
    ----------
    temperature : float or None
        [K]
    sweep : str
        Sweep that was fitted: "up", "down", or "".
    shear_rate, stress, weights : ndarray, shape (m,)
        Points of the fit [1/s], [Pa], [-], by rising shear rate.
    fit : CurveFit or None
        None where the points cannot be fitted.
    weighting : str
        "equal", "repeats" (by the scatter of repeats), "robust" (outliers found), "robust_asked".
    outliers : tuple of int
        Points left out.
    resamples : Resamples or None
        None where there are too few points.
    runs : Runs or None
        Signs of the residuals.
    loop : Hysteresis or None
        Up against down sweep.
    slip : tuple of str
        Signs of slip, see `quality.slip_signs`; "gaps_disagree" added.
    gaps : tuple of SlipLine
        Slip from several gaps.
    grid, band : ndarray
        Shear rates, shape (k,) [1/s], and stress low, fitted, high, shape (3, k) [Pa]; the band holds both
        sweeps.
    reach : tuple of Reach
        Places of the machine against the measured range.
    trust : str
        "trusted", "careful" or "not_usable".
    reasons : tuple of Phrase
        Why it is less than trusted.
    """

    temperature: float | None
    sweep: str
    shear_rate: Array
    stress: Array
    weights: Array
    fit: CurveFit | None
    weighting: Weighting
    outliers: tuple[int, ...]
    resamples: Resamples | None
    runs: Runs | None
    loop: Hysteresis | None
    slip: tuple[str, ...]
    gaps: tuple[SlipLine, ...]
    grid: Array
    band: Array
    reach: tuple[Reach, ...]
    trust: Trust
    reasons: tuple[Phrase, ...]

    def ranges(self) -> tuple[Phrase, ...]:
        """Return a sentence for every place of the machine."""
        low, high = float(self.shear_rate[0]), float(self.shear_rate[-1])
        return tuple(sentence(each, low, high) for each in self.reach)


def study_curves(
    curves: Iterable[Curve],
    *,
    model: Model | None = None,
    robust: bool = False,
    sweep: str = "",
    seed: int = 1,
    count: int = COUNT,
    needs: Sequence[Need] = USUAL,
) -> tuple[CurveStudy, ...]:
    """Study flow curves, one temperature after the other.

    Parameters
    ----------
    curves : iterable of Curve
        As read; those within 1.5 K of each other are one temperature.
    model : str, optional
        Model to take instead of the one the points choose.
    robust : bool
        Whether to leave out points far off the curve even where none was found.
    sweep : str
        "up" or "down" where the user says which to fit; else down where there are both, which is nearer to
        equilibrium.
    seed, count : int
        Seed and number of the resamples.
    needs : sequence of Need
        Shear rates the machine works at.

    Returns
    -------
    tuple of CurveStudy
        By rising temperature; curves without temperature first.
    """
    groups: list[list[Curve]] = []
    for curve in sorted(curves, key=lambda each: each.temperature or 0.0):
        last = groups[-1][0].temperature if groups else None
        same = curve.temperature == last or (
            None not in (curve.temperature, last) and abs(curve.temperature - last) <= SAME_TEMPERATURE  # type: ignore[operator]
        )
        if groups and same:
            groups[-1].append(curve)
        else:
            groups.append([curve])
    return tuple(_study(group, model, robust, sweep, seed, count, needs) for group in groups)


def _study(
    curves: list[Curve], model: Model | None, robust: bool, sweep: str, seed: int, count: int,
    needs: Sequence[Need],
) -> CurveStudy:  # fmt: skip
    fitted, wanted = _chosen_sweep(_widest(curves), sweep)
    rate, stress = (np.concatenate([getattr(c, name) for c in fitted]) for name in ("shear_rate", "stress"))
    order = np.argsort(rate, kind="stable")
    rate, stress = rate[order], stress[order]
    loop = _loop(curves)
    gapped = [(c.gap, c.shear_rate, c.stress) for c in curves if c.gap is not None]
    slips = mooney(gapped) if len({gap for gap, _, _ in gapped}) > 1 else ()
    disagree = bool(slips) and _gaps_disagree(slips, min(gap for gap, _, _ in gapped))
    signs = slip_signs(rate, stress) + (("gaps_disagree",) if disagree else ())
    blank = CurveStudy(
        curves[0].temperature, wanted, rate, stress, np.ones_like(rate), None, "equal", (), None, None, loop,
        signs, slips, rate, np.stack([stress] * 3), (), "not_usable", (),
    )  # fmt: skip
    try:
        weights, weighting, outliers = _weights(rate, stress, robust)
        found = _with_model(fit_curve(rate, stress, weights), model)
    except FitError as error:
        return replace(blank, reasons=(phrase("FIT-trust.no_fit", text=str(error)),))
    chosen = found.model(found.chosen)
    resamples = resample(rate, stress, weights, found, seed, count)
    grid = np.geomspace(rate[0], rate[-1], GRID)
    done = replace(
        blank, weights=weights, fit=found, weighting=weighting, outliers=outliers, resamples=resamples,
        runs=runs_of_signs(_residual(found, chosen.model, rate, stress)[weights > 0.0]), grid=grid,
        band=_band(found, resamples, grid, curves), reach=reaches(needs, float(rate[0]), float(rate[-1])),
    )  # fmt: skip
    trust, reasons = _trust(done)
    return replace(done, trust=trust, reasons=reasons)


def _widest(curves: list[Curve]) -> list[Curve]:
    """Curves of the widest gap where there are several gaps: they slip least."""
    gaps = {curve.gap for curve in curves if curve.gap is not None}
    return [curve for curve in curves if curve.gap == max(gaps)] if len(gaps) > 1 else curves


def _chosen_sweep(curves: list[Curve], sweep: str) -> tuple[list[Curve], str]:
    """Curves to fit: the sweep asked for, else the down sweep where it spans most of the range."""
    if sweep:
        named = [curve for curve in curves if curve.sweep == sweep]
        return (named, sweep) if named else (curves, "")
    down = [curve for curve in curves if curve.sweep == "down"]
    if not down or len(down) == len(curves):
        return curves, "down" if down else "" if any(c.sweep != "up" for c in curves) else "up"
    spans = [np.ptp(np.log(np.concatenate([c.shear_rate for c in part]))) for part in (down, curves)]
    return (down, "down") if spans[0] >= 0.8 * spans[1] else (curves, "")


def _loop(curves: list[Curve]) -> Hysteresis | None:
    sweeps = []
    for name in ("up", "down"):
        parts = [curve for curve in curves if curve.sweep == name]
        if not parts:
            return None
        sweeps.append(
            (np.concatenate([c.shear_rate for c in parts]), np.concatenate([c.stress for c in parts]))
        )
    return hysteresis(sweeps[0], sweeps[1])


def _gaps_disagree(slips: tuple[SlipLine, ...], smallest: float) -> bool:
    """Whether slip makes more than a tenth of the flow in the smallest gap [m] at the middle stress."""
    if not slips:
        return False
    middle = slips[len(slips) // 2]
    sliding = 2.0 * middle.velocity / smallest
    return sliding > SLIP_SHARE * (sliding + max(middle.shear_rate, 0.0)) and sliding > 0.0


def _weights(rate: Array, stress: Array, robust: bool) -> tuple[Array, Weighting, tuple[int, ...]]:
    repeats = repeat_weights(rate, stress)
    start = np.ones_like(rate) if repeats is None else repeats
    if robust:
        asked = robust_weights(rate, stress, start)
        return asked.weights, "robust_asked", asked.outliers
    found = outliers_found(rate, stress, start)
    if found is not None:
        return found.weights, "robust", found.outliers
    return start, "equal" if repeats is None else "repeats", ()


def _with_model(found: CurveFit, model: Model | None) -> CurveFit:
    """The fit with the model the user asked for; unchanged where the points do not allow it."""
    if model is None or model not in {each.model for each in found.models}:
        return found
    wanted = found.model(model)
    if wanted.law is None:
        return replace(found, chosen=model, reason="asked")
    return replace(found, chosen=model, reason="asked", law=wanted.law, law_model=model)


def _residual(found: CurveFit, model: Model, rate: Array, stress: Array) -> Array:
    values = {parameter.name: parameter.value for parameter in found.model(model).parameters}
    tau_y, n = values.get("yield_stress", 0.0), values.get("exponent", 1.0)
    return np.asarray(modelled(model, tau_y, values["consistency"], n, rate) / stress - 1.0)


def _band(found: CurveFit, resamples: Resamples | None, grid: Array, curves: list[Curve]) -> Array:
    """Low, fitted and high stress over the grid: resamples, widened to hold every sweep that was measured."""
    middle = np.asarray(found.law.stress(grid))
    low, high = (middle, middle) if resamples is None else resamples.band(grid)[[0, 2]]
    for curve in _widest(curves):
        order = np.argsort(curve.shear_rate, kind="stable")
        x, y = np.log(curve.shear_rate[order]), np.log(curve.stress[order])
        inside = (np.log(grid) >= x[0]) & (np.log(grid) <= x[-1])
        measured = np.exp(np.interp(np.log(grid), x, y))
        if curve.sweep:
            low = np.where(inside, np.minimum(low, measured), low)
            high = np.where(inside, np.maximum(high, measured), high)
    return np.stack([np.minimum(low, middle), middle, np.maximum(high, middle)])


def _trust(study: CurveStudy) -> tuple[Trust, tuple[Phrase, ...]]:
    """Whether to believe the fit, with the reasons; the first list refuses, the second warns."""
    fit = study.fit
    assert fit is not None
    rate, stress = study.shear_rate, study.stress
    residual = max(fit.model(name).rms_relative for name in (fit.chosen, fit.law_model))
    span, rise = float(rate[-1] / rate[0]), float(np.max(stress) / np.min(stress))
    distinct = int(np.unique(rate).size)
    third = max(1, rate.size // 3)
    falls = float(np.mean(np.log(stress[-third:])) - np.mean(np.log(stress[:third])))
    refused = (
        (distinct < 3, phrase("FIT-trust.two_points", count=distinct)),
        (rise < FLAT and span >= OVER, phrase("FIT-trust.flat", span=span)),
        (falls < -0.05, phrase("FIT-trust.falls")),
        (residual > HOPELESS, phrase("FIT-trust.hopeless", residual=residual)),
    )
    votes = 1.0 if study.resamples is None else study.resamples.votes.get(fit.chosen, 0.0)
    pattern = study.runs is not None and study.runs.pattern and residual > SHAPE_MATTERS
    warned = (
        (study.temperature is None, phrase("FIT-trust.no_temperature")),
        (3 <= distinct < FEW, phrase("FIT-trust.few_points", count=distinct)),
        (span < OVER, phrase("FIT-trust.narrow", span=span)),
        (POOR < residual <= HOPELESS, phrase("FIT-trust.poor", residual=residual)),
        (pattern, phrase("FIT-trust.pattern")),
        (votes < FEW_VOTES, phrase("FIT-trust.votes", share=votes)),
        (bool(study.outliers), phrase("FIT-trust.outliers", count=len(study.outliers))),
        (study.loop is not None and study.loop.visible, phrase("FIT-trust.loop")),
        (bool(study.slip), phrase("FIT-trust.slip")),
        ("exponent_at_limit" in fit.warnings, phrase("FIT-trust.exponent")),
    )
    no, careful = ([said for here, said in rows if here] for rows in (refused, warned))
    if no:
        return "not_usable", tuple(no + careful)
    return ("careful", tuple(careful)) if careful else ("trusted", ())
