"""Every proof by name, in the order in which they are printed."""

from . import (
    boot_proof,
    health_proof,
    judge_proof,
    levers_proof,
    persist_proof,
    sensor_proof,
    settings_proof,
    slopes_proof,
    supply_proof,
    tank_proof,
    valve_proof,
)
from .locks_proof import prove_locks
from .path_proof import prove_mode_logic_alone
from .pressure_proof import prove_pressure
from .strokes_proof import prove_strokes
from .test_channel_proof import prove_channel
from .test_gear_proof import prove_gear
from .test_interlock_proof import prove_interlock
from .veto_proof import prove_never_vetoed

PROOFS = {
    "settings: ranges": settings_proof.prove_ranges,
    "settings: rules": settings_proof.prove_rules,
    "settings: times": settings_proof.prove_times,
    "settings: ratios": settings_proof.prove_ratios,
    "persist": persist_proof.prove_persist,
    "persist: reset": persist_proof.prove_persist_reset,
    "steady": persist_proof.prove_steady,
    "consecutive": persist_proof.prove_consecutive,
    "channel: signature on 0": lambda: prove_channel(0),
    "channel: signature on 4": lambda: prove_channel(4),
    "lever": levers_proof.prove_lever,
    "lever: beyond a point": levers_proof.prove_beyond,
    "ground switch": levers_proof.prove_ground,
    "clock": health_proof.prove_clock,
    "watchdog leave": health_proof.prove_feed,
    "watchdog leave: begin": health_proof.prove_feed_begins,
    "restarts: at boot": health_proof.prove_restarts_at_boot,
    "restarts": health_proof.prove_restarts,
    "valve": valve_proof.prove_valve,
    "valve: wiring record": valve_proof.prove_record,
    "sensor": sensor_proof.prove_sensor,
    "sensor: frozen": sensor_proof.prove_frozen,
    "pressure: 1 sensor": lambda: prove_pressure(1),
    "pressure: 2 sensors": lambda: prove_pressure(2),
    "window": slopes_proof.prove_window,
    "window: restart": slopes_proof.prove_window_restart,
    "slope": slopes_proof.prove_slope,
    "strokes: 1 sensor": lambda: prove_strokes(1),
    "strokes: 2 sensors": lambda: prove_strokes(2),
    "locks: 1 leg": lambda: prove_locks(1),
    "locks: 2 legs": lambda: prove_locks(2),
    "locks: 4 legs": lambda: prove_locks(4),
    "supply": supply_proof.prove_supply,
    "tank": tank_proof.prove_tank,
    "tank: lower of two": tank_proof.prove_lower,
    "tank: lowest second": tank_proof.prove_lowest,
    "judge": judge_proof.prove_judge,
    "judge: at boot": judge_proof.prove_judge_at_boot,
    "gear": prove_gear,
    "second path: 1 sensor": lambda: prove_interlock(1),
    "second path: 2 sensors": lambda: prove_interlock(2),
    "mode logic alone: signature on 0": lambda: prove_mode_logic_alone(0),
    "mode logic alone: signature on 4": lambda: prove_mode_logic_alone(4),
    "never vetoed: 1 sensor": lambda: prove_never_vetoed(1),
    "never vetoed: 2 sensors": lambda: prove_never_vetoed(2),
    **{f"{name}: at boot": prove for name, prove in boot_proof.ALL.items()},
}

# Left out of the short form: the same as another one, with more of the same parts.
FULL_ONLY = ("locks: 4 legs",)
