"""A whole invented result, made by hand: a thick paste in straight drums. No number here was computed.

It is the fixture of the document tests, so that they stand without the rooms that compute.
"""

from __future__ import annotations

from dataclasses import replace

from drumwright.basis.phrases import Phrase, phrase
from drumwright.study.result import (
    BORDERS,
    GATES,
    Arrangement,
    Assumption,
    Border,
    CurvePair,
    DutyVerdict,
    Effect,
    Explanation,
    FamilyRow,
    Figure,
    Finding,
    FitSummary,
    Gate,
    Hazard,
    Head,
    Option,
    Part,
    ProfilePoint,
    Question,
    ResiduePart,
    Result,
)

ATMOSPHERE = 1.0e5
INTERNAL_MARKER = "PLANTED-INTERNAL-MARKER"


def plain(text: str) -> Phrase:
    """Return an invented sentence as a phrase."""
    return phrase("RPT.plain", text=text)


REASON = "Not as asked, in winter the line needs 5.75 bar(g); with an 80 mm bore it works."
CAUTION = "This is an invented caution. Check independently before opening anything."

HEAD = Head(
    title="Invented paste, sample 7",
    number="X-007",
    revision="C",
    date="2026-03-04",
    author="A. Sample",
    checker="",
    customer="Invented Foods, Nowhere",
    words='We scrape "stiff" paste #by hand*.\n$x^2$ = a_b [link] <tag> & \\#panic() — cost?',
    place="EU",
    units="metric",
    seed=1,
    samples=4096,
    digest="0123456789abcdef" * 4,
    version="0.0.test",
)


def finding(key: str, role: str, gate: str = "pressure", chance: float | None = 0.0123) -> Finding:
    """Return an invented finding with a number and a limit."""
    return Finding(
        key=key,
        role=role,  # type: ignore[arg-type]
        gate=gate,
        text=plain(f"Invented finding {key}."),
        figure="line.total",
        value=5.75e5,
        limit=5.1e5,
        kind="pressure_gauge",
        condition="winter",
        probability=chance,
    )


def parts(bore: float) -> tuple[Part, ...]:
    """Return the parts of an invented arrangement with a bore [m]."""
    return (
        Part("container", "", "straight drum", 0.571, "diameter", False),
        Part("plate", "plate-80", "generic lip-seal follower plate", 0.08, "diameter", True),
        Part("stand", "mast", "fixed mast over one drum", None, "", True),
        Part("pump", "cavity", "generic cavity pump, 0.78 L/rev, two stages", 7.8e-4, "displacement", True),
        Part("hose", "", "own hose", 3.0, "length", True),
        Part("line", "", "line bore", bore, "diameter", False),
        Part("destination", "", "open tank", None, "", False),
    )


ASKED = Arrangement(parts(0.065), (), False, 0.0123)
CHOSEN = Arrangement(parts(0.080), (plain("line and hose bore 80 mm instead of 65 mm"),), True, 0.987)


def gates(status: str) -> tuple[Gate, ...]:
    """Return all gates, the pressure gate with this status."""
    found = []
    for key in GATES:
        if key == "money":
            found.append(Gate(key, "not_judged", None, None))
        elif key == "pressure":
            chance = 0.0123 if status == "fail" else 0.987
            role = "fail" if status == "fail" else "passed"
            found.append(Gate(key, status, chance, finding("pressure.running", role, "pressure", chance)))  # type: ignore[arg-type]
        else:
            found.append(Gate(key, "pass", 0.9991, finding(f"{key}.check", "passed", key, 0.9991)))
    return tuple(found)


def figure(key: str, kind: str, value: float, condition: str) -> Figure:
    """Return an invented figure with a band of ten per cent."""
    spread = 0.1 * abs(value)
    return Figure(
        key, kind, value, value - spread, value + 0.1 * spread, value + spread, "computed", condition,
        ("A-001", "A-002"), key.removeprefix("recommended."),
    )  # fmt: skip


