"""Places of parameters, states, registers, flows, rows and events in the flat arrays of the kernel."""

from __future__ import annotations

from typing import Final

# Parameters of a plant, SI units, pressures gauge unless said.
PARAMETERS: Final = (
    "pump_kind",  # 0 a motor turns it, 1 air drives it
    "displacement",  # [m3] a revolution; 1 for an air pump, whose "speed" is the share its air valve is open
    "speed_wanted",  # [1/s]
    "ramp_up",
    "ramp_down",
    "ramp_cut",  # [1/s2]; the last when the power of the drive is cut
    "drive_lag",  # [s]
    "stall_pressure",  # pump outlet [Pa]: the drive gives no more; of an air pump what the air holds
    "back_slip",  # 1: a standing pump leaks back, 0: its checks hold
    "feed_pressure",  # at the pump inlet without flow [Pa(a)]
    "feed_conductance",  # [m3/(s Pa)]
    "vapour_pressure",  # [Pa(a)]
    "inlet_need",  # pressure from which the pump fills whole [Pa(a)]
    "feed_compliance",  # of the product before the pump [m3/Pa]
    "container_volume",  # that can be drawn [m3]
    "container_area",  # [m2]
    "volume_1",
    "flexibility_1",  # liquid and wall together [1/Pa]
    "air_1",  # share of the volume at atmospheric pressure [-]
    "volume_2",
    "flexibility_2",
    "air_2",
    "atmosphere",  # [Pa(a)]
    "static_head",  # end over pump [Pa]
    "line_yield",  # pressure that the flowing yield stress holds [Pa]
    "rest_extra",  # what full structure holds more [Pa]
    "growth_time",  # of the structure [s]
    "breakdown",  # of the structure by flow [1/m3]
    "buffer_kind",  # 0 none, 1 gas cushion, 2 spring
    "buffer_node",  # 1 pump outlet, 2 end of the line
    "buffer_volume",  # of gas before it takes product, or stroke volume [m3]
    "buffer_precharge",  # [Pa]
    "buffer_exponent",  # polytropic [-]
    "buffer_rate",  # of a spring [Pa/m3]
    "neck_yield",  # [Pa]
    "relief_opening",  # at the pump outlet [Pa]
    "destination_pressure",  # behind its valve [Pa]
    "destination_hopper",  # 1: its valve follows the level of the hopper; 2: only its request for product
    "hopper_volume",  # [m3]
    "hopper_low",
    "hopper_high",  # [-]
    "valve_closing",
    "valve_opening",  # [s]
    "lag_outlet",
    "lag_end",
    "lag_switch",  # of transmitters and switch [s]
    "scan",
    "wired_scan",  # between two looks of controller and of wired contacts [s]
    "torque_at_rest",
    "torque_slope",  # share of the setting, and more for each pascal over the pump [-], [1/Pa]
    "air_supply",  # [Pa]
    "batch_volume",  # 0 none [m3]
    "plate_speed",  # when it is lowered or raised [m/s]
    "full_height",  # of the product in a full container [m]
    "rim_height",  # of the raised plate over the bottom [m]
    "change_time",  # from an empty container to the next full one; 0 none comes [s]
    "change_air",  # that a change lets in under the plate, at atmospheric pressure [m3]
)
(
    PUMP_KIND, DISPLACEMENT, SPEED_WANTED, RAMP_UP, RAMP_DOWN, RAMP_CUT, DRIVE_LAG, STALL_PRESSURE,
    BACK_SLIP, FEED_PRESSURE, FEED_CONDUCTANCE, VAPOUR_PRESSURE, INLET_NEED, FEED_COMPLIANCE,
    CONTAINER_VOLUME, CONTAINER_AREA, VOLUME_1, FLEXIBILITY_1, AIR_1, VOLUME_2, FLEXIBILITY_2, AIR_2,
    ATMOSPHERE, STATIC_HEAD, LINE_YIELD, REST_EXTRA, GROWTH_TIME, BREAKDOWN, BUFFER_KIND, BUFFER_NODE,
    BUFFER_VOLUME, BUFFER_PRECHARGE, BUFFER_EXPONENT, BUFFER_RATE, NECK_YIELD, RELIEF_OPENING,
    DESTINATION_PRESSURE, DESTINATION_HOPPER, HOPPER_VOLUME, HOPPER_LOW, HOPPER_HIGH, VALVE_CLOSING,
    VALVE_OPENING, LAG_OUTLET, LAG_END, LAG_SWITCH, SCAN, WIRED_SCAN, TORQUE_AT_REST, TORQUE_SLOPE,
    AIR_SUPPLY, BATCH_VOLUME, PLATE_SPEED, FULL_HEIGHT, RIM_HEIGHT, CHANGE_TIME, CHANGE_AIR,
) = range(len(PARAMETERS))  # fmt: skip

