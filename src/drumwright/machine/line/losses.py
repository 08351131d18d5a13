"""Pressure along a line of segments: friction of each, fittings by two models, lift, restart, volume."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.cone import cone_pressure, cone_yield_pressure
from drumwright.flow.fittings import GUIDE_KNEE, INCH, TABLED_BELOW
from drumwright.flow.numbers import GRAVITY
from drumwright.flow.pipe import wall_stress
from drumwright.flow.regime import LEAST_LIMIT, metzner_reed
from drumwright.flow.turbulent import pressure_drop_any_regime
from drumwright.machine.line.segments import Segment
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]
HALF_PI_QUARTER = 0.25 * np.pi
# 95th of a hundred of the model factor on fittings, 0.5 to 1.5 about 1 (physics book 5.3): 1.5 - sqrt(0.025)
GUIDE_AT = 1.342


class RouteLoss(NamedTuple):
    """Pressures of a line at one flow [Pa]; n samples, a route of m segments."""

    friction: Array  # (m, n) every segment, fittings and stated losses in it
    straight: Array  # (n,) pipes, hoses, long bends and cones
    hose: Array  # (n,) of it hoses
    fittings: Array  # (n,) by the two-K constants and the model factor
    stated: Array  # (n,) filters and meters
    static: Array  # (n,) density, gravity and the height of the end over the pump
    highest: Array  # (n,) head of the highest point over the pump, zero or more
    guide: Array  # (n,) the same fittings by the guide A/N
    least_reynolds: Array  # (n,) in the fittings; infinite where there is none
    most_reynolds: Array  # (n,) in the fittings; zero where there is none

    @property
    def total(self) -> Array:
        """Pressure from pump outlet to the end of a line that runs full."""
        return np.asarray(self.straight + self.fittings + self.stated + self.static)

    @property
    def at_pump(self) -> Array:
        """Pressure at the pump where a falling leg gives no help: all friction and the highest head."""
        return np.asarray(self.straight + self.fittings + self.stated + self.highest)

    @property
    def extrapolated(self) -> NDArray[np.bool_]:
        """Where some fitting runs below the Reynolds numbers its constants were measured at."""
        return np.asarray(self.least_reynolds < TABLED_BELOW)

    @property
    def careful(self) -> Array:
        """Pressure at the pump with the greater of the two models of the fittings."""
        return np.asarray(self.at_pump + np.maximum(self.spread, 0.0))

    @property
    def spread(self) -> Array:
        """Fittings by the guide less fittings by two-K: how far two published methods differ."""
        return np.asarray(self.guide - self.fittings)


class _Wall(NamedTuple):
    """What the wall of one bore feels at the flow."""

    laminar: Array  # wall stress of laminar flow [Pa]
    stress: Array  # in any regime [Pa]
    head: Array  # velocity head [Pa]
    reynolds: Array


class _Walls:
    """Wall stress at one flow, computed once for each bore."""

    def __init__(self, flow: ArrayLike, density: ArrayLike, law: FlowLaw) -> None:
        self.flow, self.density, self.law = np.asarray(flow, float), np.asarray(density, float), law
        self.kept: dict[float | int, _Wall] = {}
        self.held: list[ArrayLike] = []  # keeps the arrays alive, so that no identity is used twice

    def at(self, bore: ArrayLike) -> _Wall:
        key = id(bore) if isinstance(bore, np.ndarray) and bore.ndim else float(np.asarray(bore))
        if key not in self.kept:
            self.held.append(bore)
            self.kept[key] = self._of(np.asarray(bore, float))
        return self.kept[key]

    def _of(self, bore: Array) -> _Wall:
        law = self.law
        parameters = (law.yield_stress, law.consistency, law.exponent)
        laminar = np.asarray(wall_stress(self.flow, bore, *parameters))
        reynolds = np.asarray(metzner_reed(self.flow, bore, self.density, np.maximum(laminar, 1e-300)))
        stress = laminar
        if reynolds.size and reynolds.max() > LEAST_LIMIT:
            any_regime = pressure_drop_any_regime(self.flow, bore, 0.25 * bore, self.density, *parameters)
            stress = np.asarray(any_regime)
        head = 0.5 * self.density * (self.flow / (HALF_PI_QUARTER * bore**2)) ** 2
        return _Wall(laminar, stress, np.asarray(head), reynolds)


def losses(
    segments: Sequence[Segment],
    flow: ArrayLike,
    density: ArrayLike,
    law: FlowLaw,
    fittings_factor: ArrayLike = 1.0,
) -> RouteLoss:
    """Pressure losses of a line at a flow.

    Parameters
    ----------
    segments : sequence of Segment
        In the order the product passes them, at least one.
    flow, density : array_like
        [m3/s], [kg/m3]; floats or shape (n,).
    law : FlowLaw
        Product at the temperature of the line.
    fittings_factor : array_like
        Model factor on the loss of fittings [-]; 0.5 to 1.5 below a Reynolds number of 20. Its upper
        half is widened to the greater of the two models (`widened`).

    Returns
    -------
    RouteLoss
        Arrays [Pa] of the common shape of all inputs; `friction` has one row a segment.

    Notes
    -----
    Fittings: dp = K1 tau_w/16 + K_inf (1 + 1/D[inch]) rho V^2/2, the two-K method with the number of Metzner
    and Reed (physics book 5.3), so K1/64 diameters of the pipe they stand in. Second model: the guide
    k_f = A/N with A = 500 times the turbulent coefficient (Steffe 1996, p. 137, through physics book 5.3; the
    turbulent coefficient taken from the two-K table), continued below N = 20, where neither has data. Cones
    are integrated and get the head of a sudden change of bore, which only thin products feel. A stated loss
    scales with the wall stress of the product against that of the product it was stated for (`norm_law`).
    """
    walls, factor = _Walls(flow, density, law), np.asarray(fittings_factor, float)
    rows = [_segment_loss(each, walls, factor) for each in segments]
    shape = np.broadcast_shapes(*(row.friction.shape for row in rows), np.shape(density),
                                *(np.shape(each.rise) for each in segments))  # fmt: skip
    friction = np.empty((len(segments), *shape))
    sums = {name: np.zeros(shape) for name in ("straight", "hose", "fittings", "stated", "guide")}
    least, most = np.full(shape, np.inf), np.zeros(shape)
    for index, (segment, row) in enumerate(zip(segments, rows, strict=True)):
        friction[index] = row.friction
        sums[row.group] += row.friction
        if segment.kind == "hose":
            sums["hose"] += row.friction
        if row.reynolds is not None:
            sums["guide"] += row.guide
            least, most = np.minimum(least, row.reynolds), np.maximum(most, row.reynolds)
    heads = np.asarray(density) * GRAVITY * elevation(segments, shape)
    return RouteLoss(
        friction=friction,
        static=heads[-1],
        highest=np.max(heads, axis=0),
        least_reynolds=least,
        most_reynolds=most,
        **sums,
    )


class _Row(NamedTuple):
    friction: Array
    group: str
    guide: Array
    reynolds: Array | None  # where constants of fittings were used


def _segment_loss(segment: Segment, walls: _Walls, factor: Array) -> _Row:
    none = np.zeros(())
    if segment.outlet_bore is not None:
        return _Row(_cone(segment, walls), "straight", none, None)
    wall, bore = walls.at(segment.bore), np.asarray(segment.bore, float)
    if segment.straight:
        return _Row(np.asarray(4.0 * np.asarray(segment.length) / bore * wall.stress), "straight", none, None)
    if np.any(np.asarray(segment.stated) > 0.0) or not np.any(segment.laminar):
        return _Row(np.asarray(_stated(segment, walls, wall) + 0.0 * wall.stress), "stated", none, None)
    turbulent = np.asarray(segment.turbulent) * (1.0 + INCH / bore)
    creeping = np.asarray(segment.laminar) * wall.laminar / 16.0
    two_k = creeping + turbulent * wall.head
    guide = turbulent * np.maximum(wall.head, GUIDE_KNEE / 16.0 * wall.laminar)
    guide = np.where(turbulent > 0.0, guide, creeping)  # no second model: the first stands in
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(two_k > 0.0, guide / two_k, 1.0)
    two_k = widened(factor, ratio) * two_k
    return _Row(np.asarray(two_k), "fittings", np.asarray(guide), wall.reynolds)


def widened(factor: ArrayLike, ratio: ArrayLike) -> Array:
    """Model factor of a fitting whose band holds the greater of two models [-].

    Parameters
    ----------
    factor : array_like
        Model factor on the loss of fittings [-], likely 1.
    ratio : array_like
        Second model over the first [-].

    Notes
    -----
    At and below 1 as it is, so that likely stays the first model; above, stretched so that the second model
    lies inside the band: it is reached at `GUIDE_AT`, where it is more than the factor there.
    """
    own = np.asarray(factor, float)
    above = np.maximum(own - 1.0, 0.0) / (GUIDE_AT - 1.0)
    return np.asarray(np.minimum(own, 1.0) + above * (np.maximum(ratio, GUIDE_AT) - 1.0))


def _stated(segment: Segment, walls: _Walls, wall: _Wall) -> Array:
    """Stated loss, with a product that is thicker or thinner than the one it was stated for [Pa]."""
    law = segment.norm_law
    if law is None:
        return np.asarray(segment.stated, float)
    norm = wall_stress(walls.flow, segment.bore, law.yield_stress, law.consistency, law.exponent)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(segment.stated) * np.where(norm > 0.0, wall.laminar / norm, 1.0)


def _cone(segment: Segment, walls: _Walls) -> Array:
    law, first, last = walls.law, np.asarray(segment.bore, float), np.asarray(segment.outlet_bore, float)
    creeping = cone_pressure(
        walls.flow, first, last, segment.length, law.yield_stress, law.consistency, law.exponent
    )
    small = np.minimum(first, last)
    area_ratio = np.square(small / np.maximum(first, last))
    coefficient = np.where(last < first, 0.5 * (1.0 - area_ratio), np.square(1.0 - area_ratio))
    head = 0.5 * walls.density * (walls.flow / (HALF_PI_QUARTER * small**2)) ** 2
    return np.asarray(creeping + coefficient * head)


def elevation(segments: Sequence[Segment], shape: tuple[int, ...] = ()) -> Array:
    """Height of the ends of the segments over the pump outlet [m], the outlet itself first.

    Parameters
    ----------
    segments : sequence of Segment
    shape : tuple of int
        Shape of the samples.

    Returns
    -------
    ndarray
        Shape (m + 1, *shape).
    """
    heights = np.zeros((len(segments) + 1, *shape))
    for index, segment in enumerate(segments):
        heights[index + 1] = heights[index] + np.asarray(segment.rise)
    return heights


def yield_pressure(
    segments: Sequence[Segment], yield_stress: ArrayLike, fittings_factor: ArrayLike = 1.0
) -> Array:
    """Pressure [Pa] a full line holds by its yield stress alone, fittings counted, lift and filters not.

    Parameters
    ----------
    segments : sequence of Segment
    yield_stress : array_like
        Flowing or rested yield stress [Pa]; float or shape (n,).
    fittings_factor : array_like
        Model factor on the loss of fittings [-].
    """
    tau, factor = np.asarray(yield_stress, float), np.asarray(fittings_factor, float)
    held: Array = np.zeros(np.shape(tau))
    for each in segments:
        if each.outlet_bore is not None:
            held = held + np.asarray(cone_yield_pressure(tau, each.bore, each.outlet_bore, each.length))
        elif each.straight:
            held = held + 4.0 * tau * np.asarray(each.length) / np.asarray(each.bore)
        else:
            held = held + 4.0 * tau * each.diameters * widened(factor, _creeping_ratio(each))
    return held


def _creeping_ratio(segment: Segment) -> Array:
    """Guide over two-K of a fitting in creeping flow [-]."""
    turbulent = np.asarray(segment.turbulent) * (1.0 + INCH / np.asarray(segment.bore, float))
    laminar = np.asarray(segment.laminar, float)
    return np.asarray(
        np.where(laminar > 0.0, GUIDE_KNEE * turbulent / np.where(laminar > 0.0, laminar, 1.0), 1.0)
    )


def _rested(segment: Segment, rested: Array) -> Array:
    """Stated loss at the start: in full, and more as the rested yield stress passes the flowing one [Pa]."""
    law = segment.norm_law
    flowing = 0.0 if law is None else float(np.asarray(law.yield_stress))
    grown = np.maximum(rested / flowing, 1.0) if flowing > 0.0 else 1.0
    return np.asarray(np.asarray(segment.stated, float) * grown)


def restart_pressure(
    segments: Sequence[Segment],
    rested_yield_stress: ArrayLike,
    density: ArrayLike,
    fittings_factor: ArrayLike = 1.0,
) -> Array:
    """Pressure [Pa] at the pump that starts a rested line, without that of the destination.

    Parameters
    ----------
    segments : sequence of Segment
    rested_yield_stress : array_like
        Static yield stress after the stop, at the coldest temperature of the line [Pa].
    density : array_like
        [kg/m3]
    fittings_factor : array_like
        Model factor on the loss of fittings [-].

    Notes
    -----
    Yield of every segment and fitting (physics book 5.7), the head of the highest point, and the stated loss
    of filters in full, times the rested over the flowing yield stress of the product it was stated for. Slip
    and compressibility, which help a start, are not credited; nor is a falling leg.
    """
    rested = np.asarray(rested_yield_stress, float)
    stated = sum((_rested(each, rested) for each in segments), np.zeros(()))
    lift = np.max(
        elevation(segments, np.broadcast_shapes(*(np.shape(each.rise) for each in segments))), axis=0
    )
    held = yield_pressure(segments, rested_yield_stress, fittings_factor)
    return np.asarray(held + stated + np.asarray(density) * GRAVITY * lift)


def volume(segments: Sequence[Segment]) -> Array:
    """Volume of the line [m3]; cones as frusta, bends along their arc, fittings by the length given.

    Parameters
    ----------
    segments : sequence of Segment
    """
    total: Array = np.zeros(())
    for each in segments:
        first = np.asarray(each.bore, float)
        last = first if each.outlet_bore is None else np.asarray(each.outlet_bore, float)
        area = HALF_PI_QUARTER / 3.0 * (first**2 + first * last + last**2)
        total = total + area * np.asarray(each.length)
    return np.asarray(total)