_ROWS = (
    ("station.flow", "flow", 2.4 / 3600),
    ("container.emptying_time", "duration", 307.0),
    ("station.drums_possible", "count", 33.6),
    ("line.total", "pressure_gauge", 4.17e5),
    ("line.restart", "pressure_gauge", 1.65e5),
    ("residue.volume", "volume", 2.6e-3),
    ("residue.share", "fraction", 0.0126),
    ("residue.chance_below_one_percent", "fraction", 0.0345),
    ("residue.value", "price", 77.77),
)
FIGURES = tuple(
    figure(f"{prefix}{key}", kind, value * (1.0 if season == "norm" else 1.3), season)
    for prefix in ("", "recommended.")
    for key, kind, value in _ROWS
    for season in ("norm", "winter", "summer")
)


def border(key: str, gauge: float, limit: float | None = None, kind: str = "") -> Border:
    """Return an invented border."""
    band = (0.9 * gauge, gauge, 1.1 * gauge)
    absolute = tuple(value + ATMOSPHERE for value in band)
    margin = None
    if limit is not None:
        sign = 1.0 if kind == "maximum_gauge" else -1.0
        at = gauge if kind == "maximum_gauge" else gauge + ATMOSPHERE
        margin = tuple(sign * (limit - at) - shift for shift in (1e4, 0.0, -1e4))
    return Border(key, absolute, band, 2.4 / 3600, 283.15, limit, kind, margin)  # type: ignore[arg-type]


def path(scale: float) -> tuple[Border, ...]:
    """Return borders with pressures scaled."""
    return (
        border(BORDERS[0], 0.0),
        border(BORDERS[1], 3.84e4),
        border(BORDERS[2], 2.33e4 * scale, 4.77e4, "minimum_absolute"),
        border(BORDERS[3], 4.17e5 * scale, 5.1e5, "maximum_gauge"),
        border(BORDERS[4], 0.0),
        border(BORDERS[5], 0.0),
    )


def profile(scale: float) -> tuple[ProfilePoint, ...]:
    """Return an invented profile."""
    rows = (
        (-1.0, 0.0, "surface"),
        (0.0, 2e4, "pump_inlet"),
        (0.0, 4.17e5, "pump_outlet"),
        (9.0, 0.0, "line_end"),
    )
    return tuple(ProfilePoint(at, 0.9 * p * scale, p * scale, 1.1 * p * scale, name) for at, p, name in rows)


def curve(scale: float) -> CurvePair:
    """Return an invented pair of curves."""
    flows = tuple(index * 1e-4 for index in range(12))
    line = tuple((1e5 + 3e8 * flow) * scale for flow in flows)
    return CurvePair(
        flows, line, tuple(0.9 * p for p in line), tuple(1.1 * p for p in line),
        tuple(6.7e-4 - 1e-5 * index for index in range(12)), tuple(5e4 * index for index in range(12)),
        2.4 / 3600, 3.0e5 * scale, 5.1e5,
    )  # fmt: skip


def assumption(
    number: int, field: str, kind: str, low: float, likely: float, high: float, flag: str
) -> Assumption:
    """Return an invented open assumption."""
    effect = Effect(low, "refuse", plain(f"{INTERNAL_MARKER} effect"))
    return Assumption(
        f"A-{number:03d}", field, plain(f"Meaning of {field}."), kind, low, likely, high, "", "assumed",
        f"{INTERNAL_MARKER} source", "customer", flag, "computed", False, effect, effect,  # type: ignore[arg-type]
        plain(f"Question about {field}?"),
    )  # fmt: skip


ASSUMPTIONS = (
    assumption(1, "product.batch_factor", "ratio", 0.9, 1.0, 1.1, "R"),
    assumption(2, "line.own_hose", "length", 2.0, 3.0, 4.5, "A"),
    assumption(3, "site.altitude", "length", 0.0, 100.0, 500.0, "G"),
    assumption(4, "product.price", "price", 11.11, 22.22, 33.33, "G"),
    replace(
        assumption(5, "topic.liner", "", 0.0, 0.0, 0.0, "A"),
        low=None, likely=None, high=None, choice="no bag", effect_low=None, effect_high=None,
    ),
)  # fmt: skip

