"""Numbers of a container that are said once: headspace, dish of the bottom, hoops, folds of a bag."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from test_verdict import answer

from drumwright.basis.errors import InputError
from drumwright.basis.phrases import render
from drumwright.machine.container.kinds import headspace, kinds
from drumwright.station.by_kind import defaults_of
from drumwright.station.casefile import case_from_dict
from drumwright.station.inputs import Inputs, draw, resolve

PRODUCT: dict[str, Any] = {"name": "paste (invented)", "food": False}


def resolved(kind: str | None = None, **container: Any) -> Inputs:
    named = {"kind": kind, **container} if kind else dict(container)
    case = case_from_dict({"format": 1, "product": [PRODUCT], "container": [named]})
    return resolve(case, case.product[0], case.container[0])


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_every_kind_has_one_headspace_and_a_stated_height_is_filled_up_to_it(kind: str) -> None:
    height = kinds()[kind].numbers["inside_height"].likely
    usual, stated = (
        resolved(kind, inside_height=f"{height} m", **more).likely("container.usable_volume")
        for more in ({}, {"headspace": f"{headspace(kind).likely} m"})
    )
    assert usual == pytest.approx(stated)


def test_air_let_in_uses_the_headspace_of_the_kind() -> None:
    """The same figure as with that headspace stated; more where more is stated."""
    as_it_is, stated, more = (
        answer(settings).figure("air.let_in").likely
        for settings in (
            {},
            {"container.headspace": f"{headspace('straight_drum').likely} m"},
            {"container.headspace": "150 mm"},
        )
    )
    assert as_it_is == pytest.approx(stated)
    assert more > 1.5 * as_it_is


@pytest.mark.parametrize(
    ("settings", "field", "allowed"),
    [
        ({"headspace": "900 mm"}, "container.headspace", "823 mm"),  # against the usual 833 mm
        ({"headspace": "500 mm", "inside_height": "500 mm"}, "container.headspace", "490 mm"),
        ({"inside_height": "55 mm"}, "container.inside_height", "60"),
    ],
)
def test_a_headspace_that_leaves_nothing_is_refused_with_what_is_allowed(
    settings: dict[str, str], field: str, allowed: str
) -> None:
    with pytest.raises(InputError) as caught:
        resolved("straight_drum", **settings)
    problem = caught.value.problems[0]
    assert problem.field == field and allowed in problem.allowed
    value = settings.get("headspace", settings.get("inside_height", "")).split()[0]
    assert value in problem.what
    assert resolved("straight_drum", headspace="700 mm").likely("container.usable_volume") < 0.06


def test_a_stated_dish_narrows_what_is_assumed_of_the_bottom() -> None:
    """A dish of 10-15 mm (trade book 1.2) leaves a mean gap that lies inside the assumed one."""
    wide = defaults_of("straight_drum")["container.bottom_mismatch"].estimate
    for depth in (10.0, 12.5, 15.0):
        made = resolved("straight_drum", bottom_depth=f"{depth} mm").estimates["container.bottom_mismatch"]
        assert wide.low < made.likely < wide.high
        assert made.high - made.low < wide.high - wide.low


def test_hoops_are_whole_numbers_and_their_residue_holds_the_likely_one() -> None:
    """Of a pail none are likely and two possible: a fraction of a hoop does not exist."""
    sample = draw(resolved("pail"), 1024, 1)["container.hoops"]
    assert set(np.unique(sample)) == {0.0, 1.0, 2.0} and sample[0] == 0.0
    parts = {part.place: part for part in answer({"container.kind": "pail"}).residue}
    for part in parts.values():
        assert part.low <= part.likely <= part.high


def test_folds_of_a_bag_in_a_cone_hold_two_to_four_times_those_of_a_straight_drum() -> None:
    """Trade book 1.5: cone or liner, residue times 2 to 4 (common practice); physics book 2.2: 0.3/0.7/2."""
    cone, straight = (
        defaults_of(kind)["model.liner_residue"].estimate for kind in ("conical_drum", "straight_drum")
    )
    assert cone.low == pytest.approx(2.0 * straight.low)
    assert cone.high == pytest.approx(4.0 * straight.high)
    assert 2.0 <= cone.likely / straight.likely <= 4.0


@pytest.mark.parametrize("wanted", ["0.2 %", "1 %", "20 %"])
def test_every_sentence_on_a_wanted_residue_can_be_said(wanted: str) -> None:
    result = answer({"enquiry.residue_wanted": wanted})
    said = [item for item in (*result.findings, *result.conditions) if item.key.startswith("residue.")]
    assert "residue wanted" in " ".join(render(item.text) for item in said)
