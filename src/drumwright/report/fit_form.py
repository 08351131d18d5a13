"""Fitted flow curves as lines of 80 columns, as JSON of one shape, and as a product card."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator
from typing import Any

from drumwright.basis.phrases import Phrase, phrase
from drumwright.product.curve_study import CurveStudy
from drumwright.product.fit import PARAMETERS, Model, ModelFit
from drumwright.product.temperature_fit import TemperatureLaw
from drumwright.report.folding import wrapped
from drumwright.report.words import Words
from drumwright.study.fitting import Fitted

FORM = "drumwright.fit/1"
WIDTH = 80
_KINDS = {"yield_stress": "stress", "consistency": "consistency", "exponent": "exponent"}
Json = dict[str, Any]


def lines(fitted: Fitted, words: Words) -> Iterator[str]:
    """Yield the screen of `drumwright fit`.

    Parameters
    ----------
    fitted : Fitted
        Flow curves as fitted.
    words : Words
        Labels and units.
    """
    yield from _list(words.say("fit.understood"), fitted.understood, words)
    yield from _list(words.say("fit.problems"), fitted.problems, words)
    if not fitted.studies:
        yield words.say("fit.nothing")
    for study in fitted.studies:
        yield ""
        yield from _study(study, words)
    if fitted.temperature_laws:
        yield ""
        for said in _over_temperature(fitted):
            yield from wrapped(words.tell(said), "")
    shown = next((study for study in fitted.studies if study.reach), None)
    if shown is not None:
        yield ""
        source = phrase(f"FIT-ranges_{fitted.ranges_from}")
        yield from _list(words.say("fit.ranges"), (*_all_ranges(fitted), source), words)


def _all_ranges(fitted: Fitted) -> tuple[Phrase, ...]:
    """Sentences of the curve that reaches least far, each once."""
    found = [study for study in fitted.studies if study.reach]
    worst = max(found, key=lambda study: sum(math.log(each.factor) for each in study.reach))
    return tuple(dict.fromkeys(worst.ranges()))


def _list(title: str, said: tuple[Phrase, ...], words: Words) -> Iterator[str]:
    if said:
        yield title
        for each in said:
            yield from wrapped(words.tell(each), "  - ")


def _study(study: CurveStudy, words: Words) -> Iterator[str]:
    warm = study.temperature
    shown = words.say("fit.temperature_unknown") if warm is None else words.value(warm, "temperature")
    low, high = float(study.shear_rate[0]), float(study.shear_rate[-1])
    yield words.say("fit.curve", temperature=shown, points=study.shear_rate.size, low=low, high=high)
    if study.fit is not None:
        yield words.say("fit.columns" if study.resamples else "fit.columns_no_votes")
        for model in study.fit.models:
            yield from _model(model, study, words)
        for said in _choice(study, words):
            yield from wrapped(words.tell(said), "  ")
    for said in findings(study):
        yield from wrapped(words.tell(said), "  - ")
    trust = words.tell(phrase(f"FIT-trust.{study.trust}"))
    yield from wrapped(words.say("fit.trust", trust=trust), "  ")
    for said in study.reasons:
        yield from wrapped(words.tell(said), "  - ")


def _model(model: ModelFit, study: CurveStudy, words: Words) -> Iterator[str]:
    assert study.fit is not None
    mark = "*" if model.model == study.fit.chosen else " "
    votes = "" if study.resamples is None else f"{100.0 * study.resamples.votes[model.model]:.0f} %"
    residual = f"{100.0 * model.rms_relative:.2g} %"
    head = f"{mark} {words.name('model', model.model):<19}{residual:>7}  {votes:>5}  "
    parts = []
    for name in PARAMETERS[model.model]:
        low, value, high = _band(model, name, study)
        label, kind = _named(model.model, name)
        parts.append(f"{words.name('parameter', label)} {words.band(low, value, high, kind)}")
    yield from textwrap.wrap(", ".join(parts), WIDTH, initial_indent=head, subsequent_indent=" " * 37)


def _named(model: Model, name: str) -> tuple[str, str]:
    """Label and kind of a parameter: the consistency of a law without exponent is a viscosity."""
    if name == "consistency" and "exponent" not in PARAMETERS[model]:
        return "viscosity", "viscosity"
    return name, _KINDS[name]


def _band(model: ModelFit, name: str, study: CurveStudy) -> tuple[float, float, float]:
    """P5, value and P95 of a parameter; the 95 % interval of the linearised fit without resamples."""
    parameter = model.parameter(name)
    if study.resamples is None:
        return parameter.low, parameter.value, parameter.high
    low, high = study.resamples.interval(model.model, name)
    return min(low, parameter.value), parameter.value, max(high, parameter.value)


def _choice(study: CurveStudy, words: Words) -> Iterator[Phrase]:
    fit = study.fit
    assert fit is not None
    name = words.name("model", fit.chosen)
    yield phrase("FIT-chosen", model=name[:1].upper() + name[1:], reason=phrase(f"FIT-reason.{fit.reason}"))
    if fit.chosen != fit.law_model:
        residual = fit.model(fit.law_model).rms_relative
        yield phrase("FIT-casson", model=words.name("model", fit.law_model), residual=residual)
    yield phrase(f"FIT-weight.{study.weighting}")


def findings(study: CurveStudy) -> tuple[Phrase, ...]:
    """Return what was found of loop, slip and points left out.

    Parameters
    ----------
    study : CurveStudy
        One temperature.
    """
    found = []
    if study.loop is not None:
        found.append(phrase("FIT-loop", area=study.loop.area, at=study.loop.at, ratio=study.loop.ratio))
        if study.sweep:
            found.append(phrase("FIT-loop_fitted", sweep=study.sweep))
    for place in study.outliers:
        rate, stress = float(study.shear_rate[place]), float(study.stress[place])
        assert study.fit is not None
        off = float(study.fit.law.stress(rate)) / stress - 1.0
        found.append(phrase("FIT-left_out", rate=rate, stress=stress, off=abs(off)))
    found += [phrase(f"FIT-slip.{sign}") for sign in study.slip]
    if "gaps_disagree" in study.slip:
        middle = study.gaps[len(study.gaps) // 2]
        slots = {"stress": middle.stress, "velocity": middle.velocity}
        if middle.shear_rate > 0.0:
            found.append(phrase("FIT-slip_line", rate=middle.shear_rate, **slots))
        else:
            found.append(phrase("FIT-slip_all", **slots))
    return tuple(found)


def _over_temperature(fitted: Fitted) -> Iterator[Phrase]:
    names = {"consistency": "Consistency", "yield_stress": "Yield stress"}
    for key, law in fitted.temperature_laws:
        slots: dict[str, Any] = {"name": names[key], "low": law.low, "high": law.high}
        if law.name == "vft":
            yield phrase("FIT-vft", t0=law.t0, energy=float(law.energy_at(law.low)), **slots)
        else:
            yield phrase("FIT-arrhenius", energy=float(law.energy_at(law.low)), **slots)


def as_dictionary(fitted: Fitted, words: Words) -> Json:
    """Return everything as plain data, SI units.

    Parameters
    ----------
    fitted : Fitted
        Flow curves as fitted.
    words : Words
        For the sentences.

    Notes
    -----
    A number that is not finite becomes null.
    """
    return {
        "form": FORM,
        "name": fitted.name,
        "source": fitted.source,
        "trust": fitted.trust,
        "understood": [words.tell(each) for each in fitted.understood],
        "problems": [words.tell(each) for each in fitted.problems],
        "curves": [_curve_data(study, words) for study in fitted.studies],
        "temperature_laws": {key: _law_data(law) for key, law in fitted.temperature_laws},
        "ranges_from": fitted.ranges_from,
        "seed": fitted.seed,
        "resamples": fitted.resamples,
    }


def _curve_data(study: CurveStudy, words: Words) -> Json:
    fit, loop = study.fit, study.loop
    return {
        "temperature": study.temperature,
        "sweep": study.sweep,
        "points": [list(pair) for pair in zip(study.shear_rate.tolist(), study.stress.tolist(), strict=True)],
        "weighting": study.weighting,
        "left_out": list(study.outliers),
        "models": [] if fit is None else [_model_data(model, study) for model in fit.models],
        "chosen": None if fit is None else fit.chosen,
        "reason": None if fit is None else fit.reason,
        "law": None if fit is None else _floats(fit.law, ("yield_stress", "consistency", "exponent")),
        "band": {
            "shear_rate": study.grid.tolist(),
            "low": study.band[0].tolist(),
            "high": study.band[2].tolist(),
        },
        "hysteresis": None if loop is None else loop._asdict(),
        "slip_signs": list(study.slip),
        "slip": [each._asdict() for each in study.gaps],
        "findings": [words.tell(each) for each in findings(study)],
        "ranges": [_reach_data(study, index, words) for index in range(len(study.reach))],
        "trust": study.trust,
        "reasons": [words.tell(each) for each in study.reasons],
    }


def _model_data(model: ModelFit, study: CurveStudy) -> Json:
    rows = {}
    for name in PARAMETERS[model.model]:
        low, value, high = _band(model, name, study)
        rows[name] = {
            "low": _finite(low),
            "likely": value,
            "high": _finite(high),
            "kind": _named(model.model, name)[1],
        }
    votes = None if study.resamples is None else study.resamples.votes[model.model]
    return {
        "model": model.model, "parameters": rows, "residual": model.rms_relative, "aicc": _finite(model.aicc),
        "votes": votes, "interval": "95 %" if study.resamples is None else "P5 to P95",
    }  # fmt: skip


def _reach_data(study: CurveStudy, index: int, words: Words) -> Json:
    reach = study.reach[index]
    return {
        "place": reach.need.place, "low": reach.need.low, "high": reach.need.high,
        "computed": reach.need.computed, "side": reach.side, "factor": reach.factor,
        "text": words.tell(study.ranges()[index]),
    }  # fmt: skip


def _law_data(law: TemperatureLaw) -> Json:
    names = ("a", "b", "t0", "rms", "low", "high")
    return {"law": law.name, **_floats(law, names), "energy_at_low": float(law.energy_at(law.low))}


def _floats(record: object, names: tuple[str, ...]) -> Json:
    return {name: float(getattr(record, name)) for name in names}


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
