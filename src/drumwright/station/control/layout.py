"""Numbers by which signals, actions and columns are known in the flat table of control objects.

The simulation interprets the table as it is; `table.compiled` writes it and `table.read` reads it back.
"""

from __future__ import annotations

from typing import Final

# Signals a condition can look at, in SI units; flags are 0 or 1.
SIGNALS: Final = (
    "outlet_pressure",  # transmitter near the pump [Pa(g)], scanned
    "end_pressure",  # transmitter at the end of the line [Pa(g)], scanned
    "outlet_switch",  # independent switch at the pump outlet [Pa(g)], not scanned
    "inlet_pressure",  # transmitter under the plate or at the pump inlet [Pa(a)], scanned
    "speed_share",  # speed of the pump over the wanted one [-]
    "torque_share",  # torque over the setting of the drive [-]; air pumps 0
    "plate_height",  # of the plate over the bottom [m]; without plate the level in the bin
    "level_share",  # of the hopper at the destination [-]; 1 without a hopper
    "air_pressure",  # compressed air at the machine [Pa(g)]
    "filler_request",  # 1 while the destination asks for product
    "stopped_time",  # the pump has stood with a full line [s]
    "transmitter_fault",  # 1 where a transmitter is out of its range or stands still against the pump
    "guard_open",  # 1: guard, enabling control or container proof is missing
    "emergency_stop",  # 1: pressed
    "relief_flow",  # 1: product passes the relief valve
    "drive_fault",  # 1: drive or its communication
    "power_return",  # 1: power or air came back and nobody has started by hand
    "pump_temperature",  # at the stator or casing [K]
    "assist_pressure",  # under the plate while it is raised [Pa(g)]
    "lift_pull",  # pull on the plate while it is raised [N]
    "overfill",  # 1: hard-wired high-high level at the destination
    "batch_share",  # delivered over wanted weight of the batch [-]; 0 where there is none
    "container_present",  # 1: a container stands centred under the plate
    "start_request",  # 1: somebody asks at the machine to start
    "stop_request",  # 1: somebody asks to stop
    "maintenance_key",  # 1: the key for cleaning and maintenance is turned
    "fault_latched",  # 1 while a protective object acts that must be reset by hand
    "hold_latched",  # 1 while a process object acts that must be reset by hand
    "state_time",  # since the state was entered [s]
)
COMPARISONS: Final = ("above", "below")
# What a control object does while it acts; the strongest of all that act wins for each output.
ACTIONS: Final = (
    "slow",  # speed falls linearly from the wanted one at `limit` to none at `value` (signal units)
    "limit_speed",  # speed at most `value` times the wanted one
    "ramp_stop",  # pump off, along the ramp of the drive
    "stop",  # pump off at once: power of the drive cut
    "block_start",  # a standing pump may not start
    "hold_plate",  # plate neither down nor up
    "raise_plate",  # plate may be raised
    "open_vent",
    "close_vent",
    "open_assist",
    "close_assist",
    "close_outlet",  # valve of the station at the outlet of the pump
    "message",
    "alarm",
    "press_out",  # begin the end of a container
    "hold_down",  # plate not pressed down; it may be raised
    "hold_up",  # plate not raised; it may be lowered
)
RESETS: Final = ("auto", "manual")  # manual: stays until somebody resets it at the machine
PURPOSES: Final = ("process", "protective")
COLUMNS: Final = (
    "signal",
    "comparison",
    "limit",
    "delay",  # the condition holds so long before it acts [s]
    "reset_limit",  # the condition is over beyond it, on the other side of the limit
    "reset_delay",  # [s]
    "action",
    "value",
    "reset",
    "priority",  # 1 highest
    "purpose",
    "scanned",  # 0: wired past the controller, looked at all the time
    "states",  # sum of 2**k of the states k it is alive in
    "group",  # rows of one group are conditions of one action; 0: a row by itself
    "votes",  # so many rows of the group must act
)
STATES: Final = (
    "ready",
    "approach",
    "prime",
    "emptying",
    "waiting_for_line",
    "waiting_for_hand",
    "press_out",
    "vent_and_raise",
    "drum_empty",
    "stopping",
    "stopped",
    "fault",
    "clearing",
)
STANDARD_NAMES: Final = (
    "Idle", "Starting", "Starting", "Execute", "Suspended", "Held", "Completing", "Completing", "Complete",
    "Stopping", "Stopped", "Aborted", "Clearing",
)  # fmt: skip
EVERY_STATE: Final = 2 ** len(STATES) - 1
TRANSITION_COLUMNS: Final = ("from", "signal", "comparison", "limit", "delay", "to")
# What a state lets the machine do: pump may run, plate down (-1), held (0) or up (1), vent and assist open.
OUTPUTS: Final = ("pump", "plate", "vent", "assist")
