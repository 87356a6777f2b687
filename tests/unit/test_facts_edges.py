"""What the mode logic may know, each fact by itself: stand-ins for what is measured, straight to Judge."""

from types import SimpleNamespace as As

import pytest

from controller import codes
from controller.codes import DOWN, NO, UNKNOWN, UP, YES
from controller.facts import Judge, flag
from controller.frames import ABSENT
from controller.limits import Limits

from .driver import settings_with

LOW_TICKS, FORCE_TICKS, SUPPLY_TICKS, PERMIT_TICKS, HEAL_TICKS = 25, 100, 25, 10, 10


class Air:
    """Stands in for Pressure."""

    def __init__(self):
        self.mbar, self.read, self.lost, self.disagree = 7000, 1, 0, 0

    def below(self, point):
        return UNKNOWN if not self.read else YES if self.mbar < point else NO

    def at_least(self, point):
        return UNKNOWN if not self.read else NO if self.mbar < point else YES


class Bench:
    """A Judge and all that it is shown; the gear is up and nothing is wrong."""

    def __init__(self, state=codes.SETTINGS_GOOD, kind=codes.VALVE_SPRING, **changes):
        settings = settings_with(**changes)
        self.judge = Judge(settings, Limits(settings), state, kind)
        self.facts = self.judge.facts
        self.air = Air()
        self.link = As(state=codes.LINK_GOOD, was_good=1)
        self.switch = As(frame=UP, down_run=0, up_done=0)
        self.strokes = As(burst_now=0, loss_now=0)
        self.tank = As(charging=0)
        self.ground = As(clear=1)
        self.health = As(late_latch=0, clock_bad=0)
        self.command, self.mv, self.leave = UP, ABSENT, 1

    def step(self, ticks=1, **shown):
        for name, value in shown.items():
            part, _, field = name.rpartition("__")
            setattr(getattr(self, part) if part else self, field, value)
        for _ in range(ticks):
            self.judge.step(
                self.command,
                self.link,
                self.switch,
                self.air,
                self.strokes,
                self.tank,
                self.mv,
                self.ground,
                self.health,
                self.leave,
            )
        return self.facts

    @property
    def causes(self):
        return [cause for cause in range(codes.N_CAUSES) if self.facts.present[cause]]


def test_only_yes_is_a_flag():
    assert [flag(fact) for fact in (NO, YES, UNKNOWN)] == [0, 1, 0]


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize(
    "state, ok",
    [(codes.SETTINGS_GOOD, 1), (codes.SETTINGS_ONE_COPY, 1), (codes.SETTINGS_DIFFER, 0), (codes.SETTINGS_NONE, 0)],
)
def test_settings_that_permit(state, ok):
    assert Bench(state=state).facts.settings_ok == ok


@pytest.mark.sr("SR-18", "acts")
@pytest.mark.parametrize("kind, ok", [(0, 0), (1, 1), (2, 1), (3, 1)])
def test_wiring_that_permits(kind, ok):
    assert Bench(kind=kind).facts.wiring_ok == ok


def test_nothing_wrong_is_nothing_present_and_all_permitted():
    bench = Bench()
    facts = bench.step(PERMIT_TICKS)
    assert bench.causes == []
    for_good = {codes.CAUSE_BURST, codes.CAUSE_STROKE_LOSS, codes.CAUSE_CLOCK, codes.CAUSE_SECOND_PATH}
    assert {cause for cause in range(codes.N_CAUSES) if not facts.absent[cause]} == for_good
    permits = ("pressure_known", "sensors_agree", "air_ok", "not_charging", "supply_ok", "ground_clear", "leave")
    assert [getattr(facts, name) for name in permits] == [1] * 7
    assert facts.link_good == 1


def test_switch_ground_and_leave_are_passed_on():
    bench = Bench()
    facts = bench.step(switch__frame=DOWN, switch__down_run=1, switch__up_done=0, ground__clear=0, leave=0)
    assert (facts.frame, facts.down_run, facts.up_done, facts.ground_clear, facts.leave) == (DOWN, 1, 0, 0, 0)
    facts = bench.step(switch__frame=UP, switch__down_run=0, switch__up_done=1, ground__clear=1, leave=1)
    assert (facts.frame, facts.down_run, facts.up_done, facts.ground_clear, facts.leave) == (UP, 0, 1, 1, 1)


