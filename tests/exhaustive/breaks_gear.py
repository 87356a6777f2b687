"""Deliberate breaks of the mode logic, one place each."""

# name: (file, what stands there, what it is broken to, search, requirement in the words of the violation)
BREAKS = {
    "a remembered DOWN releases a latch": (
        "gear.py",
        "        if facts.frame == UP:\n",
        "        if facts.frame == 7:\n",
        "facts",
        "SR-07",
    ),
    "a silence releases a latch": (
        "gear.py",
        "        if facts.frame != DOWN:\n            return\n",
        "",
        "facts",
        "SR-07",
    ),
    "two causes hide one another": (
        "gear.py",
        "remaining = remaining | (self.latched[cause] & (1 - facts.absent[cause]))",
        "remaining = self.latched[cause] & (1 - facts.absent[cause])",
        "facts",
        "SR-07",
    ),
    "a refused move stays armed": (
        "gear.py",
        "        self.armed = 0\n        if reason",
        "        if reason",
        "mode logic alone",
        "SR-10",
    ),
    "a degraded link leaves a move armed": (
        "gear.py",
        "        if facts.link_good == 0:\n            self.armed = 0\n",
        "",
        "mode logic alone",
        "SR-10",
    ),
    "DOWN is ignored in mode up": (
        "gear.py",
        "        if facts.down_run == 1:\n            self._enter(MODE_DOWN)",
        "        if facts.down_run == 2:\n            self._enter(MODE_DOWN)",
        "mode logic alone",
        "SR-08",
    ),
    "waking does not wait": (
        "gear.py",
        "if self._settle < self._settle_need:",
        "if self._settle < 1:",
        "facts",
        "SR-01",
    ),
    "the ground is not asked": (
        "gear.py",
        "if facts.ground_clear == 0:",
        "if facts.ground_clear == 7:",
        "facts",
        "SR-02",
    ),
    "filling is not asked": (
        "gear.py",
        "if facts.not_charging == 0:",
        "if facts.not_charging == 7:",
        "facts",
        "SR-02",
    ),
    "a latch is never released": (
        "gear.py",
        "        if facts.frame != DOWN:\n            return\n",
        "        if facts.frame != 7:\n            return\n",
        "measured supply",
        "SR-07",
    ),
}
