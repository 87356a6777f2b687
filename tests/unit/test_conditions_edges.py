"""What raises each alert, one condition at a time: stand-ins for what is measured, straight to Conditions."""

from types import SimpleNamespace as As

import pytest

from controller import codes
from controller.codes import ALERT_AIR_LOW, ALERT_SUPPLY, DOWN, HELD, LOCKED_OUT, MODE_UP, NO, UNKNOWN, UP, WAKING, YES
from controller.conditions import Conditions, is_equal
from controller.frames import ABSENT
from controller.limits import Limits

from .driver import settings_with

WARN_TICKS, HEAL_TICKS = 10, 10


class Air:
    def __init__(self):
        self.mbar, self.read, self.lost, self.disagree = 7000, 1, 0, 0
        self.sensors = [As(failed=0), As(failed=0)]

    def below(self, point):
        return UNKNOWN if not self.read else YES if self.mbar < point else NO


class Bench:
    """Conditions and all that they are shown: nothing is wrong."""

    def __init__(self, state=codes.SETTINGS_GOOD, kind=codes.VALVE_SPRING, **changes):
        settings = settings_with(**changes)
        self.alerts = As(wanted=[0] * codes.N_ALERTS)
        self.conditions = Conditions(settings, Limits(settings), self.alerts, state, kind)
        self.gear = As(held=0, mode=MODE_UP, refusal=codes.REFUSAL_NONE)
        self.switch = As(position=UP)
        self.link = As(state=codes.LINK_GOOD, was_good=1)
        self.air = Air()
        self.mv = ABSENT
        self.strokes = As(too_cheap=0)
        self.tank = As(leaking=0, charging=0)
        self.locks = As(overdue=0, distrusted=0)
        self.aids = As(not_down=0, brakes_on=0)
        self.health = As(late=0)
        self.restarts = As(count=0)
        self.levers = [As(lost=0) for _ in range(3)]

    def step(self, ticks=1, **shown):
        for name, value in shown.items():
            part, _, field = name.rpartition("__")
            setattr(getattr(self, part) if part else self, field, value)
        for _ in range(ticks):
            self.conditions.step(
                self.gear,
                self.switch,
                self.link,
                self.air,
                self.mv,
                self.strokes,
                self.tank,
                self.locks,
                self.aids,
                self.health,
                self.restarts,
            )
            self.conditions.levers(*self.levers)
            assert set(self.alerts.wanted) <= {0, 1}
        return {alert for alert in range(codes.N_ALERTS) if self.alerts.wanted[alert] == 1}


def test_nothing_wrong_wants_nothing():
    assert Bench().step(100) == set()
    assert set(Bench().alerts.wanted) == {0}


def test_is_equal():
    assert (is_equal(3, 3), is_equal(3, 2), is_equal(0, 1)) == (1, 0, 0)


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize(
    "state, kind, alert",
    [
        (codes.SETTINGS_NONE, codes.VALVE_SERVO, codes.ALERT_SETTINGS_NONE),
        (codes.SETTINGS_DIFFER, codes.VALVE_SERVO, codes.ALERT_SETTINGS_DIFFER),
        (codes.SETTINGS_ONE_COPY, codes.VALVE_SERVO, codes.ALERT_SETTINGS_ONE),
        (codes.SETTINGS_GOOD, codes.VALVE_INVALID, codes.ALERT_WIRING),
    ],
)
def test_what_boot_found_stays(state, kind, alert):
    assert Bench(state, kind).step(50) == {alert}


