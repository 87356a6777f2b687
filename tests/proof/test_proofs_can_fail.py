"""Each proof rejects deliberate breaks of the source it proves: a proof that cannot fail proves nothing."""

import inspect

import pytest

import controller.channels
import controller.gear
import controller.interlock
import controller.second_inputs

from . import gear_model, test_channel_proof, test_interlock_proof
from .test_gear_proof import prove_gear

GEAR = (controller.gear, "Gear", gear_model, prove_gear)
SECOND = (controller.interlock, "Interlock", test_interlock_proof, lambda: test_interlock_proof.prove_interlock(1))
LINK = (controller.channels, "Link", test_channel_proof, lambda: test_channel_proof.prove_channel(0))
SWITCH = (controller.channels, "Switch", test_channel_proof, lambda: test_channel_proof.prove_channel(0))

# (where, what stands there, what it is broken to, part of the name of a goal that must fail)
BREAKS = {
    "a remembered DOWN releases": (GEAR, "if facts.frame == UP:", "if facts.frame == 7:", "invariant"),
    "release without the hold": (GEAR, "if self._hold < self._hold_need:", "if self._hold < 1:", "SR-07"),
    "one absent cause is enough": (
        GEAR,
        "remaining = remaining | (self.latched[cause] & (1 - facts.absent[cause]))",
        "remaining = self.latched[cause] & (1 - facts.absent[cause])",
        "SR-07",
    ),
    "a returning cause keeps the progress": (
        GEAR,
        "            self._away = 0\n            self._hold = 0\n            self._hold_frames = 0\n            return\n        if self._away",
        "            return\n        if self._away",
        "invariant",
    ),
    "DOWN waits in mode up": (
        GEAR,
        "if facts.down_run == 1:\n            self._enter(MODE_DOWN)",
        "if facts.down_run == 2:\n            self._enter(MODE_DOWN)",
        "SR-08",
    ),
    "armed without a link": (
        GEAR,
        "        if facts.link_good == 0:\n            return\n        self.armed = 1",
        "        self.armed = 1",
        "invariant",
    ),
    "a refused move stays armed": (GEAR, "        self.armed = 0\n        if reason", "        if reason", "invariant"),
    "ground not asked": (GEAR, "if facts.ground_clear == 0:", "if facts.ground_clear == 7:", "SR-16"),
    "air not asked": (GEAR, "if facts.air_ok == 0:", "if facts.air_ok == 7:", "SR-02"),
    "UP while held": (
        GEAR,
        "if self.mode != HELD:\n            self._enter(HELD)",
        "if self.mode == LOCKED_OUT:\n            self._enter(HELD)",
        "SR-03",
    ),
    "waking does not wait": (GEAR, "if self._settle < self._settle_need:", "if self._settle < 1:", "SR-01"),
    "leave not asked at the gate": (
        SECOND,
        "if self.leave == 0:\n            return DOWN",
        "if self.leave == 7:\n            return DOWN",
        "SR-1",
    ),
    "leave outlives its move": (
        SECOND,
        "        if wanted != UP:\n            self.leave = 0\n",
        "        if wanted != UP:\n",
        "invariant",
    ),
    "second path blind to the ground": (
        SECOND,
        "if self._s.ground_fitted == 1:",
        "if self._s.ground_fitted == 7:",
        "SR-16",
    ),
    "second path keeps leave in low air": (SECOND, "if self._low >= self._low_need:", "if self._low > 9999:", "SR-03"),
    "second path forgets while blind": (
        SECOND,
        "            self._blind += 1\n",
        "            self._blind += 1\n            self._low = 0\n",
        "SR-17",
    ),
    "recovery clears the outage": (
        LINK,
        "        self._recover = 0\n        self.state = LINK_GOOD",
        "        self.state = LINK_GOOD",
        "invariant",
    ),
    "a pause makes the link good": (LINK, "        if self._silence > 0:\n            return\n", "", "SR-06"),
    "a gap is not counted": (LINK, "self.outage += self._degraded", "self.outage += 0", "invariant"),
    "a gap restarts a run to DOWN too": (SWITCH, "if self._seen == UP:", "if self._seen != 7:", "invariant"),
    "one frame short": (
        SWITCH,
        "if self._run < self._need:\n            return",
        "if self._run < self._need - 1:\n            return",
        "SR-0",
    ),
}


def broken(module, name, old, new):
    """The class `name` of `module`, its source changed at one place."""
    source = inspect.getsource(module)
    assert source.count(old) == 1, "the break has to hit exactly one place"
    space = {"__name__": module.__name__, "__package__": module.__package__}
    exec(compile(source.replace(old, new), module.__file__, "exec"), space)
    return space[name]


QUICK = ("a refused move stays armed",)
CASES = [name if name in QUICK else pytest.param(name, marks=pytest.mark.deep) for name in BREAKS]


@pytest.mark.parametrize("name", CASES)
def test_break_is_rejected(name, monkeypatch):
    (module, class_name, user, prove), old, new, goal = BREAKS[name]
    monkeypatch.setattr(user, class_name, broken(module, class_name, old, new))
    failed = [failure for failure, _ in prove().failures]
    assert [failure for failure in failed if goal in failure], failed
