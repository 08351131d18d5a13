"""The pieces of a discharge line in their order: pipes, hoses, bends, reducers, valves, filters, risers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.basis.errors import FlowOutOfRange
from drumwright.flow.fittings import LAMINAR_PIPE, LONG_RADIUS, bend_constants, two_k_constants
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]

# kinds a case may name, and the row of the two-K table each stands for (a name of `flow.fittings.COMMON`
# or a key of the table)
FITTINGS: dict[str, str] = {
    "tee_run": "tee_run",
    "tee_branch": "tee_branch",
    "ball_valve": "full_bore_valve",
    "reduced_ball_valve": "valve_ball_reduced_trim_beta_0_9",
    "gate_valve": "full_bore_valve",
    "butterfly_valve": "butterfly_valve",
    "diaphragm_valve": "diaphragm_valve",
    "globe_valve": "globe_valve",
    "swing_check": "swing_check",
    "lift_check": "lift_check",
}
# kinds that pass a close-fitting pig; all others stop it or let product by
FULL_BORE = frozenset({"pipe", "riser", "hose", "bend", "tee_run", "ball_valve", "gate_valve"})


@dataclass(frozen=True, slots=True)
class Segment:
    """One piece of a line; every value a float or an array over samples. Built by the functions below.

    Parameters
    ----------
    kind : str
        Word of the piece: pipe, riser, hose, bend, reducer, expander, filter, meter or a key of `FITTINGS`.
    bore : array_like
        Inside diameter, at the end the product enters [m].
    length : array_like
        Along the centre line [m].
    rise : array_like
        Height of its end over its beginning [m]; negative where it falls.
    straight : bool
        Whether the length loses pressure as a straight pipe does; False where K1 or a stated loss covers it.
    laminar, turbulent : array_like
        K1 and K_infinity of the two-K method [-].
    stated : array_like
        Loss that was stated, of a filter or meter [Pa].
    outlet_bore : array_like, optional
        Inside diameter at the other end of a cone [m].
    wall : array_like, optional
        Thickness of the wall [m].
    material : str
        Of the wall; empty where nothing was said.
    turn_radius : array_like, optional
        Radius of the centre line of a bend over its bore [-].
    passage : array_like, optional
        Smallest free passage inside [m]; None where it is the bore or was not said.
    norm_law : FlowLaw, optional
        Product with which a loss was stated, single numbers; None counts the loss the same with any product.
    """

    kind: str
    bore: ArrayLike
    length: ArrayLike = 0.0
    rise: ArrayLike = 0.0
    straight: bool = True
    laminar: ArrayLike = 0.0
    turbulent: ArrayLike = 0.0
    stated: ArrayLike = 0.0
    outlet_bore: ArrayLike | None = None
    wall: ArrayLike | None = None
    material: str = ""
    turn_radius: ArrayLike | None = None
    passage: ArrayLike | None = None
    norm_law: FlowLaw | None = None

    @property
    def diameters(self) -> Array:
        """Pipe diameters that lose as much in creeping flow, K1/64 [-]."""
        return np.asarray(np.asarray(self.laminar) / LAMINAR_PIPE)


def pipe(
    bore: ArrayLike,
    length: ArrayLike,
    rise: ArrayLike = 0.0,
    wall: ArrayLike | None = None,
    material: str = "",
) -> Segment:
    """Straight rigid pipe; one that climbs as far as it is long is called a riser.

    Parameters
    ----------
    bore, length : array_like
        Inside diameter and length [m].
    rise : array_like
        Height of the end over the beginning [m], at most the length either way.
    wall : array_like, optional
        Thickness of the wall [m].
    material : str

    Raises
    ------
    FlowOutOfRange
        If it rises or falls by more than its length.
    """
    if np.any(np.abs(rise) > np.asarray(length) * (1.0 + 1e-9)):
        raise FlowOutOfRange("a pipe cannot rise or fall by more than its length")
    upright = bool(np.all(np.asarray(rise) > 0.99 * np.asarray(length))) and bool(np.all(np.asarray(length)))
    return Segment("riser" if upright else "pipe", bore, length, rise, wall=wall, material=material)


def hose(bore: ArrayLike, length: ArrayLike, rise: ArrayLike = 0.0, material: str = "") -> Segment:
    """A hose: loses pressure as a straight pipe of its length, whatever its long-radius bends.

    Parameters
    ----------
    bore, length, rise : array_like
        Inside diameter, length and height of the end over the beginning [m].
    material : str
    """
    return Segment("hose", bore, length, rise, material=material)


def bend(bore: ArrayLike, angle: ArrayLike, radius_over_bore: ArrayLike, rise: ArrayLike = 0.0) -> Segment:
    """Bend of any angle.

    Parameters
    ----------
    bore : array_like
        [m]
    angle : array_like
        Turn [rad].
    radius_over_bore : array_like
        Radius of the centre line over the bore [-]; above 5 the bend counts as straight length.
    rise : array_like
        Height of the end over the beginning [m].

    Raises
    ------
    FlowOutOfRange
        If the angle is negative, the radius not positive, or some samples lie above and others below the
        radius from which a bend counts as straight length.

    Notes
    -----
    K1 of the table is never let below the friction of the arc itself: K1 >= 64 angle R/D.
    """
    laminar, turbulent = bend_constants(angle, radius_over_bore)
    arc = np.asarray(angle) * np.asarray(radius_over_bore)
    long = np.asarray(radius_over_bore) > LONG_RADIUS
    if np.any(long) != np.all(long):
        raise FlowOutOfRange("a bend counts either as a fitting or as straight length, not as both")
    if not np.all(long):
        laminar = np.maximum(laminar, LAMINAR_PIPE * arc)
    return Segment(
        "bend",
        bore,
        arc * np.asarray(bore),
        rise,
        straight=bool(np.all(long)),
        laminar=laminar,
        turbulent=turbulent,
        turn_radius=radius_over_bore,
    )


def fitting(kind: str, bore: ArrayLike, length: ArrayLike = 0.0, rise: ArrayLike = 0.0) -> Segment:
    """Tee, valve or check valve of the two-K table.

    Parameters
    ----------
    kind : str
        A key of `FITTINGS`.
    bore : array_like
        Of the pipe it stands in [m].
    length, rise : array_like
        Face to face, and height of the end over the beginning [m]; the loss is all in its K1.

    Raises
    ------
    KeyError
        If there is no such fitting.
    """
    laminar, turbulent = two_k_constants(FITTINGS[kind])
    return Segment(kind, bore, length, rise, straight=False, laminar=laminar, turbulent=turbulent)


def reducer(bore: ArrayLike, outlet_bore: ArrayLike, length: ArrayLike, rise: ArrayLike = 0.0) -> Segment:
    """Cone from one bore to another, a reducer or an expander.

    Parameters
    ----------
    bore, outlet_bore : array_like
        Inside diameters where the product enters and leaves [m].
    length, rise : array_like
        Between the ends, and height of the end over the beginning [m].
    """
    narrower = bool(np.all(np.asarray(outlet_bore) <= np.asarray(bore)))
    kind = "reducer" if narrower else "expander"
    return Segment(kind, bore, length, rise, straight=False, outlet_bore=outlet_bore)


def stated_loss(
    kind: str, bore: ArrayLike, loss: ArrayLike, length: ArrayLike = 0.0, rise: ArrayLike = 0.0
) -> Segment:
    """Filter, strainer, meter or detector whose loss was stated with this product at the wanted flow.

    Parameters
    ----------
    kind : str
        Word of the piece, e.g. filter or meter.
    bore : array_like
        Of the pipe it stands in [m].
    loss : array_like
        Pressure it takes [Pa]; not scaled with the flow, and counted in full at restart.
    length, rise : array_like
        Face to face, and height of the end over the beginning [m].

    Raises
    ------
    FlowOutOfRange
        If the loss is negative or not a number: an unknown loss is not zero.
    """
    if not np.all(np.asarray(loss) >= 0.0):
        raise FlowOutOfRange(f"loss of a {kind} must be stated as zero or more")
    return Segment(kind, bore, length, rise, straight=False, stated=loss)


def rated_by_coefficient(
    kind: str, bore: ArrayLike, laminar: ArrayLike, turbulent: ArrayLike, length: ArrayLike = 0.0
) -> Segment:
    """Filter, strainer or meter described by its own two-K constants.

    Parameters
    ----------
    kind : str
        Word of the piece, e.g. filter or meter.
    bore : array_like
        Of the pipe it stands in [m].
    laminar, turbulent : array_like
        K1 and K_infinity [-]; a single turbulent K without K1 says nothing of a thick product.
    length : array_like
        Face to face [m].

    Raises
    ------
    FlowOutOfRange
        If K1 is not above zero.
    """
    if not np.all(np.asarray(laminar) > 0.0):
        raise FlowOutOfRange(f"K1 of a {kind} must be more than zero")
    return Segment(kind, bore, length, straight=False, laminar=laminar, turbulent=turbulent)


def of_totals(
    bore: ArrayLike,
    length: ArrayLike,
    hose_bore: ArrayLike,
    hose_length: ArrayLike,
    rise: ArrayLike,
    diameters: ArrayLike,
) -> tuple[Segment, ...]:
    """A line known by its totals only: own hose, pipe, lift, fittings as bores of the pipe.

    Parameters
    ----------
    bore, length : array_like
        Customer's pipe [m].
    hose_bore, hose_length : array_like
        The station's own hose [m].
    rise : array_like
        Height of delivery above the pump outlet [m], put at the end of the pipe.
    diameters : array_like
        Sum of equivalent pipe diameters of bends and valves [-], without a model factor.
    """
    laminar = LAMINAR_PIPE * np.asarray(diameters, float)
    return (
        Segment("hose", hose_bore, hose_length),
        Segment("pipe", bore, length, rise),
        Segment("fittings", bore, straight=False, laminar=laminar),
    )
