"""The parts stock of a case: the generic one, or a firm's own file, or the pinned copy of an offer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import InputError, Problem
from drumwright.machine.pump.records import Pump
from drumwright.machine.pump.stock import pumps as generic_pumps
from drumwright.machine.pump.test_points import PumpFit
from drumwright.station.stock_file import RawRow, StockText, read_stock_text
from drumwright.station.stock_generic import GENERIC, generic_digest, generic_rows
from drumwright.station.stock_pins import Pin, pin_of
from drumwright.station.stock_pumps import Fit, build_pumps
from drumwright.station.stock_rows import StockRow, judge

if TYPE_CHECKING:
    from drumwright.station.records import Case

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Stock:
    """Parts that may be offered, complete and frozen; SI units.

    Parameters
    ----------
    name, source : str
        Its name, and the file it came from; "" for the generic one.
    digest : str
        SHA-256 of the file; of a pinned copy that of the stock it was taken from.
    pumps : tuple of Pump
        Of every status; pumps with test points as fitted.
    rows : tuple of StockRow
        All rows as written, pumps and their test points among them.
    fits : mapping of str to fit
        Fits of pumps with test points by article.
    pinned : bool
        Whether it is the copy of an offer.
    generic : bool
        Whether its parts are the generic ones, which are not for order.
    """

    name: str
    source: str
    digest: str
    pumps: tuple[Pump, ...]
    rows: tuple[StockRow, ...]
    fits: Mapping[str, Fit] = field(default_factory=lambda: MappingProxyType({}))
    pinned: bool = False
    generic: bool = False

    def of_kind(self, kind: str) -> tuple[StockRow, ...]:
        """Rows of one kind of part in the order of the file.

        Parameters
        ----------
        kind : str
            Such as "hose".
        """
        return tuple(row for row in self.rows if row.kind == kind)

    @property
    def plates(self) -> tuple[StockRow, ...]:
        """Follower plates."""
        return self.of_kind("plate")

    @property
    def motors(self) -> tuple[StockRow, ...]:
        """Motors."""
        return self.of_kind("motor")

    @property
    def ratios(self) -> tuple[StockRow, ...]:
        """Gear ratios."""
        return self.of_kind("ratio")

    @property
    def pipes(self) -> tuple[StockRow, ...]:
        """Pipes and tubes."""
        return self.of_kind("pipe")

    @property
    def hoses(self) -> tuple[StockRow, ...]:
        """Hoses."""
        return self.of_kind("hose")

    @property
    def valves(self) -> tuple[StockRow, ...]:
        """Valves."""
        return self.of_kind("valve")

    @property
    def buffers(self) -> tuple[StockRow, ...]:
        """Buffers."""
        return self.of_kind("buffer")

    @property
    def sensors(self) -> tuple[StockRow, ...]:
        """Sensors."""
        return self.of_kind("sensor")

    @property
    def active_pumps(self) -> tuple[Pump, ...]:
        """Pumps that the search may offer."""
        return tuple(pump for pump in self.pumps if pump.status == "active")

    def find(self, article: str) -> Pump:
        """Return the pump with this article, of any status.

        Parameters
        ----------
        article : str

        Raises
        ------
        KeyError
            If the stock has none.
        """
        for pump in self.pumps:
            if pump.identifier == article:
                return pump
        raise KeyError(article)

    def model_values(self, article: str, count: int, seed: int) -> dict[str, Array]:
        """What test points say of a pump, as samples to lay over those of the case; empty without points.

        Parameters
        ----------
        article : str
        count : int
            Samples.
        seed : int

        Returns
        -------
        dict of ndarray, shape (count,)
            "model.*" in SI units; the first of each is the fitted value, for the likely sample.
        """
        fit = self.fits.get(article)
        if not isinstance(fit, PumpFit):
            return {}
        certain = fit.solution._replace(covariance=np.zeros_like(fit.solution.covariance))
        likely = replace(fit, solution=certain).model_values(1, seed)
        drawn = fit.model_values(count, seed)
        return {key: np.concatenate([likely[key], values[1:]]) for key, values in drawn.items()}


@dataclass(frozen=True, slots=True)
class StockReading:
    """A stock file as read.

    Parameters
    ----------
    stock : Stock
        Of the rows that can be used.
    problems : tuple of Problem
        What is wrong, in the order of the file.
    bad : tuple of RawRow
        The rows that cannot be used.
    places : mapping
        Where the usable rows stand: number of the row in the stock to text.
    pin : Pin or None
        Of the copy of an offer.
    """

    stock: Stock
    problems: tuple[Problem, ...]
    bad: tuple[RawRow, ...]
    places: Mapping[int, str]
    pin: Pin | None = None


def read_stock(path: Path, shown: str = "") -> StockReading:
    """Read a stock file.

    Parameters
    ----------
    path : Path
        TOML or workbook.
    shown : str
        Its name in messages; the path where not given.

    Returns
    -------
    StockReading
        With the problems of single rows; the caller decides whether those may be left out.

    Raises
    ------
    InputError
        If the file cannot be read at all, or is the copy of an offer that was changed.
    """
    return reading_of(read_stock_text(Path(path), shown or str(path)))


def reading_of(text: StockText) -> StockReading:
    """Judge a stock file that is read already.

    Parameters
    ----------
    text : StockText
    """
    judged = judge(text.rows)
    found = build_pumps(judged)
    problems = sorted([*text.problems, *judged.problems], key=lambda each: (each.line, each.column))
    rows = tuple(row for row, _ in judged.rows)
    pin = pin_of(text, rows)
    head = text.heads.get("stock", {})
    stock = Stock(
        name=pin.name if pin else str(head.get("name") or Path(text.shown).stem),
        source=pin.source if pin else text.shown,
        digest=pin.digest if pin else text.digest,
        pumps=found.pumps,
        rows=rows,
        fits=MappingProxyType(dict(found.fits)),
        pinned=pin is not None,
        generic=pin.generic if pin else False,
    )
    places = {
        number: f"{raw.file}:{raw.line}" if raw.line else raw.file
        for number, (_, raw) in enumerate(judged.rows)
    }
    return StockReading(stock, tuple(problems), tuple(judged.bad), MappingProxyType(places), pin)


@cache
def generic_stock() -> Stock:
    """The stock that comes with the program: invented sizes, placeholder, not for order."""
    return Stock(GENERIC, "", generic_digest(), generic_pumps(), generic_rows(), generic=True)


def generic_reading() -> StockReading:
    """The generic stock in the form of a stock file that was read."""
    return StockReading(generic_stock(), (), (), MappingProxyType({}))


def stock_for(case: Case) -> Stock:
    """Return the stock a case is judged with: its file, or the generic one where it names none.

    Parameters
    ----------
    case : Case
        As read.

    Raises
    ------
    InputError
        If the file cannot be used, or has bad rows that the case does not leave out.
    """
    reading = stock_reading(case)
    return reading.stock if reading is not None else generic_stock()


def stock_reading(case: Case) -> StockReading | None:
    """Return the stock file of a case as read, None where it names none.

    Parameters
    ----------
    case : Case

    Raises
    ------
    InputError
        As `stock_for`.
    """
    if not case.stock_file:
        return None
    found = usable(Path(case.stock_file), case.stock_file, bool(case.case.stock_skip_bad))
    if found.stock.digest != case.stock_digest:  # an answer never mixes two states of a stock
        raise InputError((Problem(case.stock_file, 0, 0, "case.stock", *trouble("STK-045")),))
    return found


def usable(path: Path, shown: str, skip_bad: bool) -> StockReading:
    """Read a stock that must be of use.

    Parameters
    ----------
    path : Path
    shown : str
        Name in messages.
    skip_bad : bool
        Whether rows that cannot be used are left out.

    Raises
    ------
    InputError
        With every problem, unless they are left out; always where no pump can be offered.
    """
    reading = _read_once(*_content_key(path), shown)
    if reading.problems and not skip_bad:
        raise InputError(reading.problems)
    if not reading.stock.active_pumps:
        raise InputError((*reading.problems, Problem(shown, 0, 0, "", *trouble("STK-032"))))
    return reading


def _content_key(path: Path) -> tuple[Path, int, int]:
    try:
        status = path.stat()
    except (OSError, ValueError):
        return path, 0, 0
    return path, status.st_mtime_ns, status.st_size


@lru_cache(maxsize=8)
def _read_once(path: Path, changed: int, size: int, shown: str) -> StockReading:
    """Read a file once as long as it does not change."""
    return read_stock(path, shown)
