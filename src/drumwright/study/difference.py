"""Two cases side by side: which inputs changed, what moved in the answer, and which change moved it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from drumwright.basis.errors import InputError, NotJudgedYet, QuantityError
from drumwright.station.record_base import Record, iter_fields, steps
from drumwright.station.records import Case
from drumwright.study.assess import assess
from drumwright.study.result import Figure, Finding, Question, Result

SAMPLES = 1024
MOVED = 0.005  # of the larger of both likely values; less is no move
NAMED = 0.1  # of a move: what a change alone does less of is not named as its cause
MOST_ALONE = 24  # changes tried one by one; more are tried table by table
WORDS_ONLY = ("case.", "enquiry.words", "answer")  # fields that no number rests on
SEED = "case.seed"


@dataclass(frozen=True, slots=True)
class Change:
    """One input that differs.

    Parameters
    ----------
    path : str
        Field, or the list where both have another number of elements.
    kind : str
        Quantity kind, "" where it is no quantity.
    before, after : object
        Estimate, word or text; None where nothing was said.
    """

    path: str
    kind: str
    before: Any
    after: Any


@dataclass(frozen=True, slots=True)
class Cause:
    """What one change, or one table of them, does alone to a figure.

    Parameters
    ----------
    path : str
        Field or table.
    effect : float
        Likely value with this change alone, less the one before [SI].
    """

    path: str
    effect: float


@dataclass(frozen=True, slots=True)
class Move:
    """One figure that moved.

    Parameters
    ----------
    before, after : Figure or None
        None where only the other case has it.
    causes : tuple of Cause
        Largest first.
    together : float
        What no change does alone [SI].
    """

    before: Figure | None
    after: Figure | None
    causes: tuple[Cause, ...]
    together: float

    @property
    def figure(self) -> Figure:
        """The one of the two that is there, the later where both are."""
        found = self.after or self.before
        assert found is not None
        return found


@dataclass(frozen=True, slots=True)
class Difference:
    """Two cases, compared.

    Parameters
    ----------
    before, after : Result
    changes : tuple of Change
    moves : tuple of Move
        Figures that decide first, then by how far they moved.
    alone : tuple of (str, Result or None)
        What each change alone makes of the first case; None where it cannot stand alone.
    gone, new : tuple of Finding
        Failed checks and conditions that only one of both has.
    asked_no_more, asked_now : tuple of Question
    """

    before: Result
    after: Result
    changes: tuple[Change, ...]
    moves: tuple[Move, ...]
    alone: tuple[tuple[str, Result | None], ...]
    gone: tuple[Finding, ...]
    new: tuple[Finding, ...]
    asked_no_more: tuple[Question, ...]
    asked_now: tuple[Question, ...]


def difference(before: Case, after: Case, *, samples: int = SAMPLES) -> Difference:
    """Compare two cases, or two revisions of one.

    Parameters
    ----------
    before, after : Case
    samples : int
        Samples of each answer, a power of two. Both use the seed of the first: sampling moves nothing.

    Notes
    -----
    A change is tried alone on the first case: that is its effect. Effects need not add up; what is left over
    is said as what the changes do together.
    """
    second = _with(after, SEED, before.case.seed)
    changed = tuple(_changes(before, second))
    first, last = assess(before, samples=samples), assess(second, samples=samples)
    alone = tuple((path, _tried(before, second, path, samples)) for path in _trials(before, second, changed))
    return Difference(
        before=first,
        after=last,
        changes=changed,
        moves=_moves(first, last, alone),
        alone=alone,
        gone=_only(first, last),
        new=_only(last, first),
        asked_no_more=_questions(first, last),
        asked_now=_questions(last, first),
    )


def _changes(before: Case, after: Case) -> Iterator[Change]:
    """Fields that differ; a list of another length is one change."""
    lists = set(_unequal_lists(before, after))
    mine = {path: (declared, value) for path, declared, value in iter_fields(before)}
    theirs = {path: (declared, value) for path, declared, value in iter_fields(after)}
    for path in lists:
        yield Change(path, "", _value(before, path), _value(after, path))
    for path in dict.fromkeys((*mine, *theirs)):
        if any(path.startswith((f"{each}.", f"{each}[")) for each in lists):
            continue
        declared = (mine.get(path) or theirs[path])[0]
        one, other = mine.get(path, (None, None))[1], theirs.get(path, (None, None))[1]
        if one != other:
            yield Change(path, declared.kind or "", one, other)


def _unequal_lists(before: Record, after: Record, prefix: str = "") -> Iterator[str]:
    """Lists of records of which one has more elements."""
    for name in type(before).model_fields:
        one, other = getattr(before, name), getattr(after, name)
        if isinstance(one, Record) and isinstance(other, Record):
            yield from _unequal_lists(one, other, f"{prefix}{name}.")
        elif _records(one) or _records(other):
            if len(one) != len(other):
                yield f"{prefix}{name}"
                continue
            for index, (a, b) in enumerate(zip(one, other, strict=True)):
                step = f"{prefix}{name}" if len(one) == 1 else f"{prefix}{name}[{index}]"
                yield from _unequal_lists(a, b, f"{step}.")


def _records(value: Any) -> bool:
    return isinstance(value, tuple) and bool(value) and isinstance(value[0], Record)


def _value(case: Record, path: str) -> Any:
    value: Any = case
    for name, index in steps(path):
        if value is None:
            return None
        value = getattr(value, name)
        if index is not None or (_records(value) and len(value) == 1 and not path.endswith(name)):
            value = value[index or 0]
    return value


def _with(case: Case, path: str, value: Any) -> Case:
    """The case with one field, or list, replaced."""
    changed: Case = _replaced(case, steps(path), value)
    return changed


def _replaced(record: Any, rest: list[tuple[str, int | None]], value: Any) -> Any:
    (name, index), further = rest[0], rest[1:]
    if not further:
        return record.model_copy(update={name: value})
    inner = getattr(record, name)
    if isinstance(inner, tuple):
        place = index or 0
        new: Any = tuple(
            _replaced(each, further, value) if k == place else each for k, each in enumerate(inner)
        )
    else:
        new = _replaced(inner, further, value)
    return record.model_copy(update={name: new})


def _trials(before: Case, after: Case, changed: tuple[Change, ...]) -> tuple[str, ...]:
    """Fields, or tables where there are many, that are tried alone."""
    paths = [each.path for each in changed if not each.path.startswith(WORDS_ONLY)]
    if len(paths) < 2 or len(paths) <= MOST_ALONE:
        return tuple(paths)
    return tuple(dict.fromkeys(path.split(".")[0].split("[")[0] for path in paths))


def _tried(before: Case, after: Case, path: str, samples: int) -> Result | None:
    """The first case with this change alone; None where it cannot be judged so."""
    try:
        return assess(_with(before, path, _value(after, path)), samples=samples)
    except (InputError, QuantityError, NotJudgedYet, AttributeError, IndexError):
        return None


def _moves(first: Result, last: Result, alone: tuple[tuple[str, Result | None], ...]) -> tuple[Move, ...]:
    mine = {(each.key, each.condition): each for each in first.figures}
    theirs = {(each.key, each.condition): each for each in last.figures}
    tried = [
        (path, {(each.key, each.condition): each for each in result.figures})
        for path, result in alone
        if result is not None
    ]
    found = []
    for key in dict.fromkeys((*mine, *theirs)):
        one, other = mine.get(key), theirs.get(key)
        if one is not None and other is not None:
            if _share(one, other) > MOVED:
                found.append(_move(one, other, key, tried))
        else:
            found.append(Move(one, other, (), 0.0))
    deciding = {
        each.figure for each in (*first.findings, *last.findings, *first.conditions, *last.conditions)
    }
    return tuple(sorted(found, key=lambda each: (each.figure.key not in deciding, -_size(each))))


def _share(one: Figure, other: Figure) -> float:
    """How far two likely values are apart, over the larger."""
    most = max(abs(one.likely), abs(other.likely))
    if not most > 0.0 or one.likely == other.likely:
        return 0.0
    apart = abs(one.likely - other.likely)
    return apart / most if apart < float("inf") else 1.0


def _size(move: Move) -> float:
    return 1.0 if move.before is None or move.after is None else _share(move.before, move.after)


def _move(
    one: Figure, other: Figure, key: tuple[str, str], tried: list[tuple[str, dict[tuple[str, str], Figure]]]
) -> Move:
    whole = other.likely - one.likely
    effects = [
        Cause(path, figures[key].likely - one.likely)
        for path, figures in tried
        if key in figures and abs(figures[key].likely) < float("inf")
    ]
    causes = [each for each in effects if abs(each.effect) >= NAMED * abs(whole)]
    rest = whole - sum(each.effect for each in effects)
    return Move(one, other, tuple(sorted(causes, key=lambda each: -abs(each.effect))), rest)


def _only(one: Result, other: Result) -> tuple[Finding, ...]:
    """Failed checks, open points and conditions that the other has not."""
    theirs = {each.key for each in (*other.findings, *other.conditions)}
    weighty = ("fail", "undecided", "condition")
    listed = [each for each in (*one.findings, *one.conditions) if each.role in weighty]
    return tuple({each.key: each for each in listed if each.key not in theirs}.values())


def _questions(one: Result, other: Result) -> tuple[Question, ...]:
    theirs = {each.key for each in other.questions}
    return tuple(each for each in one.questions if each.key not in theirs)
