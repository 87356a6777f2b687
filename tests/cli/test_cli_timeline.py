"""The timeline: what it says of a known flight, and how it groups and counts."""

from types import SimpleNamespace

import pytest

from controller.settings import Settings
from host_sim.events import Row
from host_sim.timeline import LINK_LINES, MOMENT_S, text_lines, timeline
from host_sim.trace import COLUMNS

QUIET = {
    "t_s": 0.0, "tank_bar": 7.0, "reading_mbar": 7000, "link": "good", "switch": "down", "gear_command": "down",
    "gear_travel": 1.0, "locked": "not fitted", "mode": "down", "causes": "none", "alert": "none", "severity": "none",
    "throttle": 0.0, "brake": 0.0, "brakes_on": "no", "light": "off", "supply_mv": 6600, "cause": "none",
    "cause_value": 0, "cause_t_s": "none", "refusal": "none", "refusal_value": 0, "gear_valve": "down", "coil_up": 0,
    "coil_down": 0, "valve_us": 0, "lamp": 0, "tone_hz": 0, "feed": 1, "alerts": "none", "pilot_switch": "down",
    "true_locked": "yes",
}  # fmt: skip


def lines_of(changes, unit="bar", n=200, resets=(), **extra):
    """Timeline of a made trace of `n` ticks: {tick: {column: cell}}; a change lasts until the next of its column."""
    cells, rows = dict(QUIET), []
    for tick in range(n):
        cells.update(changes.get(tick, {}))
        rows.append(tuple(Row(**{**cells, "t_s": round(tick * 0.02, 3)})))
    return timeline(SimpleNamespace(rows=rows, resets=list(resets)), Settings(), unit, **extra)


def find(lines, text):
    found = [line for line in lines if text in line.what]
    assert len(found) == 1, [line.what for line in lines]
    return found[0]


def test_made_rows_have_every_column():
    assert tuple(QUIET) == COLUMNS


def test_slow_leak_tells_the_story_in_order(leak):
    told = [line.what for line in leak.lines]
    story = ["Power on", "Ready", "Gear command up", "Gear is up", "slow leak", "Air low (caution)", "GEAR FORCED DOWN",
             "down and locked"]  # fmt: skip
    places = [next(i for i, what in enumerate(told) if part in what) for part in story]
    assert places == sorted(places)
    assert len(leak.lines) < 20


def test_slow_leak_names_cause_reading_and_threshold(leak):
    line = find(leak.lines, "GEAR FORCED DOWN")
    settings = leak.scenario.aircraft.settings
    assert line.mark == "warning"
    assert "below the forcing point" in line.why
    row = next(Row(*row) for row in leak.trace.rows if Row(*row).causes != "none")
    assert f"the sensor read {row.cause_value / 68.94757:.1f} psi gauge" in line.why
    assert f"the forcing point is {settings.force_below_mbar / 68.94757:.1f} psi gauge" in line.why
    assert line.t_s == pytest.approx(row.t_s)


def test_pressures_of_the_lines_are_the_traces(leak):
    by_time = {round(row[0], 3): row[1] for row in leak.trace.rows}
    for line in leak.lines:
        assert line.tank_bar == pytest.approx(by_time[round(line.t_s, 3)], abs=0.35)


def test_refusal_names_reading_and_need():
    lines = lines_of({50: {"pilot_switch": "up"}, 53: {"switch": "up", "refusal": "air", "refusal_value": 5310,
                                                       "alerts": "retract refused"}})  # fmt: skip
    line = find(lines, "Retraction refused")
    assert "Pilot puts the gear switch to up." in line.what
    assert "read 5.31 bar gauge; a retraction needs 5.60 bar gauge" in line.why
    assert "retract refused (caution)" not in line.what.lower()
    assert line.mark == "caution"


def test_changes_of_one_moment_are_one_line_and_later_ones_are_not():
    ticks = round(MOMENT_S / 0.02)
    near = lines_of({50: {"pilot_switch": "up"}, 50 + ticks: {"link": "degraded"}})
    assert "degraded" in find(near, "Pilot puts").what
    far = lines_of({50: {"pilot_switch": "up"}, 51 + ticks: {"link": "degraded"}})
    assert "degraded" not in find(far, "Pilot puts").what
    assert find(far, "Link degraded").t_s == pytest.approx((51 + ticks) * 0.02)