SAMPLE = Result(
    head=HEAD,
    verdict="go_if",
    gate="pressure",
    reason=plain(REASON),
    offer="budget_letter",
    offer_reason=plain("A budget letter may go out, no firm offer."),
    as_asked=gates("fail"),
    recommended_gates=gates("pass"),
    asked=(("Volume flow wanted.", "2.4 m3/h"), ("Type of destination.", "open tank")),
    understood=(
        ("Mass per volume.", "product.density", "density", 1130.0, "customer"),
        ("Own hose.", "line.own_hose", "length", 3.0, "assumed"),
    ),
    asked_arrangement=ASKED,
    recommended=CHOSEN,
    options=(Option(ASKED, finding("pressure.running", "fail")),),
    families=(
        FamilyRow("lobe", "generic lobe pump, 0.6 L a turn", "lobe-06", False,
                  finding("pressure.running", "fail"), (("abrasive", "poor"),)),
    ),
    findings=(finding("pressure.running", "fail"), finding("rule.invented", "overruled", "", None)),
    conditions=(
        finding("change.bore", "condition", "", None),
        finding("not_judged.destination", "not_judged", "", None),
    ),
    figures=FIGURES,
    path=(("winter", path(1.0)), ("norm", path(0.75)), ("summer", path(0.6))),
    profile=(("winter", profile(1.0)), ("norm", profile(0.75)), ("summer", profile(0.6))),
    curves=(("winter", curve(1.0)), ("norm", curve(0.75))),
    residue=(
        ResiduePart("wall", 1e-4, 2e-4, 4e-4, 0.0812),
        ResiduePart("heel", 1.2e-3, 1.9e-3, 2.5e-3, 0.9188),
        ResiduePart("hoops", 0.0, 0.0, 0.0, 0.0),
    ),
    assumptions=ASSUMPTIONS,
    questions=tuple(
        Question(rank, row.field, row.ask, plain("it moves the line."), row.flag, (row.number,))
        for rank, row in enumerate(ASSUMPTIONS, 1)
    ),
    hazards=(
        Hazard("crush", plain("Crushing"), plain("injury"), plain("hold to run"), True),
        Hazard("dry_run", plain("Dry run"), plain("damage"), plain("level logic"), False),
    ),
    explanations=(
        Explanation(
            "line.total", "invented equation of two terms", "invented source",
            (("line.friction", "pressure_difference", 3.7e5),), "laminar flow", True,
        ),
    ),
    fits=(
        FitSummary(
            295.15, "herschel_bulkley",
            (("yield_stress", "stress", 143.0, 161.0, 178.0),
             ("consistency", "consistency", 150.0, 166.0, 190.0),
             ("exponent", "exponent", 0.29, 0.313, 0.34)),
            0.0067, 0.1, 100.0, (("bingham", 0.2, 30.0),), ((0.1, 240.0), (1.0, 328.0), (100.0, 868.0)),
        ),
    ),
    duties=(DutyVerdict("paste / drum", "go_if", "pressure", None),),
    sources=("An invented source, 2026, page 1",),
    caution=plain(CAUTION),
)  # fmt: skip


def refused() -> Result:
    """Return the sample as a refusal for which nothing could be computed."""
    lance = tuple(part for part in parts(0.05) if part.role != "plate")
    lance = (replace(lance[0], name="tight head drum"), *lance[1:])
    return replace(
        SAMPLE, verdict="refuse", gate="container_plate", offer="nothing", recommended=None,
        recommended_gates=(), asked_arrangement=Arrangement(lance, (), False, 0.0), path=(), profile=(),
        curves=(), residue=(), fits=(), figures=(), options=(), families=(), conditions=(), explanations=(),
    )  # fmt: skip


def in_us_units() -> Result:
    """Return the sample for a place and units of the US."""
    return replace(SAMPLE, head=replace(HEAD, place="US", units="US"))
