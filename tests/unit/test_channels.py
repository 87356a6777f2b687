"""SR-06, SR-08, SR-09: frames, link, switch."""

import pytest

from controller import codes

from .driver import CENTRE_US, DOWN_US, SILENT, UP_US, Rig, codes_of

DEGRADED_TICKS = 5
RECOVER_TICKS = 10
FORCE_TICKS = 50


@pytest.mark.sr("SR-06", "acts")
def test_loss_forces_down_after_its_time_and_latches():
    rig = Rig().up()
    rig.gear_us = SILENT
    assert rig.until(lambda o: o.gear_command == codes.DOWN, 60) == FORCE_TICKS
    assert rig.outputs.link == codes.LINK_LOST
    assert rig.causes == [codes.CAUSE_LINK]
    rig.step(1000, gear_us=UP_US)
    assert rig.command == codes.DOWN
    assert rig.causes == [codes.CAUSE_LINK]


@pytest.mark.sr("SR-06", "acts")
def test_loss_with_the_gear_down_latches_too():
    rig = Rig().awake()
    rig.step(FORCE_TICKS, gear_us=SILENT)
    assert rig.causes == [codes.CAUSE_LINK]


@pytest.mark.sr("SR-06", "acts")
@pytest.mark.parametrize("width_us", [799, 2201, 100, 20000])
def test_bad_width_is_as_good_as_silence(width_us):
    rig = Rig().up()
    rig.gear_us = width_us
    assert rig.until(lambda o: o.gear_command == codes.DOWN, 60) == FORCE_TICKS


@pytest.mark.sr("SR-06", "spares")
@pytest.mark.parametrize("width_us", [800, 1100])
def test_edge_of_the_valid_width_counts_down(width_us):
    rig = Rig().up()
    rig.step(3, gear_us=width_us)
    assert rig.command == codes.DOWN
    assert rig.causes == []


@pytest.mark.sr("SR-06", "spares")
def test_edge_of_the_valid_width_counts_up():
    rig = Rig().awake()
    rig.step(3, gear_us=2200)
    assert rig.command == codes.UP


@pytest.mark.sr("SR-06", "spares")
@pytest.mark.parametrize("gap", [1, 4, 20, FORCE_TICKS - 1])
def test_short_dropout_holds_the_gear_up(gap):
    rig = Rig().up()
    rig.step(gap, gear_us=SILENT)
    assert rig.command == codes.UP
    assert rig.outputs.link == (codes.LINK_GOOD if gap < DEGRADED_TICKS else codes.LINK_DEGRADED)
    rig.step(300, gear_us=UP_US)
    assert rig.command == codes.UP
    assert rig.outputs.link == codes.LINK_GOOD


@pytest.mark.sr("SR-06", "acts")
@pytest.mark.parametrize(("gap", "frames"), [(5, 1), (5, 9), (10, 5), (49, 9)])
def test_stutter_adds_up_to_a_loss(gap, frames):
    rig = Rig().up()
    silent = 0
    for _ in range(60):
        for _ in range(gap):
            silent += 1
            rig.step(gear_us=SILENT)
            if rig.command == codes.DOWN:
                break
        if rig.command == codes.DOWN:
            break
        rig.step(frames, gear_us=UP_US)
    assert rig.causes == [codes.CAUSE_LINK]
    assert FORCE_TICKS <= silent <= FORCE_TICKS + gap


@pytest.mark.sr("SR-06", "spares")
def test_good_link_between_gaps_clears_the_timer():
    rig = Rig().up()
    for _ in range(20):
        rig.step(FORCE_TICKS - 5, gear_us=SILENT)
        rig.step(RECOVER_TICKS, gear_us=UP_US)
        assert rig.outputs.link == codes.LINK_GOOD
    assert rig.command == codes.UP


@pytest.mark.sr("SR-06", "acts")
def test_link_is_not_good_before_the_recovery_time():
    rig = Rig().up()
    rig.step(20, gear_us=SILENT)
    rig.step(RECOVER_TICKS - 1, gear_us=UP_US)
    assert rig.outputs.link == codes.LINK_DEGRADED
    rig.step(1)
    assert rig.outputs.link == codes.LINK_GOOD


