"""The five methods and the loop of a board, on stand-ins for pins and clock."""

import subprocess
from pathlib import Path

import pytest

from controller import codes
from controller.frames import Inputs, Outputs
from host_sim.engines import find_interpreter
from tests.boards import loop_rig

SCRIPT = Path(loop_rig.__file__)


@pytest.fixture
def clock(monkeypatch):
    """A clock in the place of MicroPython's."""
    made = loop_rig.Clock()
    for name in ("ticks_us", "ticks_ms", "ticks_add", "ticks_diff", "sleep_us"):
        monkeypatch.setattr(f"time.{name}", getattr(made, name), raising=False)
    return made


@pytest.fixture
def rig(clock):
    """A board that has just been made."""
    return loop_rig.Rig(clock)


def test_a_sample_is_what_the_pins_say(rig):
    inputs = Inputs()
    rig.pulses(1234)
    rig.board.sample(inputs)
    assert inputs.pulse_us[: codes.SPARE] == [1234, 1500, 1100, 1100] and inputs.fresh == [1, 1, 1, 1, 0]
    assert (inputs.counts, inputs.rail_counts, inputs.supply_counts) == ([2636, 0], 3102, 2048)
    assert (inputs.button, inputs.ground_level) == (0, 1)


def test_the_boot_fields_come_with_the_first_sample_only(clock):
    boot = loop_rig.Boot()
    board = loop_rig.Board(loop_rig.make_parts(), boot)
    first, second = Inputs(), Inputs()
    board.sample(first)
    board.sample(second)
    for name in loop_rig.Boot().__dict__:
        assert getattr(first, name) == getattr(boot, name)
        assert getattr(second, name) == getattr(Inputs(), name)


def test_outputs_reach_their_pins_and_the_retained_words_are_written_when_they_change(rig):
    outputs = Outputs()
    outputs.coil_up = outputs.lamp = 1
    outputs.retained_count, outputs.retained_check = 2, 7
    for _ in range(5):
        rig.board.apply(outputs)
    valve, signals, retained = rig.parts.valve, rig.parts.signals, rig.parts.retained
    assert (valve._coil_up.level, valve._coil_down.level, signals._lamp.level) == (1, 0, 1)
    assert (retained.count, retained.check, retained.kept) == (2, 7, 1)


def test_safe_is_no_coil_no_light_and_a_servo_at_down(rig):
    rig.parts.valve.safe_us = 1050
    outputs = Outputs()
    outputs.coil_up = outputs.light = 1
    outputs.valve_us = 1900
    rig.board.apply(outputs)
    rig.board.make_safe()
    assert rig.parts.valve._coil_up.level == rig.parts.signals._light.level == 0
    assert rig.parts.valve._servo.ns == 1_050_000


def test_the_watchdog_is_fed_once_it_runs(rig):
    fed = []
    rig.board.feed()
    rig.board.watchdog = type("Dog", (), {"feed": lambda self: fed.append(1)})()
    for _ in range(3):
        rig.tick(1100)
    assert len(fed) == 3


@pytest.mark.sr("SR-31", "acts")
def test_a_raise_makes_safe_and_ends_the_loop_without_another_feed(rig, clock):
    fed = []
    rig.board.watchdog = type("Dog", (), {"feed": lambda self: fed.append(1)})()
    rig.parts.valve._coil_up.level = 1
    rig.parts.capture.pulses = None
    rig.loop.run()
    assert rig.cycle.dead == 1 and fed == [] and rig.parts.valve._coil_up.level == 0


def stopped_after(rig, n_ticks):
    """Make the world end the loop after n_ticks, and keep when each began."""
    began = []
    sample = rig.board.sample

    def counted(inputs):
        began.append(rig.clock.now_us)
        sample(inputs)
        # A tick takes 7 ms; the fifth is held up for 30 more.
        rig.clock.now_us += 37_000 if len(began) == 5 else 7000
        if len(began) == n_ticks:
            raise RuntimeError

    rig.cycle._board.sample = counted
    return began


def test_a_late_tick_is_not_caught_up_with(clock):
    rig = loop_rig.Rig(clock)

    class Board:
        """The rig's board, whose sample the test holds up."""

        sample = staticmethod(rig.board.sample)
        apply = staticmethod(rig.board.apply)
        now_ms = staticmethod(rig.board.now_ms)
        feed = staticmethod(rig.board.feed)
        make_safe = staticmethod(rig.board.make_safe)

    rig.cycle._board = Board()
    began = stopped_after(rig, 10)
    rig.loop.run()
    apart = [after - before for before, after in zip(began, began[1:], strict=False)]
    # The one that was held up; the next is due a whole tick after its end, not at once.
    assert apart == [20_000] * 4 + [37_000] + [20_000] * 4
    assert rig.loop.n_ticks == 10


def test_the_figures_leave_the_first_ticks_out(rig):
    sample = rig.parts.capture.take

    def slow(pulse_us, fresh):
        rig.clock.now_us += 5000
        sample(pulse_us, fresh)

    rig.parts.capture.take = slow
    for _ in range(10):
        rig.tick(1100)
    assert (rig.loop.worst_us, rig.loop.mean_us()) == (0, 0)
    rig.tick(1100)
    rig.parts.capture.take = sample
    rig.tick(1100)
    assert (rig.loop.worst_us, rig.loop.mean_us()) == (5000, 2500)


def test_a_board_without_room_for_a_journal_says_so_and_flies(rig, capsys):
    rig.loop.open_log(None)
    assert "no journal" in capsys.readouterr().out
    rig.tick(1100)
    assert rig.loop.n_ticks == 1


@pytest.mark.sr("SR-34", "acts")
def test_a_step_of_the_loop_allocates_nothing_and_moves_the_gear():
    done = subprocess.run([find_interpreter(), SCRIPT, SCRIPT.parents[2]], capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stderr or done.stdout
    found = {tuple(line.split()[:2]): [int(n) for n in line.split()[2:]] for line in done.stdout.splitlines()}
    for heap in ("free", "locked"):
        grown, ticks, saved, changes, dead = found["loop", heap]
        assert (grown, dead) == (0, 0)
        # Up once, and down: a sensor that does not move in a stroke is then no longer believed.
        assert ticks > loop_rig.TICKS and saved > 100 and changes == 2
    assert found["leaky", "free"][0] > 0
    assert found["leaky", "locked"][0] == -1