def test_every_alert_is_told_with_its_severity_when_it_rises_and_when_it_ends():
    lines = lines_of({40: {"alerts": "air low"}, 80: {"alerts": "brakes on+air low"}, 120: {"alerts": "air low"}})
    assert find(lines, "Air low (caution)").mark == "caution"
    assert find(lines, "Brakes on (warning)").mark == "warning"
    assert find(lines, "Alert ends: brakes on.").mark == ""


def test_second_cause_is_told():
    lines = lines_of({40: {"gear_command": "up", "mode": "up", "switch": "up", "pilot_switch": "up"},
                      80: {"gear_command": "down", "mode": "held down", "causes": "low air", "cause": "low air",
                           "cause_value": 4600}, 120: {"causes": "low air+link lost"}})  # fmt: skip
    assert "4.60 bar gauge" in find(lines, "GEAR FORCED DOWN").why
    assert find(lines, "Held down: link lost.").mark == "caution"


def test_a_decoded_switch_that_is_not_the_pilots_is_told():
    line = find(lines_of({60: {"switch": "up"}}), "reads the gear switch as up")
    assert "the pilot has it at down" in line.what


def test_gear_that_stops_short_is_told_once():
    moving = {40 + i: {"gear_travel": round(0.05 * i, 3)} for i in range(13)}
    lines = lines_of({40: {"gear_travel": 0.0}, **moving}, n=300)
    line = find(lines, "stopped at 60 %")
    assert line.mark == "warning"
    assert line.t_s == pytest.approx(0.02 * 52 + 1.0)


def test_gear_down_without_its_lock_is_a_warning():
    moving = {40: {"gear_travel": 0.5, "true_locked": "no"}, 60: {"gear_travel": 1.0}}
    assert find(lines_of(moving), "Gear is down and NOT locked").mark == "warning"


def test_reset_begins_anew():
    lines = lines_of({100: {"mode": "waking", "switch": "unknown", "link": "lost", "alerts": "restarted"}},
                     resets=[(1.99, "watchdog")])  # fmt: skip
    reset = find(lines, "RESET: the watchdog was not fed")
    assert "The controller is back: gear command down, mode waking." in reset.what
    assert "Restarted (advisory)." in reset.what
    assert not [line for line in lines if "Link lost" in line.what or "reads the gear switch" in line.what]


def test_stuttering_link_is_folded():
    flips = {20 + 10 * i: {"link": "degraded" if i % 2 == 0 else "good"} for i in range(16)}
    lines = lines_of(flips)
    link = [line for line in lines if "ink" in line.what]
    assert len(link) == LINK_LINES + 1
    assert f"The link changed {16 - LINK_LINES} more times until 3.40 s; then good." in link[-1].what


def test_faults_and_deeds_stand_in_the_order_of_time():
    lines = lines_of({}, faults=[(2.0, "Fault: x.")], deeds=[(1.0, "The wheels leave the ground.")])
    assert [line.what for line in lines[-2:]] == ["The wheels leave the ground.", "Fault: x."]
    assert lines[-1].mark == "fault"


def test_unknown_and_wrong_readings_are_said():
    lines = lines_of(
        {40: {"reading_mbar": "unknown", "light": "on"}, 80: {"reading_mbar": 5000, "light": "off"}}, "psi"
    )
    assert find(lines, "light on").pressure("psi") == "101.5 psi gauge, reading unknown"
    assert find(lines, "light off").pressure("psi") == "101.5 psi gauge, reads 72.5 psi gauge"


def test_text_fits_its_width(leak):
    for width in (60, 100):
        text = text_lines(leak.lines, "psi", width)
        assert max(len(line) for line in text) <= width
    for line in leak.lines:
        assert [shown for shown in text if shown.startswith(f"{line.t_s:8.2f} ")]