# signature

INSIDE_US = 2100
OUTSIDE_US = 1500


def with_signature():
    rig = Rig(signature_channel=codes.SPARE)
    rig.spare_us = OUTSIDE_US
    return rig


@pytest.mark.sr("SR-06", "acts")
@pytest.mark.parametrize("width_us", [2050, INSIDE_US, 2150])
def test_preset_of_a_lost_receiver_is_silence(width_us):
    rig = with_signature().up()
    rig.spare_us = width_us
    assert rig.until(lambda o: o.gear_command == codes.DOWN, 60) == FORCE_TICKS
    assert rig.causes == [codes.CAUSE_LINK]


@pytest.mark.sr("SR-06", "spares")
@pytest.mark.parametrize("width_us", [2049, 2151, 1000])
def test_pulse_beside_the_window_is_no_signature(width_us):
    rig = with_signature().up()
    rig.step(300, spare_us=width_us)
    assert rig.command == codes.UP
    assert rig.outputs.link == codes.LINK_GOOD


@pytest.mark.sr("SR-06", "acts")
def test_signature_wire_off_is_silence():
    rig = with_signature().up()
    rig.spare_us = SILENT
    took = rig.until(lambda o: o.gear_command == codes.DOWN, 60)
    assert FORCE_TICKS <= took <= FORCE_TICKS + 2
    assert rig.causes == [codes.CAUSE_LINK]


@pytest.mark.sr("SR-06", "acts")
def test_signature_frames_confirm_no_position():
    rig = with_signature().up()
    rig.step(10, spare_us=INSIDE_US, gear_us=DOWN_US)
    assert rig.command == codes.UP


@pytest.mark.sr("SR-06", "spares")
def test_companion_pulse_of_the_tick_before_is_fresh_enough():
    rig = with_signature().awake()
    for tick in range(60):
        odd = tick % 2
        rig.step(gear_us=DOWN_US if odd else SILENT, spare_us=SILENT if odd else OUTSIDE_US)
    assert rig.outputs.link == codes.LINK_GOOD


# SR-08


@pytest.mark.sr("SR-08", "acts")
def test_run_to_down_gives_down_in_the_tick_of_its_last_frame():
    rig = Rig().up()
    rig.step(2, gear_us=DOWN_US)
    assert rig.command == codes.UP
    rig.step(1)
    assert rig.command == codes.DOWN
    assert rig.outputs.coil_up == 0
    assert rig.causes == []


@pytest.mark.sr("SR-08", "acts")
def test_run_to_down_survives_gaps_and_a_degraded_link():
    rig = Rig().up()
    rig.step(2, gear_us=DOWN_US)
    rig.step(20, gear_us=SILENT)
    assert rig.outputs.link == codes.LINK_DEGRADED
    assert rig.command == codes.UP
    rig.step(1, gear_us=DOWN_US)
    assert rig.command == codes.DOWN
    assert rig.causes == []


@pytest.mark.sr("SR-08", "acts")
def test_down_in_the_middle_of_a_stroke():
    rig = Rig().awake()
    rig.move_up()
    rig.step(5)
    rig.move_down()
    assert rig.command == codes.DOWN


@pytest.mark.sr("SR-08", "acts")
def test_down_wins_with_reversed_channel_and_every_run_length():
    for frames in (2, 5, 10):
        rig = Rig(gear_up_high=0, switch_frames=frames)
        rig.step(200, gear_us=1900)
        rig.step(frames, gear_us=1100)
        assert rig.command == codes.UP
        rig.step(frames - 1, gear_us=1900)
        assert rig.command == codes.UP
        rig.step(1)
        assert rig.command == codes.DOWN


@pytest.mark.sr("SR-08", "spares")
def test_two_down_frames_at_a_time_leave_the_gear_up():
    rig = Rig().up()
    for _ in range(100):
        rig.step(2, gear_us=DOWN_US)
        rig.step(1, gear_us=UP_US)
    assert rig.command == codes.UP


