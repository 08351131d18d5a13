"""Money over years: present value, payback, internal rate of return, capital recovery, economic life."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays, require_positive

Array = NDArray[np.float64]
HALVINGS = 200
LEAST_RATE = 1e-12  # below it interest is none
SAME = 1e-9  # two roots nearer than that are one
Status = Literal["one", "none", "several"]


def annuity(rate: ArrayLike, years: ArrayLike) -> Array:
    """Present value of one unit of money at the end of each year.

    Parameters
    ----------
    rate : array_like
        Rate of interest a year [-], above -1.
    years : array_like
        [-]

    Raises
    ------
    FlowOutOfRange
        If the rate is -1 or less, or the years are not positive.

    Notes
    -----
    ``(1 - (1+i)^-n) / i``, and ``n`` without interest.
    """
    i, n = arrays(rate, years)
    require_positive("one plus the rate", 1.0 + i)
    require_positive("years", n)
    some = np.where(i == 0.0, 1.0, i)
    return np.asarray(np.where(i == 0.0, n, -np.expm1(-n * np.log1p(i)) / some))


def capital_recovery(rate: ArrayLike, years: ArrayLike) -> Array:
    """Equal payment at the end of each year that gives back one unit of money spent now.

    Parameters
    ----------
    rate : array_like
        Rate of interest a year [-].
    years : array_like
        [-]

    Notes
    -----
    ``i (1+i)^n / ((1+i)^n - 1)``, the reciprocal of `annuity`.
    """
    return np.asarray(1.0 / annuity(rate, years))


def present_value(spent: ArrayLike, yearly: ArrayLike, rate: ArrayLike, years: ArrayLike) -> Array:
    """Net present value of money spent now for the same saving every year.

    Parameters
    ----------
    spent : array_like
        Now [money].
    yearly : array_like
        Saving at the end of each year [money].
    rate : array_like
        Rate of interest a year [-].
    years : array_like
        [-]

    Notes
    -----
    ``NPV = -P + A (1 - (1+i)^-n) / i``.
    """
    return np.asarray(np.asarray(yearly, float) * annuity(rate, years) - np.asarray(spent, float))


def present_value_of(flows: ArrayLike, rate: float) -> Array:
    """Net present value of any flows of money.

    Parameters
    ----------
    flows : array_like, shape (years + 1, ...)
        Received at the end of year 0, 1, 2 and so on, paid negative [money].
    rate : float
        Rate of interest a year [-], above -1.
    """
    listed = np.asarray(flows, float)
    found = np.zeros(listed.shape[1:])
    for flow in listed[::-1]:
        found = found / (1.0 + rate) + flow
    return np.asarray(found)


def simple_payback(spent: ArrayLike, yearly: ArrayLike) -> Array:
    """Years until the savings have given back what was spent, without interest; infinite where they never do.

    Parameters
    ----------
    spent : array_like
        Now [money].
    yearly : array_like
        Saving each year [money].
    """
    paid, saved = arrays(spent, yearly)
    never = (saved <= 0.0) & (paid > 0.0)
    return np.asarray(np.where(never, np.inf, np.maximum(paid, 0.0) / np.where(saved > 0.0, saved, 1.0)))


def discounted_payback(spent: ArrayLike, yearly: ArrayLike, rate: ArrayLike) -> Array:
    """Years until the savings have given back what was spent with interest; infinite where they never do.

    Parameters
    ----------
    spent : array_like
        Now [money].
    yearly : array_like
        Saving at the end of each year [money].
    rate : array_like
        Rate of interest a year [-], not negative.

    Notes
    -----
    ``n = -ln(1 - P i / A) / ln(1 + i)``; never where the interest on what was spent is the whole saving.
    """
    simple, i = arrays(simple_payback(spent, yearly), rate)
    interest = np.where(np.isfinite(simple), simple, 0.0) * i
    ends = np.isfinite(simple) & (interest < 1.0)
    small = i < LEAST_RATE
    grown = -np.log1p(-np.where(ends, interest, 0.0)) / np.where(small, 1.0, np.log1p(i))
    found = np.where(small, simple, grown)
    return np.asarray(np.where(ends, found, np.inf))


def level_return(spent: ArrayLike, yearly: ArrayLike, years: ArrayLike) -> Array:
    """Internal rate of return of money spent now for the same saving every year; nan where there is none.

    Parameters
    ----------
    spent : array_like
        Now [money].
    yearly : array_like
        Saving at the end of each year [money].
    years : array_like
        [-]

    Notes
    -----
    Where both are positive there is exactly one above -1: ``sum of x^t = P / A`` with ``x = 1 / (1 + r)``
    rises with x. Found by halving in the logarithm of x.
    """
    paid, saved, n = arrays(spent, yearly, years)
    there = (paid > 0.0) & (saved > 0.0)
    wanted = np.where(there, paid, 1.0) / np.where(there, saved, 1.0)
    high = np.log(np.maximum(wanted, 1.0))  # the sum is at least x
    low = -np.log1p(1.0 / np.minimum(wanted, 1.0))  # and below x / (1 - x)
    low, high, wanted = np.broadcast_arrays(low, high, wanted)
    for _ in range(60):
        middle = 0.5 * (low + high)
        less = annuity(np.expm1(-middle), n) < wanted
        low, high = np.where(less, middle, low), np.where(less, high, middle)
    return np.asarray(np.where(there, np.expm1(-0.5 * (low + high)), np.nan))


@dataclass(frozen=True, slots=True)
class Return:
    """Internal rates of return of flows of money.

    Parameters
    ----------
    rates : tuple of float
        Every rate above -1 at which the present value is nothing, rising [-].
    """

    rates: tuple[float, ...]

    @property
    def status(self) -> Status:
        """One rate, none, or several: then none of them may be read alone."""
        return "none" if not self.rates else "one" if len(self.rates) == 1 else "several"


def internal_returns(flows: Sequence[float]) -> Return:
    """Every internal rate of return of flows of money.

    Parameters
    ----------
    flows : sequence of float
        At the end of year 0, 1, 2 and so on, paid negative [money].

    Notes
    -----
    Roots of the polynomial in ``x = 1 / (1 + r)`` above nothing. Between two neighbouring roots of its
    derivative a polynomial is monotone, so each step down the derivatives finds all of them by halving: a
    root that is only touched is found too, at a turning point.
    """
    listed = [float(value) for value in flows]
    while listed and listed[-1] == 0.0:
        listed.pop()
    while listed and listed[0] == 0.0:  # a common power of x adds no root above nothing
        listed.pop(0)
    if len(listed) < 2:
        return Return(())
    scale = max(abs(value) for value in listed)
    found = _positive_roots(np.array([value / scale for value in listed[::-1]]))
    return Return(tuple(sorted(1.0 / x - 1.0 for x in found)))


def _positive_roots(polynomial: Array) -> list[float]:
    """Roots above nothing of a polynomial, highest power first."""
    if polynomial.size < 2:
        return []
    turning = _positive_roots(np.asarray(np.polyder(polynomial), np.float64))
    bound = 1.0 + float(np.max(np.abs(polynomial[1:] / polynomial[0])))  # after Cauchy
    places = [0.0, *turning, max(bound, *turning, 0.0) + 1.0]
    found: list[float] = []
    for low, high in pairwise(places):
        root = _between(polynomial, low, high)
        if root is not None and root > 0.0 and not any(abs(root - each) <= SAME * root for each in found):
            found.append(root)
    return found


def _between(polynomial: Array, low: float, high: float) -> float | None:
    """The root of a polynomial that is monotone between two places; one that is touched at an end counts."""
    at_low, at_high = float(np.polyval(polynomial, low)), float(np.polyval(polynomial, high))
    for place, value in ((low, at_low), (high, at_high)):
        size = float(np.polyval(np.abs(polynomial), place))
        if abs(value) <= 1e-13 * size:
            return place
    if (at_low < 0.0) == (at_high < 0.0):
        return None
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if (float(np.polyval(polynomial, middle)) < 0.0) == (at_low < 0.0):
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def economic_life(first_cost: float, yearly_costs: Sequence[float], rate: float) -> tuple[int, float]:
    """Years after which equipment costs least a year, and that yearly cost.

    Parameters
    ----------
    first_cost : float
        [money]
    yearly_costs : sequence of float
        Costs of each year at its end, in order [money].
    rate : float
        Rate of interest a year [-].

    Returns
    -------
    tuple of int and float
        Years, and equal payment a year [money]; the last year where the cost still falls at its end.

    Notes
    -----
    Least over n of ``(P + present value of the costs to year n) i (1+i)^n / ((1+i)^n - 1)``.
    """
    ends = np.arange(1.0, len(yearly_costs) + 1.0)
    spent = first_cost + np.cumsum(np.asarray(yearly_costs, float) / (1.0 + rate) ** ends)
    yearly = spent * capital_recovery(rate, ends)
    best = int(np.argmin(yearly))
    return best + 1, float(yearly[best])
