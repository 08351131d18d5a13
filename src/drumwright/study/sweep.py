"""Many cases at once: the verdict of each, and what another stock of parts makes of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import DrumwrightError, QuantityError
from drumwright.basis.phrases import Phrase
from drumwright.station.casefile import load
from drumwright.study.assess import assess
from drumwright.study.places import files_in
from drumwright.study.result import Result
from drumwright.study.spread_out import spread_out

SAMPLES = 1024
MOST = 100_000


@dataclass(frozen=True, slots=True)
class Verdicts:
    """What one case comes to with one stock.

    Parameters
    ----------
    verdict, gate : str
    reason : Phrase
    parts : tuple of (str, str)
        Role and stock identifier of the parts of the arrangement that is shown.
    """

    verdict: str
    gate: str
    reason: Phrase
    parts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Row:
    """One case of a sweep.

    Parameters
    ----------
    path : str
    title : str
    error : str
        Why it could not be judged, "" where it was.
    own : Verdicts or None
        With the stock it names.
    other : Verdicts or None
        With the stock it is compared with, where there is one.
    """

    path: str
    title: str = ""
    error: str = ""
    own: Verdicts | None = None
    other: Verdicts | None = None

    @property
    def moved(self) -> bool:
        """Whether verdict, gate or a part differ with the other stock."""
        if self.own is None or self.other is None:
            return False
        mine = (self.own.verdict, self.own.gate, self.own.parts)
        return mine != (self.other.verdict, self.other.gate, self.other.parts)


@dataclass(frozen=True, slots=True)
class _Task:
    path: Path
    settings: tuple[tuple[str, str], ...]
    stock: Path | None
    samples: int


def sweep(
    places: Sequence[Path],
    *,
    settings: Sequence[tuple[str, str]] = (),
    stock: Path | None = None,
    samples: int = SAMPLES,
    workers: int = 1,
    cluster: str | None = None,
    tell: Callable[[int, int], None] = lambda done, asked: None,
) -> tuple[Row, ...]:
    """Judge many cases.

    Parameters
    ----------
    places : sequence of Path
        Case files, or folders of them.
    settings : sequence of (str, str)
        Overrides of every case.
    stock : Path, optional
        Every case is judged with this stock too, beside the one it names.
    samples : int
        A power of two.
    workers : int
        Processes; the answer does not depend on it.
    cluster : str, optional
        As in `spread_out`.
    tell : callable
        Called with the numbers of cases done and asked for.

    Raises
    ------
    QuantityError
        If a folder holds nothing, there are too many cases, or the cluster cannot be used. A case that cannot
        be judged says so in its row.
    """
    paths = files_in(places)
    if len(paths) > MOST:
        raise QuantityError(*trouble("SWP-003", count=str(len(paths))))
    tasks = [_Task(path, tuple(settings), stock, samples) for path in paths]
    found = []
    for done, row in enumerate(spread_out(judge, tasks, workers, cluster), 1):
        found.append(row)
        tell(done, len(tasks))
    return tuple(found)


def judge(task: _Task) -> Row:
    """Judge one case; what is wrong with it is part of the answer.

    Parameters
    ----------
    task : _Task
    """
    shown = task.path.as_posix()
    try:
        case = load(task.path, dict(task.settings))
        own = _verdicts(assess(case, samples=task.samples))
        other = None
        if task.stock is not None:
            other = _verdicts(assess(load(task.path, dict(task.settings), task.stock), samples=task.samples))
    except DrumwrightError as error:
        return Row(shown, error=str(error).splitlines()[0])
    return Row(shown, case.case.title or case.case.number or "", own=own, other=other)


def _verdicts(result: Result) -> Verdicts:
    arrangement = result.recommended or result.asked_arrangement
    parts = tuple((part.role, part.stock) for part in arrangement.parts if part.stock)
    return Verdicts(result.verdict, result.gate, result.reason, parts)