# SR-09


@pytest.mark.sr("SR-09", "acts")
@pytest.mark.parametrize("width_us", [1301, CENTRE_US, 1699])
def test_dead_zone_holds_the_last_position(width_us):
    rig = Rig().up()
    rig.step(300, gear_us=width_us)
    assert rig.command == codes.UP
    rig.move_down()
    rig.step(300, gear_us=width_us)
    assert rig.command == codes.DOWN


@pytest.mark.sr("SR-09", "spares")
def test_edges_of_the_dead_zone_are_positions():
    rig = Rig().awake()
    rig.step(3, gear_us=1700)
    assert rig.command == codes.UP
    rig.step(3, gear_us=1300)
    assert rig.command == codes.DOWN


@pytest.mark.sr("SR-09", "acts")
def test_two_up_frames_at_a_time_never_retract():
    rig = Rig().awake()
    for _ in range(200):
        rig.step(2, gear_us=UP_US)
        rig.step(1, gear_us=DOWN_US)
        assert rig.command == codes.DOWN


@pytest.mark.sr("SR-09", "acts")
def test_gap_restarts_a_run_to_up():
    rig = Rig().awake()
    rig.step(2, gear_us=UP_US)
    rig.step(DEGRADED_TICKS, gear_us=SILENT)
    rig.step(1, gear_us=UP_US)
    assert rig.outputs.switch == codes.DOWN
    rig.step(1)
    assert rig.outputs.switch == codes.DOWN
    rig.step(1)
    assert rig.outputs.switch == codes.UP


@pytest.mark.sr("SR-09", "spares")
def test_gap_shorter_than_degraded_does_not_restart_a_run_to_up():
    rig = Rig().awake()
    rig.step(2, gear_us=UP_US)
    rig.step(DEGRADED_TICKS - 1, gear_us=SILENT)
    rig.step(1, gear_us=UP_US)
    assert rig.command == codes.UP


GLITCHES = {
    "pressure to zero": {"a": 399},
    "pressure open": {"a": 0},
    "pressure short": {"a": 4095},
    "pressure high": {"a": 3500},
    "second pressure to zero": {"b": 399},
    "rail to zero": {"rail": 0},
    "rail high": {"rail": 3700},
    "supply to zero": {"supply": 0},
    "ground": {"ground": 1},
    "locks": {"locks": [1, 0, 1, 0]},
    "gear down": {"gear_us": DOWN_US},
    "gear silent": {"gear_us": SILENT},
    "gear width": {"gear_us": 3000},
    "brake": {"brake_us": 1900},
    "throttle": {"throttle_us": SILENT},
    "button": {"button": 1},
}


@pytest.mark.sr("SR-09", "acts")
@pytest.mark.parametrize(
    "glitch",
    [pytest.param(value, id=name) for name, value in GLITCHES.items()]
    + [pytest.param({"b": 0}, id="second pressure open")],
)
def test_single_sample_of_any_input_changes_nothing(glitch):
    rig = Rig(sensor_count=2, rail_fitted=1, supply_fitted=1, ground_fitted=1, lock_count=3).up()
    for mbar in range(6680, 4750, -1):
        rig.step(a=codes_of(min(mbar + 295, 6680)), b=codes_of(mbar))
    rig.gear_us = UP_US
    rig.step(100)
    assert rig.command == codes.UP
    usual = {name: getattr(rig, name) for name in glitch}
    for _ in range(3):
        rig.step(1, **glitch)
        assert rig.command == codes.UP
        rig.step(60, **usual)
        assert rig.command == codes.UP
    assert rig.causes == []


@pytest.mark.sr("SR-09", "acts")
def test_single_sample_of_high_pressure_does_not_retract():
    rig = Rig().awake()
    rig.step(60, air=5400)
    rig.step(2, gear_us=UP_US)
    rig.step(1, air=9000)
    assert rig.command == codes.DOWN