# Tables of passages: flow over the pressure beyond the one that holds it.
TABLES: Final = ("line", "pump", "relief", "neck", "destination")
LINE, PUMP, RELIEF, NECK, DESTINATION = range(len(TABLES))
OCTAVES = 27  # of pressure from 1 Pa on
PARTS = 8  # even parts of an octave
POINTS = OCTAVES * PARTS + 1
TABLE_SIZE = 2 * POINTS  # flows, then their derivatives over the pressure

STATE: Final = (
    "speed",  # [1/s]
    "stored_1",  # volume at the pump outlet over that at atmospheric pressure [m3]
    "stored_2",  # the same at the end of the line
    "buffered",  # product in the buffer [m3]
    "structure",  # 0 broken down, 1 rested [-]
    "fed",  # volume before the pump over that at rest [m3]
    "measured_1",
    "measured_2",
    "switch",  # pressures as the instruments have them [Pa]
    "hopper",  # product in the hopper of the destination [m3]
    "drawn",  # from the container [m3]
    "pumped",
    "delivered",
    "relieved",
    "spilled",
    "drawn_off",  # from the hopper by the filler [m3]
)
(
    SPEED, STORED_1, STORED_2, BUFFERED, STRUCTURE, FED, MEASURED_1, MEASURED_2, SWITCH, HOPPER, DRAWN,
    PUMPED, DELIVERED, RELIEVED, SPILLED, DRAWN_OFF,
) = range(len(STATE))  # fmt: skip

# What stays as it is between two looks of the control or two events.
REGISTERS: Final = (
    "speed_set", "rate_down", "valve_at", "valve_since", "valve_slope", "valve_until", "draw", "feed_factor",
    "air_factor", "relief_shut", "burst", "stuck_1", "stuck_value_1", "drift_1", "drift_since", "stuck_2",
    "stuck_value_2", "ramp_factor", "switch_fails", "blocked", "height_fails", "guard_open", "emergency_stop",
    "drive_fault", "power_off", "power_return", "pump_temperature", "assist_pressure", "lift_pull",
    "overfill", "request", "speed_factor", "place", "plate", "stopped_since", "running", "state_since",
    "offset_1", "transmitter_fault", "height_value", "drawn_before",
    "container_present", "maintenance", "start_request", "stop_request", "reset_now",
    "may_lower", "may_raise", "ends_latched", "air_pocket", "air_at_pump", "air_at_end", "air_out",
    "containers",
)  # fmt: skip
(
    SPEED_SET, RATE_DOWN, VALVE_AT, VALVE_SINCE, VALVE_SLOPE, VALVE_UNTIL, DRAW, FEED_FACTOR,
    AIR_FACTOR, RELIEF_SHUT, BURST, STUCK_1, STUCK_VALUE_1, DRIFT_1, DRIFT_SINCE, STUCK_2,
    STUCK_VALUE_2, RAMP_FACTOR, SWITCH_FAILS, BLOCKED, HEIGHT_FAILS, GUARD_OPEN, EMERGENCY_STOP,
    DRIVE_FAULT, POWER_OFF, POWER_RETURN, PUMP_TEMPERATURE, ASSIST_PRESSURE, LIFT_PULL, OVERFILL,
    REQUEST, SPEED_FACTOR, PLACE, PLATE, STOPPED_SINCE, RUNNING, STATE_SINCE, OFFSET_1,
    TRANSMITTER_FAULT, HEIGHT_VALUE, DRAWN_BEFORE,
    CONTAINER_PRESENT, MAINTENANCE, START_REQUEST, STOP_REQUEST, RESET_NOW, MAY_LOWER, MAY_RAISE,
    ENDS_LATCHED, AIR_POCKET, AIR_AT_PUMP, AIR_AT_END, AIR_OUT,
    CONTAINERS,
) = range(len(REGISTERS))  # fmt: skip

