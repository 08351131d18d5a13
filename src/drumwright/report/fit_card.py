"""A fitted product as a card for a case: every point, what was left out, and what is doubtful of it."""

from __future__ import annotations

import json
from pathlib import PurePath

import numpy as np

from drumwright.basis.phrases import phrase
from drumwright.basis.quantities import plain
from drumwright.flow.numbers import Array
from drumwright.product.curve_study import CurveStudy
from drumwright.report.words import Words
from drumwright.study.fitting import Fitted, batch_factor

DIGITS = 6  # of the numbers on a card


def card(fitted: Fitted, words: Words) -> str:
    """Return a product card with the curves that can be used; empty where there is none.

    Parameters
    ----------
    fitted : Fitted
        Flow curves as fitted.
    words : Words
        For the note on where each curve comes from.

    Notes
    -----
    Repeats at one shear rate become their geometric mean. Points left out stay on the card and are named in
    `left_out`; one that repeats a point that counts is named in `method`. A loop widens `batch_factor` to
    hold both sweeps. A curve without temperature carries none and is to be used with care.
    """
    rows = [text for study in fitted.studies if (text := _curve(study, fitted, words))]
    if not rows:
        return ""
    head = ["[product]", f"name = {_quoted(fitted.name or _stem(fitted, words))}"]
    factor = batch_factor(fitted.studies)
    if factor is not None:
        low, high = (plain(value, 3, trim=True) for value in factor)
        note = words.tell(phrase("FIT-card_loop"))
        spread = f"low = {low}, likely = 1, high = {high}"
        head.append(f'batch_factor = {{{spread}, basis = "measured", note = {_quoted(note)}}}')
    return "\n".join([*head, "", *rows])


def _stem(fitted: Fitted, words: Words) -> str:
    return words.say("fit.pasted") if fitted.source == "-" else PurePath(fitted.source).stem


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _curve(study: CurveStudy, fitted: Fitted, words: Words) -> str:
    rate, stress, left_out = _points(study)
    if study.trust == "not_usable" or study.fit is None or rate.size - left_out.size < 3:
        return ""
    head = ["[[product.flow_curve]]"]
    if study.temperature is not None:
        head.append(f'temperature = "{study.temperature - 273.15:.{DIGITS}g} C"')
    else:
        head.append(f"# {words.tell(phrase('FIT-card_temperature'))}")
    for name, column in (("shear_rate", rate), ("stress", stress), ("left_out", left_out)):
        if column.size:
            head.append(f"{name} = [{', '.join(f'{value:.{DIGITS}g}' for value in column)}]")
    head += ['shear_rate_unit = "1/s"', 'stress_unit = "Pa"', 'basis = "measured"']
    head += [f"method = {_quoted(_method(study, fitted, words))}", f'trust = "{study.trust}"']
    if study.reasons:
        head.append(f"doubt = {_quoted(' '.join(words.tell(each) for each in study.reasons))}")
    return "\n".join([*head, ""])


def _points(study: CurveStudy) -> tuple[Array, Array, Array]:
    """Distinct shear rates, their mean stresses, and the shear rates of which no point counts."""
    rounded = np.array([float(f"{rate:.{DIGITS}g}") for rate in study.shear_rate])
    rate, place = np.unique(rounded, return_inverse=True)
    counts = study.weights > 0.0
    left_out = np.bincount(place, counts) == 0.0
    used = np.where(counts | left_out[place], 1.0, 0.0)
    stress = np.exp(np.bincount(place, used * np.log(study.stress)) / np.bincount(place, used))
    return rate, stress, rate[left_out]


def _method(study: CurveStudy, fitted: Fitted, words: Words) -> str:
    assert study.fit is not None
    law = study.fit.law
    parts = {"tau_y": float(law.yield_stress), "k": float(law.consistency), "n": float(law.exponent)}
    said = words.tell(phrase("FIT-card_law", **parts))
    if study.outliers:
        out = [
            phrase("FIT-card_point", rate=float(study.shear_rate[i]), stress=float(study.stress[i]))
            for i in study.outliers
        ]
        said = f"{said}; {words.tell(phrase('FIT-card_left_out', points=out))}"
    trust = phrase(f"FIT-trust.{study.trust}")
    slots = {"source": fitted.source, "sweep": study.sweep or "-", "method": said}
    return words.tell(phrase("FIT-card_note", trust=trust, **slots))
