"""Machines against products: each pair judged as it stands, with the number that decides."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import DrumwrightError, QuantityError
from drumwright.basis.phrases import Phrase
from drumwright.station.pairing import load_pair, products_in
from drumwright.station.source_text import read_source
from drumwright.study.answer import Judgement, build_result
from drumwright.study.assess import judgements
from drumwright.study.places import files_in
from drumwright.study.result import Figure, Finding, Gate
from drumwright.study.set_levels import set_points_of
from drumwright.study.set_points import ladder_of, missing_at
from drumwright.study.spread_out import spread_out

SAMPLES = 1024
MOST = 2500  # pairs
HINDERS = ("fail", "undecided")  # of a gate; one without a model hinders nothing and is a condition
RUNGS = ("slow_down", "stop", "trip", "relief")


@dataclass(frozen=True, slots=True)
class Pair:
    """One machine with one product.

    Parameters
    ----------
    machine, product : str
    error : str
        Why it could not be judged, "" where it was.
    as_it_stands : bool
        Whether no gate fails or stays undecided with the machine as it is given.
    verdict : str
        Of the machine for this product, changes counted.
    gates : tuple of Gate
        Of the machine as it is given.
    decides : Finding or None
        Of the first gate that does not pass.
    changes : tuple of Phrase
        What would have to change where it passes then; empty where nothing has to, or nothing helps.
    flow, residue, pressure : Figure or None
        Station flow, share left in the container, pressure added; of their worst season.
    set_points : tuple of (str, float)
        Rungs of the ladder [Pa(g)]; empty where there are none.
    missing : float
        What the rungs lack, P95 [Pa]; zero or less where they fit.
    """

    machine: str
    product: str
    error: str = ""
    as_it_stands: bool = False
    verdict: str = ""
    gates: tuple[Gate, ...] = ()
    decides: Finding | None = None
    changes: tuple[Phrase, ...] = ()
    flow: Figure | None = None
    residue: Figure | None = None
    pressure: Figure | None = None
    set_points: tuple[tuple[str, float], ...] = ()
    missing: float = 0.0


@dataclass(frozen=True, slots=True)
class Matrix:
    """All pairs, machine by machine.

    Parameters
    ----------
    machines, products : tuple of str
    pairs : tuple of Pair
    """

    machines: tuple[str, ...]
    products: tuple[str, ...]
    pairs: tuple[Pair, ...]

    def pair(self, machine: str, product: str) -> Pair:
        """The pair of these names.

        Parameters
        ----------
        machine, product : str

        Raises
        ------
        KeyError
            If there is none.
        """
        for each in self.pairs:
            if (each.machine, each.product) == (machine, product):
                return each
        raise KeyError((machine, product))


@dataclass(frozen=True, slots=True)
class _Task:
    machine: Path
    product: Path
    index: int
    names: tuple[str, str]
    settings: tuple[tuple[str, str], ...]
    stock: Path | None
    samples: int


def matrix(
    machines: Sequence[Path],
    products: Sequence[Path],
    *,
    settings: Sequence[tuple[str, str]] = (),
    stock: Path | None = None,
    samples: int = SAMPLES,
    workers: int = 1,
    tell: Callable[[int, int], None] = lambda done, asked: None,
) -> Matrix:
    """Judge every machine for every product.

    Parameters
    ----------
    machines : sequence of Path
        Case files, or folders of them; the products in them are left out.
    products : sequence of Path
        Product cards or case files, or folders of them.
    settings : sequence of (str, str)
        Overrides of every pair.
    stock : Path, optional
        For every pair.
    samples : int
        A power of two.
    workers : int
        Processes; the answer does not depend on it.
    tell : callable
        Called with the numbers of pairs done and asked for.

    Raises
    ------
    QuantityError
        If a folder holds nothing, or there are more than `MOST` pairs.
    InputError
        If a file of products cannot be read. A pair that cannot be judged says so in its place.
    """
    stations, goods = files_in(machines), files_in(products)
    items = [
        (path, index, str(item.get("name", f"{path.stem} {index + 1}")))
        for path in goods
        for index, item in enumerate(products_in(read_source(path, str(path))))
    ]
    if len(stations) * len(items) > MOST:
        raise QuantityError(*trouble("MTX-003", count=str(len(stations) * len(items))))
    names = _unlike([path.stem for path in stations]), _unlike([name for _, _, name in items])
    tasks = [
        _Task(path, product, index, (machine, name), tuple(settings), stock, samples)
        for path, machine in zip(stations, names[0], strict=True)
        for (product, index, _), name in zip(items, names[1], strict=True)
    ]
    found = []
    for done, each in enumerate(spread_out(judge, tasks, workers), 1):
        found.append(each)
        tell(done, len(tasks))
    return Matrix(tuple(names[0]), tuple(names[1]), tuple(found))


def _unlike(names: Sequence[str]) -> list[str]:
    """Names that occur twice with a number behind them."""
    seen: dict[str, int] = {}
    found = []
    for name in names:
        seen[name] = seen.get(name, 0) + 1
        found.append(name if seen[name] == 1 else f"{name} ({seen[name]})")
    return found


def judge(task: _Task) -> Pair:
    """Judge one pair; what is wrong with it is part of the answer.

    Parameters
    ----------
    task : _Task
    """
    machine, product = task.names
    try:
        case = load_pair(task.machine, task.product, task.index, dict(task.settings), task.stock)
        answer = judgements(case, task.samples)[0]
        result = build_result(case, answer, (), task.samples)
    except DrumwrightError as error:
        return Pair(machine, product, error=str(error).splitlines()[0])
    obstacle = next((gate for gate in result.as_asked if gate.status in HINDERS), None)
    as_it_stands = bool(result.as_asked) and obstacle is None
    changes = result.recommended.changes if result.recommended is not None and not as_it_stands else ()
    rungs, missing = _rungs(answer)
    return Pair(
        machine=machine,
        product=product,
        as_it_stands=as_it_stands,
        verdict=result.verdict,
        gates=result.as_asked,
        decides=obstacle.deciding if obstacle is not None else None,
        changes=changes,
        flow=_worst(result.figures, "station.flow", lowest=True),
        residue=_worst(result.figures, "residue.share"),
        pressure=_worst(result.figures, "line.total"),
        set_points=rungs,
        missing=missing,
    )


def _worst(figures: Sequence[Figure], key: str, lowest: bool = False) -> Figure | None:
    """The figure in its least favourable season."""
    listed = [each for each in figures if each.key == key]
    if not listed:
        return None
    return min(listed, key=lambda each: each.likely if lowest else -each.likely)


def _rungs(answer: Judgement) -> tuple[tuple[tuple[str, float], ...], float]:
    """Set points of the machine as it is given, and what they lack."""
    found = answer.asked
    if found is None or not found.balances or not found.choice.pump.turns:
        return (), 0.0
    made = ladder_of(answer.problem, found)
    if made is None:
        return (), 0.0
    points = set_points_of(answer.problem, found)
    return tuple((name, float(getattr(points, name))) for name in RUNGS), missing_at(made)
