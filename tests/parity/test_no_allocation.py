"""SR-34: a tick allocates nothing, shown on a real MicroPython heap, with controls that must fail."""

import pytest


@pytest.mark.sr("SR-34", "acts")
def test_a_tick_allocates_nothing(micropython):
    found = {}
    for line in micropython("no_allocation.py", 3).lines():
        name, heap, grown, changes, fed = line.split()
        found[name, heap] = int(grown)
        if name == "controller":
            assert int(changes) >= 2, "the recorded stretch moves the gear"
            assert int(fed) > 1000
    assert found["controller", "free"] == 0
    assert found["controller", "locked"] == 0
    # The controls: an allocation is seen both ways, a caught exception only by the growth of the heap.
    assert found["leaky", "free"] > 0
    assert found["leaky", "locked"] == -1
    assert found["raiser", "free"] > 0
