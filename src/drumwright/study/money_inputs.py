"""From a case, its machine and its prices to one year in money; what is missing is named, never helped."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import QuantityError
from drumwright.basis.estimate import Estimate
from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.tables import read_toml
from drumwright.station.inputs import Inputs
from drumwright.station.money_card import Capex
from drumwright.station.price_file import Price, PriceFile, day_of
from drumwright.station.record_base import declared_in
from drumwright.station.records import Case, Product
from drumwright.study.machine_uses import Uses
from drumwright.study.money_rows import Rows
from drumwright.study.running_costs import adiabatic_power
from drumwright.study.savings import Year

Array = NDArray[np.float64]
WIDEST = "class_5"
ATMOSPHERE, USUAL = 101325.0, 7.0e5  # [Pa(a)], [Pa(g)] that the energy of a cubic metre is given for


@dataclass
class Gaps:
    """What was not said and what is doubtful, collected while a year is put together.

    Parameters
    ----------
    missing : list of Phrase
        Costs that are not counted: the answer is at most so good.
    silent : list of Phrase
        Gains that are not counted.
    flags : list of Phrase
        Prices that expired, begin later, or cannot be dated.
    """

    missing: list[Phrase] = field(default_factory=list)
    silent: list[Phrase] = field(default_factory=list)
    flags: list[Phrase] = field(default_factory=list)


class Priced:
    """Prices as samples; a missing one is nothing and is noted by who asks.

    Parameters
    ----------
    case : Case
    product : Product
        Of the duty the money is counted for; its own price holds where the file has none.
    prices : PriceFile or None
    rows : Rows
    gaps : Gaps
    """

    def __init__(
        self, case: Case, product: Product, prices: PriceFile | None, rows: Rows, gaps: Gaps
    ) -> None:
        self._product, self._rows, self._gaps = product, rows, gaps
        self.file = prices
        self.used: list[Price] = []
        self.day = day_of(case.case.date)

    @property
    def any(self) -> bool:
        """Whether any price was said at all."""
        return self.file is not None or self._own("product") is not None

    def has(self, name: str) -> bool:
        """Whether a price was said."""
        return self._price(name) is not None or self._own(name) is not None

    def of(self, name: str) -> Array:
        """Samples of a price, nothing where none was said [money for one SI unit]."""
        price = self._price(name)
        if price is not None:
            if price not in self.used:
                self.used.append(price)
                self._flag(price)
            return self._rows.of(f"price.{name}", price.estimate)
        own = self._own(name)
        return self._rows.flat(0.0) if own is None else self._rows.of(f"price.{name}", own)

    def _price(self, name: str) -> Price | None:
        return None if self.file is None else self.file.prices.get(name)

    def _own(self, name: str) -> Estimate | None:
        """The price of the product that stands in the case itself."""
        return self._product.price if name == "product" else None

    def _flag(self, price: Price) -> None:
        state = price.state(self.day)
        label = phrase(f"MNY-price.{price.name}")
        if state == "expired":
            until = price.valid_until.isoformat()
            self._gaps.flags.append(phrase("MNY-expired", name=label, date=until))
        elif state == "later":
            self._gaps.flags.append(phrase("MNY-later", name=label, date=price.date.isoformat()))
        elif state == "undated":
            self._gaps.flags.append(phrase("MNY-undated", name=label))


def containers_of(case: Case, inputs: Inputs, rows: Rows) -> Array:
    """Containers a year: as said, else those of a shift times shifts times working days.

    Parameters
    ----------
    case : Case
    inputs : Inputs
    rows : Rows

    Raises
    ------
    QuantityError
        If neither was said.
    """
    if case.money.drums_per_year is not None:
        return rows.of("money.drums_per_year", case.money.drums_per_year)
    drums, days = inputs.estimates.get("enquiry.drums_per_shift"), case.money.days_per_year
    if drums is None or days is None or not drums.likely > 0.0:
        raise QuantityError(*trouble("MNY-001"))
    shifts = rows.of("shifts_per_day", inputs.estimates["enquiry.shifts_per_day"])
    return drums.likely * shifts * rows.of("money.days_per_year", days)


def year_of(case: Case, inputs: Inputs, uses: Uses, priced: Priced, rows: Rows, gaps: Gaps) -> Year:
    """Put one year together.

    Parameters
    ----------
    case : Case
    inputs : Inputs
        Of the duty the money is counted for.
    uses : Uses
        Of the machine.
    priced : Priced
    rows : Rows
    gaps : Gaps
        Is added to.
    """
    money = case.money
    count = containers_of(case, inputs, rows)
    changes = _changes(case, inputs, count, rows, gaps)
    old, hands = _today(case, uses, rows, gaps)
    wearing = _wearing(case, uses, count, priced, rows)
    worn = bool(np.isfinite(wearing["wear_life"]).all())
    year = Year(
        containers=count, filling=uses.filling, left_old=old, left_new=uses.left,
        product=priced.of("product"), disposal=priced.of("disposal"),
        hands_old=hands, hands_new=uses.hands, wage=priced.of("labour"), changeovers=changes,
        lost_old=_said(rows, "present_changeover_loss", money.present_changeover_loss), lost_new=uses.lost,
        clean_old=_said(rows, "present_cleaning", money.present_cleaning), clean_new=uses.cleaning,
        water=uses.water, water_price=priced.of("water") + priced.of("effluent"),
        agent=_said(rows, "chemicals_per_clean", money.chemicals_per_clean),
        agent_price=priced.of("chemicals"), energy=uses.energy, energy_price=priced.of("electricity"),
        heat=uses.heat, heat_price=priced.of("heat" if priced.has("heat") else "electricity"),
        air=uses.air, leaks=rows.assumed("air_leaks"), air_price=_air_price(inputs, priced, rows),
        released=money.hours_released is True, **wearing,
    )  # fmt: skip
    gaps.missing += [] if worn else [phrase("MNY-no_wear")]
    gaps.missing += _unpriced(year, priced, uses.sealed, worn)
    unsaid = [name for name in ("product", "disposal", "labour") if not priced.has(name)]
    gaps.silent += [phrase("MNY-no_gain", name=phrase(f"MNY-price.{name}")) for name in unsaid]
    if money.chemicals_per_clean is None and bool((changes > 0.0).any()):
        gaps.missing.append(phrase("MNY-no_agent"))
    return year


def _today(case: Case, uses: Uses, rows: Rows, gaps: Gaps) -> tuple[Array, Array]:
    """What stays behind today [kg] and person-time [s]; where it was not said, as with the station."""
    residue, hands = case.money.present_residue, case.money.present_hands
    if residue is None:
        gaps.silent.append(phrase("MNY-no_present_residue"))
    if hands is None:
        gaps.silent.append(phrase("MNY-no_present_hands"))
    left = uses.left if residue is None else rows.of("money.present_residue", residue) * uses.filling
    return left, uses.hands if hands is None else rows.of("money.present_hands", hands)


def _wearing(case: Case, uses: Uses, count: Array, priced: Priced, rows: Rows) -> dict[str, Array]:
    """Lives of seals and wearing parts, no longer than their age allows, with their prices."""
    said, none = case.money.seal_life, rows.flat(0.0)
    seals = rows.assumed("seal_life") if said is None else rows.of("money.seal_life", said)
    wear, aged = _wear_life(case, uses, rows), np.maximum(count * rows.assumed("ageing_years"), 1.0)
    worn = bool(np.isfinite(wear).all())
    return {
        "seal_life": np.minimum(np.maximum(seals, 1.0), aged),
        "seal_price": priced.of("seal_set") if uses.sealed else none,
        "wear_life": np.minimum(wear, aged) if worn else wear,
        "wear_price": priced.of("pump_wear_set") if worn else none,
    }


def _wear_life(case: Case, uses: Uses, rows: Rows) -> Array:
    """Containers a set of wearing parts lasts: as said, else by the wear model; endless where none says."""
    said = case.money.wear_life
    if said is not None:
        return np.maximum(rows.of("money.wear_life", said), 1.0)
    return rows.flat(np.inf) if uses.wear_life is None else np.maximum(uses.wear_life, 1.0)


def _said(rows: Rows, name: str, estimate: Estimate | None) -> Array:
    return rows.flat(0.0) if estimate is None else rows.of(f"money.{name}", estimate)


def _changes(case: Case, inputs: Inputs, count: Array, rows: Rows, gaps: Gaps) -> Array:
    """Changes of product a year: as said, else those of the shifts; where nobody said any, none and named."""
    said = case.money.changeovers_per_year
    if said is not None:
        return rows.of("money.changeovers_per_year", said)
    if "enquiry.recipes_per_shift" in inputs.defaulted or "enquiry.drums_per_shift" not in inputs.estimates:
        gaps.missing.append(phrase("MNY-no_changes"))
        return rows.flat(0.0)
    return count / inputs.likely("enquiry.drums_per_shift") * inputs.likely("enquiry.recipes_per_shift")


def _air_price(inputs: Inputs, priced: Priced, rows: Rows) -> Array:
    """Price of free air as made: as said, else the electricity it takes, more above 7 bar(g)."""
    if priced.has("compressed_air"):
        return priced.of("compressed_air")
    work = adiabatic_power(
        ATMOSPHERE, ATMOSPHERE + np.array([inputs.likely("site.air_pressure"), USUAL]), 1.0
    )
    return rows.assumed("air_energy") * priced.of("electricity") * max(float(work[0] / work[1]), 1.0)


def _unpriced(year: Year, priced: Priced, sealed: bool, worn: bool) -> Iterator[Phrase]:
    """Costs of the station that no price was said for."""
    change = bool((year.changeovers > 0.0).any())
    more = year.containers * (year.hands_new - year.hands_old) + year.changeovers * (
        year.clean_new - year.clean_old
    )
    wanted = {
        "product": change or bool((year.left_new > year.left_old).any()),
        "labour": bool((more > 0.0).any()),
        "electricity": True,
        "seal_set": sealed,
        "pump_wear_set": worn,
        "water": change and bool((year.water > 0.0).any()),
        "effluent": change and bool((year.water > 0.0).any()),
        "chemicals": bool((year.agent > 0.0).any()) and change,
    }
    for name, needed in wanted.items():
        if needed and not priced.has(name):
            yield phrase("MNY-unpriced", name=phrase(f"MNY-price.{name}"))


def spent_of(case: Case, rows: Rows, gaps: Gaps, warms: bool = False) -> Array | None:
    """What the station costs to buy, with the band of its estimate class; None where nothing was said.

    Parameters
    ----------
    case : Case
    rows : Rows
    gaps : Gaps
        Is added to: items that were not said.
    warms : bool
        Whether the arrangement warms its containers.

    Notes
    -----
    Items with a band of their own keep it; the others share the one factor of the class.
    """
    capex = case.money.capex
    names = [name for name, declared in declared_in(Capex).items() if declared.form == "quantity"]
    said = {name: getattr(capex, name) for name in names if getattr(capex, name) is not None}
    if not said:
        return None
    absent = [phrase(f"MNY-capex.{name}") for name in names if name not in said]
    if absent:
        gaps.missing.append(phrase("MNY-capex_missing", names=absent))
    store = said.get("warm_store")
    if warms and store is not None and store.high <= 0.0:
        gaps.flags.append(phrase("MNY-warm_store"))
    if capex.estimate_class is None and any(not each.has_spread for each in said.values()):
        gaps.flags.append(phrase("MNY-no_class"))
    ends = read_toml("money.toml")["class"][capex.estimate_class or WIDEST]
    factor = rows.of("capex.estimate_class", Estimate(ends["low"], 1.0, ends["high"], "from_memory"))
    found = rows.flat(0.0)
    for name, estimate in said.items():
        own = estimate.has_spread
        found = found + (rows.of(f"capex.{name}", estimate) if own else estimate.likely * factor)
    return found
