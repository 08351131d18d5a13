"""The case: what was asked, what is moved, out of what, through what, to where; every field declared once.

A quantity that was not said is None; the study fills it with a numbered assumption. Records are frozen and
complete. They are built by `drumwright.station.casefile.load` or `case_from_dict`, or directly with the same
texts a case file holds: ``Product(name="paste", density="1130 kg/m3")``.
"""

from __future__ import annotations

from typing import Literal

from drumwright.basis.estimate import Estimate
from drumwright.station.answer_card import Answer
from drumwright.station.buffer_card import Buffer
from drumwright.station.case_head import CaseHead
from drumwright.station.control_card import ControlCard
from drumwright.station.destination_card import Destination
from drumwright.station.fields import (
    Declaration,
    choice,
    flag,
    quantity,
    table,
    tables,
    text,
    texts,
    whole,
)
from drumwright.station.line_card import Line, LinePart
from drumwright.station.money_card import Alternative, Capex, Money
from drumwright.station.product_card import FlowCurve, FlowModel, Particles, Product, TemperatureSpan
from drumwright.station.record_base import (
    Record,
    declared_in,
    get_field,
    iter_fields,
    record_in,
    steps,
)
from drumwright.station.shift_card import DestinationStop, Shift, ShiftElement

__all__ = [
    "Alternative",
    "Answer",
    "Buffer",
    "Capex",
    "Case",
    "CaseHead",
    "Container",
    "ControlCard",
    "Destination",
    "DestinationStop",
    "Duty",
    "Enquiry",
    "FlowCurve",
    "FlowModel",
    "Line",
    "LinePart",
    "Machine",
    "Money",
    "Particles",
    "Product",
    "Record",
    "Shift",
    "ShiftElement",
    "Site",
    "TemperatureSpan",
    "declaration",
    "get_field",
    "iter_fields",
]

FORMAT = 1
PumpKind = Literal["progressing_cavity", "air_diaphragm", "follower_piston", "lobe", "external_gear"]
StandKind = Literal["fixed_mast", "moving_arm", "tandem"]
PlateKind = Literal["lip_seal", "double_lip_seal", "inflatable_seal", "hard_plate", "none"]
ContainerKind = Literal[
    "straight_drum",
    "tight_head_drum",
    "conical_drum",
    "fibre_drum",
    "plastic_drum",
    "pail",
    "rigid_ibc",
    "folding_bin",
    "bag_in_bin",
]
Liner = Literal["none", "loose_bag", "fitted_bag", "aseptic_bag", "foil_disc"]
Zone = Literal["none", "zone_0", "zone_1", "zone_2", "zone_20", "zone_21", "zone_22", "unknown"]
Pallet = Literal["single", "four"]
WallMaterial = Literal["steel", "stainless_steel", "fibre", "polyethylene"]
Bottom = Literal["flat", "dished", "raised_ring"]
CleaningAgent = Literal[
    "none",
    "water",
    "hot_water",
    "caustic",
    "acid",
    "acid_without_chloride",
    "hydrochloric",
    "peracetic",
    "chlorine",
    "steam",
    "solvent",
    "alcohol",
    "ketone",
    "ester",
    "aromatic",
    "chlorinated",
    "mineral_oil",
    "purge_compound",
]
Heating = Literal["hall_air", "hot_room", "water_bath", "band_heater"]

_COLD, _HOT = 203.15, 473.15  # K, refused outside
_SHARE = (0.0, 1.0)


