"""The answer to a case, complete on construction: what every face and document renders.

All numbers are SI floats with the name of their quantity kind (`basis.quantities`); sentences are `Phrase`s.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from drumwright.basis.phrases import Phrase
from drumwright.study.machine_sketch import NOTHING_DRAWN, MachineSketch

if TYPE_CHECKING:
    from drumwright.study.economics import MoneyStudy
    from drumwright.study.in_time import InTime

Season = Literal["winter", "norm", "summer"]
SEASONS: tuple[Season, ...] = ("winter", "norm", "summer")
Verdict = Literal["go", "go_if", "ask_first", "refuse"]
Status = Literal["pass", "fail", "undecided", "not_judged"]
Offer = Literal["nothing", "budget_letter", "firm_offer"]
Flag = Literal["R", "A", "G"]
GATES: tuple[str, ...] = (
    "container_plate",
    "feed",
    "pressure",
    "rate",
    "people",
    "hygiene_zone",
    "money",
)
BORDERS: tuple[str, ...] = ("surface", "under_plate", "pump_inlet", "pump_outlet", "line_end", "delivery")


@dataclass(frozen=True, slots=True)
class Figure:
    """One computed number: point value at likely inputs, P5 and P95, and where it comes from."""

    key: str  # stable dotted key, e.g. "line.pipe_friction"
    kind: str  # quantity kind for display
    likely: float  # at likely inputs
    low: float  # P5
    middle: float  # P50
    high: float  # P95
    basis: str  # "computed" or the basis of an input
    condition: str  # winter, norm, summer, or "all"
    assumptions: tuple[str, ...]  # numbers of the assumptions it rests on
    why: str  # key of its explanation


@dataclass(frozen=True, slots=True)
class Finding:
    """Something found: a failed check, a condition, an overruled rule, a caution, something not judged."""

    key: str  # stable, e.g. "feed.passage_too_small"
    role: Literal["fail", "undecided", "condition", "not_judged", "note", "caution", "overruled", "passed"]
    gate: str  # one of GATES or ""
    text: Phrase
    figure: str = ""  # key of the figure that decides
    value: float | None = None
    limit: float | None = None
    kind: str = ""
    condition: str = ""  # season in which it was found
    probability: float | None = None  # that the check passes


@dataclass(frozen=True, slots=True)
class Gate:
    """One gate judged for one arrangement over all seasons."""

    key: str
    status: Status
    probability: float | None
    deciding: Finding | None
    would_pass: Phrase | None = None


@dataclass(frozen=True, slots=True)
class Effect:
    """What changes if an assumption is at one end of its range."""

    value: float | None
    verdict: Verdict | None
    text: Phrase


@dataclass(frozen=True, slots=True)
class Assumption:
    """A numbered default or weakly known input."""

    number: str  # "A-001"
    field: str  # dotted field path, e.g. "line.own_hose"
    meaning: Phrase
    kind: str  # quantity kind, or "" for a choice
    low: float | None
    likely: float | None
    high: float | None
    choice: str  # for a non-numeric default
    basis: str
    source: str
    owner: str
    flag: Flag
    flag_from: Literal["computed", "trade"]
    closed: bool
    effect_low: Effect | None
    effect_high: Effect | None
    ask: Phrase


@dataclass(frozen=True, slots=True)
class Question:
    """An open answer worth asking for, most decisive first."""

    rank: int
    key: str  # field path or topic
    ask: Phrase
    because: Phrase
    flag: Flag
    assumptions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Hazard:
    """A hazard this configuration brings: reminder only, no risk level is pre-filled."""

    key: str
    hazard: Phrase
    consequence: Phrase
    safeguard: Phrase
    core: bool  # core cautions cannot be silenced


@dataclass(frozen=True, slots=True)
class Part:
    """A part of an arrangement, named in words."""

    role: Literal["container", "plate", "outlet", "stand", "pump", "motor", "line", "hose", "destination"]
    stock: str  # stock id or ""
    name: str  # e.g. "generic cavity pump, 0.78 L/rev, two stages"
    size: float | None
    kind: str
    placeholder: bool  # generic parts are not for order


@dataclass(frozen=True, slots=True)
class Arrangement:
    """A whole machine: parts, and how it differs from what was asked."""

    parts: tuple[Part, ...]
    changes: tuple[Phrase, ...]  # against as asked
    passes: bool
    probability: float


@dataclass(frozen=True, slots=True)
class Option:
    """An arrangement that was looked at and rejected, with the number that rejected it."""

    arrangement: Arrangement
    rejected_by: Finding


@dataclass(frozen=True, slots=True)
class FamilyRow:
    """A pump family judged on the line of the arrangement shown, with the number that decides."""

    family: str
    name: str  # of its best pump, in words
    stock: str
    passes: bool
    decides: Finding
    rules: tuple[tuple[str, str], ...]  # (rule of the trade that applies, good/fair/poor/no)


@dataclass(frozen=True, slots=True)
class Border:
    """The state of the product at one border of its path in one season."""

    key: str  # one of BORDERS
    pressure_absolute: tuple[float, float, float]  # P5, point, P95 [Pa]
    pressure_gauge: tuple[float, float, float]
    flow: float  # [m3/s]
    temperature: float  # [K]
    limit: float | None  # greatest gauge pressure here, or least absolute one at the inlet [Pa]
    limit_is: Literal["", "maximum_gauge", "minimum_absolute"]
    margin: tuple[float, float, float] | None


@dataclass(frozen=True, slots=True)
class ProfilePoint:
    """Pressure along the path against distance, for the profile picture."""

    distance: float  # [m] along the product's path from the pump inlet; negative before it
    low: float  # gauge [Pa]
    likely: float
    high: float
    label: str  # border key or ""


@dataclass(frozen=True, slots=True)
class CurvePair:
    """Pump curve and line curve of one season: pressure at the pump outlet against flow."""

    flow: tuple[float, ...]
    line_pressure: tuple[float, ...]  # gauge, likely
    line_low: tuple[float, ...]
    line_high: tuple[float, ...]
    pump_flow: tuple[float, ...]
    pump_pressure: tuple[float, ...]
    operating_flow: float
    operating_pressure: float
    limit_pressure: float
    limits: tuple[tuple[str, float], ...] = ()  # by name: allowed, weakest, rated, torque, stall [Pa(g)]


@dataclass(frozen=True, slots=True)
class ResiduePart:
    """Product left in one place of an emptied container [m3]."""

    place: str  # wall, hoops, heel, corner, film, liner
    low: float
    likely: float
    high: float
    share: float = 0.0  # of the spread of the sum [-]


@dataclass(frozen=True, slots=True)
class Explanation:
    """How a figure was computed, for `--why` and the note."""

    key: str
    equation: str  # plain text with the source's symbols
    source: str
    inputs: tuple[tuple[str, str, float], ...]  # (name, kind, value put in)
    validity: str
    inside: bool | None


@dataclass(frozen=True, slots=True)
class FitSummary:
    """One flow curve as fitted: model, parameters with intervals, residual, range."""

    temperature: float
    model: str
    parameters: tuple[tuple[str, str, float, float, float], ...]  # (name, kind, low, value, high)
    residual: float
    shear_rate_low: float
    shear_rate_high: float
    alternatives: tuple[tuple[str, float, float], ...]  # (model, residual, information criterion)
    points: tuple[tuple[float, float], ...]  # measured (shear rate, stress)


@dataclass(frozen=True, slots=True)
class DutyVerdict:
    """The verdict of one duty (a product in a container)."""

    name: str
    verdict: Verdict
    gate: str
    deciding: Finding | None


@dataclass(frozen=True, slots=True)
class Head:
    """Identity of the case as printed on every document."""

    title: str
    number: str
    revision: str
    date: str
    author: str
    checker: str
    customer: str
    words: str
    place: str
    units: str
    seed: int
    samples: int
    digest: str
    version: str


@dataclass(frozen=True, slots=True)
class PlateForce:
    """Force that the last gaps need against the force that is there, in one season; SI units."""

    season: Season
    gaps: tuple[float, ...]  # [m]
    needed: tuple[float, ...]  # at the last rate, likely law [N]
    low: tuple[float, ...]  # the same, P5 and P95 of the law
    high: tuple[float, ...]
    there: float  # plate, ram and suction [N]
    gap: tuple[float, float, float]  # end gap: P5, likely, P95 [m]
    still: tuple[float, ...] = ()  # what the yield stress alone holds at each gap, likely law [N]


@dataclass(frozen=True, slots=True)
class WarmCurves:
    """Temperatures of a container over its time in the warm, likely inputs; SI units.

    A product that turns over is mixed: core, mean and wall are one. A frozen one is followed at its coldest
    place and has no band.
    """

    times: tuple[float, ...]  # [s]
    core: tuple[float, ...]  # [K]
    mean: tuple[float, ...]
    wall: tuple[float, ...]
    core_low: tuple[float, ...]  # P5 and P95, empty where they were not computed
    core_high: tuple[float, ...]
    target: float
    around: float
    ready: float  # core at its target [s]
    mode: Literal["conduction", "may_convect", "convection", "phase_change"] = "conduction"
    melts: float | None = None  # temperature at which the last ice or crystals melt [K]


@dataclass(frozen=True, slots=True)
class Section:
    """Inside of the container with its plate or outlet, likely dimensions [m]; 0 for what is not there."""

    section: str  # round, rectangular
    top: float  # diameter at the brim, or length of a bin
    bottom: float
    height: float
    filled: float
    hoops: int
    hoop_depth: float
    seal: str  # "" without a plate
    disc: float  # diameter of the disc, or length of a square one
    reach: float  # most that the seal bridges between disc and wall
    port: float
    heel: float  # mean depth of what stays on the bottom
    pallet: tuple[float, float, float] | None  # length, width, outside diameter of four on it
    width: float = 0.0  # of a bin
    gap: float = 0.0  # between plate and rim of the bottom at the end
    dish: float = 0.0  # depth of the bottom in its middle that goes with the mean gap of plate and bottom
    hoop_width: float = 0.0
    hoop_spacing: float = 0.0
    lips: int = 0
    outlet: float = 0.0  # bore at the floor of a bin
    overhang: tuple[float, float] | None = None  # of four on their pallet, along and across, a side


@dataclass(frozen=True, slots=True)
class Result:
    """The whole answer."""

    head: Head
    verdict: Verdict
    gate: str  # gate that decided as asked ("" when everything passed)
    reason: Phrase  # the verdict in one sentence, in the customer's words
    offer: Offer
    offer_reason: Phrase
    as_asked: tuple[Gate, ...]
    recommended_gates: tuple[Gate, ...]
    asked: tuple[tuple[str, str], ...]  # (label, value as given) rows of "what you asked"
    understood: tuple[tuple[str, str, str, float, str], ...]  # (label, field, kind, likely, basis)
    asked_arrangement: Arrangement
    recommended: Arrangement | None
    options: tuple[Option, ...]
    families: tuple[FamilyRow, ...]
    findings: tuple[Finding, ...]
    conditions: tuple[Finding, ...]
    figures: tuple[Figure, ...]
    path: tuple[tuple[Season, tuple[Border, ...]], ...]
    profile: tuple[tuple[Season, tuple[ProfilePoint, ...]], ...]
    curves: tuple[tuple[Season, CurvePair], ...]
    residue: tuple[ResiduePart, ...]
    assumptions: tuple[Assumption, ...]
    questions: tuple[Question, ...]
    hazards: tuple[Hazard, ...]
    explanations: tuple[Explanation, ...]
    fits: tuple[FitSummary, ...]
    duties: tuple[DutyVerdict, ...]
    sources: tuple[str, ...]
    caution: Phrase
    plate_force: tuple[PlateForce, ...] = ()
    warm_curves: WarmCurves | None = None
    section: Section | None = None
    machine: MachineSketch = NOTHING_DRAWN
    in_time: InTime | None = None  # only where it was asked for: it takes a second
    money: MoneyStudy | None = None  # with it, where prices were given; for the note alone

    def figure(self, key: str, condition: str = "") -> Figure:
        """Return the figure with this key; without a condition the all-season or norm one.

        Raises
        ------
        KeyError
            If the result holds no such figure.
        """
        wanted = (condition,) if condition else ("all", "norm", "winter", "summer")
        for name in wanted:
            for figure in self.figures:
                if figure.key == key and figure.condition == name:
                    return figure
        raise KeyError(key)