@pytest.mark.parametrize(
    "shown, alert",
    [
        ({"gear__mode": LOCKED_OUT}, codes.ALERT_LOCKED_OUT),
        ({"gear__refusal": codes.REFUSAL_AIR}, codes.ALERT_REFUSED),
        ({"gear__held": 1, "gear__mode": HELD}, codes.ALERT_FORCED),
        ({"gear__held": 1, "gear__mode": WAKING}, codes.ALERT_FORCED),
        ({"gear__held": 1, "switch__position": DOWN}, codes.ALERT_HELD),
        ({"gear__held": 1, "switch__position": codes.POSITION_UNKNOWN}, codes.ALERT_HELD),
        ({"link__state": codes.LINK_LOST}, codes.ALERT_LINK),
        ({"air__lost": 1}, codes.ALERT_PRESSURE),
        ({"air__disagree": 1}, codes.ALERT_DISAGREE),
        ({"locks__overdue": 1}, codes.ALERT_NOT_LOCKED),
        ({"locks__distrusted": 1}, codes.ALERT_LOCK_SWITCH),
        ({"aids__not_down": 1}, codes.ALERT_NOT_DOWN),
        ({"aids__brakes_on": 1}, codes.ALERT_BRAKES),
        ({"tank__leaking": 1}, codes.ALERT_LEAK),
        ({"tank__charging": 1}, codes.ALERT_CHARGING),
        ({"strokes__too_cheap": 1}, codes.ALERT_STROKE),
        ({"health__late": 1}, codes.ALERT_LATE),
        ({"restarts__count": 1}, codes.ALERT_RESTARTED),
        ({"restarts__count": 3}, codes.ALERT_RESTARTED),
        ({"levers": [As(lost=1), As(lost=0), As(lost=0)]}, codes.ALERT_THROTTLE),
        ({"levers": [As(lost=0), As(lost=1), As(lost=0)]}, codes.ALERT_BRAKE_CHANNEL),
        ({"levers": [As(lost=0), As(lost=0), As(lost=1)]}, codes.ALERT_LIGHT_CHANNEL),
    ],
)
def test_each_condition_wants_its_own_alert_and_no_other_and_takes_it_back(shown, alert):
    bench = Bench()
    assert bench.step(**shown) == {alert}
    sound = vars(Bench())
    for name in shown:
        part, _, _ = name.rpartition("__")
        setattr(bench, part or name, sound[part or name])
    assert bench.step() == set()


def test_link_that_was_never_good_is_not_lost():
    assert Bench().step(link__state=codes.LINK_LOST, link__was_good=0) == set()
    assert Bench().step(link__state=codes.LINK_DEGRADED) == set()


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize("failed, lost, wanted", [((1, 0), 0, 1), ((0, 1), 0, 1), ((1, 1), 0, 1), ((1, 1), 1, 0)])
def test_one_failed_sensor_is_told_until_none_is_left(failed, lost, wanted):
    bench = Bench(sensor_count=2)
    bench.air.sensors = [As(failed=one) for one in failed]
    assert (codes.ALERT_SENSOR in bench.step(air__lost=lost)) == bool(wanted)


def test_sensor_that_is_not_fitted_cannot_fail():
    bench = Bench(sensor_count=1)
    bench.air.sensors[1].failed = 1
    assert bench.step() == set()


@pytest.mark.sr("SR-12", "acts")
def test_air_low_comes_in_the_tick_of_its_time():
    bench = Bench()
    assert bench.step(WARN_TICKS - 1, air__mbar=5099) == set()
    assert bench.step() == {ALERT_AIR_LOW}


@pytest.mark.sr("SR-12", "spares")
def test_air_at_the_warning_point_is_not_low():
    assert Bench().step(9 * WARN_TICKS, air__mbar=5100) == set()


@pytest.mark.sr("SR-24", "acts")
@pytest.mark.parametrize(
    "mbar, ticks, ends", [(5299, 500, False), (5300, HEAL_TICKS - 1, False), (5300, HEAL_TICKS, True)]
)
def test_air_low_ends_beyond_its_deadband(mbar, ticks, ends):
    bench = Bench()
    bench.step(WARN_TICKS, air__mbar=5000)
    assert (bench.step(ticks, air__mbar=mbar) == set()) == ends


@pytest.mark.sr("SR-13", "acts")
@pytest.mark.parametrize("mv, ticks, told", [(4799, 1, False), (4799, 2, True), (4800, 500, False)])
def test_supply_low_comes_with_its_second_tick(mv, ticks, told):
    assert (Bench().step(ticks, mv=mv) == {ALERT_SUPPLY}) == told


@pytest.mark.sr("SR-24", "acts")
@pytest.mark.parametrize(
    "mv, ticks, ends", [(4899, 500, False), (4900, HEAL_TICKS - 1, False), (4900, HEAL_TICKS, True)]
)
def test_supply_low_ends_beyond_its_deadband(mv, ticks, ends):
    bench = Bench()
    bench.step(2, mv=4700)
    assert (bench.step(ticks, mv=mv) == set()) == ends


def test_supply_that_is_not_measured_wants_nothing():
    assert Bench().step(50, mv=ABSENT) == set()
