"""Loss in fittings: equivalent pipe diameters in creeping flow, two-K and three-K coefficients."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from drumwright.basis.tables import read_csv
from drumwright.flow.numbers import (
    Array,
    Number,
    arrays,
    finish,
    require_not_negative,
    require_positive,
)

INCH = 0.0254
LAMINAR_PIPE = 64.0
TABLED_BELOW = 20.0  # Reynolds number below which every fitting constant is extrapolated (physics book 5.3)
LONG_RADIUS = 5.0  # bends of a greater radius over bore count as straight length (physics book 5.4)
GUIDE_KNEE = 500.0  # Reynolds number at which the guide A/N meets the turbulent coefficient

# everyday names of the equivalent-diameter table and the row of `data/fittings_two_k.csv` they stand for
COMMON: dict[str, str] = {
    "bend_90": "elbow_90_standard_r_d_1_flanged_welded",
    "bend_45": "elbow_45_standard_r_d_1_all_types",
    "bend_180": "elbow_180_standard_r_d_1_flanged_welded",
    "long_bend_90": "elbow_90_long_radius_r_d_1_5_all_types",
    "long_bend_45": "elbow_45_long_radius_r_d_1_5_all_types",
    "long_bend_180": "elbow_180_long_radius_r_d_1_5_all_types",
    "tee_run": "tee_through_flanged_or_welded",
    "tee_branch": "elbow_elbow_standard_flanged_welded",
    "full_bore_valve": "valve_gate_full_line_size_beta_1",
    "butterfly_valve": "valve_butterfly",
    "diaphragm_valve": "valve_diaphragm_dam_type",
    "globe_valve": "valve_globe_standard",
    "swing_check": "valve_check_swing",
    "lift_check": "valve_check_lift",
}


@cache
def _table(name: str) -> dict[str, dict[str, str]]:
    return {row["key"]: row for row in read_csv(name)}


def equivalent_diameters(fitting: str) -> float:
    """Pipe diameters that lose as much as a fitting in creeping flow.

    Parameters
    ----------
    fitting : str
        A name of `COMMON` or a key of the two-K table.

    Returns
    -------
    float
        K1/64 [-].

    Raises
    ------
    KeyError
        If the fitting is not in the table.

    Notes
    -----
    With Re = Re_MR the loss is K1 tau_w/16, so K1/64 diameters at the wall stress of the pipe, at any bore
    (physics book 5.3). Constants of Hooper (1981), fitted to Newtonian data and extrapolated below Re 20:
    take +-50 %. Bends of a radius above five diameters count as straight length.
    """
    return float(_table("fittings_two_k.csv")[COMMON.get(fitting, fitting)]["laminar"]) / LAMINAR_PIPE


def bend_constants(angle: ArrayLike, radius_over_bore: ArrayLike) -> tuple[Array, Array]:
    """K1 and K_infinity of a bend of any angle.

    Parameters
    ----------
    angle : float or ndarray
        Turn of the bend [rad], zero or more.
    radius_over_bore : float or ndarray
        Radius of the centre line over the bore [-], above zero.

    Returns
    -------
    tuple of ndarray
        K1 and K_infinity [-]; both zero above `LONG_RADIUS`, where the bend is straight length.

    Raises
    ------
    FlowOutOfRange
        If the angle is negative or the radius not positive.

    Notes
    -----
    Lines between the tabled 0, 45, 90 and 180 degrees (Hooper 1981; the line between them is assumed), in
    proportion beyond 180. K_infinity of the tabled radius 1 below a radius of 1.5, of 1.5 from there on; K1
    does not depend on the radius in the table.
    """
    turn, ratio = np.broadcast_arrays(*arrays(angle, radius_over_bore))
    require_not_negative("angle", turn)
    require_positive("radius over bore", ratio)
    tabled = np.radians([0.0, 45.0, 90.0, 180.0])
    tight, wide = (
        [(0.0, 0.0), *(two_k_constants(f"{head}bend_{end}") for end in (45, 90, 180))]
        for head in ("", "long_")
    )
    beyond = np.where(ratio > LONG_RADIUS, 0.0, np.maximum(turn / np.pi, 1.0))
    laminar = np.interp(turn, tabled, [pair[0] for pair in tight])
    turbulent = np.where(
        ratio < 1.5,
        np.interp(turn, tabled, [pair[1] for pair in tight]),
        np.interp(turn, tabled, [pair[1] for pair in wide]),
    )
    return np.asarray(laminar * beyond), np.asarray(turbulent * beyond)


def two_k_constants(fitting: str) -> tuple[float, float]:
    """Return K1 and K_infinity [-] of a fitting (Hooper 1981); KeyError if not in the table."""
    row = _table("fittings_two_k.csv")[COMMON.get(fitting, fitting)]
    return float(row["laminar"]), float(row["turbulent"])


def three_k_constants(fitting: str) -> tuple[float, float, float]:
    """Return K1, K_i [-] and K_d [inch^0.3] of a fitting (Darby 1999); KeyError if not in the table."""
    row = _table("fittings_three_k.csv")[fitting]
    return float(row["laminar"]), float(row["turbulent"]), float(row["size"])


def two_k(reynolds: ArrayLike, diameter: ArrayLike, laminar: ArrayLike, turbulent: ArrayLike) -> Number:
    """Loss coefficient of a fitting, two-K method.

    Parameters
    ----------
    reynolds : float or ndarray
        Reynolds number, for thick products that of Metzner and Reed [-].
    diameter : float or ndarray
        Inside diameter [m].
    laminar, turbulent : float or ndarray
        K1 and K_infinity [-].

    Returns
    -------
    float or ndarray
        K = K1/Re + K_infinity (1 + 1/D[inch]) in velocity heads [-].

    Raises
    ------
    FlowOutOfRange
        If Reynolds number or diameter is not positive.

    Notes
    -----
    Hooper (1981).
    """
    re, bore, k1, k_inf = arrays(reynolds, diameter, laminar, turbulent)
    require_positive("Reynolds number", re)
    require_positive("diameter", bore)
    return finish(np.asarray(k1 / re + k_inf * (1.0 + INCH / bore)))


def three_k(
    reynolds: ArrayLike, nominal_size: ArrayLike, laminar: ArrayLike, turbulent: ArrayLike, size: ArrayLike
) -> Number:
    """Loss coefficient of a fitting, three-K method.

    Parameters
    ----------
    reynolds : float or ndarray
        Reynolds number [-].
    nominal_size : float or ndarray
        Nominal pipe size [m], e.g. 2 inch = 0.0508 m.
    laminar, turbulent, size : float or ndarray
        K1 [-], K_i [-], K_d [inch^0.3].

    Returns
    -------
    float or ndarray
        K = K1/Re + K_i (1 + K_d/NPS[inch]^0.3) in velocity heads [-].

    Raises
    ------
    FlowOutOfRange
        If Reynolds number or size is not positive.

    Notes
    -----
    Darby (1999, 2001).
    """
    re, nps, k1, k_i, k_d = arrays(reynolds, nominal_size, laminar, turbulent, size)
    require_positive("Reynolds number", re)
    require_positive("nominal size", nps)
    return finish(np.asarray(k1 / re + k_i * (1.0 + k_d / (nps / INCH) ** 0.3)))
