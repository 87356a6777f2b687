"""The gear valve's outputs (SR-18): two coils and a servo pulse. What its kind uses is the controller's business; this drives.

In reset a chip drives nothing, and pull-down resistors (WIRING.md) keep coils and pulse off: a valve that falls to DOWN by
itself is at DOWN before any of this runs. A servo valve gets its DOWN pulse from early.py, before this is loaded.

A coil that is on when the loop stops goes off with the watchdog, after half a second; WIRING.md bounds it in hardware too.

Costs of `apply`: see python -m tests.boards.figures. Memory: 200 bytes.
"""

NS_PER_US = 1000


class ValveOutputs:
    """`coil_up` and `coil_down` are machine.Pin outputs, `servo` a machine.PWM of 50 Hz; None for what is not connected.

    safe_us    the pulse that is DOWN without a controller, 0 for none (early.Wiring)
    servo_us   the pulse that is on, 0 for none; -1 before the first one has been set
    """

    __slots__ = ("safe_us", "servo_us", "_coil_up", "_coil_down", "_servo")

    def __init__(self, coil_up, coil_down, servo, safe_us):
        self._coil_up = coil_up
        self._coil_down = coil_down
        self._servo = servo
        self.safe_us = safe_us
        self.servo_us = -1

    def hold_down(self):
        """DOWN without a controller: no coil, and the pulse of DOWN for a servo valve."""
        self.coils(0, 0)
        self.pulse(self.safe_us)

    def apply(self, outputs):
        """What the controller wants (Outputs.coil_up, coil_down, valve_us)."""
        self.coils(outputs.coil_up, outputs.coil_down)
        self.pulse(outputs.valve_us)

    def coils(self, up, down):
        """1 energised, 0 not. Both at once is neither. What goes off goes off first."""
        if up == 1:
            if down == 1:
                up = 0
                down = 0
        if up == 0:
            self._set(self._coil_up, 0)
        if down == 0:
            self._set(self._coil_down, 0)
        if up == 1:
            self._set(self._coil_up, 1)
        if down == 1:
            self._set(self._coil_down, 1)

    def _set(self, pin, level):
        if pin is not None:
            pin.value(level)

    def pulse(self, width_us):
        """Servo pulses of that width from now on, 0 for none. Setting the same again does nothing."""
        if width_us == self.servo_us:
            return
        self.servo_us = width_us
        if self._servo is not None:
            self._servo.duty_ns(width_us * NS_PER_US)
