"""Stand-ins for what MicroPython's `machine` and `time` give a driver; also run under MicroPython itself."""


class FakePin:
    """A pin; `level` is what it reads or drives, `history` every level written, `pull` the last pull given."""

    IN, OUT = 0, 1
    PULL_UP, PULL_DOWN = 1, 2
    IRQ_RISING, IRQ_FALLING = 1, 2

    def __init__(self, level=0, history=None):
        self.level = level
        self.history = history
        self.pull = None
        self.handler = None

    def value(self, level=None):
        """Read without, write with a level."""
        if level is None:
            return self.level
        self.level = level
        if self.history is not None:
            self.history.append(level)

    def init(self, mode, pull):
        """Keep the pull."""
        self.pull = pull

    def irq(self, handler, trigger, **options):
        """Keep the handler; `edge` calls it."""
        self.handler = handler

    def edge(self, level):
        """The line changes."""
        self.level = level
        self.handler(self)


class FakePwm:
    """A PWM; `ns` and `u16` are the last duties, `hz` the last frequency, `n_set` how often any was set."""

    def __init__(self):
        self.ns = self.u16 = self.hz = None
        self.n_set = 0

    def duty_ns(self, ns):
        """Set the pulse."""
        self.ns = ns
        self.n_set += 1

    def duty_u16(self, u16):
        """Set the share."""
        self.u16 = u16
        self.n_set += 1

    def freq(self, hz):
        """Set the frequency."""
        self.hz = hz
        self.n_set += 1


class FakeConverter:
    """An analogue input that gives `codes` one after the other, again and again."""

    def __init__(self, codes):
        self.codes = codes
        self.at = 0

    def read(self):
        """The next one."""
        code = self.codes[self.at % len(self.codes)]
        self.at += 1
        return code

    def code(self, mean):
        """Its own unit is the code."""
        return mean


class FakeCapture:
    """Hands on what stands in `pulses`."""

    def __init__(self, pulses):
        self.pulses = pulses

    def take(self, pulse_us, fresh):
        """Fill both."""
        self.pulses.take(pulse_us, fresh)


class FakeRetained:
    """The three words; `kept` counts writings."""

    def __init__(self, count=-1, check=-1, service=-1):
        self.count, self.check, self.service = count, check, service
        self.kept = 0

    def keep(self, count, check):
        """Hold these."""
        self.count, self.check = count, check
        self.kept += 1

    def ask_service(self, word):
        """Hold this."""
        self.service = word


class RamBlocks:
    """A block device in RAM with the rules of flash, that allocates nothing in use; `fill` is what lies in it.

    `erases` counts them.
    """

    def __init__(self, n_sectors, fill):
        self.n_sectors = n_sectors
        self.data = bytearray(bytes([fill]) * (n_sectors * 4096))
        self.erases = 0

    def readblocks(self, block, buffer, offset):
        """Fill the buffer."""
        at = block * 4096 + offset
        for index in range(len(buffer)):
            buffer[index] = self.data[at + index]

    def writeblocks(self, block, buffer, offset):
        """Clear bits."""
        at = block * 4096 + offset
        for index in range(len(buffer)):
            if buffer[index] != 0xFF:
                self.data[at + index] &= buffer[index]

    def ioctl(self, operation, argument):
        """Count, size, erase."""
        if operation == 4:
            return self.n_sectors
        if operation == 5:
            return 4096
        at = argument * 4096
        for index in range(4096):
            self.data[at + index] = 0xFF
        self.erases += 1
        return 0
