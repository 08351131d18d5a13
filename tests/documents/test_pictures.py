"""Drawing and charts: every border flagged, nothing outside the frame, both unit systems."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
import sample_result as sample

from drumwright.report.charts import Charts, curves_spec, log_axis, profile_spec, residue_spec
from drumwright.report.curve_chart import fits_picture, fits_spec
from drumwright.report.drawing import HEIGHT, WIDTH, path_drawing, text_width
from drumwright.report.words import Words, words_of
from drumwright.study.result import Border, Result

KINDS = (
    "straight drum", "tight head drum", "conical drum", "fibre drum", "plastic drum", "pail", "rigid IBC",
    "folding bin", "bag in bin",
)  # fmt: skip


def _with_container(kind: str, way: str) -> Result:
    """The sample with another container, emptied under a plate, through its outlet or by a lance."""
    names = {"container": {"name": kind}, "plate": {"role": "outlet", "name": "outlet of the bin"}}
    parts = [
        replace(part, **names.get(part.role, {})) if part.role == "container" or way == "outlet" else part  # type: ignore[arg-type]
        for part in sample.parts(0.08)
        if way != "lance" or part.role != "plate"
    ]
    chosen = replace(sample.CHOSEN, parts=tuple(parts))
    return replace(sample.SAMPLE, recommended=chosen)


def _texts(svg: bytes) -> list[tuple[float, float, float, str, str]]:
    """Return x, y, size, anchor and content of every text of a drawing."""
    found = []
    for element in ElementTree.fromstring(svg.decode()).iter():
        if element.tag.endswith("}text"):
            get = element.attrib
            content = "".join(element.itertext()).strip()
            found.append(
                (float(get["x"]), float(get["y"]), float(get["font-size"]), get["text-anchor"], content)
            )
    return found


SECOND = {"plate": "Under the plate", "outlet": "Outlet, bin low", "lance": "Foot of the lance"}


@pytest.mark.parametrize("way", SECOND)
@pytest.mark.parametrize("kind", KINDS)
def test_drawing_names_container_and_every_border(kind: str, way: str) -> None:
    result = _with_container(kind, way)
    texts = [content for *_, content in _texts(path_drawing(result, words_of(result)))]
    assert kind in texts and "open tank" in texts
    for name in ("Product surface", SECOND[way], "Pump inlet", "Pump outlet", "Line end", "Delivery"):
        assert name in texts
    assert "4.17 bar(g)" in texts and "5.10 bar(g)" in texts and "0.930 bar" in texts


def _long(result: Result) -> Result:
    """Return a result with pressures that need many digits."""

    def stretch(border: Border) -> Border:
        band = (1.23456e7, 1.23456e7, 1.3e7)
        return replace(border, pressure_gauge=band, pressure_absolute=band, flow=1.234567e-7, limit=9.87654e6,
                       limit_is="maximum_gauge", margin=(-2.5e6, -2.46913e6, -2e6))  # fmt: skip

    return replace(
        result, path=tuple((season, tuple(map(stretch, borders))) for season, borders in result.path)
    )


@pytest.mark.parametrize(
    "result", [sample.SAMPLE, sample.in_us_units(), sample.refused()], ids=["m", "US", "none"]
)
@pytest.mark.parametrize("long", [False, True])
def test_texts_stay_inside_the_frame_and_readable(result: Result, long: bool) -> None:
    shown = _long(result) if long else result
    for x, y, size, anchor, content in _texts(path_drawing(shown, words_of(shown))):
        wide = text_width(content, size, False)
        left = x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
        assert left >= 0 and left + wide <= WIDTH and 0 < y < HEIGHT, content
        assert size >= 7.0, content


def test_without_a_path_no_border_is_flagged() -> None:
    texts = [content for *_, content in _texts(path_drawing(sample.refused(), Words()))]
    assert "tight head drum" in texts and "Pump outlet" not in texts


@pytest.mark.parametrize("result", [sample.SAMPLE, sample.in_us_units()], ids=["metric", "US"])
def test_charts_carry_units_and_alternative_text(result: Result) -> None:
    words = words_of(result)
    charts = Charts(words)
    pictures = [
        *charts.profile(result),
        *charts.curves(result),
        *charts.residue(result),
        *fits_picture(result, charts),
    ]
    assert len(pictures) == 4
    for picture in pictures:
        assert picture.svg.startswith(b"<svg") and picture.alt and picture.caption
        assert set(re.findall(rb'font-family="([^"]+)"', picture.svg)) == {b"Liberation Sans"}
    assert words.unit("pressure_gauge").encode() in pictures[0].svg
    assert words.unit("flow").encode() in pictures[1].svg


def test_charts_show_the_numbers_of_the_result() -> None:
    words = Words()
    profile = profile_spec(sample.SAMPLE, words)["data"]["values"]
    assert max(row["y"] for row in profile) == pytest.approx(4.17)
    assert {row["line"] for row in profile} == {"line, winter", "line, norm"}
    assert max(
        row["y"] for row in profile_spec(sample.in_us_units(), Words("US"))["data"]["values"]
    ) == pytest.approx(4.17e5 / 6894.757, rel=1e-6)
    curves = curves_spec(sample.SAMPLE, words)
    assert curves["layer"][2]["data"]["values"][0]["x"] == pytest.approx(2.4)
    assert residue_spec(sample.SAMPLE, words)["data"]["values"][1]["likely"] == pytest.approx(1.9)
    fit = fits_spec(sample.SAMPLE.fits, words)["data"]["values"]
    assert fit[-1]["y"] == pytest.approx(161.0 + 166.0 * 100.0**0.313)


def test_residue_chart_shows_places_that_hold_something_their_share_and_the_sum() -> None:
    spec = residue_spec(sample.SAMPLE, Words())
    rows = spec["data"]["values"]
    assert [row["place"] for row in rows] == ["Wall film", "Heel on the bottom", "Sum"]
    assert [row["share"] for row in rows] == ["8 %", "92 %", ""]
    assert rows[2]["likely"] == pytest.approx(2.6)
    limit = spec["layer"][-1]["data"]["values"][0]
    assert limit["x"] == pytest.approx(0.01 * 2.6 / 0.0126)
    assert spec["layer"][0]["encoding"]["x"]["scale"]["domain"][1] > max(row["high"] for row in rows)
    caption = next(iter(Charts(Words()).residue(sample.SAMPLE))).caption
    assert "Chance that less than 1 % of the filling stays: 3.45 %." in caption


@pytest.mark.parametrize(("low", "high"), [(145.0, 600.0), (0.1, 100.0), (1e-3, 1e5), (3.2, 9.9)])
def test_a_logarithmic_axis_has_ticks_that_can_be_read(low: float, high: float) -> None:
    found = log_axis([high, low])
    ticks = found["axis"]["values"]
    assert found["scale"]["domain"] == [low, high]
    assert 3 <= len(ticks) <= 11 and ticks == sorted(set(ticks))
    assert low <= ticks[0] and ticks[-1] <= high


def test_charts_of_points_hold_every_point_inside_their_axes() -> None:
    spec = fits_spec(sample.SAMPLE.fits, Words())
    points = spec["layer"][2]
    for axis in ("x", "y"):
        low, high = points["encoding"][axis]["scale"]["domain"]
        assert all(low < row[axis] < high for row in points["data"]["values"])