class Enquiry(Record):
    """What the customer wants, in their words and in numbers."""

    customer: str | None = text("Name of the customer.")
    words: str | None = text("The enquiry word for word, as it was received.")
    received: str | None = text("Date and way the enquiry came in.")
    flow: Estimate | None = quantity(
        "flow", "Volume flow wanted while product flows.", (1e-9, 0.05), (5e-6, 5e-3)
    )
    drums_per_shift: Estimate | None = quantity(
        "count", "Containers emptied in one shift, all products together.", (0.001, 2000.0), (0.5, 120.0)
    )
    shift: Estimate | None = quantity(
        "duration", "Length of one shift, breaks included.", (600.0, 86400.0), (14400.0, 43200.0)
    )
    residue_wanted: Estimate | None = quantity(
        "fraction", "Share of the filling the customer accepts to stay behind.", _SHARE, (0.001, 0.1)
    )
    pressure_limit: Estimate | None = quantity(
        "pressure_gauge", "Pressure the customer wants never to be exceeded.", (0.0, 1e8), (1e5, 2.5e7)
    )
    pump_wanted: PumpKind | None = choice("Pump family the customer asked for.", PumpKind)
    stand_wanted: StandKind | None = choice("Stand the customer asked for.", StandKind)
    wheels: bool | None = flag("Whether the station is wanted on wheels.")
    plate_wanted: PlateKind | None = choice("Follower plate the customer asked for.", PlateKind)
    buffer_volume: Estimate | None = quantity(
        "volume", "Volume of a buffer vessel the customer asked for.", (0.0, 20.0), (0.001, 2.0)
    )
    buffer_pressure: Estimate | None = quantity(
        "pressure_gauge", "Pressure of that buffer vessel.", (0.0, 1e7), (0.0, 1.6e6)
    )
    uninterrupted: bool | None = flag("Whether flow must go on while a container is changed.")
    recipes_per_shift: Estimate | None = quantity(
        "count", "Product changes with cleaning in one shift.", (0.0, 200.0), (0.0, 12.0)
    )
    cleaning_time: Estimate | None = quantity(
        "duration", "Time of one cleaning between products.", (0.0, 86400.0), (300.0, 7200.0)
    )
    change_time: Estimate | None = quantity(
        "duration", "Time from end of flow to start of flow when a container is changed.", (0.0, 36000.0),
        (60.0, 1800.0),
    )  # fmt: skip
    stations: Estimate | None = quantity(
        "count", "Number of stations the customer asked for.", (1.0, 100.0), (1.0, 6.0)
    )
    shifts_per_day: Estimate | None = quantity("count", "Shifts in one day.", (1.0, 6.0), (1.0, 3.0))
    operator_share: Estimate | None = quantity(
        "fraction", "Share of an operator's time that is free for the station.", _SHARE
    )
    delivery_date: str | None = text("Date the customer wants delivery.")


class Container(Record):
    """What the product arrives in."""

    name: str | None = text("Name of the container; a duty refers to it.")
    kind: ContainerKind | None = choice("Type of container.", ContainerKind)
    inside_diameter: Estimate | None = quantity("diameter", "Inside diameter.", (0.15, 3.0), (0.25, 0.65))
    diameter_top: Estimate | None = quantity(
        "diameter", "Inside diameter at the top of a cone.", (0.15, 3.0), (0.25, 0.65)
    )
    diameter_bottom: Estimate | None = quantity(
        "diameter", "Inside diameter at the bottom of a cone.", (0.15, 3.0), (0.2, 0.65)
    )
    inside_height: Estimate | None = quantity("diameter", "Inside height.", (0.05, 4.0), (0.25, 1.2))
    outside_diameter: Estimate | None = quantity("diameter", "Outside diameter.", (0.05, 3.0), (0.25, 0.7))
    outside_height: Estimate | None = quantity("diameter", "Outside height.", (0.05, 4.0), (0.25, 1.3))
    usable_volume: Estimate | None = quantity("volume", "Filled volume.", (1e-4, 30.0), (0.015, 1.1))
    headspace: Estimate | None = quantity("diameter", "From brim down to product.", (0.0, 2.0), (0.0, 0.2))
    length: Estimate | None = quantity("diameter", "Inside length of a bin.", (0.05, 4.0), (0.5, 1.3))
    width: Estimate | None = quantity("diameter", "Inside width of a bin.", (0.05, 4.0), (0.5, 1.3))
    corner_radius: Estimate | None = quantity(
        "diameter", "Radius of the upright edges of a bin.", (0.0, 0.4), (0.0, 0.3)
    )
    outlet_bore: Estimate | None = quantity(
        "diameter", "Bore of the outlet near the floor of a bin.", (0.005, 1.0), (0.04, 0.16)
    )
    outlet_length: Estimate | None = quantity(
        "length", "Length of outlet, valve and suction line to the pump.", (0.0, 50.0), (0.2, 4.0)
    )
    tare: Estimate | None = quantity("mass", "Mass of the empty container.", (0.05, 2000.0), (0.5, 120.0))
    wall: Estimate | None = quantity("diameter", "Wall thickness.", (1e-5, 0.1), (4e-4, 0.01))
    material: WallMaterial | None = choice("Material of the wall.", WallMaterial)
    bottom: Bottom | None = choice("Profile of the bottom.", Bottom)
    hold_down: Estimate | None = quantity(
        "force", "Force that holds the container down while the plate is raised.", (0.0, 1e5), (0.0, 2e4)
    )
    allowed_suction: Estimate | None = quantity(
        "pressure_difference", "Suction the container bears, by its maker or a test.", (0.0, 1.013e5)
    )
    allowed_pressure: Estimate | None = quantity(
        "pressure_gauge", "Inner pressure the container bears, by its maker or a test.", (0.0, 1e6)
    )
    liner: Liner | None = choice("Bag or disc inside.", Liner)
    hoops: Estimate | None = quantity("count", "Rolling hoops in the wall.", (0.0, 20.0), (0.0, 5.0))
    hoop_depth: Estimate | None = quantity("diameter", "Depth of a hoop.", (0.0, 0.1), (0.002, 0.02))
    hoop_width: Estimate | None = quantity("diameter", "Width of a hoop.", (0.0, 0.3), (0.005, 0.05))
    hoop_spacing: Estimate | None = quantity(
        "diameter", "Height between two stiff rings of the wall.", (0.01, 4.0), (0.1, 1.0)
    )
    bottom_depth: Estimate | None = quantity("diameter", "Depth of a dished bottom.", (0.0, 0.5), (0.0, 0.03))
    bottom_mismatch: Estimate | None = quantity(
        "diameter", "Mean gap between plate and bottom when they touch.", (0.0, 0.3), (0.0, 0.03)
    )
    opening: Estimate | None = quantity("diameter", "Bung, mouth or lid opening.", (0.005, 3.0), (0.03, 0.65))
    diameters_measured: bool | None = flag("Whether diameters were measured on several containers.")


