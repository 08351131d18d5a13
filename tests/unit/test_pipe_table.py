"""The table of pipes: order, walls, a named source for every row, one standard against a library."""

from itertools import pairwise

import pytest
from fluids.piping import nearest_pipe

from drumwright.basis.errors import StockError
from drumwright.machine.line.pipes import bore_of, list_of, standards


@pytest.mark.parametrize("standard", standards())
def test_sizes_rise_and_say_where_they_are_from(standard: str) -> None:
    tubes = list_of(standard)
    assert len(tubes) >= 7
    for narrow, wide in pairwise(tubes):
        assert narrow.bore < wide.bore
        assert narrow.outside_diameter < wide.outside_diameter
    for tube in tubes:
        assert 0.0 < tube.wall < 0.15 * tube.outside_diameter
        assert tube.kind in ("from_memory", "published")
        assert tube.source
        assert tube.use in ("pipe", "hygienic")
    assert len({tube.size for tube in tubes}) == len(tubes)


def test_schedule_40_equals_the_library() -> None:
    """Outside diameter and wall of ASME B36.10M schedule 40 in the library fluids 1.3.1."""
    inches = (0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 6.0)
    for tube, nominal in zip(list_of("asme_b36_40"), inches, strict=True):
        found, inside, outside, wall = nearest_pipe(NPS=nominal, schedule="40")
        assert found == nominal
        assert tube.outside_diameter == pytest.approx(outside, abs=1e-9)
        assert tube.wall == pytest.approx(wall, abs=1e-9)
        assert tube.bore == pytest.approx(inside, abs=1e-9)


def test_a_nominal_size_is_not_a_bore() -> None:
    """DN50 is 50 mm only in the dairy series; pipe of 60.3 mm outside has 54.5 mm, 2 inch tube 47.5 mm."""
    assert bore_of("en_10357_a", "DN50") == pytest.approx(0.0500)
    assert bore_of("en_10220", "DN50") == pytest.approx(0.0545)
    assert bore_of("asme_bpe", "2 in") == pytest.approx(0.0475)
    assert bore_of("iso_2037", "51") == pytest.approx(0.0486)


def test_unknown_sizes_are_named() -> None:
    with pytest.raises(StockError, match="allowed: en_10220"):
        list_of("en_1")
    with pytest.raises(StockError, match="DN32"):
        bore_of("en_10357_a", "DN55")
