"""Cases that only a deliberate break of the controller brought to light (tests/seeded)."""

import pytest

from controller import codes
from controller.packing import choose, pack
from controller.settings import Settings

from .driver import Rig


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
