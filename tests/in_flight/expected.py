"""What the requirements ask of the controller when one thing has failed: the words of the table in variants_*.py.

`up`       with UP commanded:
           "forced"  DOWN must be commanded within `within`
           "reset"   the controller dies and starts again: DOWN from its first output on
           "switch"  the pulses themselves say DOWN: obeyed within `within`
           "held"    nothing may force the gear for this failure's sake
           "may"     forcing is allowed on the safe side and not asked for
`within`   ms from the onset, or from the beginning of UP where that is later; names of settings, `loss_delay_ms`,
           `frame_ms`. `since` "stroke" counts from the next change of the command instead, and asks for nothing where
           none comes.
`alerts`   one of them must be active at `alert_within` after the same moment; `alert_with` says with which command
`move`     a retraction that is tried once the failure is `settled` old (ms): "refused" with its reason shown, "no" (it
           cannot be seen, and must not happen), "followed", or "any"
`limit`    name of the limit that SAFETY.md or the aircraft admits, and the hazards that it covers
Air lost is judged from the plant in air_truth.py, whatever this table says.
"""

from dataclasses import dataclass

# Hazards, as the judge finds them in the plant and at the stick.
UNLOCKED = "not locked"
UP_UNASKED = "up without the stick"
STAYS_UP = "up against the stick"
LINK_UNSEEN = "up without a link"
UNHEEDED = "move not followed"
FILLING = "up while filling"
ALL_HAZARDS = (UNLOCKED, UP_UNASKED, STAYS_UP, LINK_UNSEEN, UNHEEDED)

# Limits, by name. "unseen" ones leave the gear as it should be, and the pilot without the knowledge.
HOLDS = "a receiver that holds its last pulses"
DRIFT = "drift or a wrong reading of a single sensor"
FROZEN = "a frozen sensor shows only in a stroke"
NOISY = "a very noisy sensor"
BURST = "a burst or tear above about 1 mm"
TORN = "a torn hose starves its own leg"
VALVE = "a valve that is stuck or has lost its wire"
NO_FALL = "a valve that does not fall to DOWN by itself"
JAM = "a jammed leg"
PULSES = "a gear channel that fails into valid pulses"
INTERFERENCE = "interference in rows of agreeing frames"
FORGETS = "a restart forgets that the tank is being filled"
WIRING = "channels connected wrongly before the flight"
LIMITS = (HOLDS, DRIFT, FROZEN, NOISY, BURST, TORN, VALVE, NO_FALL, JAM, PULSES, INTERFERENCE, FORGETS, WIRING)


@dataclass(frozen=True)
class Expected:
    """One row of the table; see the head of this file."""

    up: str = "held"
    within: str = "0"
    causes: tuple = ()
    alerts: tuple = ()
    alert_within: str = "0"
    alert_with: str = "any"
    move: str = "followed"
    settled: str = "0"
    since: str = "onset"
    down_within: str = "200"
    limit: str = ""
    hazards: tuple = ()
    unseen: bool = False
    rests_on: tuple = ()


@dataclass(frozen=True)
class Variant:
    """A failure of the catalogue in one of its forms.

    failure    name in host_sim.faults.CATALOGUE
    name       what is particular, "" where there is only one
    values     parameters of the fault
    expected   {aircraft: Expected}; an aircraft without an entry does not fly it
    lasts_ms   0 for ever
    grid       outside strokes and brake taps, 0: fine; 1: coarser; 2: coarse, for what cannot touch the gear
    phases     names of the phases in which it makes sense; () is all but the long cruise
    before_flight   the failure can only be there from power-on
    """

    failure: str
    name: str
    values: tuple
    expected: dict
    lasts_ms: int = 0
    grid: int = 1
    phases: tuple = ()
    before_flight: bool = False

    @property
    def label(self):
        """Failure and variant in one."""
        return f"{self.failure}, {self.name}" if self.name else self.failure


def both(expected):
    """The same is expected of both aircraft."""
    return {"curlew": expected, "tern": expected}


def ms(expression, aircraft):
    """Value of an expression of this table for an aircraft.Aircraft, ms."""
    names = {name: value for name, value in vars(aircraft.settings).items() if name.endswith("_ms")}
    names["loss_delay_ms"] = aircraft.receiver.failsafe_delay_ms
    names["frame_ms"] = aircraft.receiver.frame_ms
    return eval(expression, {"__builtins__": {}}, names)  # noqa: S307 - expressions of this package only
