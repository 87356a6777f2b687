"""Settings that pass the checks, as unknowns: one for each row of the table, its range, and the rules between them."""

from types import SimpleNamespace

import z3

from controller import checks
from controller.settings import FIELDS, HIGH, LOW, NAME

from . import contracts
from .contracts import within


def unknown_names():
    return [row[NAME] for row in FIELDS]


def ranges():
    """Terms: each row within its range."""
    return [within(row[LOW], z3.Int(row[NAME]), row[HIGH]) for row in FIELDS]


def settings(explorer):
    """A settings record whose every value is unknown."""
    return SimpleNamespace(**{name: explorer.fresh(name) for name in unknown_names()})


def rule_merges():
    """Every function of checks.py by itself, so that the rules make one path."""
    names = [name for name in vars(checks) if name.endswith(("_fault", "_mbar", "_apart")) and name != "first_fault"]
    own = [name for name in names if getattr(checks, name).__module__ == checks.__name__]
    return [(checks, name) for name in own]


def rules():
    """{contract: term}: what first_fault lets through, as far as other proofs rely on it."""
    s = SimpleNamespace(**{name: z3.Int(name) for name in unknown_names()})
    return {
        "air rules": contracts.air_rules(s.lock_min_mbar, s.force_below_mbar, s.retract_above_mbar, s.begin_slack_mbar),
        "sensor rules": z3.And(
            contracts.sensor_rules(
                s.sensor_a_zero_counts, s.sensor_a_full_counts, s.sensor_open_counts, s.sensor_short_counts
            ),
            z3.Implies(
                s.sensor_count == 2,
                contracts.sensor_rules(
                    s.sensor_b_zero_counts, s.sensor_b_full_counts, s.sensor_open_counts, s.sensor_short_counts
                ),
            ),
        ),
        "channel rules": contracts.channel_rules(s.gear_low_us, s.gear_high_us, s.switch_frames),
        "time rules": z3.And(
            s.link_force_ms >= 2 * s.link_degraded_ms,
            s.link_degraded_ms >= 2 * s.tick_ms,
            s.coil_repeat_ms >= 2 * s.coil_ms,
            *[value >= 2 * s.tick_ms for value in (s.low_confirm_ms, s.sensor_confirm_ms, s.supply_confirm_ms)],
        ),
        "volume rules": z3.And(
            2 * (s.retract_swept_ul + s.retract_dead_ul) <= s.tank_ml * 1000,
            2 * (s.extend_swept_ul + s.extend_dead_ul) <= s.tank_ml * 1000,
        ),
        "lever rules": z3.And(
            contracts.travel(s.throttle_full_us - s.throttle_idle_us),
            contracts.travel(s.brake_full_us - s.brake_off_us),
            contracts.travel(s.light_on_us - s.light_off_us),
        ),
    }
