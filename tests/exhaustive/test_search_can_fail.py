"""Each search finds deliberate breaks of the source it searches, with the shortest way there: run in a copy."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

# name: (file, what stands there, what it is broken to, search, requirement in the words of the violation)
BREAKS = {
    "a remembered DOWN releases a latch": (
        "gear.py", "        if facts.frame == UP:\n", "        if facts.frame == 7:\n", "facts", "SR-07",
    ),
    "a silence releases a latch": (
        "gear.py", "        if facts.frame != DOWN:\n            return\n", "", "facts", "SR-07",
    ),
    "two causes hide one another": (
        "gear.py",
        "remaining = remaining | (self.latched[cause] & (1 - facts.absent[cause]))",
        "remaining = self.latched[cause] & (1 - facts.absent[cause])",
        "facts", "SR-07",
    ),
    "a refused move stays armed": (
        "gear.py", "        self.armed = 0\n        if reason", "        if reason", "mode logic alone", "SR-10",
    ),
    "a degraded link leaves a move armed": (
        "gear.py", "        if facts.link_good == 0:\n            self.armed = 0\n", "", "mode logic alone", "SR-10",
    ),
    "DOWN is ignored in mode up": (
        "gear.py", "        if facts.down_run == 1:\n            self._enter(MODE_DOWN)", "        if facts.down_run == 2:\n            self._enter(MODE_DOWN)",
        "mode logic alone", "SR-08",
    ),
    "waking does not wait": (
        "gear.py", "if self._settle < self._settle_need:", "if self._settle < 1:", "facts", "SR-01",
    ),
    "the ground is not asked": (
        "gear.py", "if facts.ground_clear == 0:", "if facts.ground_clear == 7:", "facts", "SR-02",
    ),
    "filling is not asked": (
        "gear.py", "if facts.not_charging == 0:", "if facts.not_charging == 7:", "facts", "SR-02",
    ),
    "a missing sample clears a fault's timer": (
        "persist.py", "        if fact == NO:\n            self.clear += 1", "        if fact != YES:\n            self.clear += 1",
        "pressure, one sensor", "SR-05",
    ),
    "a stutter heals low air": (
        "facts.py", "self._low.step(pressure.below(self._s.force_below_mbar))",
        "self._low.step(pressure.below(self._s.force_below_mbar) % 2)", "mode logic alone", "SR-03",
    ),
    "pressure unknown does not force": (
        "facts.py", "        if pressure.lost == 1:\n            return YES", "        if pressure.lost == 1:\n            return UNKNOWN",
        "mode logic alone", "SR-05",
    ),
    "low supply does not force": (
        "facts.py", "if supply_mv < self._s.supply_force_mv:", "if supply_mv < 0:", "supply", "SR-13",
    ),
    "any frame clears the outage": (
        "channels.py", "        if valid == 1:\n            self._silence = 0\n",
        "        if valid == 1:\n            self._silence = 0\n            self.outage = 0\n", "runs of 10", "SR-06",
    ),
    "a pause makes the link good": (
        "channels.py", "        if self._silence > 0:\n            return\n", "", "runs of 10", "SR-06",
    ),
    "one frame short": (
        "channels.py", "        if self._run < self._need:\n            return", "        if self._run < self._need - 1:\n            return",
        "runs of 10", "SR-0",
    ),
    "an old companion counts": (
        "channels.py", "            self._age = self._age_need\n            self._outside = 0", "            self._age = self._age_need",
        "with signature", "SR-06",
    ),
    "a short sensor is believed": (
        "sensor.py", "if corrected > self._short:", "if corrected > 9999:", "pressure, one sensor", "SR-05",
    ),
    "the higher of two sensors governs": (
        "pressure.py", "        if mbar < self.mbar:", "        if mbar > self.mbar:", "pressure, two sensors", "SR-05",
    ),
    "the second path lets UP pass": (
        "interlock.py", "        if self.leave == 0:\n            return DOWN", "        if self.leave == 7:\n            return DOWN",
        "second path alone", "SR-1",
    ),
    "the second path raises UP": (
        "interlock.py", "        if wanted != UP:\n            self.leave = 0\n            return DOWN\n", "", "second path alone", "SR-11",
    ),
    "the second path keeps leave against DOWN": (
        "interlock.py", "            self._ready = 1\n            self.leave = 0", "            self._ready = 1", "second path alone", "SR-08",
    ),
    "the tick leaves the second path out": (
        "tick.py", "self.command = self.interlock.gate(wanted)", "self.command = wanted", "any mode logic", "SR-1",
    ),
    "the tick weighs before it hears": (
        "tick.py", "        self._hear(inputs)\n        self.health.mark(STAGE_CHANNELS", "        self.health.mark(STAGE_CHANNELS",
        "whole tick", "",
    ),
    "both coils": (
        "valve.py", "            self._dead = self._dead_need", "            self._dead = 0", "two-coil", "SR-18",
    ),
    "a coil for too long": ("valve.py", "        self._pulse -= 1\n", "", "two-coil", "SR-18"),
    "DOWN is not repeated": (
        "valve.py", "if self._repeat >= self._repeat_need:", "if self._repeat >= 9999:", "two-coil", "SR-18",
    ),
    "a stuck lock switch is believed": (
        "switches.py", "        if state == LOCK_DISTRUSTED:\n            return\n", "", "lock", "SR-14",
    ),
    "a single closed sample locks": (
        "switches.py", "Steady(2) for", "Steady(1) for", "lock", "SR-14",
    ),
    "the ground counts too early": (
        "switches.py", "            self.clear = self._steady.step(YES)", "            self.clear = 1", "clear of the ground", "SR-16",
    ),
    "the light is not shed": ("aids.py", "            self._shed = 1", "            self._shed = 0", "light", "SR-13"),
    "the warning waits for the forcing point": (
        "conditions.py", "fact = pressure.below(self._s.warn_below_mbar)", "fact = pressure.below(self._s.force_below_mbar)",
        "warning", "SR-12",
    ),
    "a late tick is fed": ("health.py", "        if self.late == 1:\n            return\n", "", "late ticks", "SR-31"),
    "four late ticks are needed": (
        "health.py", "if self._since_two < LATE_SPAN_MS:", "if self._since_two < 0:", "late ticks", "SR-31",
    ),
    "the wrap of the clock is late": (
        "health.py", "elapsed_ms = (now_ms - self._last_ms) & CLOCK_MASK", "elapsed_ms = now_ms - self._last_ms",
        "over the wrap", "SR-3",
    ),
    "the clock may be 30 % off": ("health.py", "due_ms * 6", "due_ms * 7", "rate", "SR-33"),
    "a fourth reset is allowed": (
        "health.py", "if self.count >= RESTART_LIMIT:", "if self.count > RESTART_LIMIT:", "restarts", "SR-32",
    ),
    "health lifts a lock-out": (
        "health.py", "        if self.locked_out == 1:\n            return\n", "", "restarts", "SR-32",
    ),
}  # fmt: skip


def copy_of_project(folder):
    """What a search needs, under `folder`."""
    for name in ("controller", "tests/exhaustive", "host_sim"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__", "*.png"))
    return folder


def search_in(folder, name):
    """(exit code, what was printed, the JSON) of one search of the project in `folder`."""
    command = [sys.executable, "-m", "tests.exhaustive", "--only", name, "--jobs", "1", "--first-failure"]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=600)
    file = folder / "out/evidence/search.json"
    return done.returncode, done.stdout + done.stderr, json.loads(file.read_text()) if file.exists() else None


QUICK = ("both coils", "a short sensor is believed", "one frame short")
CASES = [name if name in QUICK else pytest.param(name, marks=pytest.mark.deep) for name in BREAKS]


@pytest.mark.parametrize("name", CASES)
def test_break_is_found(name, tmp_path):
    file, old, new, search, words = BREAKS[name]
    path = copy_of_project(tmp_path) / "controller" / file
    source = path.read_text()
    assert source.count(old) == 1, "the break has to hit exactly one place"
    path.write_text(source.replace(old, new))
    code, printed, told = search_in(tmp_path, search)
    assert code == 1, printed
    assert not told["holds"]
    broken = [line for result in told["searches"] for violation in result["broken"] for line in violation]
    assert any(words in line for line in broken), broken
    assert any("tick" in line for line in broken), "no trace"
