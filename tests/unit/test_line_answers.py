"""The line in the answer: pieces of the route, stops, own hose, relief branch, narrower bore."""

from pathlib import Path

import pytest

import drumwright
from drumwright.basis.errors import InputError
from drumwright.basis.phrases import render
from drumwright.station.casefile import template

DEMO = Path("cases/demo.toml")
TOTALS = 'length = "7 m"\nrise = "3 m"\nbends = 3\nvalves = 1\n'
PIECES = """
[[line.part]]
kind = "pipe"
length = "4 m"
[[line.part]]
kind = "bend"
angle = "90 deg"
bend_radius = "75 mm"
count = 3
[[line.part]]
kind = "ball_valve"
[[line.part]]
kind = "pipe"
length = "3 m"
rise = "3 m"
"""


def _case(folder: Path, pieces: str, more: str = "") -> Path:
    text = DEMO.read_text(encoding="utf-8")
    assert TOTALS in text
    head, tail = text.replace(TOTALS, more).split("[site]")
    path = folder / "case.toml"
    path.write_text(f"{head}{pieces}\n[site]{tail}", encoding="utf-8")
    (folder / "demo-flow-curve.csv").write_bytes((DEMO.parent / "demo-flow-curve.csv").read_bytes())
    return path


def _figure(result: drumwright.Result, key: str, season: str = "winter") -> float:
    return next(f.likely for f in result.figures if f.key == key and f.condition in (season, "all"))


def test_pieces_of_one_bore_agree_with_their_totals(tmp_path: Path) -> None:
    """Pipe, bends and valve one by one lose what the same line loses by its totals (bends count alike)."""
    by_pieces = drumwright.assess(drumwright.load(_case(tmp_path, PIECES)), samples=256)
    by_totals = drumwright.assess(drumwright.load(DEMO), samples=256)
    for key in ("line.static", "line.yield_only", "line.velocity"):
        assert _figure(by_pieces, key) == pytest.approx(_figure(by_totals, key), rel=0.02), key
    arcs = 3 * 0.5 * 3.14159 * 0.075 * 3.14159 / 4 * 0.05**2  # what the bends hold along their arc
    assert _figure(by_pieces, "line.volume") - _figure(by_totals, "line.volume") == pytest.approx(
        arcs, rel=0.01
    )
    assert _figure(by_pieces, "line.pipe_friction") == pytest.approx(
        _figure(by_totals, "line.pipe_friction"), rel=0.02
    )


def test_a_filter_and_a_narrow_piece_count_where_they_stand(tmp_path: Path) -> None:
    plain = drumwright.assess(drumwright.load(_case(tmp_path, PIECES)), samples=256)
    more = PIECES + '[[line.part]]\nkind = "filter"\nloss = "0.4 bar"\n'
    filtered = drumwright.assess(drumwright.load(_case(tmp_path, more)), samples=256)
    norm, winter = (
        _figure(filtered, "line.total", season) - _figure(plain, "line.total", season)
        for season in ("norm", "winter")
    )
    assert norm == pytest.approx(0.4e5, rel=1e-6)  # stated with this product as it usually is
    assert 0.5e5 < winter < 1.0e5  # and more where it is stiffer
    narrow = more + '[[line.part]]\nkind = "pipe"\nbore = "32 mm"\nlength = "0.5 m"\n'
    tight = drumwright.assess(drumwright.load(_case(tmp_path, narrow)), samples=256)
    assert _figure(tight, "line.total") > _figure(filtered, "line.total") + 0.3e5
    assert tight.recommended is not None  # a wider bore goes through every piece, the filter stays
    assert _figure(tight, "recommended.line.fittings") > 0.4e5


@pytest.mark.parametrize(
    ("pieces", "more", "field"),
    [
        ('[[line.part]]\nkind = "bend"\nangle = "90 deg"\n', "", "line.part[0].bend_radius"),
        ('[[line.part]]\nkind = "filter"\n', "", "line.part[0].loss"),
        ('[[line.part]]\nlength = "2 m"\n', "", "line.part[0].kind"),
        ('[[line.part]]\nkind = "pipe"\nlength = "2 m"\n', 'length = "7 m"\n', "line.length"),
    ],
)
def test_a_piece_that_lacks_something_is_refused_by_its_field(
    tmp_path: Path, pieces: str, more: str, field: str
) -> None:
    """What is left out of a piece would count as none."""
    with pytest.raises(InputError) as caught:
        drumwright.load(_case(tmp_path, pieces, more))
    assert any(p.field.replace("part.", "part[0].") == field and p.line > 0 for p in caught.value.problems)


