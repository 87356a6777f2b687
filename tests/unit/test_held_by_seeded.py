"""Cases that only a deliberate break of the controller brought to light (tests/seeded)."""

import pytest

from controller import codes
from controller.packing import choose, pack
from controller.settings import Settings

from .driver import CENTRE_US, UP_US, Rig, alone


@pytest.mark.sr("SR-04", "spares")
def test_fall_that_one_sample_shows_is_no_burst():
    """Two bad samples pass the median once, and for one tick the fall behind them is as steep as a burst."""
    rig = Rig().up()
    rig.glide(6680, 5200, 3000)
    rig.step(60)
    seen = set()
    for air in (4780, 4780, *[5200] * 40):
        rig.step(air=air)
        seen.add(rig.controller.strokes.burst_rate)
    assert max(seen) >= 360, "the fall was steep enough to count"
    assert rig.command == codes.UP
    assert rig.causes == []


@pytest.mark.sr("SR-07", "acts")
def test_two_causes_that_are_both_still_there_release_nothing():
    rig = Rig(supply_fitted=1).up()
    rig.glide(6680, 4600, 4000)
    rig.step(60)
    rig.step(60, supply_mv=4000)
    assert rig.causes == [codes.CAUSE_LOW_AIR, codes.CAUSE_SUPPLY]
    rig.move_down()
    rig.step(400)
    assert rig.causes == [codes.CAUSE_LOW_AIR, codes.CAUSE_SUPPLY]
    # One of them ends: the other one still holds. Both end: released.
    rig.step(400, supply_mv=5500)
    assert rig.causes == [codes.CAUSE_LOW_AIR, codes.CAUSE_SUPPLY]
    rig.step(400, air=7000)
    assert rig.causes == []


@pytest.mark.sr("SR-36", "acts")
@pytest.mark.sr("SR-30", "spares")
def test_two_copies_are_equal_by_what_stands_in_them():
    """A board reads each copy into an object of its own."""
    one = pack(Settings())
    other = bytes(bytearray(one))
    assert one is not other
    assert choose(one, other, Settings(), Settings()) == codes.SETTINGS_GOOD


@pytest.mark.sr("SR-09", "acts")
@pytest.mark.parametrize("settled", [False, True])
def test_mode_logic_alone_takes_the_dead_zone_for_the_position_last_confirmed(settled):
    """The second path would refuse a centre that is taken for UP, and so hide it."""
    rig = alone(Rig()).awake()
    if settled:
        rig.step(2, gear_us=UP_US)
    rig.step(50, gear_us=CENTRE_US)
    assert rig.outputs.switch == codes.DOWN
    assert rig.command == codes.DOWN
    rig.move_up()
    rig.step(50, gear_us=CENTRE_US)
    assert rig.outputs.switch == codes.UP
    assert rig.command == codes.UP


@pytest.mark.sr("SR-16", "acts")
@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize(("clear_ticks", "leave"), [(1, 0), (49, 0), (50, 1)])
def test_second_path_alone_waits_for_the_ground_to_be_clear(clear_ticks, leave):
    """The mode logic waits as long, and would hide a second path that does not."""
    rig = Rig(ground_fitted=1, ground_clear_ms=1000)
    clear = rig.ground
    rig.ground = 1 - clear
    rig.awake()
    before_the_move = max(clear_ticks - 3, 0)
    rig.step(before_the_move, ground=clear)
    for tick in range(3):
        rig.step(gear_us=UP_US, ground=clear if 3 - tick <= clear_ticks else 1 - clear)
    assert rig.controller.judge.facts.leave == leave
