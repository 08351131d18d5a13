"""A case with one answer supposed: judged again as if it had been said."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from drumwright.basis.errors import FitError, InputError, NotJudgedYet, QuantityError
from drumwright.basis.estimate import Estimate
from drumwright.station.record_base import Record, declared_in, record_in, steps
from drumwright.station.records import Case
from drumwright.study.answer import Judgement
from drumwright.study.assess import judgements
from drumwright.study.standing import Standing, standing_of

THIN = 256  # samples of a re-assessment
HALVINGS = 6  # of the way from the likely value to an end
_ELSEWHERE = {
    "one_point.shear_rate": "product.viscosity_shear_rate",
    "topic.curve_temperature": "product.viscosity_temperature",
}
_CUSTOMERS = ("product", "container")  # lists of which one is the binding one


@dataclass(frozen=True, slots=True)
class Flip:
    """Where an answer makes another decision.

    Parameters
    ----------
    part : str
        One of `standing.PARTS`.
    below : bool
        Whether it does so under the threshold, else above.
    value : float
        Threshold [SI of its field].
    then : Standing
        The decision beyond it.
    """

    part: str
    below: bool
    value: float
    then: Standing


def field_of(answer: Judgement, case: Case, key: str) -> str:
    """Path of the field of a case that an assumption is about, "" where it is none.

    Parameters
    ----------
    answer : Judgement
        Says which product and container are meant.
    case : Case
    key : str
        Of the assumption.
    """
    key = _ELSEWHERE.get(key, key)
    head, _, rest = key.partition(".")
    if head in _CUSTOMERS:
        meant = getattr(answer.problem.inputs, head)
        held = getattr(case, head)
        place = next((index for index, each in enumerate(held) if each is meant), 0)
        head = f"{head}[{place}]" if len(held) > 1 else head
    path = f"{head}.{rest}"
    return path if rest and _declared(path) else ""


def _declared(path: str) -> bool:
    record: type[Record] | None = Case
    for name, _ in steps(path):
        if record is None or name not in declared_in(record):
            return False
        record = record_in(record, name)
    return record is None


def with_value(case: Case, path: str, value: Any) -> Case:
    """The case with one field said.

    Parameters
    ----------
    case : Case
    path : str
        As `field_of` returns it.
    value : object
        Estimate, word or flag.
    """
    changed: Case = _put(case, steps(path), value)
    return changed


def _put(record: Any, rest: list[tuple[str, int | None]], value: Any) -> Any:
    (name, index), further = rest[0], rest[1:]
    if not further:
        return record.model_copy(update={name: value})
    inner = getattr(record, name)
    if isinstance(inner, tuple):
        held = inner or (_empty(record, name),)
        place = index or 0
        new: Any = tuple(_put(each, further, value) if k == place else each for k, each in enumerate(held))
    else:
        new = _put(inner if inner is not None else _empty(record, name), further, value)
    return record.model_copy(update={name: new})


def _empty(record: Any, name: str) -> Any:
    kind = record_in(type(record), name)
    assert kind is not None
    return kind()


def judged(case: Case, path: str, value: Any, samples: int = THIN) -> Standing | None:
    """The decision with an answer supposed; None where the case cannot be so.

    Parameters
    ----------
    case : Case
    path : str
    value : object
    samples : int
    """
    try:
        return standing_of(judgements(with_value(case, path, value), samples)[0])
    except (InputError, QuantityError, FitError, NotJudgedYet):
        return None


def flips(
    at: Callable[[float], Standing | None], low: float, likely: float, high: float, parts: tuple[str, ...]
) -> tuple[Flip, ...]:
    """Thresholds between the likely value of a number and its ends, the weightiest part that changes.

    Parameters
    ----------
    at : callable
        The decision with the number set [SI].
    low, likely, high : float
        Range of the assumption [SI].
    parts : tuple of str
        Of a decision, the weightiest first.

    Notes
    -----
    Bisection on whole re-assessments, `HALVINGS` for each end: the threshold is good to a sixty-fourth
    of the way. A part that changes twice on the way shows one of its changes.
    """
    middle = at(likely)
    ends = [(False, high, at(high)), (True, low, at(low))]
    if middle is None:
        return ()
    changed = [end[2].differs(middle) if end[2] is not None else frozenset() for end in ends]
    part = next((each for each in parts if any(each in found for found in changed)), "")
    found = []
    for (below, end, then), names in zip(ends, changed, strict=True):
        if part and part in names and then is not None:
            found.append(Flip(part, below, *_border(at, part, middle, (likely, end), then)))
    return tuple(found)


def _border(
    at: Callable[[float], Standing | None],
    part: str,
    middle: Standing,
    between: tuple[float, float],
    then: Standing,
) -> tuple[float, Standing]:
    near, far = between
    for _ in range(HALVINGS):
        half = 0.5 * (near + far)
        here = at(half)
        if here is not None and part not in here.differs(middle):
            near = half
        else:
            far, then = half, here or then
    return far, then


def stated(value: float, basis_of: Estimate) -> Estimate:
    """A number as an answer would state it: without a spread.

    Parameters
    ----------
    value : float
        [SI of its field]
    basis_of : Estimate
        The assumption it stands for.
    """
    return Estimate.exact(value, "customer", basis_of.note)