def test_pieces_below_the_measured_range_are_told_by_two_methods(tmp_path: Path) -> None:
    result = drumwright.assess(drumwright.load(_case(tmp_path, PIECES)), samples=256)
    note = next(item for item in result.findings if item.key == "line.extrapolated")
    assert note.text.key == "FND-line.extrapolated"
    assert _figure(result, "line.fittings_guide") != pytest.approx(_figure(result, "line.fittings"), rel=0.05)


def test_a_warm_product_in_a_cold_hall_does_not_start_after_a_night() -> None:
    """The full line cools to the hall; short stops pass, the night is a condition with its number."""
    settings = {
        "product.temperature.low": "24 C",
        "product.temperature.norm": "26 C",
        "site.hall_temperature": "2 C",
        "product.restart_factor": "6",
    }
    result = drumwright.assess(drumwright.load(DEMO, settings), samples=256)
    keys = {item.key for item in result.conditions}
    filler, night = (_figure(result, f"line.restart_{stop}") for stop in ("filler", "night"))
    assert night > 1.2 * filler
    assert _figure(result, "line.temperature_night") < 277.0
    assert "line.stop_night" in keys
    said = next(render(item.text) for item in result.conditions if item.key == "line.stop_night")
    assert "press it out before" in said


def test_a_stop_of_no_length_needs_no_more_than_the_restart_it_grows_to() -> None:
    """Stiffening that takes time makes a short stop cheaper, never dearer, than the full rest."""
    slow = drumwright.assess(drumwright.load(DEMO, {"product.restart_time": "2 h"}), samples=256)
    fast = drumwright.assess(drumwright.load(DEMO), samples=256)
    assert _figure(slow, "line.restart_filler") < _figure(fast, "line.restart_filler")
    assert _figure(slow, "line.restart_night") == pytest.approx(_figure(fast, "line.restart_night"), rel=0.05)


def test_relief_of_a_paste_is_a_test_not_a_formula() -> None:
    result = drumwright.assess(drumwright.load(DEMO), samples=256)
    note = next(item for item in result.findings if item.key == "line.relief")
    assert note.text.key == "FND-line.relief_test"
    assert "no formula serves" in render(note.text)


def test_a_new_line_is_told_a_narrower_bore_that_passes() -> None:
    wide = {"line.existing": "false", "line.bore": "DN100"}
    result = drumwright.assess(drumwright.load(DEMO, wide), samples=256)
    assert any(item.key == "line.narrower" for item in result.findings)
    kept = drumwright.assess(
        drumwright.load(DEMO, {"line.existing": "true", "line.bore": "DN100"}), samples=256
    )
    assert not any(item.key == "line.narrower" for item in kept.findings)


def test_a_tube_by_standard_gives_its_bore(tmp_path: Path) -> None:
    """Hygienic tube DN65 is 66 mm wide; a size that is not in the table is refused with the list."""
    text = DEMO.read_text(encoding="utf-8").replace('bore = "DN50"', 'tube = "en_10357_a DN65"')
    case = tmp_path / "case.toml"
    (tmp_path / "demo-flow-curve.csv").write_bytes((DEMO.parent / "demo-flow-curve.csv").read_bytes())
    case.write_text(text, encoding="utf-8")
    wide = drumwright.assess(drumwright.load(case), samples=64)
    named = drumwright.assess(drumwright.load(DEMO, {"line.bore": "66 mm"}), samples=64)
    assert _figure(wide, "line.total") == pytest.approx(_figure(named, "line.total"), rel=1e-9)
    case.write_text(text.replace("DN65", "DN66"), encoding="utf-8")
    with pytest.raises(InputError, match="en_10357_a DN15"):
        drumwright.load(case)


def test_the_example_of_the_template_reads(tmp_path: Path) -> None:
    """Pieces written in one line, as the template shows them."""
    line = next(each for each in template().splitlines() if each.startswith("# line.part = "))
    case = tmp_path / "case.toml"
    text = "\n".join(
        each for each in template().splitlines() if not each.startswith(("line.length", "line.rise"))
    )
    case.write_text(text + "\n" + line[2:].split("    #")[0] + "\n", encoding="utf-8")
    assert len(drumwright.load(case).line.part) == 2
