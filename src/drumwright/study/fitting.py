"""Fit flow curves as they were sent, and say whether they reach where the machine reads them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from drumwright.basis.estimate import Estimate
from drumwright.basis.phrases import Phrase, phrase
from drumwright.product.curve_study import CurveStudy, Trust, study_curves
from drumwright.product.export_columns import Options
from drumwright.product.fit import Model
from drumwright.product.ranges import reaches
from drumwright.product.resample import COUNT
from drumwright.product.rheometer import read_export
from drumwright.product.temperature_fit import TemperatureLaw, temperature_law
from drumwright.station.product_card import FlowModel, Product
from drumwright.station.records import Case
from drumwright.station.stock import stock_for
from drumwright.study.assess import assess
from drumwright.study.shear_rates import needs_of

DEFAULT_BATCH = (0.9, 1.1)  # never narrower than the default of product.batch_factor
SAMPLES = 1024  # of the assessment that only gives shear rates
_WORST: tuple[Trust, ...] = ("not_usable", "careful", "trusted")


@dataclass(frozen=True, slots=True)
class Fitted:
    """Flow curves of one product, read and fitted.

    Parameters
    ----------
    name : str
        Name of the product, "" where none was given.
    source : str
        Name of the file, "-" for a pasted table.
    understood, problems : tuple of Phrase
        What was taken as what, and what is wrong, each with what to do.
    studies : tuple of CurveStudy
        By rising temperature; empty where nothing could be read.
    temperature_laws : tuple of (str, TemperatureLaw)
        Consistency and yield stress over temperature, where there are two temperatures or more.
    ranges_from : str
        "case" where the shear rates belong to an assessed case, "case_with_fit" where this fit stood in for
        the product of that case, "not_computed" where the case gave none, "usual" without a case.
    trust : str
        The worst of the studies; "not_usable" where there is none.
    seed, resamples : int
        Seed and number of the resamples.
    """

    name: str
    source: str
    understood: tuple[Phrase, ...]
    problems: tuple[Phrase, ...]
    studies: tuple[CurveStudy, ...]
    temperature_laws: tuple[tuple[str, TemperatureLaw], ...]
    ranges_from: str
    trust: Trust
    seed: int
    resamples: int


def fit(
    source: Path | bytes | str,
    case: Case | None = None,
    *,
    name: str = "",
    model: Model | None = None,
    robust: bool = False,
    sweep: str = "",
    options: Options | None = None,
    seed: int = 1,
    resamples: int = COUNT,
) -> Fitted:
    """Read and fit flow curves.

    Parameters
    ----------
    source : Path, bytes or str
        A file, its content, or a pasted table.
    case : Case, optional
        A case whose machine says which shear rates are needed; the usual machine where not given. A product
        of which the case knows no flow law is computed with the fitted one.
    name : str
        Name of the product.
    model : str, optional
        Model to take instead of the one the points choose.
    robust : bool
        Whether to leave out points far off the curve even where none was found.
    sweep : str
        "up" or "down" where there are both and the user chooses.
    options : Options, optional
        Units, columns, temperature and decimal mark where the file does not say them.
    seed, resamples : int
        Seed and number of the resamples.

    Returns
    -------
    Fitted
        With no studies and at least one problem where nothing can be read.

    Raises
    ------
    OSError
        If the file cannot be opened.
    InputError
        If the case cannot be computed with.
    """
    export = read_export(source, options)
    studies = study_curves(export.curves, model=model, robust=robust, sweep=sweep, seed=seed, count=resamples)
    studies, ranges_from = (studies, "usual") if case is None else _in_case(studies, case)
    problems = export.problems
    if any(study.temperature is None for study in studies):
        problems = (*problems, phrase("FIT-no_temperature"))
    trusts = [study.trust for study in studies] or ["not_usable"]
    return Fitted(
        name=name,
        source=source.name if isinstance(source, Path) else "-",
        understood=export.understood,
        problems=problems,
        studies=studies,
        temperature_laws=_over_temperature(studies),
        ranges_from=ranges_from,
        trust=min(trusts, key=_WORST.index),
        seed=seed,
        resamples=resamples,
    )


def _in_case(studies: tuple[CurveStudy, ...], case: Case) -> tuple[tuple[CurveStudy, ...], str]:
    """The studies against the shear rates of a case, of its machine as asked and as recommended."""
    laws = _laws(studies)
    products = tuple(
        each.model_copy(update={"model": laws}) if laws and not _knows(each) else each
        for each in case.product
    )
    stood_in = any(new is not old for new, old in zip(products, case.product, strict=True))
    result = assess(case.model_copy(update={"product": products}), samples=SAMPLES)
    needs = needs_of(result, also_asked=True, stock=stock_for(case))
    if not any(need.computed for need in needs):
        return studies, "not_computed"
    reached = tuple(
        replace(each, reach=reaches(needs, float(each.shear_rate[0]), float(each.shear_rate[-1])))
        if each.reach
        else each
        for each in studies
    )
    return reached, "case_with_fit" if stood_in else "case"


def _knows(product: Product) -> bool:
    """Whether a card says anything of the flow law."""
    listed = product.flow_curve or product.model or product.evidence
    return bool(listed) or product.viscosity is not None or product.prior is not None


def _laws(studies: tuple[CurveStudy, ...]) -> tuple[FlowModel, ...]:
    """Fitted laws for a card; one without temperature only where it is the only one."""
    usable = [each for each in studies if each.fit is not None and each.trust != "not_usable"]
    warm = [each for each in usable if each.temperature is not None] or usable[:1]
    found = []
    for study in warm:
        assert study.fit is not None
        law, at = study.fit.law, study.temperature
        tau_y, k, n = (
            Estimate.exact(float(value), "measured")
            for value in (law.yield_stress, law.consistency, law.exponent)
        )
        temperature = None if at is None else Estimate.exact(at, "measured")
        found.append(
            FlowModel.model_construct(
                temperature=temperature, yield_stress=tau_y, consistency=k, exponent=n, basis="measured"
            )
        )
    return tuple(found)


def batch_factor(studies: tuple[CurveStudy, ...]) -> tuple[float, float] | None:
    """Return low and high of the factor on the fitted stress that hold the other sweep, None without a loop.

    Parameters
    ----------
    studies : tuple of CurveStudy
        One product.

    Notes
    -----
    The greatest ratio of the other sweep to the fitted one, both ways of its root where both were fitted
    together; never narrower than the default from batch to batch.
    """
    low, high = DEFAULT_BATCH
    loops = [
        (each.loop.ratio, each.sweep)
        for each in studies
        if each.loop is not None and each.loop.visible and each.trust != "not_usable"
    ]
    for ratio, sweep in loops:
        ends = {"down": (ratio,), "up": (1.0 / ratio,)}.get(sweep, (ratio**0.5, ratio**-0.5))
        low, high = min(low, *ends), max(high, *ends)
    return (low, high) if loops else None


def _over_temperature(studies: tuple[CurveStudy, ...]) -> tuple[tuple[str, TemperatureLaw], ...]:
    """Laws of consistency and yield stress over temperature, where the same law was fitted throughout."""
    usable = [
        (each.temperature, each.fit.law)
        for each in studies
        if each.fit is not None and each.temperature is not None and each.trust != "not_usable"
    ]
    if len(usable) < 2:
        return ()
    found = []
    temperatures = [temperature for temperature, _ in usable]
    for name in ("consistency", "yield_stress"):
        values = [float(getattr(law, name)) for _, law in usable]
        if min(values) > 0.0:
            found.append((name, temperature_law(temperatures, values)))
    return tuple(found)
