"""The answer as JSON: one shape, stable order, finite numbers, SI and display units side by side."""

from __future__ import annotations

import json
import math
from dataclasses import fields, is_dataclass
from typing import Any

from drumwright.basis.kinds import KINDS
from drumwright.basis.phrases import Phrase
from drumwright.report import time_form
from drumwright.report.words import Words, meaning, words_of
from drumwright.study.result import (
    Arrangement,
    Assumption,
    Border,
    DutyVerdict,
    Effect,
    Figure,
    Finding,
    Gate,
    Hazard,
    Question,
    Result,
)

FORM = "drumwright.result/1"
Json = dict[str, Any]


def as_dictionary(result: Result) -> Json:
    """Return a result as plain data.

    Parameters
    ----------
    result : Result
        A finished answer.

    Notes
    -----
    A number that is not finite becomes null: it was not computed, and JSON has no sign for it.
    """
    words = words_of(result)
    head = {name: getattr(result.head, name) for name in type(result.head).__slots__}
    return {
        "form": FORM,
        "head": head,
        "verdict": result.verdict,
        "gate": result.gate,
        "reason": _sentence(result.reason, words),
        "offer": {"allowed": result.offer, "reason": _sentence(result.offer_reason, words)},
        "duties": [_duty(item, words) for item in result.duties],
        "gates": {
            "as_asked": [_gate(gate, words) for gate in result.as_asked],
            "recommended": [_gate(gate, words) for gate in result.recommended_gates],
        },
        "findings": [_finding(item, words) for item in result.findings],
        "conditions": [_finding(item, words) for item in result.conditions],
        "questions": [_question(item, words) for item in result.questions],
        "assumptions": [_assumption(item, words) for item in result.assumptions],
        "arrangement": _arrangements(result, words),
        "path": {season: [_border(each, words) for each in borders] for season, borders in result.path},
        "residue": {
            part.place: _numbers(words, "volume", low=part.low, likely=part.likely, high=part.high)
            for part in result.residue
        },
        "pictures": _pictures(result),
        "figures": figures(result, words),
        "in_time": None if result.in_time is None else time_form.as_dictionary(result.in_time, words),
        "hazards": [_hazard(item, words) for item in result.hazards],
        "sources": list(result.sources),
        "caution": words.tell(result.caution),
    }


def _pictures(result: Result) -> Json:
    """Numbers behind every picture but the schematic, SI units; null or empty where there is none."""
    return {
        "profile": {season: _plain(points) for season, points in result.profile},
        "curves": {season: _plain(pair) for season, pair in result.curves},
        "residue": _plain(result.residue),
        "fits": _plain(result.fits),
        "plate_force": _plain(result.plate_force),
        "warm_up": _plain(result.warm_curves),
        "section": _plain(result.section),
        **_plain(result.machine),
        "run": time_form.picture(result.in_time),
    }


def _plain(item: Any) -> Any:
    """Records and tuples as plain data; a number that is not finite becomes null."""
    if is_dataclass(item) and not isinstance(item, type):
        return {each.name: _plain(getattr(item, each.name)) for each in fields(item)}
    if isinstance(item, tuple):
        return [_plain(each) for each in item]
    return _finite(item) if isinstance(item, float) else item


def text(result: Result) -> str:
    """Return a result as JSON text with a line end."""
    return dump(as_dictionary(result))


def dump(data: object) -> str:
    """Return plain data as JSON text; the same data gives the same text."""
    return json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def figures(result: Result, words: Words) -> dict[str, list[Json]]:
    """Return key -> one entry per condition, keys sorted, conditions in the order of the result."""
    found: dict[str, list[Json]] = {}
    for item in result.figures:
        found.setdefault(item.key, []).append(figure(item, words))
    return dict(sorted(found.items()))


def figure(item: Figure, words: Words) -> Json:
    """Return one figure in SI and display units."""
    numbers = _numbers(words, item.kind, likely=item.likely, low=item.low, middle=item.middle, high=item.high)
    return {
        "condition": item.condition,
        **numbers,
        "basis": item.basis,
        "assumptions": list(item.assumptions),
        "why": item.why,
        "meaning": meaning(item.key),
    }


def _numbers(words: Words, kind: str, **values: float | None) -> Json:
    """Return values with their SI unit, and the same in the display unit."""
    si = {name: _finite(value) for name, value in values.items()}
    shown = {name: None if value is None else _finite(words.shown(value, kind)) for name, value in si.items()}
    return {"unit": KINDS[kind].si, **si, "display": {"unit": words.unit(kind), **shown}}