class Site(Record):
    """Where the machine stands."""

    ceiling: Estimate | None = quantity("length", "Height under the lowest beam.", (0.5, 100.0), (2.2, 12.0))
    air_pressure: Estimate | None = quantity(
        "pressure_gauge", "Compressed air at the point of use.", (0.0, 5e6), (3e5, 1e6)
    )
    altitude: Estimate | None = quantity(
        "length", "Height above sea level.", (-500.0, 6000.0), (-50.0, 3000.0)
    )
    anchoring: bool | None = flag("Whether the floor may be drilled for anchors.")
    zone: Zone | None = choice("Explosion zone, as named by the plant.", Zone)
    wash_down: bool | None = flag("Whether the machine is washed down.")
    hall_temperature: Estimate | None = quantity(
        "temperature", "Temperature of the hall in winter.", (_COLD, 353.15), (253.15, 323.15)
    )
    store_temperature: Estimate | None = quantity(
        "temperature", "Temperature of the store in winter.", (_COLD, 353.15), (238.15, 323.15)
    )
    warm_to: Estimate | None = quantity(
        "temperature",
        "Core temperature the containers are warmed to before use.",
        (_COLD, _HOT),
        (273.15, 353.15),
    )
    heating: Heating | None = choice("How the containers are warmed.", Heating)
    heating_temperature: Estimate | None = quantity(
        "temperature", "Temperature of hot room or bath, or wall limit of a band heater.", (_COLD, 473.15),
        (283.15, 373.15),
    )  # fmt: skip
    heater_power: Estimate | None = quantity(
        "power", "Power of the band heaters of one container, together.", (1.0, 1e5), (100.0, 6000.0)
    )
    heater_height: Estimate | None = quantity(
        "diameter", "Height of one container that its band heaters cover, together.", (0.01, 3.0), (0.05, 1.2)
    )
    conditioning_time: Estimate | None = quantity(
        "long_time", "Time the containers stand in the warm before use.", (0.0, 1e8), (0.0, 1.3e6)
    )
    pallet: Pallet | None = choice("How containers come: one, or four on a pallet.", Pallet)
    pallet_length: Estimate | None = quantity("diameter", "Length of the pallet.", (0.4, 3.0), (0.6, 1.4))
    pallet_width: Estimate | None = quantity("diameter", "Width of the pallet.", (0.4, 3.0), (0.6, 1.4))
    power: str | None = text("Electric supply.")
    mains_frequency: Estimate | None = quantity(
        "frequency", "Frequency of the mains; left out, that of the place.", (45.0, 65.0), (50.0, 60.0)
    )
    cleaning_agents: tuple[str, ...] = texts("What the machine is cleaned with.", CleaningAgent)
    cleaning_temperature: Estimate | None = quantity(
        "temperature", "Hottest temperature of cleaning.", (_COLD, _HOT), (278.15, 413.15)
    )


