"""What happens in time as plain data, for the result: control, runs without their rows, one shift, lifts."""

from __future__ import annotations

import math
from typing import Any

from drumwright.basis.phrases import phrase
from drumwright.report.words import Words
from drumwright.study.in_time import InTime

Json = dict[str, Any]


def as_dictionary(found: InTime, words: Words) -> Json:
    """Return everything as plain data, SI units: the same blocks the commands print.

    Parameters
    ----------
    found : InTime
    words : Words
        Of the sentences.
    """
    from drumwright.report import control_form, run_form, shift_form

    block: Json = finite({
        "about": words.tell(found.about),
        "control": None if found.control is None else control_form.as_dictionary(found.control, words),
        "run": None if found.runs is None else run_form.as_dictionary(found.runs, words, traces=False),
        "shift": None if found.shift is None else shift_form.as_dictionary(found.shift, words),
        "no_shift": found.no_shift,
        "lifts": [
            {"name": words.tell(phrase(f"LIFT-{each.name}")), "mass": each.mass, "limit": each.limit,
             "index": each.index}
            for each in found.lifts
        ],
        "cleaning": [words.tell(each) for each in found.cleaning],
    })  # fmt: skip
    return block


def finite(data: Any) -> Any:
    """Return plain data in which a number that is not finite is null, for JSON has no sign for it.

    Parameters
    ----------
    data : Any
        Dictionaries, lists and what they hold.
    """
    if isinstance(data, dict):
        return {key: finite(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [finite(each) for each in data]
    return None if isinstance(data, float) and not math.isfinite(data) else data


def picture(found: InTime | None) -> dict[str, list[float]] | None:
    """Return what the picture of the normal run shows, SI units; None without a run.

    Parameters
    ----------
    found : InTime or None
    """
    if found is None or found.runs is None:
        return None
    from drumwright.report.run_charts import columns

    return {name: values.tolist() for name, values in columns(found.runs.outcomes[0]).items()}
