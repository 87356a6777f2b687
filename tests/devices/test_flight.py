"""Time, ticks, resets and the trace of a flight, under an engine that does what the test tells it."""

import pytest

from controller import codes
from controller.frames import Outputs
from host_sim.flight import Flight, fly
from host_sim.trace import COLUMNS, Recorder, Trace


def test_one_row_a_tick_and_time_adds_up(scenario, engine):
    trace = fly(scenario(lasts="4 s"), engine())
    assert trace.column("t_s") == [tick * 20 / 1000 for tick in range(200)]
    assert all(len(row) == len(COLUMNS) for row in trace.rows)
    assert trace.mass_balance_error < 1e-12
    assert trace.resets == []


def test_the_gear_follows_the_scripted_engine(scenario, engine):
    beats = ["{at: 0 s, switch: down}", "{at: 1 s, switch: up}", "{at: 8 s, switch: down}"]
    trace = fly(scenario(lasts="16 s", beats=beats), engine())
    t_s, valve, travel = trace.column("t_s"), trace.column("gear_valve"), trace.column("gear_travel")
    went_up = t_s[valve.index("up")]
    assert 1.0 < went_up < 1.15
    assert travel[t_s.index(7.9)] < 0.01
    assert travel[-1] > 0.99
    assert trace.column("tank_bar")[-1] < trace.column("tank_bar")[0] - 0.3
    assert trace.column("pilot_switch")[t_s.index(1.0)] == "up"
    assert trace.column("true_locked")[-1] == "yes"
    assert trace.column("true_locked")[t_s.index(7.9)] == "no"


def test_boot_fields_are_the_packed_settings(scenario, engine):
    flown, scripted = scenario(lasts="1 s"), engine()
    fly(flown, scripted)
    packed = flown.aircraft.packed
    assert scripted.starts == [(packed, packed, flown.aircraft.valve_kind, 0)]


def test_clock_counts_milliseconds_and_wraps(scenario, engine):
    scripted = engine()
    fly(scenario(lasts="2 s", faults=["{what: clock near wrap, before: 1 s}"]), scripted)
    now = scripted.column(scripted.NOW)
    assert now[0] == 2**30 - 1000
    assert now[50] == 0
    assert now[-1] == 980


def test_clock_rate(scenario, engine):
    scripted = engine()
    fly(scenario(lasts="3 s", faults=["{what: clock rate, from: 1 s, until: 2 s, rate: 130 %}"]), scripted)
    now = scripted.column(scripted.NOW)
    assert (now[50], now[100], now[149]) == (1000, 2300, 3280)


def test_late_ticks_move_physical_time(scenario, engine):
    scripted = engine()
    faults = ["{what: late ticks, from: 1 s, late: 90 ms, count: 2, every: 500 ms}"]
    trace = fly(scenario(lasts="3 s", faults=faults), scripted)
    t_s = trace.column("t_s")
    gaps = [round(b - a, 3) for a, b in zip(t_s, t_s[1:], strict=False)]
    assert sorted(gaps)[-3:] == [0.02, 0.11, 0.11]
    now = scripted.column(scripted.NOW)
    assert [b - a for a, b in zip(now, now[1:], strict=False)].count(110) == 2


def test_watchdog_resets_after_half_a_second_without_food(scenario, engine):
    def starve(self, inputs, outputs):
        if len(self.starts) == 1 and self.tick_number >= 50:
            outputs.feed = 0

    scripted = engine(starve)
    trace = fly(scenario(lasts="4 s"), scripted)
    # Fed last at 0.96 s (tick 49); bitten at 1.46 s; booted 1.8 s later.
    assert trace.resets == [(1.46, "watchdog")]
    t_s = trace.column("t_s")
    after = next(i for i in range(len(t_s) - 1) if t_s[i + 1] - t_s[i] > 0.1)
    assert (t_s[after], t_s[after + 1]) == (1.46, 3.26)
    assert scripted.starts[1][3] == 1  # what was retained came back


def test_a_tick_held_up_for_longer_than_the_watchdog_resets(scenario, engine):
    faults = ["{what: late ticks, from: 1 s, late: 900 ms}"]
    trace = fly(scenario(lasts="4 s", faults=faults), engine())
    assert [why for _, why in trace.resets] == ["watchdog"]


def test_a_reset_leaves_the_outputs_off_while_it_boots(scenario, engine):
    beats = ["{at: 0 s, switch: up}"]
    trace = fly(scenario(lasts="3 s", beats=beats, faults=["{what: reset, from: 1 s}"]), engine())
    assert trace.resets == [(1.0, "reset")]
    # Spring-return valve: it fell to DOWN during the boot and the gear has begun to extend.
    valve, t_s = trace.column("gear_valve"), trace.column("t_s")
    assert valve[t_s.index(0.98)] == "up"
    assert valve[t_s.index(2.8)] == "down"