@pytest.mark.sr("SR-06", "acts")
@pytest.mark.parametrize(
    "state, was_good, good, present",
    [
        (codes.LINK_GOOD, 1, 1, 0),
        (codes.LINK_DEGRADED, 1, 0, 0),
        (codes.LINK_LOST, 1, 0, 1),
        (codes.LINK_LOST, 0, 0, 0),
    ],
)
def test_link(state, was_good, good, present):
    facts = Bench().step(link__state=state, link__was_good=was_good)
    assert (facts.link_good, facts.present[codes.CAUSE_LINK], facts.absent[codes.CAUSE_LINK]) == (good, present, good)


@pytest.mark.sr("SR-03", "acts")
def test_low_air_is_present_in_the_tick_of_its_time_and_only_with_up():
    bench = Bench()
    bench.step(LOW_TICKS - 1, air__mbar=4699)
    assert bench.causes == []
    bench.step()
    assert bench.causes == [codes.CAUSE_LOW_AIR]
    bench.step(command=DOWN)
    assert bench.causes == []
    bench.step(LOW_TICKS - 1, command=UP)
    assert bench.causes == []


@pytest.mark.sr("SR-03", "spares")
def test_air_at_the_forcing_point_is_not_low():
    bench = Bench()
    bench.step(9 * LOW_TICKS, air__mbar=4700)
    assert bench.causes == []


@pytest.mark.sr("SR-02", "acts")
@pytest.mark.parametrize("mbar, absent", [(5599, 0), (5600, 1)])
def test_air_that_permits(mbar, absent):
    bench = Bench()
    facts = bench.step(PERMIT_TICKS - 1, air__mbar=mbar)
    assert (facts.air_ok, facts.absent[codes.CAUSE_LOW_AIR]) == (0, absent)
    assert bench.step().air_ok == absent


@pytest.mark.sr("SR-05", "acts")
def test_lost_pressure_is_present_in_the_tick_of_its_time_and_only_with_up():
    bench = Bench()
    bench.step(FORCE_TICKS - 1, air__read=0, air__lost=1)
    assert bench.causes == []
    facts = bench.step()
    assert bench.causes == [codes.CAUSE_PRESSURE]
    assert (facts.pressure_known, facts.absent[codes.CAUSE_PRESSURE]) == (0, 0)
    bench.step(command=DOWN)
    assert bench.causes == []
    bench.step(FORCE_TICKS - 1, command=UP)
    assert bench.causes == []


@pytest.mark.sr("SR-17", "acts")
def test_pause_neither_counts_as_lost_nor_heals():
    bench = Bench()
    bench.step(FORCE_TICKS - 1, air__read=0, air__lost=1)
    bench.step(500, air__lost=0)
    assert bench.causes == []
    bench.step(air__lost=1)
    assert bench.causes == [codes.CAUSE_PRESSURE]


@pytest.mark.sr("SR-17", "spares")
def test_good_reading_for_the_healing_time_forgets_the_loss():
    bench = Bench()
    bench.step(FORCE_TICKS - 1, air__read=0, air__lost=1)
    bench.step(HEAL_TICKS, air__read=1, air__lost=0)
    bench.step(FORCE_TICKS - 1, air__read=0, air__lost=1)
    assert bench.causes == []


@pytest.mark.parametrize("read, lost, known", [(0, 0, 0), (1, 0, 1), (0, 1, 0), (1, 1, 0)])
def test_pressure_is_known_when_it_is_read_and_believed(read, lost, known):
    facts = Bench().step(air__read=read, air__lost=lost)
    assert (facts.pressure_known, facts.absent[codes.CAUSE_PRESSURE]) == (known, known)


