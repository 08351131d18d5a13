"""Machines against products, as lines of 80 columns and as JSON of one shape."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from drumwright.report import json_form
from drumwright.report.folding import wrapped
from drumwright.report.words import Words
from drumwright.study.matrix import Matrix, Pair

FORM = "drumwright.matrix/1"
WIDTH = 80
Json = dict[str, Any]


def standing(pair: Pair) -> str:
    """What a pair comes to: yes, changed, ask_first, refuse or error.

    Parameters
    ----------
    pair : Pair
    """
    if pair.error:
        return "error"
    if pair.verdict in ("ask_first", "refuse"):
        return pair.verdict
    return "yes" if pair.as_it_stands else "changed"


def lines(found: Matrix, words: Words) -> Iterator[str]:
    """Yield the screen of `drumwright matrix`.

    Parameters
    ----------
    found : Matrix
    words : Words
    """
    yield words.say("matrix.head", machines=len(found.machines), products=len(found.products))
    yield "-" * WIDTH
    for machine in found.machines:
        yield words.say("matrix.machine", name=machine)
        for product in found.products:
            yield from _pair(found.pair(machine, product), words)
        yield ""
    counts = [standing(each) for each in found.pairs]
    yield from wrapped(
        words.say(
            "matrix.summary", yes=counts.count("yes"), count=len(counts), changed=counts.count("changed"),
            ask=counts.count("ask_first"), no=counts.count("refuse"), error=counts.count("error"),
        ),
        "",
    )  # fmt: skip


def _pair(pair: Pair, words: Words) -> Iterator[str]:
    state = standing(pair)
    if state == "error":
        yield from wrapped(words.say("matrix.error", product=pair.product, error=pair.error), "  ")
        return
    if state == "yes":
        more = words.say("matrix.conditions") if pair.verdict == "go_if" else ""
        yield from wrapped(words.say("matrix.as_it_stands", product=pair.product, verdict=more), "  ")
    else:
        yield from wrapped(words.say(f"matrix.{state}", product=pair.product), "  ")
    if pair.decides is not None:
        yield from wrapped(words.say("matrix.decides", text=words.tell(pair.decides.text)), "      ")
    for change in pair.changes:
        yield from wrapped(words.say("matrix.change", text=words.tell(change)), "      ")
    parts = [
        words.say(f"matrix.{name}", value=words.figure(figure))
        for name, figure in (("flow", pair.flow), ("residue", pair.residue), ("pressure", pair.pressure))
        if figure is not None
    ]
    if parts:
        yield from wrapped("; ".join(parts), "      ")
    if pair.missing > 0.0:
        yield from wrapped(words.say("matrix.no_fit", missing=pair.missing), "      ")
    elif pair.set_points:
        at = dict(pair.set_points)
        rungs = {"slow": at["slow_down"], "stop": at["stop"], "trip": at["trip"], "relief": at["relief"]}
        yield from wrapped(words.say("matrix.rungs", **rungs), "      ")


def as_dictionary(found: Matrix, words: Words) -> Json:
    """Return the same as plain data.

    Parameters
    ----------
    found : Matrix
    words : Words
    """
    return {
        "form": FORM,
        "machines": list(found.machines),
        "products": list(found.products),
        "pairs": [_row(each, words) for each in found.pairs],
    }


def _row(pair: Pair, words: Words) -> Json:
    decides = pair.decides
    figures = {"flow": pair.flow, "residue": pair.residue, "pressure": pair.pressure}
    return {
        "machine": pair.machine,
        "product": pair.product,
        "standing": standing(pair),
        "verdict": pair.verdict or None,
        "error": pair.error or None,
        "gates": {gate.key: gate.status for gate in pair.gates},
        "decides": None
        if decides is None
        else {
            "key": decides.key, "text": words.tell(decides.text), "value": decides.value,
            "limit": decides.limit, "probability": decides.probability,
        },
        "changes": [words.tell(each) for each in pair.changes],
        **{
            name: None if each is None else json_form.figure(each, words) for name, each in figures.items()
        },
        "set_points": dict(pair.set_points),
        "set_points_missing": max(pair.missing, 0.0),
    }  # fmt: skip
