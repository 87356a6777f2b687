"""The five methods of controller/cycle.py, on real pins: sample, apply, now_ms, feed, make_safe.

Nothing is decided here. What a board knows before its first tick (settings copies, wiring record, retained words) is put
into `boot` by start.py and handed over at the first `sample`.

Costs of a sample and an apply: see python -m tests.boards.figures; neither allocates. Memory: 300 bytes and the parts.
"""

import time

BOOT_FIELDS = (
    "settings_a",
    "settings_b",
    "valve_kind",
    "servo_down_us",
    "servo_up_us",
    "retained_count",
    "retained_check",
)


class Parts:
    """What boards/*/chip.py makes of a chip's pins.

    capture      take(pulse_us, fresh); .pulses is the table
    sensors      2 analogue inputs with counts()
    rail, supply analogue inputs with counts()
    contacts     contacts.Contacts
    valve        valve.ValveOutputs
    signals      signals.Signals
    retained     count, check, service: words that survive a reset (chip.py)
    status       statusline.StatusLine or None
    flash        block device of the journal, or None
    """

    __slots__ = ("capture", "sensors", "rail", "supply", "contacts", "valve", "signals", "retained", "status", "flash")

    def __init__(self, capture, sensors, rail, supply, contacts, valve, signals, retained, status, flash):
        self.capture = capture
        self.sensors = sensors
        self.rail = rail
        self.supply = supply
        self.contacts = contacts
        self.valve = valve
        self.signals = signals
        self.retained = retained
        self.status = status
        self.flash = flash


class Board:
    """`parts` is a Parts; `boot` a record with BOOT_FIELDS, as controller.frames.Inputs has them."""

    __slots__ = ("watchdog", "_parts", "_boot", "_sampled", "_ticks_ms", "_kept")

    def __init__(self, parts, boot):
        self._parts = parts
        self._boot = boot
        self._sampled = 0
        self._ticks_ms = time.ticks_ms
        self._kept = -1
        # machine.WDT once it has been started; nothing starts it before a controller has been made.
        self.watchdog = None

    def sample(self, inputs):
        """Raw values of this moment; the boot fields at the first call."""
        if self._sampled == 0:
            self._sampled = 1
            for name in BOOT_FIELDS:
                setattr(inputs, name, getattr(self._boot, name))
        parts = self._parts
        parts.capture.take(inputs.pulse_us, inputs.fresh)
        for index in range(2):
            inputs.counts[index] = parts.sensors[index].counts()
        inputs.rail_counts = parts.rail.counts()
        inputs.supply_counts = parts.supply.counts()
        parts.contacts.read(inputs)

    def apply(self, outputs):
        """Valve, light, lamp, tone; and the two words that survive a reset, when they have changed."""
        parts = self._parts
        parts.valve.apply(outputs)
        parts.signals.apply(outputs)
        if outputs.retained_count != self._kept:
            self._kept = outputs.retained_count
            parts.retained.keep(outputs.retained_count, outputs.retained_check)

    def now_ms(self):
        """The board's clock, which wraps at 2**30."""
        return self._ticks_ms()

    def feed(self):
        """Feed the watchdog, where it runs."""
        if self.watchdog is not None:
            self.watchdog.feed()

    def make_safe(self):
        """No coil, no light; a servo valve gets the pulse of DOWN, since without one it would stay where it is."""
        self._parts.valve.hold_down()
        self._parts.signals.off()
