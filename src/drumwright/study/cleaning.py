"""Changes of product by cleaning class: minutes, water, parts to strip, loss; never whether it is clean."""

from __future__ import annotations

from typing import Any

from drumwright.basis.estimate import Estimate
from drumwright.basis.phrases import phrase
from drumwright.basis.tables import read_toml
from drumwright.station.inputs import Inputs
from drumwright.study.result import Finding


def cleaning_class(inputs: Inputs) -> str:
    """Cleaning class of a change of product: as stated, else the careful one of what is known.

    Parameters
    ----------
    inputs : Inputs

    Notes
    -----
    Where nothing is said each change of product is a full wet clean (trade book 1.1); a product that cures is
    purged, water has no place there (trade book 2.7).
    """
    stated = inputs.choices["shift.cleaning"]
    if stated is not None:
        return str(stated)
    sets = inputs.choices["product.cures_with"] not in (None, "nothing")
    return "reactive" if sets else "allergen"


def row_of(name: str) -> dict[str, Any]:
    """Row of a class in `data/shift.toml`: letter, minutes, water [m3], parts to strip."""
    return dict(read_toml("shift.toml")["cleaning"][name])


def estimate_of(row: dict[str, Any], name: str) -> Estimate:
    """An estimate of a class: minutes, or water [m3]."""
    found = row[name]
    return Estimate(found["low"], found["likely"], found["high"], found["basis"])


def cleaning_conditions(inputs: Inputs, held: float) -> list[Finding]:
    """What each change of product takes, where the shift has some.

    Parameters
    ----------
    inputs : Inputs
    held : float
        Product that plate, pump and line hold [m3].
    """
    recipes = inputs.likely("enquiry.recipes_per_shift")
    if recipes <= 1.0:
        return []
    name = cleaning_class(inputs)
    row = row_of(name)
    water = estimate_of(row, "water")
    slots: dict[str, Any] = {
        "count": recipes,
        "name": phrase(f"CLEAN-{name}"),
        "time": inputs.likely("enquiry.cleaning_time"),
        "low": 60.0 * row["minutes"]["low"],
        "high": 60.0 * row["minutes"]["high"],
    }
    lost = held if row["loses_line"] else 0.0
    if row["strip"]:
        parts = [phrase(f"STRIP-{part}") for part in row["strip"]]
        text = phrase("FND-cleaning.class", water=water.high, value=lost, parts=parts, **slots)
    else:
        text = phrase("FND-cleaning.wipe", **slots)
    found = [
        Finding("cleaning.class", "condition", "hygiene_zone", text, "residue.hold_up", lost, None, "volume")
    ]
    if name in ("same_product", "same_family") and inputs.choices["product.allergens"]:
        found.append(
            Finding("cleaning.allergen", "condition", "hygiene_zone", phrase("FND-cleaning.allergen"), "")
        )
    return found


def sequence_condition(inputs: Inputs) -> list[Finding]:
    """Order of the products of a shift, where there are several.

    Parameters
    ----------
    inputs : Inputs
    """
    if inputs.likely("enquiry.recipes_per_shift") <= 1.0:
        return []
    return [Finding("cleaning.sequence", "condition", "hygiene_zone", phrase("FND-cleaning.sequence"), "")]
