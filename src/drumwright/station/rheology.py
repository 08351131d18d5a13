"""The product's flow law in each season, from whatever evidence the case holds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from drumwright.product.combine import Combined
from drumwright.product.fit import CurveFit, fit_curve
from drumwright.product.law import FlowLaw
from drumwright.product.one_point import law_from_one_point
from drumwright.product.regression import GAS_CONSTANT
from drumwright.product.resample import law_spread
from drumwright.product.temperature import law_at
from drumwright.station.evidence import combined
from drumwright.station.inputs import REFIT, Inputs, Sample
from drumwright.station.records import Product

Array = NDArray[np.float64]
REFITS = 256  # of each curve
TURNS = (1, 7, 19, 37, 61, 91)  # of the share from curve to curve, so that they do not go together
LEAST_YIELD = 1.0e-3  # of the fitted yield stress
EvidenceKind = Literal["curves", "models", "combined", "one_point", "none"]


@dataclass(frozen=True, slots=True)
class Evidence:
    """What is known of the flow curve: laws at temperatures, a band from readings, one number, or nothing."""

    kind: EvidenceKind
    points: tuple[tuple[float, FlowLaw], ...]
    fits: tuple[tuple[float, CurveFit], ...] = ()
    reference_temperature: float = 293.15
    band: Combined | None = None  # of the readings; beside a flow curve only to be compared with it
    spread: tuple[FlowLaw | None, ...] = ()  # refits of resampled curves, in the order of the points

    @property
    def yields(self) -> bool:
        """Whether any known law has a yield stress (one number or reading may hide one)."""
        return self.kind in ("one_point", "combined") or any(
            float(law.yield_stress) > 0.0 for _, law in self.points
        )

    @property
    def measured_range(self) -> tuple[float, float] | None:
        """Coldest and warmest temperature with evidence [K]."""
        if not self.points:
            return None
        temperatures = [temperature for temperature, _ in self.points]
        return min(temperatures), max(temperatures)


def evidence(product: Product, norm_temperature: float) -> Evidence:
    """Collect the evidence of a product card; measured curves, parameters, readings, one number.

    Parameters
    ----------
    product : Product
        The card.
    norm_temperature : float
        Temperature taken for evidence that names none [K].
    """
    if product.flow_curve:
        found = []
        for place, curve in enumerate(product.flow_curve):
            temperature = curve.temperature.likely if curve.temperature else norm_temperature
            points = (curve.shear_rates_si(), curve.stresses_si(), curve.weights())
            fit = fit_curve(*points)
            found.append((temperature, fit, law_spread(*points, fit, place, REFITS)))
        found.sort(key=lambda row: row[0])
        return Evidence(
            "curves",
            tuple((t, fit.law) for t, fit, _ in found),
            tuple((t, fit) for t, fit, _ in found),
            norm_temperature,
            spread=tuple(each for *_, each in found),
        )
    if product.model:
        laws = []
        for model in product.model:
            temperature = model.temperature.likely if model.temperature else norm_temperature
            tau_y = model.yield_stress.likely if model.yield_stress else 0.0
            exponent = model.exponent.likely if model.exponent else 1.0
            consistency = model.consistency.likely if model.consistency else 0.0
            laws.append((temperature, FlowLaw(tau_y, consistency, exponent)))
        laws.sort(key=lambda pair: pair[0])
        return Evidence("models", tuple(laws), (), norm_temperature)
    if product.evidence or (product.prior and product.viscosity is None):
        band = combined(product, norm_temperature)
        if band is not None:
            at = band.reference_temperature
            return Evidence("combined", ((at, _middle(band)),), (), at, band)
    if product.viscosity is not None:
        stated = product.viscosity_temperature
        return Evidence("one_point", (), (), stated.likely if stated else norm_temperature)
    return Evidence("none", (), (), norm_temperature)


def _middle(band: Combined) -> FlowLaw:
    """The likely law of a band, as plain numbers."""
    law = band.at(np.array([0.5]))
    return FlowLaw(*(float(np.asarray(v)[0]) for v in (law.yield_stress, law.consistency, law.exponent)))


def law_in_season(known: Evidence, temperature: Array, sample: Sample) -> tuple[FlowLaw, Array]:
    """Flow law over the samples at a temperature, batch spread included.

    Parameters
    ----------
    known : Evidence
        Must not be of kind "none".
    temperature : ndarray, shape (n,)
        [K]
    sample : mapping of ndarray, shape (n,)

    Returns
    -------
    FlowLaw, ndarray
        The law, and by how many kelvin the temperature lies outside the evidence.

    Raises
    ------
    ValueError
        If there is no evidence.
    """
    energy = sample["product.activation_energy"]
    if known.kind == "one_point":
        base = law_from_one_point(
            sample["product.viscosity"],
            sample["one_point.shear_rate"],
            sample["one_point.exponent"],
            sample["one_point.yield_share"],
        )
        shift = np.exp(energy / GAS_CONSTANT * (1.0 / temperature - 1.0 / known.reference_temperature))
        law = base.scaled(shift)
        beyond = np.abs(temperature - known.reference_temperature)
    elif known.band is not None and known.kind == "combined":
        base = known.band.at(sample["evidence.rank"])
        shift = np.exp(energy / GAS_CONSTANT * (1.0 / temperature - 1.0 / known.reference_temperature))
        law, beyond = base.scaled(shift), np.abs(temperature - known.reference_temperature)
    elif known.points:
        law, outside = law_at(_spread(known, sample), temperature, energy)
        beyond = np.asarray(outside)
    else:
        raise ValueError("no evidence of the flow curve")
    return law.scaled(sample["product.batch_factor"]), np.asarray(beyond)


def _spread(known: Evidence, sample: Sample) -> tuple[tuple[float, FlowLaw], ...]:
    """Laws of the curves over the samples: the fits at the likely point, elsewhere refits.

    Each sample takes one refit of each curve. A refit without yield stress counts as one of hardly any.
    """
    share = sample.get(REFIT)
    if not known.spread or share is None or share.size < 2:
        return known.points
    found = []
    for place, ((temperature, law), refits) in enumerate(zip(known.points, known.spread, strict=True)):
        if refits is None:
            found.append((temperature, law))
            continue
        own = np.modf(np.maximum(share, 0.0) * TURNS[place % len(TURNS)])[0]
        taken = (own * np.size(refits.consistency)).astype(int)
        names = ("yield_stress", "consistency", "exponent")
        fitted = [float(np.asarray(getattr(law, name))) for name in names]
        tau_y, k, n = (
            np.where(share < 0.0, one, np.asarray(getattr(refits, name), float)[taken])
            for one, name in zip(fitted, names, strict=True)
        )
        found.append((temperature, FlowLaw(np.maximum(tau_y, LEAST_YIELD * fitted[0]), k, n)))
    return tuple(found)


def season_temperature(inputs: Inputs, season: str) -> float:
    """Product temperature of a season [K]: winter is the low, norm the norm, summer the high value."""
    name = {"winter": "low", "norm": "norm", "summer": "high"}[season]
    return inputs.likely(f"product.temperature.{name}")
