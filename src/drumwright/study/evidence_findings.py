"""What is known of the flow curve against what the machine needs, and what does not fit together."""

from __future__ import annotations

from drumwright.basis.phrases import phrase
from drumwright.product.ranges import reaches, sentence
from drumwright.station.evidence import APART, against_curves, contradictions
from drumwright.station.stock import Stock
from drumwright.study.evaluation import Problem
from drumwright.study.result import Finding, Result
from drumwright.study.shear_rates import needs_of

DECISIVE = ("line", "cavity")  # places whose pressure sizes the machine
FAR = 3.0  # times outside the measured range from which it is said; assumed


def disagreements(problem: Problem) -> list[Finding]:
    """Readings that do not fit together, or that the measured curves do not bear out, as conditions.

    Parameters
    ----------
    problem : Problem

    Notes
    -----
    The farthest apart first. What differs by less than instruments do stays in the register, beside measured
    curves a note.
    """
    product, known = problem.inputs.product, problem.known
    if known.kind == "combined" and known.band is not None:
        texts = contradictions(known.band, product, APART)
        return [Finding("evidence.contradiction", "condition", "", text) for text in texts]
    if known.points and product.evidence:
        far = against_curves(product, known.points, APART)
        near = [text for text in against_curves(product, known.points) if text not in far]
        said = [Finding("evidence.against_curve", "condition", "", text) for text in far]
        return said + [Finding("evidence.against_curve", "note", "", text) for text in near]
    return []


# Signs in a fitted curve that make its law doubtful; narrow and Casson are said where the fit is shown.
_DOUBTS = ("stress_not_rising", "poor_fit", "exponent_at_limit")


def fit_doubts(problem: Problem) -> list[Finding]:
    """Measured curves that their card doubts, or whose fit is not to be trusted without a look, each once.

    Parameters
    ----------
    problem : Problem
    """
    found: dict[str, Finding] = {}
    for temperature, fit in problem.known.fits:
        scatter = fit.model(fit.law_model).rms_relative
        for sign in fit.warnings:
            if sign in _DOUBTS and sign not in found:
                text = phrase(f"FND-fit.{sign}", temperature=temperature, value=scatter)
                found[sign] = Finding(f"fit.{sign}", "condition", "", text, "", scatter, None, "fraction")
    return [*_doubted_curves(problem), *found.values()]


def _doubted_curves(problem: Problem) -> list[Finding]:
    """Curves whose card says to use them with care, each doubt once."""
    found: dict[str, Finding] = {}
    for curve in problem.inputs.product.flow_curve:
        if curve.trust != "careful":
            continue
        usual = problem.known.reference_temperature
        temperature = curve.temperature.likely if curve.temperature is not None else usual
        key = "FND-fit.careful" if curve.doubt else "FND-fit.careful_unsaid"
        slots = {"text": curve.doubt} if curve.doubt else {}
        text = phrase(key, temperature=temperature, **slots)
        found.setdefault(curve.doubt or "", Finding("fit.careful", "condition", "", text))
    return list(found.values())


def range_notes(result: Result, stock: Stock | None = None) -> list[Finding]:
    """Places that read the flow curve far outside what was measured.

    Parameters
    ----------
    result : Result
        With its figures and fits.
    stock : Stock, optional
        Its pump is of; the generic one where None.

    Notes
    -----
    Of the fit measured over the widest range; the places that size the machine are named one by one, of the
    others the farthest.
    """
    if not result.fits or not result.figures:
        return []
    widest = max(result.fits, key=lambda fit: fit.shear_rate_high / fit.shear_rate_low)
    low, high = widest.shear_rate_low, widest.shear_rate_high
    outside = [reach for reach in reaches(needs_of(result, stock=stock), low, high) if reach.factor >= FAR]
    outside.sort(key=lambda reach: -reach.factor)
    named = [reach for reach in outside if reach.need.place in DECISIVE]
    named += [reach for reach in outside if reach.need.place not in DECISIVE][:1]
    return [
        Finding(f"evidence.range.{reach.need.place}", "note", "", sentence(reach, low, high))
        for reach in named
    ]