def test_resets_in_a_row_each_boot_again(scenario, engine):
    scripted = engine()
    trace = fly(scenario(lasts="9 s", faults=["{what: reset, from: 1 s, times: 3, every: 2500 ms}"]), scripted)
    assert [t_s for t_s, _ in trace.resets] == [1.0, 3.5, 6.0]
    assert [start[3] for start in scripted.starts] == [0, 1, 2, 3]


def test_resets_while_it_boots_begin_the_boot_again_and_no_controller_counts_them(scenario, engine):
    scripted = engine()
    trace = fly(scenario(lasts="6 s", faults=["{what: reset, from: 1 s, times: 3, every: 600 ms}"]), scripted)
    assert [t_s for t_s, _ in trace.resets] == [1.0, 1.6, 2.2]
    assert [start[3] for start in scripted.starts] == [0, 1]
    t_s = trace.column("t_s")
    assert t_s[t_s.index(0.98) + 1 :][:2] == [4.0, 4.02]


def test_brown_out_kills_and_loses_the_retained_words(scenario, engine):
    scripted = engine()
    trace = fly(scenario(lasts="5 s", faults=["{what: brown-out, from: 1 s, until: 2 s, supply: 0 V}"]), scripted)
    assert [why for _, why in trace.resets] == ["supply"]
    assert [start[3] for start in scripted.starts] == [0, 0]
    t_s = trace.column("t_s")
    assert not [t for t in t_s if 1.0 < t < 2.3]
    shallow = engine()
    fly(scenario(lasts="5 s", faults=["{what: brown-out, from: 1 s, until: 1.1 s, supply: 2 V}"]), shallow)
    assert [start[3] for start in shallow.starts] == [0, 1]


def test_a_supply_that_never_comes_back_ends_the_rows_not_the_time(scenario, engine):
    flight = Flight(scenario(lasts="4 s", faults=["{what: brown-out, from: 1 s}"]), engine())
    trace = flight.run()
    assert trace.column("t_s")[-1] < 1.0
    assert flight.bench.t_us == 4_000_000


def test_settings_faults_reach_the_boot_fields(scenario, engine):
    def boot(fault):
        scripted = engine()
        flown = scenario(lasts="1 s", faults=[fault])
        fly(flown, scripted)
        a, b, kind, _ = scripted.starts[0]
        packed = flown.aircraft.packed
        return a == packed, b == packed, len(a) == len(b) == len(packed), kind

    assert boot("{what: settings corrupt, copy: a}")[:3] == (False, True, True)
    assert boot("{what: settings corrupt, copy: b}")[:3] == (True, False, True)
    assert boot("{what: settings corrupt, copy: both}")[:3] == (False, False, True)
    assert boot("{what: settings differ}")[:3] == (True, False, True)
    assert boot("{what: wiring record lost}")[3] == codes.VALVE_INVALID


def test_rows_are_words_and_numbers(tmp_path):
    trace = Trace()
    outputs = Outputs()
    outputs.latched[codes.CAUSE_LOW_AIR] = outputs.latched[codes.CAUSE_LINK] = 1
    outputs.cause, outputs.cause_value, outputs.cause_tick, outputs.tick = codes.CAUSE_LOW_AIR, 4690, 3, 4
    outputs.throttle_permille, outputs.alert, outputs.active[codes.ALERT_FORCED] = 525, codes.ALERT_FORCED, 1
    recorder = Recorder(trace)
    recorder.add(1_980_000, Outputs(), (7.0, 1.0, codes.DOWN, "up", True))
    early = Outputs()
    early.tick = 3
    recorder.add(2_000_000, early, (7.0, 1.0, codes.DOWN, "up", True))
    recorder.add(2_020_000, outputs, (4.69123456, 0.5, codes.UP, "up", False))
    row = dict(zip(COLUMNS, trace.rows[-1], strict=True))
    assert row["causes"] == "low air+link lost"
    assert (row["cause"], row["cause_value"], row["cause_t_s"]) == ("low air", 4690, 2.0)
    assert (row["reading_mbar"], row["supply_mv"], row["throttle"], row["brake"]) == (
        "unknown",
        "absent",
        52.5,
        "absent",
    )
    assert (row["alert"], row["alerts"], row["gear_valve"], row["true_locked"]) == (
        "gear forced down",
        "gear forced down",
        "up",
        "no",
    )
    path = tmp_path / "trace.csv"
    trace.write_csv(path)
    header, *lines = path.read_bytes().decode().split("\n")
    assert header == ",".join(COLUMNS)
    assert lines[2].startswith("2.020,4.6912,unknown,lost,unknown,down,0.5000,")
    assert lines[3] == ""


def test_an_engine_name_that_is_none(scenario):
    from host_sim.engines import EngineError

    with pytest.raises(EngineError, match="'jython': not one of cpython, micropython"):
        fly(scenario(), "jython")
