"""The rows of the table "if a wire breaks" of boards/WIRING.md, and the flights that show what they say.

A Wire names what happens when the wire breaks, touches ground, touches plus, and who notices. `flown` are the
faults of host_sim/faults.py that stand for it, each flown with claims (the words of a scenario); `unflown` says why none
does. wiring_wires.py has the rows, test_wiring_wires.py flies them.
"""

from dataclasses import dataclass

from host_sim.scenario import load_scenario

HEAD = """\
title: A wire breaks
story: A short flight with the gear up; something is wired wrongly from some second on.
aircraft: {aircraft}
seed: 77
lasts: {lasts} s
covers: [SR-01 acts]
start: {{tank: {tank}, gear: down}}
beats:
  - {{at: 0 s, switch: down, throttle: 0 %, brake: 0 %, light: on}}
  - {{at: 3 s, throttle: 90 %, over: 0.5 s}}
  - {{at: 4 s, ground: no, airspeed: 40 m/s, over: 1 s}}
  - {{at: 6 s, switch: up}}
  - {{at: 16 s, switch: down}}
faults:
  - {{{fault}}}
claims:
"""
LASTS_S = 21


@dataclass(frozen=True)
class Flown:
    """One flight: `fault` and `claims` as a scenario writes them. The switch is up from 6 s to 16 s."""

    aircraft: str
    fault: str
    claims: tuple[str, ...]

    @property
    def kind(self):
        """Name of the fault in the catalogue."""
        return self.fault.split(",")[0].removeprefix("what: ")

    def scenario(self, folder):
        """Checked Scenario; its file is written into `folder`."""
        tank = "7.3 bar" if self.aircraft == "curlew24" else "106 psi"
        text = HEAD.format(aircraft=f"{self.aircraft}.yaml", lasts=LASTS_S, tank=tank, fault=self.fault)
        path = folder / "wire.yaml"
        path.write_text(text + "".join(f"  - {{{claim}}}\n" for claim in self.claims), encoding="utf-8")
        return load_scenario(path)


@dataclass(frozen=True)
class Wire:
    """One row. `danger` marks what brings UP, or lets it stay, with nothing in the electronics against it."""

    name: str
    breaks: str
    to_ground: str
    to_plus: str
    notices: str
    flown: tuple[Flown, ...] = ()
    unflown: str = ""
    danger: bool = False


UP = "at: 10.9 s, is: {gear_command: up}"
STAYS_UP = "at: 15.9 s, is: {gear_command: up}"


def curlew(fault, *claims):
    """A flight of the spring-return aircraft with one sensor."""
    return Flown("curlew24", fault, claims)


def tern(fault, *claims):
    """A flight of the two-coil aircraft with everything fitted."""
    return Flown("tern30", fault, claims)


def down(cause, at_s, alert):
    """Claims: up before, forced down by that cause at a second, with that alert, and locked 3 s later."""
    forced = f"at: {at_s} s, is: {{gear_command: down, cause: {cause}, alert: gear forced down, alerts: {alert}}}"
    return (UP, forced, f"at: {at_s + 3} s, is: {{true_locked: yes}}")