# Flows, pressures and their derivatives at one moment.
FLOWS: Final = (
    "p1", "c1", "p2", "c2", "pg", "cg", "pu", "cu", "pump", "pump_w", "pump_u", "pump_1", "line", "line_d",
    "line_s", "neck", "neck_d", "relief", "relief_d", "spill", "spill_d", "dest", "dest_d", "dest_t", "feed",
    "feed_d", "accel", "accel_w", "accel_1",
)  # fmt: skip
(
    P1, C1, P2, C2, PG, CG, PU, CU, Q_PUMP, PUMP_W, PUMP_U, PUMP_1, Q_LINE, LINE_D, LINE_S, Q_NECK,
    NECK_D, Q_RELIEF, RELIEF_D, Q_SPILL, SPILL_D, Q_DEST, DEST_D, DEST_T, Q_FEED, FEED_D, ACCEL,
    ACCEL_W, ACCEL_1,
) = range(len(FLOWS))  # fmt: skip

# What a schedule can ask for at a time: (time, what, value, duration).
SCHEDULE: Final = (
    "valve",  # of the destination towards a share open
    "draw",  # of the filler from its hopper [m3/s]
    "reset",  # by hand
    "start",  # by hand
    "speed_factor",
    "feed_factor",  # 0 jams the plate, below 1 clogs the inlet
    "air_factor",
    "relief_shut",
    "burst",  # conductance of a hole at the pump outlet [m3/(s Pa)]
    "stuck_1",
    "drift_1",  # [Pa/s]
    "offset_1",  # [Pa]
    "stuck_2",
    "ramp_factor",  # ramps so many times as long
    "switch_fails",
    "block",  # the outlet shuts to a share open and stays so
    "height_fails",
    "guard_open",
    "emergency_stop",
    "drive_fault",
    "power",
    "pump_temperature",
    "overfill",
    "transmitter_fault",
    "stop",  # by hand
    "maintenance",
)
(
    DO_VALVE, DO_DRAW, DO_RESET, DO_START, DO_SPEED, DO_FEED, DO_AIR, DO_RELIEF, DO_BURST, DO_STUCK_1,
    DO_DRIFT, DO_OFFSET, DO_STUCK_2, DO_RAMP, DO_SWITCH, DO_BLOCK, DO_HEIGHT, DO_GUARD, DO_EMERGENCY,
    DO_DRIVE, DO_POWER, DO_TEMPERATURE, DO_OVERFILL, DO_TRANSMITTER, DO_STOP, DO_MAINTENANCE,
) = range(len(SCHEDULE))  # fmt: skip
SCHEDULE_SIZE = 4

EVENTS: Final = (
    "pump_starts", "pump_stops", "pump_cut", "valve_closes", "valve_opens", "relief_opens", "relief_closes",
    "buffer_empty", "buffer_fills", "line_moves", "line_stands", "drive_stalls", "drive_turns",
    "inlet_starves", "inlet_fed", "container_empty", "hopper_empty", "hopper_fed", "object_acts",
    "object_ends", "state", "scheduled", "air_let_in", "air_gone",
)  # fmt: skip
(
    EV_START, EV_STOP, EV_CUT, EV_CLOSES, EV_OPENS, EV_RELIEF, EV_RELIEF_ENDS, EV_BUFFER_EMPTY,
    EV_BUFFER_FILLS, EV_MOVES, EV_STANDS, EV_STALL, EV_TURNS, EV_STARVES, EV_FED, EV_EMPTY,
    EV_HOPPER_EMPTY, EV_HOPPER_FED, EV_ACTS, EV_ENDS, EV_STATE, EV_SCHEDULED, EV_AIR, EV_AIR_GONE,
) = range(len(EVENTS))  # fmt: skip
EVENT_SIZE = 3  # time, kind, value

ROW: Final = (
    "time", "outlet_pressure", "end_pressure", "buffer_pressure", "inlet_pressure", "speed", "pump_flow",
    "line_flow", "destination_flow", "relief_flow", "buffered", "hopper", "drawn", "valve", "structure",
    "measured_outlet", "measured_end", "place", "plate", "air_in_line", "air_out",
)  # fmt: skip
ROW_SIZE = len(ROW)

COUNTS: Final = ("steps", "refused", "rows", "events", "status", "looks")
STEPS, REFUSED, ROWS, EVENT_COUNT, STATUS, LOOKS = range(len(COUNTS))
DONE, TOO_MANY_STEPS, STEP_TOO_SMALL, NOT_FINITE = range(4)
PEAKS: Final = (
    "outlet",
    "outlet_time",
    "end",
    "end_time",
    "inlet_least",
    "inlet_least_time",
    "buffer",
    "buffer_time",
)
PEAK_1, PEAK_1_AT, PEAK_2, PEAK_2_AT, LEAST_IN, LEAST_IN_AT, PEAK_G, PEAK_G_AT = range(len(PEAKS))