class Machine(Record):
    """The machine, as far as it is given; what is left out is ours to choose."""

    plate_mass: Estimate | None = quantity(
        "mass", "Mass of follower plate with pump.", (0.0, 5000.0), (5.0, 600.0)
    )
    ram_force: Estimate | None = quantity("force", "Downward force of the ram.", (0.0, 5e5), (100.0, 5e4))
    port_bore: Estimate | None = quantity(
        "diameter", "Bore of the port in the plate.", (0.001, 1.0), (0.02, 0.3)
    )
    plate_clearance: Estimate | None = quantity(
        "diameter", "Gap between plate and wall, on the radius.", (5e-5, 0.2), (0.0005, 0.02)
    )
    last_rate: Estimate | None = quantity(
        "flow", "Flow at the end of the container.", (1e-9, 0.05), (1e-6, 5e-3)
    )
    pump: str | None = text("Pump by its identifier in the stock.")
    lance_bore: Estimate | None = quantity("diameter", "Bore of a suction lance.", (0.001, 0.5), (0.015, 0.1))
    lance_length: Estimate | None = quantity("length", "Length of that lance.", (0.01, 20.0), (0.3, 3.0))


class Duty(Record):
    """One product out of one container for a share of the shift."""

    product: str | None = text("Name of the product.")
    container: str | None = text("Name of the container.")
    share: Estimate | None = quantity("fraction", "Share of the shift.", _SHARE)
    drums_per_shift: Estimate | None = quantity(
        "count", "Containers of this duty in one shift.", (0.001, 2000.0), (0.5, 120.0)
    )
    flow: Estimate | None = quantity("flow", "Volume flow of this duty.", (1e-9, 0.05), (5e-6, 5e-3))


class Case(Record):
    """Everything that was said, complete and frozen; gaps are None."""

    format: int = whole("Version of the case file.", (1, FORMAT), FORMAT)
    case: CaseHead = table("Who asks what of whom.", CaseHead)
    enquiry: Enquiry = table("What the customer wants.", Enquiry)
    product: tuple[Product, ...] = tables("What is moved.")
    container: tuple[Container, ...] = tables("What the product arrives in.")
    destination: Destination = table("Where the product goes.", Destination)
    line: Line = table("Pipe and hose to the destination.", Line)
    buffer: Buffer = table("Buffer between pump and destination, as far as it is given.", Buffer)
    site: Site = table("Where the machine stands.", Site)
    machine: Machine = table("The machine, as far as it is given.", Machine)
    control: ControlCard = table(
        "What the set points rest on: drive, transmitter, relief valve.", ControlCard
    )
    shift: Shift = table("People and supply, as far as they were said.", Shift)
    money: Money = table("What the money is counted with, as far as it was said.", Money)
    duty: tuple[Duty, ...] = tables("Pairs of product and container, where there is more than one.")
    answer: tuple[Answer, ...] = tables("Answers that came back, with who gave them and when.")
    source: str = ""
    digest: str = ""
    cards: tuple[tuple[str, str], ...] = ()
    stock_file: str = ""
    stock_digest: str = ""


def declaration(path: str) -> Declaration:
    """Return the declaration of a field by its path; raises KeyError if there is none."""
    record: type[Record] | None = Case
    found: Declaration | None = None
    for name, _ in steps(path):
        if record is None or name not in declared_in(record):
            raise KeyError(path)
        found = declared_in(record)[name]
        record = record_in(record, name)
    if found is None:
        raise KeyError(path)
    return found
