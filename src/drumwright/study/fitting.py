"""Fit flow curves as they were sent, and say whether they reach where the machine reads them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from drumwright.basis.phrases import Phrase, phrase
from drumwright.product.curve_study import CurveStudy, Trust, study_curves
from drumwright.product.export_columns import Options
from drumwright.product.fit import Model
from drumwright.product.ranges import USUAL
from drumwright.product.resample import COUNT
from drumwright.product.rheometer import read_export
from drumwright.product.temperature_fit import TemperatureLaw, temperature_law
from drumwright.station.records import Case
from drumwright.study.assess import assess
from drumwright.study.shear_rates import needs_of

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
        "case" where the shear rates belong to an assessed case, else "usual".
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
        A case whose machine says which shear rates are needed; the usual machine where not given.
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
    needs = USUAL if case is None else needs_of(assess(case, samples=SAMPLES))
    studies = study_curves(
        export.curves, model=model, robust=robust, sweep=sweep, seed=seed, count=resamples, needs=needs
    )
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
        ranges_from="usual" if needs is USUAL else "case",
        trust=min(trusts, key=_WORST.index),
        seed=seed,
        resamples=resamples,
    )


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
