"""Names that travel as small numbers.

The place of a name in its tuple is its number in a packed record, so that a record written by an
old board stays readable: names are only ever added at the end.
"""

MODES = ("off", "hold", "drive", "bank")

PHASES = ("", "light", "soak", "slow", "climb", "sear", "bank")

# Why a channel has no value in this sample. '' means healthy.
FAULTS = (
    "",
    "open",
    "short",
    "short_gnd",
    "short_vcc",
    "bus_low",
    "bus_high",
    "range",
    "cold_junction",
    "nan",
    "stale",
    "jump",
    "absent",
    "frozen",
    "reversed",
    "late",
)

# What the air is doing and why, for the plain sentence on the page.
WHYS = (
    "off",
    "full_air",
    "coast",
    "steady",
    "more_air",
    "less_air",
    "no_air",
    "floor",
    "lid",
    "paused",
    "tripped",
    "drive",
    "drive_pit_limit",
    "drive_cut",
    "drive_wait_vent",
    "drive_over",
    "bank",
    "wait_sensor",
    "relay",
    "lid_there",
    "lid_felt",
)

# Pauses, trips and notices: what a person must act on.
ALERTS = (
    "pit_sensor",
    "stone_sensor",
    "pit_over_limit",
    "stone_over_limit",
    "not_answering",
    "fuel_out",
    "blower_fault",
    "blower_stuck_on",
    "runaway",
    "grease_fire",
    "board_hot",
    "supply_low",
    "drive_too_long",
    "starved_hot",
    "lid_left_open",
    "pull",
    "damper_fault",
    "boot_failed",
    "settings_bad",
    "back_draft",
    "firmware_bad",
    "memory_bad",
)

EVENTS = (
    "boot",
    "mode",
    "target",
    "gains",
    "lid_open",
    "lid_shut",
    "alert",
    "alert_clear",
    "acknowledged",
    "order_taken",
    "order_refused",
    "lost",
    "pull",
    "pulled",
    "vent",
    "fire_learnt",
    "drive_end",
    "button",
    "relay_end",
)
