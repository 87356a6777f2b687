"""Rows of the table "if a wire breaks": what comes in from receiver, sensors and switches. WIRES has all rows."""

from .wiring_flown import STAYS_UP, Wire, curlew, down, tern
from .wiring_wires_out import WIRES_OUT

SAME = "the same"
LINK = down("link lost", 12.4, "link lost")
UNKNOWN = down("pressure unknown", 13.5, "pressure unknown")


def _channel(name, breaks, *claims):
    """Row of a channel that only aids need."""
    alert = f"no {name} signal"
    fault = f"what: channel wire off, from: 11 s, channel: {name}"
    flown = curlew(fault, f"at: 12 s, is: {{alerts: {alert}}}", STAYS_UP, *claims)
    return Wire(f"receiver: {name} signal", breaks, SAME, SAME, f"*{alert}*", (flown,))


WIRES = (
    Wire(
        "receiver: gear signal",
        "no pulse: DOWN after 1 s (SR-06)",
        SAME,
        "no edge, so no pulse: the same",
        "*gear forced down*, *link lost*",
        (curlew("what: channel wire off, from: 11 s, channel: gear", *LINK),),
    ),
    Wire(
        "receiver: signature channel",
        "no frame counts as valid: DOWN after 1 s",
        SAME,
        SAME,
        "*gear forced down*, *link lost*",
        (tern("what: channel wire off, from: 11 s, channel: spare", *LINK),),
    ),
    _channel("throttle", "gear as before; no warning of brakes on, nor of a gear that is up at idle"),
    _channel("brake", "gear as before; no warning of brakes on"),
    _channel("light", "landing light dark", "never: {light: on}, from: 12 s"),
    Wire(
        "receiver: ground of the plug",
        "pulses return by the star; what gets lost on the way is *link lost*: DOWN",
        "nothing",
        "pack A shorted: its fuse",
        "*link lost*, or nobody: pull it at bring-up",
        (curlew("what: no pulses, from: 11 s", *LINK),),
    ),
    Wire(
        "sensor: signal",
        "reads open: DOWN after 2 s, no more UP (SR-05); with two sensors the other one counts",
        SAME,
        "reads short: the same",
        "*pressure unknown*, or *one sensor failed*",
        (
            curlew("what: sensor open, from: 11 s, sensor: a", *UNKNOWN),
            curlew("what: sensor short, from: 11 s, sensor: a", *UNKNOWN),
            tern("what: sensor open, from: 11 s, sensor: b", "at: 12 s, is: {alerts: one sensor failed}", STAYS_UP),
        ),
    ),
    Wire(
        "sensor: +, behind its fuse",
        "reads open: as signal",
        "the fuse opens, the rail reads low: as signal; the board may restart: DOWN",
        "5 V: nothing; V+: the sensor may die",
        "*pressure unknown*",
        (
            curlew("what: rail shift, from: 11 s, shift: -2 V", *UNKNOWN),
            curlew("what: sensor open, from: 11 s, sensor: a", *UNKNOWN),
        ),
    ),
    Wire(
        "sensor: −",
        "output rises to +, reads short: as signal",
        "coil current may now shift the reading",
        "as sensor + on ground",
        "*pressure unknown*; on ground: nobody",
        (curlew("what: sensor short, from: 11 s, sensor: a", *UNKNOWN),),
    ),
    Wire(
        "lock switch: feed or return",
        "reads not locked",
        SAME,
        "reads locked; with the gear up it is then not trusted (SR-14)",
        "*not locked*; *lock switch not trusted*",
        (
            tern(
                "what: lock switch stuck open, from: 11 s, leg: 2",
                STAYS_UP,
                "at: 20.9 s, is: {gear_command: down, alerts: not locked}",
            ),
            tern(
                "what: lock switch stuck closed, from: 5 s, leg: 2",
                "at: 12 s, is: {alerts: lock switch not trusted}",
                STAYS_UP,
            ),
        ),
    ),
    Wire(
        "ground switch: feed or return",
        "reads ground: UP refused (SR-16); once up, nothing",
        SAME,
        "reads clear, on the ground too: one guard less",
        "*retract refused*; clear: nobody, press it at bring-up",
        (
            tern(
                "what: ground wire off, from: 1 s",
                "never: {gear_command: up}, from: 1 s",
                "at: 6.5 s, is: {refusal: ground, alerts: retract refused}",
            ),
            tern("what: ground wire off, from: 11 s", STAYS_UP),
        ),
    ),
    Wire(
        "button",
        "never pressed: no tone can be silenced",
        "pressed for good: silences what shows then, and no more",
        "as broken",
        "nobody: press it before flight",
        (curlew("what: button stuck, from: 11 s", STAYS_UP, "at: 20.9 s, is: {true_locked: yes}"),),
    ),
    *WIRES_OUT,
)
