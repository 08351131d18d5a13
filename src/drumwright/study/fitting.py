"""Fit flow curves as they were sent, and say whether they reach where the machine reads them."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from pathlib import Path

import numpy as np

from drumwright.basis.phrases import Phrase, phrase
from drumwright.machine.pump.progressing_cavity import hydraulic_diameter, seal_line_per_stage
from drumwright.machine.pump.stock import find
from drumwright.product.curve_study import CurveStudy, Trust, study_curves
from drumwright.product.export_columns import Options
from drumwright.product.fit import Model
from drumwright.product.ranges import USUAL, Need
from drumwright.product.resample import COUNT
from drumwright.product.rheometer import read_export
from drumwright.product.temperature_fit import TemperatureLaw, temperature_law
from drumwright.station.by_kind import defaults
from drumwright.station.records import Case
from drumwright.study.assess import assess
from drumwright.study.result import Result

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


def needs_of(result: Result) -> tuple[Need, ...]:
    """Return the shear rates at which an assessed machine reads the flow curve.

    Parameters
    ----------
    result : Result
        A finished answer.

    Returns
    -------
    tuple of Need
        Places that could be computed, the usual ones for the rest [1/s].

    Notes
    -----
    Line: the figure itself. Cavity: 8 v/d with the axial speed of the cavity. Seal line: sliding speed over
    film. Slip: 6 S/(L c^2). Gap: 6 Q/(2 pi r h^2) at the port edge. The last four are the Newtonian forms; a
    thinning product shears up to twice as fast at the wall.
    """
    found = {need.place: need for need in USUAL}
    arrangement, head = result.recommended, "recommended."
    if arrangement is None:
        arrangement, head = result.asked_arrangement, ""
    values = {
        key: [
            getattr(item, part)
            for item in result.figures
            if item.key == head + key
            for part in ("low", "high")
        ]
        for key in (
            "line.wall_shear_rate",
            "pump.speed",
            "pump.sliding_speed",
            "pump.slip",
            "residue.flow_gap",
        )
    }
    _add(found, "line", values["line.wall_shear_rate"])
    part = next((each for each in arrangement.parts if each.role == "pump" and each.stock), None)
    pump = find(part.stock) if part is not None else None
    if pump is not None and pump.family == "progressing_cavity":
        geometry = (pump.eccentricity, pump.rotor_diameter)
        film = defaults()["model.drag_film"].estimate
        gap = defaults()["model.clearance"].estimate.likely
        line = seal_line_per_stage(*geometry, pump.stator_pitch)
        _add(
            found,
            "cavity",
            [8.0 * pump.stator_pitch * v / hydraulic_diameter(*geometry) for v in values["pump.speed"]],
        )
        _add(found, "seal_line", [v / f for v in values["pump.sliding_speed"] for f in (film.low, film.high)])
        _add(found, "slip", [6.0 * v / (line * gap**2) for v in values["pump.slip"]])
    plate = next((each for each in arrangement.parts if each.role == "plate" and each.size), None)
    flow = next((item.likely for item in result.figures if item.key == head + "station.flow"), 0.0)
    if plate is not None and plate.size and flow > 0.0:
        around = pi * plate.size
        _add(found, "gap", [6.0 * flow / (around * h**2) for h in values["residue.flow_gap"] if h > 0.0])
    return tuple(found.values())


def _add(found: dict[str, Need], place: str, rates: list[float]) -> None:
    finite = [rate for rate in rates if np.isfinite(rate) and rate > 0.0]
    if finite:
        found[place] = Need(place, min(finite), max(finite), True)
