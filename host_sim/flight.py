"""Flies one scenario: physical time, the controller's ticks, and what happens between them.

A tick comes every `tick_ms` of physical time unless the loop is held up. The watchdog, a scripted reset or a supply
that drops out end the controller; it starts again after a boot time with all outputs off, and what it kept is what a
board keeps. The trace has one row a tick.
"""

from controller.frames import Inputs, Outputs

from .bench import BOOT_US, Bench
from .engines import make_engine
from .fault_plan import FaultPlan
from .trace import Recorder, Trace

SLICE_US = 20_000
RESET_SCRIPTED = "reset"
RESET_WATCHDOG = "watchdog"
RESET_SUPPLY = "supply"


def fly(scenario, engine="cpython"):
    """Trace of a scenario (scenario.Scenario) flown on an engine, one of engines.ENGINES or an engine object.

    An engine object is left open, so that many flights can share one process. Raises EngineError.
    """
    if not isinstance(engine, str):
        return Flight(scenario, engine).run()
    with make_engine(engine) as made:
        return Flight(scenario, made).run()


class Flight:
    """One flight under way: `run` to the end, or `begin`, `step` by step, `finish`.

    Between two steps it can be pickled and read back as often as one likes, each copy going its own way, as long as no
    fault that acts in time has been given yet; `inject` gives one to a copy.
    """

    def __init__(self, scenario, engine, recorder=None):
        """`recorder` is told of every tick in place of the trace's own (trace.Recorder says how)."""
        self.engine = engine
        self.bench = Bench(scenario)
        self.trace = Trace()
        self.end_us = round(scenario.duration_s * 1e6)
        self._due_us = 0
        self._recorder = recorder or Recorder(self.trace)
        self._tick_us = self.bench.tick_ms() * 1000
        self._resets_us = self.bench.plan.reset_times_us[::-1]
        self._lates = self.bench.plan.late_ticks[::-1]
        self.inputs = Inputs()
        self.outputs = Outputs()

    def run(self):
        """Fly to the end; returns the trace."""
        self.begin()
        while self.step():
            pass
        return self.finish()

    def begin(self):
        """Power on: the first tick is due at once."""
        self._due_us = self._boot(0, "")

    def step(self):
        """One tick or one reset; False when the flight is over and nothing was done."""
        if self.bench.t_us >= self.end_us:
            return False
        due_us = self._due_us = self._held_up(self._due_us)
        reset_us, why = self._next_reset(due_us)
        if min(reset_us, due_us) >= self.end_us:
            return False
        if reset_us <= due_us:
            self._due_us = self._boot(reset_us, why)
            return True
        self._pass_time(due_us)
        if not self.bench.powered:
            self._due_us = self._boot(due_us, RESET_SUPPLY)
            return True
        self._tick()
        self._due_us = due_us + self._tick_us
        return True

    def finish(self):
        """Let physical time run to the end; returns the trace."""
        self._pass_time(self.end_us)
        self.trace.mass_balance_error = self.bench.plant.mass_balance_error
        return self.trace

    @property
    def due_us(self):
        """When the next tick is due, us since power-on, if nothing comes between."""
        return self._due_us

    def inject(self, faults):
        """Give faults to a flight under way that had none so far. They act at their times, none of which may be past.

        ValueError for a time that is past and for a fault that acts on the start.
        """
        for fault in faults:
            if fault.kind.at_start or fault.from_s * 1e6 < self.bench.t_us:
                raise ValueError(f"{fault.kind.name}: from {fault.from_s} s is past at {self.bench.t_us / 1e6} s")
        plan = self.bench.plan = FaultPlan(faults)
        self._resets_us = plan.reset_times_us[::-1]
        self._lates = plan.late_ticks[::-1]

    def _tick(self):
        bench, inputs, outputs = self.bench, self.inputs, self.outputs
        bench.sample(inputs)
        self.engine.tick(inputs, outputs)
        bench.apply(outputs)
        if outputs.feed:
            bench.feed()
        self._recorder.add(bench.t_us, outputs, bench.truth())

    def _pass_time(self, t_us):
        """Physical time in slices of the length of a usual tick, so that sticks and faults act when they should."""
        bench = self.bench
        while bench.t_us < t_us:
            bench.advance(min(t_us, bench.t_us + SLICE_US))

    def _held_up(self, due_us):
        """When the tick that is due really comes."""
        while self._lates and self._lates[-1][0] <= due_us:
            due_us += self._lates.pop()[1]
        return due_us

    def _next_reset(self, due_us):
        """(time, why) of the first reset that is not after due_us; the time is after it where there is none."""
        reset_us, why = self.bench.watchdog_us(), RESET_WATCHDOG
        if self._resets_us and self._resets_us[-1] <= min(due_us, reset_us):
            return self._resets_us.pop(), RESET_SCRIPTED
        return (reset_us, why) if reset_us < due_us else (due_us + 1, "")

    def _boot(self, t_us, why):
        """Reset at t_us: outputs off, boot, a new controller. Returns when its first tick is due.

        The first boot, without a `why`, takes no time: the flight begins where it ends.
        """
        bench = self.bench
        if why:
            t_us = max(t_us, bench.t_us)
            self._pass_time(t_us)
            bench.make_safe()
            self.engine.restart()
            resets = [(t_us / 1e6, why)]
            boot_end_us = self._boot_end_us(t_us)
            # Whatever resets a board that is booting makes it begin again; no controller has run in between.
            while self._resets_us and self._resets_us[-1] < boot_end_us:
                again_us = self._resets_us.pop()
                resets.append((again_us / 1e6, RESET_SCRIPTED))
                boot_end_us = max(boot_end_us, again_us + BOOT_US)
            self._pass_time(min(self.end_us, boot_end_us))
            if bench.t_us >= self.end_us:
                return self.end_us
            self.trace.resets += resets
        self._recorder.restarted()
        self.inputs = Inputs()
        self.outputs = Outputs()
        bench.boot(self.inputs)
        self.engine.start(self.inputs)
        return bench.t_us

    def _boot_end_us(self, t_us):
        """End of the boot: a boot time after the supply is back."""
        bench = self.bench
        while not bench.powered and bench.t_us < self.end_us:
            bench.advance(bench.t_us + SLICE_US)
        return max(t_us, bench.t_us) + BOOT_US
