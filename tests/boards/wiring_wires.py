"""The table "if a wire breaks" of boards/WIRING.md, and the flights that show what it says.

A row of `WIRES` names what happens when the wire breaks, touches ground, touches plus, and who notices. `flown` are the
faults of host_sim/faults.py that stand for it, each flown with claims (the words of a scenario); `unflown` says why none
does. test_wiring_wires.py flies them.
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
start: {{tank: 7.3 bar, gear: down}}
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

    def scenario(self, folder):
        """Checked Scenario; its file is written into `folder`."""
        tank = "7.3 bar" if self.aircraft == "curlew24" else "106 psi"
        text = HEAD.format(aircraft=f"{self.aircraft}.yaml", lasts=LASTS_S, fault=self.fault).replace("7.3 bar", tank)
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


def _down(cause, by, alert):
    forced = f"by: {by} s, is: {{gear_command: down, cause: {cause}, alert: gear forced down, alerts: {alert}}}"
    return (UP, forced, f"by: {by + 3} s, is: {{true_locked: yes}}")


WIRES = (
    Wire(
        "receiver: gear signal",
        "no pulse: DOWN after 1 s (SR-06)",
        "the same",
        "no edge, so no pulse: the same",
        "*gear forced down*, *link lost*",
        (
            Flown(
                "curlew24", "what: channel wire off, from: 11 s, channel: gear", _down("link lost", 12.3, "link lost")
            ),
        ),
    ),
    Wire(
        "receiver: signature channel",
        "no frame counts as valid: DOWN after 1 s",
        "the same",
        "the same",
        "*gear forced down*, *link lost*",
        (Flown("tern30", "what: channel wire off, from: 11 s, channel: spare", _down("link lost", 12.4, "link lost")),),
    ),
    Wire(
        "receiver: throttle signal",
        "gear as before; no brake and gear warnings",
        "the same",
        "the same",
        "*no throttle signal*",
        (
            Flown(
                "curlew24",
                "what: channel wire off, from: 11 s, channel: throttle",
                ("by: 12 s, is: {alerts: no throttle signal}", STAYS_UP),
            ),
        ),
    ),
    Wire(
        "receiver: brake signal",
        "gear as before; no brake warning",
        "the same",
        "the same",
        "*no brake signal*",
        (
            Flown(
                "curlew24",
                "what: channel wire off, from: 11 s, channel: brake",
                ("by: 12 s, is: {alerts: no brake signal}", STAYS_UP),
            ),
        ),
    ),
    Wire(
        "receiver: light signal",
        "landing light dark",
        "the same",
        "the same",
        "*no light signal*",
        (
            Flown(
                "curlew24",
                "what: channel wire off, from: 11 s, channel: light",
                ("by: 12 s, is: {alerts: no light signal}", "never: {light: on}, from: 12 s", STAYS_UP),
            ),
        ),
    ),
    Wire(
        "receiver: ground of the plug",
        "pulses return by the star and may get lost: then as *link lost*",
        "nothing",
        "short of pack A: its fuse",
        "*link lost*, if anything; pull it at bring-up",
        (Flown("curlew24", "what: no pulses, from: 11 s", _down("link lost", 12.3, "link lost")),),
    ),
    Wire(
        "sensor: signal",
        "reads open: DOWN after 2 s, no more UP (SR-05); with two sensors the other one counts",
        "the same",
        "reads short: the same",
        "*pressure unknown* or *one sensor failed*",
        (
            Flown(
                "curlew24",
                "what: sensor open, from: 11 s, sensor: a",
                _down("pressure unknown", 13.5, "pressure unknown"),
            ),
            Flown(
                "curlew24",
                "what: sensor short, from: 11 s, sensor: a",
                _down("pressure unknown", 13.5, "pressure unknown"),
            ),
            Flown(
                "tern30",
                "what: sensor open, from: 11 s, sensor: b",
                ("by: 12 s, is: {alerts: one sensor failed}", STAYS_UP),
            ),
        ),
    ),
    Wire(
        "sensor: + (behind its fuse)",
        "reads open: as signal",
        "its fuse opens, rail reads low: as signal; the board may restart, which is DOWN",
        "nothing",
        "*pressure unknown*",
        (
            Flown(
                "curlew24",
                "what: rail shift, from: 11 s, shift: -2 V",
                _down("pressure unknown", 13.5, "pressure unknown"),
            ),
        ),
    ),
    Wire(
        "sensor: −",
        "output rises to its +: reads short, as signal",
        "nothing, but coil current now shifts the reading",
        "5 V shorted: the fuse",
        "*pressure unknown*",
        (
            Flown(
                "curlew24",
                "what: sensor short, from: 11 s, sensor: a",
                _down("pressure unknown", 13.5, "pressure unknown"),
            ),
        ),
    ),
    Wire(
        "SUPPLY divider",
        "reads 0 V: DOWN after 0.5 s or less (SR-13)",
        "the same",
        "reads 13.2 V or more: a low pack goes unseen",
        "*supply low*; high: nobody, compare at bring-up",
        (Flown("curlew24", "what: supply sag, from: 11 s, supply: 4.2 V", _down("supply low", 12, "supply low")),),
    ),
    Wire(
        "spring-return: coil +, or gate wire off",
        "DOWN by its spring; the command may still say up",
        "fuse opens: DOWN; gate: DOWN",
        "coil +: nothing; gate: UP",
        "the pilot's eyes; lock switches",
        (
            Flown(
                "curlew24",
                "what: valve wire off, from: 11 s",
                (UP, "by: 14 s, is: {gear_valve: down, true_locked: yes, gear_command: up}"),
            ),
        ),
    ),
    Wire(
        "spring-return: coil −, to the transistor",
        "DOWN by its spring",
        "**UP**, whatever the program does",
        "no current: DOWN",
        "nobody in flight",
        (),
        "SAFETY.md admits a driver that failed short; this short does the same",
        danger=True,
    ),
    Wire(
        "two-coil: any coil wire",
        "the valve **stays**; DOWN is repeated every 10 s in vain",
        "coil −: that coil stays on, past the one-shot",
        "coil −: as broken",
        "*not locked* with lock switches, once the command is DOWN",
        (
            Flown(
                "tern30",
                "what: valve wire off, from: 11 s",
                (UP, "at: 20.9 s, is: {gear_command: down, gear_valve: up, alerts: not locked}"),
            ),
        ),
        danger=True,
    ),
    Wire(
        "servo valve: signal, +, −",
        "most servos **stay**; prove yours",
        "the same",
        "signal: the same",
        "*not locked* with lock switches",
        (),
        "its flight is scenario servo_valve_wire_off",
        danger=True,
    ),
    Wire(
        "pack A +, its fuse or diode",
        "V+ from pack B; the receiver is dead if A feeds it: *link lost*, DOWN; light dark",
        "pack A's fuse",
        "—",
        "nobody while B holds: pull each before each flight",
        (Flown("curlew24", "what: no pulses, from: 11 s", _down("link lost", 12.3, "link lost")),),
    ),
    Wire("pack B +, its fuse or diode", "nothing", "pack B's fuse", "—", "nobody: as above", (), "no effect to fly"),
    Wire(
        "V+, or 5 V to the board, or both packs",
        "board dead: spring-return DOWN; two-coil and servo **stay**",
        "fuse: the same",
        "5 V on V+: the board may die",
        "lamp dark; after a dip *restarted*",
        (
            Flown(
                "curlew24",
                "what: brown-out, from: 11 s, until: 12 s",
                (UP, "by: 14.5 s, is: {gear_command: down, true_locked: yes, mode: waking}"),
            ),
        ),
    ),
    Wire(
        "board's power ground",
        "current returns by the receiver's plug: pulses shift, the board may restart: DOWN",
        "nothing",
        "fuse",
        "*restarted*, *link lost*, or nobody: tug at it",
        (
            Flown(
                "curlew24",
                "what: reset, from: 11 s",
                (UP, "by: 11.5 s, is: {gear_command: down, mode: waking}", "never: {gear_command: up}, from: 11.5 s"),
            ),
        ),
    ),
    Wire(
        "lock switch: feed or return",
        "reads not locked",
        "the same",
        "reads locked; with the gear up it is then not trusted (SR-14)",
        "*not locked*; *lock switch not trusted*",
        (
            Flown(
                "tern30",
                "what: lock switch stuck open, from: 11 s, leg: 2",
                (STAYS_UP, "at: 20.9 s, is: {gear_command: down, alerts: not locked}"),
            ),
            Flown(
                "tern30",
                "what: lock switch stuck closed, from: 5 s, leg: 2",
                ("by: 12 s, is: {alerts: lock switch not trusted}", STAYS_UP),
            ),
        ),
    ),
    Wire(
        "ground switch: feed or return",
        "reads ground: UP refused (SR-16); once up, nothing",
        "the same",
        "reads clear on the ground: one guard less",
        "*retract refused*; clear: nobody, press it at bring-up",
        (
            Flown(
                "tern30",
                "what: ground wire off, from: 1 s",
                (
                    "never: {gear_command: up}, from: 1 s",
                    "by: 6.5 s, is: {refusal: ground, alerts: retract refused}",
                ),
            ),
            Flown("tern30", "what: ground wire off, from: 11 s", (STAYS_UP,)),
        ),
    ),
    Wire(
        "button",
        "never pressed: no tone can be silenced",
        "pressed for good: silences what shows then, and no more",
        "the same as broken",
        "nobody; press it before flight",
        (Flown("curlew24", "what: button stuck, from: 11 s", (STAYS_UP, "by: 20.9 s, is: {true_locked: yes}")),),
    ),
    Wire(
        "landing light +, or gate wire off",
        "dark",
        "fuse: dark; gate: dark",
        "gate: lit for good, also in a closed bay",
        "the pilot's eyes",
        (),
        "the light is no part of the fault catalogue",
    ),
    Wire(
        "landing light −, to the transistor",
        "dark",
        "lit for good, also in a closed bay",
        "dark",
        "the pilot's eyes",
        (),
        "the light is no part of the fault catalogue",
    ),
    Wire(
        "lamp, tone",
        "dark, silent",
        "lit for good; a click",
        "dark, silent",
        "self-test at power-on",
        (),
        "nothing is commanded by them",
    ),
)
