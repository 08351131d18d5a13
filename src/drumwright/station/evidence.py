"""From the readings on a product card to pieces of evidence, and to one band of flow laws."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from functools import lru_cache

from drumwright.basis.estimate import Estimate
from drumwright.basis.phrases import Phrase, phrase, render
from drumwright.basis.tables import read_csv
from drumwright.product import evidence_pieces as pieces
from drumwright.product.combine import NORMAL_90, TOO_FEW, Combined, Prior, combine
from drumwright.product.evidence_pieces import Piece
from drumwright.product.fit import fit_curve
from drumwright.product.law import FlowLaw
from drumwright.product.library import prior_of
from drumwright.product.temperature import law_at
from drumwright.product.viscometry import bob_torque
from drumwright.station.by_kind import defaults
from drumwright.station.evidence_card import EvidencePiece
from drumwright.station.product_card import FlowCurve, FlowModel, Product

PUMP_SLIP = (0.8, 0.95, 1.0)  # flow of today's pump over displacement times speed, assumed
# Factor either way by which a static yield stress depends on its method, assumed (physics book 0.1 says only
# that it does, strongly).
METHOD_WIDTH = {"vane": 1.2, "creep": 1.15, "oscillation": 1.3, "extrapolation": 1.5, "slump": 1.5}
MOST_RESTART = 20.0
APART = 1.5  # times: instruments differ by less, so that it is said in the register only; assumed
WIDE_APART = 3.0  # times from which one of the two is to be read again; assumed
PENETRATION_TEMPERATURE = 298.15  # K, ASTM D217


def pieces_of(product: Product) -> list[Piece]:
    """Pieces of evidence on a product card, in the order of the card.

    Parameters
    ----------
    product : Product
        The card.

    Notes
    -----
    A reading of today's line whose height alone takes the pressure gives no piece.
    """
    density = (product.density or defaults()["product.density"].estimate).likely
    found = []
    for row in product.evidence:
        temperature = row.temperature.likely if row.temperature is not None else None
        if row.kind in ("cone_penetration", "consistency_number"):
            temperature = PENETRATION_TEMPERATURE
        found += [piece.at(temperature) for piece in _pieces(row, density)]
    if product.evidence and product.viscosity is not None and product.viscosity_shear_rate is not None:
        at = product.viscosity_temperature.likely if product.viscosity_temperature else None
        piece = pieces.viscosity_at(product.viscosity.likely, product.viscosity_shear_rate.likely)
        found.append(piece.at(at))
    return found


def _pieces(row: EvidencePiece, density: float) -> list[Piece]:
    made = _spindles(row) or _at_rest(row, density) or _through_pipes(row, density)
    return [piece for piece in made if piece is not None]


def _is(estimate: Estimate | None, otherwise: float = 0.0) -> float:
    return otherwise if estimate is None else estimate.likely


def _spindles(row: EvidencePiece) -> list[Piece]:
    if row.kind == "viscosity":
        return [pieces.viscosity_at(_is(row.viscosity), _is(row.shear_rate))]
    if row.kind == "disc_spindle":
        shown = row.viscosity.likely if row.viscosity is not None else None
        reading = row.reading.likely if row.reading is not None else None
        return [pieces.disc_spindle(row.spindle, _is(row.speed), shown, reading)]
    if row.kind == "cylinder_spindle":
        diameter, length, speed = _is(row.diameter), _is(row.length), _is(row.speed)
        cup = _is(row.cup, math.inf)
        torque = _is(row.torque, bob_torque(_is(row.viscosity), diameter, length, speed, cup))
        return [pieces.cylinder_spindle(torque, diameter, length, speed, cup)]
    return []


def _at_rest(row: EvidencePiece, density: float) -> list[Piece]:
    if row.kind == "vane":
        return [pieces.vane(_is(row.torque), _is(row.diameter), _is(row.length))]
    if row.kind == "static_yield":
        return [pieces.static_yield(_is(row.yield_stress), "static_yield")]
    if row.kind == "bostwick":
        return [pieces.bostwick(_is(row.run_out), density)]
    if row.kind == "spread":
        return [pieces.spread(_is(row.volume), _is(row.diameter), density)]
    if row.kind == "cone_penetration":
        return [pieces.cone_penetration(_is(row.penetration))]
    if row.kind == "consistency_number":
        grade = next(each for each in read_csv("consistency_numbers.csv") if each["grade"] == row.grade)
        middle = 0.5e-4 * (float(grade["penetration_low"]) + float(grade["penetration_high"]))
        return [pieces.cone_penetration(middle, "consistency_number")]
    return []


def _through_pipes(row: EvidencePiece, density: float) -> list[Piece | None]:
    bore, length, pressure = _is(row.bore), _is(row.length), _is(row.pressure)
    if row.kind == "flow_pressure":
        return [pieces.flow_pressure(pressure, bore, length)]
    if row.kind == "extrusion_rate":
        flow = row.flow.likely if row.flow is not None else _is(row.mass) / density / _is(row.time)
        return [pieces.extrusion_rate(flow, pressure, bore, length)]
    if row.kind == "tube_viscometer":
        return [*pieces.tube_viscometer(*row.tube_rows(), bore, length)]
    if row.kind == "todays_line":
        today = _flow_today(row)
        rise, fittings = _is(row.rise), _is(row.fittings_diameters)
        return [pieces.todays_line(today, pressure, bore, length, rise, fittings, density)]
    return []


def _flow_today(row: EvidencePiece) -> tuple[float, float, float]:
    """Flow low, likely, high [m3/s]: as said, or of the pump less its slip."""
    if row.flow is not None:
        return row.flow.low, row.flow.likely, row.flow.high
    whole = _is(row.pump_speed) * _is(row.displacement)
    low, likely, high = (share * whole for share in PUMP_SLIP)
    return low, likely, high


@lru_cache(maxsize=16)
def combined(product: Product, reference_temperature: float) -> Combined | None:
    """The band of flow laws that readings and prior of a card leave, or None where it holds neither.

    Parameters
    ----------
    product : Product
        The card.
    reference_temperature : float
        Temperature of readings that name none [K].
    """
    found = pieces_of(product)
    prior = prior_of(product.prior) if product.prior else None
    if not found and prior is None:
        return None
    known = sorted(piece.temperature for piece in found if piece.temperature is not None)
    reference = known[len(known) // 2] if known else (prior and prior[1]) or reference_temperature
    energy = product.activation_energy or defaults()["product.activation_energy"].estimate
    start: Prior | None = prior[0] if prior else None
    return combine(found, reference, (energy.low, energy.likely, energy.high), start)


def contradictions(band: Combined, product: Product, least: float = 1.0) -> tuple[Phrase, ...]:
    """A sentence for every pair of readings that do not fit together, the farthest apart first.

    Parameters
    ----------
    band : Combined
        As combined from the same card.
    product : Product
        The card.
    least : float
        Pairs less far apart than this factor are left out [-].

    Notes
    -----
    From three times apart the sentence says which to repeat first: the one that clashes with more of the
    others, of two that clash alike the wider one.
    """
    found = pieces_of(product)
    clashes = Counter(place for each in band.contradictions for place in (each.first, each.second))
    said = []
    for each in sorted(band.contradictions, key=lambda pair: -pair.factor):
        if each.factor < least:
            continue
        pair = (each.first, each.second)
        slots: dict[str, object] = {
            name: phrase(f"EVD-{found[place].kind}")
            for name, place in zip(("first", "second"), pair, strict=True)
        }
        if each.factor >= WIDE_APART:
            worse = max(pair, key=lambda place: (clashes[place], found[place].sigma))
            slots["again"] = phrase(f"EVD-{found[worse].kind}")
        key = "EVD-contradiction_again" if "again" in slots else "EVD-contradiction"
        said.append(phrase(key, factor=each.factor, **slots))
    return tuple(said)


def against_curves(
    product: Product, points: Sequence[tuple[float, FlowLaw]], least: float = 1.0
) -> tuple[Phrase, ...]:
    """A sentence for every reading that the measured curves do not bear out.

    Parameters
    ----------
    product : Product
        The card.
    points : sequence of (float, FlowLaw)
        Temperatures [K] and laws of the measured curves, at least one.
    least : float
        Readings less far beyond their own band than this factor are left out [-].

    Notes
    -----
    The curve stands; the reading is named where it lies outside its own 90 % band around what the curve
    gives at its temperature. A curve fitted without a yield stress has none to compare with.
    """
    energy = (product.activation_energy or defaults()["product.activation_energy"].estimate).likely
    found = []
    for piece in pieces_of(product):
        temperature = piece.temperature if piece.temperature is not None else points[0][0]
        law = law_at(points, temperature, energy).law
        predicted = float(piece.predict(law))
        if predicted <= 0.0:
            continue
        off = abs(math.log(predicted / piece.observed)) - NORMAL_90 * piece.sigma
        if off > 0.0 and math.exp(off) >= least:
            kind = phrase(f"EVD-{piece.kind}")
            found.append(phrase("EVD-against_curve", kind=kind, factor=math.exp(off)))
    return tuple(found)


def said_of(product: Product, reference_temperature: float) -> str:
    """Say what the flow law of a card rests on where it holds no curve, with what does not fit together.

    Parameters
    ----------
    product : Product
        The card.
    reference_temperature : float
        Temperature of readings that name none [K].
    """
    band = combined(product, reference_temperature)
    if band is None:
        return ""
    said = [resting_on(band), *contradictions(band, product)]
    if band.effective < TOO_FEW:
        said.append(phrase("EVD-rough"))
    return "; ".join(render(each) for each in said)


def restart_of(product: Product, temperature: float) -> Estimate | None:
    """Static over flowing yield stress, where the card gives the one as measured and the other in its law.

    Parameters
    ----------
    product : Product
        The card.
    temperature : float
        Usual temperature, of curves that name none [K].

    Returns
    -------
    Estimate or None
        Not below one; as wide as the method of the static yield stress is (assumed); None where the card
        lacks one of the two or its law has no yield stress.
    """
    static = product.static_yield_stress
    rows: Sequence[FlowCurve | FlowModel] = product.flow_curve or product.model
    if static is None or not rows:
        return None
    nearest = min(rows, key=lambda row: abs(_is(row.temperature, temperature) - temperature))
    if isinstance(nearest, FlowCurve):
        points = (nearest.shear_rates_si(), nearest.stresses_si(), nearest.weights())
        flowing = float(fit_curve(*points).law.yield_stress)
    else:
        flowing = _is(nearest.yield_stress)
    if flowing <= 0.0:
        return None
    wide = METHOD_WIDTH[product.yield_method or "extrapolation"]
    ends = (static.low / wide, static.likely, static.high * wide)
    low, likely, high = (min(max(value / flowing, 1.0), MOST_RESTART) for value in ends)
    return Estimate(low, likely, high, "computed")


def resting_on(band: Combined) -> Phrase:
    """Say what a band rests on.

    Parameters
    ----------
    band : Combined
        As combined.
    """
    kinds = [phrase(f"EVD-{kind}") for kind in band.kinds]
    if band.prior:
        kinds.append(phrase("EVD-prior", name=band.prior))
    return phrase("EVD-resting_on", kinds=kinds)