@pytest.mark.parametrize(
    "shown, permit", [({"air__disagree": 1}, "sensors_agree"), ({"tank__charging": 1}, "not_charging")]
)
def test_two_sensors_apart_and_filling_take_their_permits(shown, permit):
    assert getattr(Bench().step(**shown), permit) == 0


@pytest.mark.parametrize(
    "shown, cause",
    [
        ({"strokes__burst_now": 1}, codes.CAUSE_BURST),
        ({"strokes__loss_now": 1}, codes.CAUSE_STROKE_LOSS),
        ({"health__clock_bad": 1}, codes.CAUSE_CLOCK),
        ({"health__late_latch": 1}, codes.CAUSE_LATE),
    ],
)
def test_causes_that_are_measured_elsewhere_are_passed_on_and_are_not_absent(shown, cause):
    bench = Bench()
    facts = bench.step(**shown)
    assert bench.causes == [cause]
    assert facts.absent[cause] == 0


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize(
    "command, leave, down_run, present", [(UP, 0, 0, 1), (UP, 0, 1, 0), (UP, 1, 0, 0), (DOWN, 0, 0, 0), (DOWN, 1, 0, 0)]
)
def test_second_path_is_a_cause_when_it_ends_an_up_that_the_pilot_did_not(command, leave, down_run, present):
    facts = Bench().step(command=command, leave=leave, switch__down_run=down_run)
    assert facts.present[codes.CAUSE_SECOND_PATH] == present


@pytest.mark.sr("SR-13", "acts")
@pytest.mark.parametrize("kind, ticks", [(codes.VALVE_SPRING, SUPPLY_TICKS), (codes.VALVE_TWO_COIL, 10)])
def test_low_supply_is_present_in_the_tick_of_its_time(kind, ticks):
    bench = Bench(kind=kind)
    bench.step(ticks - 1, mv=4499)
    assert bench.causes == []
    facts = bench.step()
    assert bench.causes == [codes.CAUSE_SUPPLY]
    assert facts.absent[codes.CAUSE_SUPPLY] == 0
    bench.step(HEAL_TICKS - 1, mv=4500)
    assert bench.causes == [codes.CAUSE_SUPPLY]
    bench.step()
    assert bench.causes == []


@pytest.mark.sr("SR-13", "acts")
@pytest.mark.parametrize("confirm_ms, ticks", [(180, 9), (200, 10), (220, 10)])
def test_driven_valve_takes_the_shorter_time(confirm_ms, ticks):
    bench = Bench(kind=codes.VALVE_SERVO, supply_confirm_ms=confirm_ms)
    bench.step(ticks - 1, mv=0)
    assert bench.causes == []
    bench.step()
    assert bench.causes == [codes.CAUSE_SUPPLY]


@pytest.mark.sr("SR-13", "spares")
def test_supply_at_the_forcing_point_is_not_low_and_permits_nothing():
    bench = Bench()
    facts = bench.step(9 * SUPPLY_TICKS, mv=4500)
    assert (bench.causes, facts.supply_ok, facts.absent[codes.CAUSE_SUPPLY]) == ([], 0, 0)


@pytest.mark.sr("SR-02", "acts")
@pytest.mark.parametrize("mv, ok", [(4799, 0), (4800, 1)])
def test_supply_that_permits(mv, ok):
    bench = Bench()
    facts = bench.step(PERMIT_TICKS - 1, mv=mv)
    assert (facts.supply_ok, facts.absent[codes.CAUSE_SUPPLY]) == (0, ok)
    assert bench.step().supply_ok == ok


@pytest.mark.sr("SR-07", "acts")
def test_confirmed_cause_is_not_absent_though_the_latest_sample_says_so():
    bench = Bench()
    bench.step(SUPPLY_TICKS, mv=0)
    bench.step(LOW_TICKS, air__mbar=100)
    facts = bench.step(mv=9000, air__mbar=9000)
    assert bench.causes == [codes.CAUSE_LOW_AIR, codes.CAUSE_SUPPLY]
    assert (facts.absent[codes.CAUSE_LOW_AIR], facts.absent[codes.CAUSE_SUPPLY]) == (0, 0)
