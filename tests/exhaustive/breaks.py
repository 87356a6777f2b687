"""Deliberate breaks that the searches have to find; these are of outputs and time, the others beside them."""

from . import breaks_gear, breaks_inputs

# name: (file, what stands there, what it is broken to, search, requirement in the words of the violation)
OUTPUTS = {
    "both coils": (
        "valve.py",
        "            self._dead = self._dead_need",
        "            self._dead = 0",
        "two-coil",
        "SR-18",
    ),
    "a coil for too long": ("valve.py", "        self._pulse -= 1\n", "", "two-coil", "SR-18"),
    "DOWN is not repeated": (
        "valve.py",
        "if self._repeat >= self._repeat_need:",
        "if self._repeat >= 9999:",
        "two-coil",
        "SR-18",
    ),
    "a stuck lock switch is believed": (
        "switches.py",
        "        if state == LOCK_DISTRUSTED:\n            return\n",
        "",
        "lock",
        "SR-14",
    ),
    "a single closed sample locks": (
        "switches.py",
        "Steady(2) for",
        "Steady(1) for",
        "lock",
        "SR-14",
    ),
    "the ground counts too early": (
        "switches.py",
        "            self.clear = self._steady.step(YES)",
        "            self.clear = 1",
        "clear of the ground",
        "SR-16",
    ),
    "the light is not shed": (
        "aids.py",
        "            self._shed = 1",
        "            self._shed = 0",
        "landing",
        "SR-13",
    ),
    "the warning waits for the forcing point": (
        "conditions.py",
        "fact = pressure.below(self._s.warn_below_mbar)",
        "fact = pressure.below(self._s.force_below_mbar)",
        "warning",
        "SR-12",
    ),
    "a late tick is fed": ("health.py", "        if self.late == 1:\n            return\n", "", "late ticks", "SR-31"),
    "four late ticks are needed": (
        "health.py",
        "if self._since_two < LATE_SPAN_MS:",
        "if self._since_two < 0:",
        "late ticks",
        "SR-31",
    ),
    "the wrap of the clock is late": (
        "health.py",
        "elapsed_ms = (now_ms - self._last_ms) & CLOCK_MASK",
        "elapsed_ms = now_ms - self._last_ms",
        "over the wrap",
        "SR-3",
    ),
    "the clock may be 30 % off": ("health.py", "due_ms * 6", "due_ms * 7", "rate", "SR-33"),
    "a fourth reset is allowed": (
        "health.py",
        "if self.count >= RESTART_LIMIT:",
        "if self.count > RESTART_LIMIT:",
        "restarts",
        "SR-32",
    ),
    "health lifts a lock-out": (
        "health.py",
        "        if self.locked_out == 1:\n            return\n",
        "",
        "restarts",
        "SR-32",
    ),
    "a burst needs nine samples": (
        "strokes.py",
        "self._burst = Consecutive(BURST_SAMPLES)",
        "self._burst = Consecutive(9)",
        "burst, fewer",
        "SR-04",
    ),
    "brakes make a burst": (
        "strokes.py",
        "        if self.brake_age < self._l.brake_settle_ticks:\n            return NO\n",
        "",
        "burst, fewer",
        "SR-04",
    ),
    "a loss on two samples": (
        "strokes.py",
        "self._loss = Consecutive(BURST_SAMPLES)",
        "self._loss = Consecutive(2)",
        "lost in the stroke",
        "SR-04",
    ),
    "filling is forgotten at once": (
        "tank.py",
        "        self._hold_s = CHARGE_HOLD_S",
        "        self._hold_s = 1",
        "leak, fewer",
        "SR-19",
    ),
    "brakes make a leak": (
        "tank.py",
        "        if strokes.brake_age == 0:\n            self._quiet_s = 0\n",
        "",
        "leak, fewer",
        "SR-15",
    ),
}
BREAKS = {**breaks_gear.BREAKS, **breaks_inputs.BREAKS, **OUTPUTS}
