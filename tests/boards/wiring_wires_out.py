"""Rows of the table "if a wire breaks": power, valve, light, lamp and tone."""

from .wiring_flown import UP, Wire, curlew, down, tern

SAME = "the same"
NO_LIGHT = "the light is no part of the fault catalogue"
DRIVER_SHORT = "a driver that failed short, which SAFETY.md admits, does the same"

WIRES_OUT = (
    Wire(
        "SUPPLY divider",
        "reads 0 V: DOWN after 0.5 s at most (SR-13)",
        SAME,
        "reads too high: a low pack goes unseen; the pin may die",
        "*supply low*; high: nobody, compare at bring-up",
        (curlew("what: supply sag, from: 11 s, supply: 4.2 V", *down("supply low", 12, "supply low")),),
    ),
    Wire(
        "spring-return: coil +",
        "DOWN by its spring; the command may still say up",
        "fuse opens: DOWN",
        "nothing",
        "the pilot's eyes",
        (
            curlew(
                "what: valve wire off, from: 11 s",
                UP,
                "at: 14 s, is: {gear_valve: down, true_locked: yes, gear_command: up}",
            ),
        ),
    ),
    Wire(
        "spring-return: coil −, to the transistor",
        "as coil +",
        "**UP**, whatever the program does",
        "no current: DOWN",
        "nobody in flight",
        unflown=DRIVER_SHORT,
        danger=True,
    ),
    Wire(
        "spring-return: from the pin to the gate",
        "as coil +",
        "as coil +",
        "**UP**, whatever the program does",
        "nobody in flight",
        unflown=DRIVER_SHORT,
        danger=True,
    ),
    Wire(
        "two-coil: any wire of a coil",
        "the valve **stays**; DOWN is repeated in vain",
        "coil −: that coil stays on, whatever the one-shot does",
        "coil −: as broken",
        "*not locked* with lock switches, once the command is DOWN",
        (
            tern(
                "what: valve wire off, from: 11 s",
                UP,
                "at: 20.9 s, is: {gear_command: down, gear_valve: up, alerts: not locked}",
            ),
        ),
        danger=True,
    ),
    Wire(
        "servo valve: signal, + or −",
        "most servos **stay**: prove yours",
        SAME,
        "signal: the same",
        "*not locked* with lock switches, once the command is DOWN",
        unflown="scenario servo_valve_wire_off",
        danger=True,
    ),
    Wire(
        "pack A: +, fuse or diode",
        "V+ holds by pack B; a receiver that A feeds is dead: *link lost*, DOWN; light dark",
        "its fuse: the same",
        "—",
        "*link lost*, or nobody: pull each pack before flight",
        (curlew("what: no pulses, from: 11 s", *down("link lost", 12.4, "link lost")),),
    ),
    Wire(
        "pack B: +, fuse or diode",
        "nothing while A holds",
        "its fuse: the same",
        "—",
        "nobody: pull each pack before flight",
        unflown="nothing changes for the controller",
    ),
    Wire(
        "V+, or 5 V to the board",
        "board dead: spring-return DOWN; two-coil and servo **stay**",
        "a fuse: the same",
        "V+ on 5 V: the board may die",
        "lamp dark; the self-test sounds again when power is back",
        (
            curlew(
                "what: brown-out, from: 11 s, until: 12 s",
                UP,
                "at: 14.5 s, is: {gear_command: down, true_locked: yes, mode: waking}",
            ),
        ),
    ),
    Wire(
        "board: power ground",
        "current returns by the receiver's plug: pulses shift, the board may restart: DOWN",
        "nothing",
        "a fuse: board dead",
        "*restarted*, or nobody: tug at it",
        (
            curlew(
                "what: reset, from: 11 s",
                UP,
                "at: 13 s, is: {gear_command: down, mode: waking, alerts: restarted}",
                "never: {gear_command: up}, from: 13 s",
            ),
        ),
    ),
    Wire(
        "landing light: +",
        "dark",
        "fuse: dark",
        "nothing",
        "the pilot's eyes",
        unflown=NO_LIGHT,
    ),
    Wire(
        "landing light: −, to the transistor",
        "dark",
        "lit for good, in a closed bay too",
        "dark",
        "the pilot's eyes",
        unflown=NO_LIGHT,
    ),
    Wire(
        "lamp, tone: − to the transistor",
        "dark, silent",
        "lit for good; silent",
        "dark, silent",
        "self-test at power-on",
        unflown="nothing is commanded by them",
    ),
)