def _finite(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else float(value)


def _sentence(item: Phrase, words: Words) -> Json:
    return {"key": item.key, "text": words.tell(item)}


def _duty(item: DutyVerdict, words: Words) -> Json:
    return {
        "name": item.name,
        "verdict": item.verdict,
        "gate": item.gate,
        "deciding": _finding(item.deciding, words) if item.deciding else None,
    }


def _question(item: Question, words: Words) -> Json:
    return {
        "rank": item.rank,
        "key": item.key,
        "flag": item.flag,
        "ask": words.tell(item.ask),
        "because": words.tell(item.because),
        "assumptions": list(item.assumptions),
    }


def _hazard(item: Hazard, words: Words) -> Json:
    return {
        "key": item.key,
        "core": item.core,
        "hazard": words.tell(item.hazard),
        "consequence": words.tell(item.consequence),
        "safeguard": words.tell(item.safeguard),
    }


def _gate(gate: Gate, words: Words) -> Json:
    return {
        "key": gate.key,
        "status": gate.status,
        "probability": _finite(gate.probability),
        "deciding": _finding(gate.deciding, words) if gate.deciding else None,
        "would_pass": words.tell(gate.would_pass) if gate.would_pass else None,
    }


def _finding(item: Finding, words: Words) -> Json:
    numbers = _numbers(words, item.kind, value=item.value, limit=item.limit) if item.kind else None
    return {
        "key": item.key,
        "role": item.role,
        "gate": item.gate,
        "figure": item.figure,
        "condition": item.condition,
        "probability": _finite(item.probability),
        "numbers": numbers,
        "text": words.tell(item.text),
    }


def _assumption(item: Assumption, words: Words) -> Json:
    numbers = None
    if item.kind and item.likely is not None:
        numbers = _numbers(words, item.kind, low=item.low, likely=item.likely, high=item.high)
    return {
        "number": item.number,
        "field": item.field,
        "meaning": words.tell(item.meaning),
        "numbers": numbers,
        "choice": item.choice,
        "basis": item.basis,
        "source": item.source,
        "owner": item.owner,
        "flag": item.flag,
        "flag_from": item.flag_from,
        "closed": item.closed,
        "effect": {"low": _effect(item.effect_low, words), "high": _effect(item.effect_high, words)},
        "ask": words.tell(item.ask),
    }


def _effect(item: Effect | None, words: Words) -> Json | None:
    if item is None:
        return None
    return {"value": _finite(item.value), "verdict": item.verdict, "text": words.tell(item.text)}


def _arrangements(result: Result, words: Words) -> Json:
    """Return what was asked, what is recommended, and what was rejected by which finding."""
    return {
        "asked": _arrangement(result.asked_arrangement, words),
        "recommended": _arrangement(result.recommended, words) if result.recommended else None,
        "rejected": [
            {
                "arrangement": _arrangement(item.arrangement, words),
                "rejected_by": _finding(item.rejected_by, words),
            }
            for item in result.options
        ],
        "families": [
            {
                "family": item.family,
                "pump": item.stock,
                "name": item.name,
                "passes": item.passes,
                "decides": _finding(item.decides, words),
                "rules": dict(item.rules),
            }
            for item in result.families
        ],
    }


def _arrangement(item: Arrangement, words: Words) -> Json:
    return {
        "passes": item.passes,
        "probability": _finite(item.probability),
        "changes": [words.tell(change) for change in item.changes],
        "parts": [
            {
                "role": part.role,
                "stock": part.stock,
                "name": part.name,
                "placeholder": part.placeholder,
                "size": _numbers(words, part.kind, value=part.size)
                if part.kind and part.size is not None
                else None,
            }
            for part in item.parts
        ],
    }


def _border(item: Border, words: Words) -> Json:
    def three(kind: str, values: tuple[float, float, float]) -> Json:
        return _numbers(words, kind, low=values[0], likely=values[1], high=values[2])

    limit_kind = "pressure_absolute" if item.limit_is == "minimum_absolute" else "pressure_gauge"
    return {
        "border": item.key,
        "gauge": three("pressure_gauge", item.pressure_gauge),
        "absolute": three("pressure_absolute", item.pressure_absolute),
        "flow": _numbers(words, "flow", likely=item.flow),
        "temperature": _numbers(words, "temperature", likely=item.temperature),
        "limit_is": item.limit_is,
        "limit": _numbers(words, limit_kind, value=item.limit) if item.limit is not None else None,
        "margin": three("pressure_difference", item.margin) if item.margin else None,
    }
