"""A real board on a serial port: into service and its files by the way of `downlock install`, then the bench protocol.

A thread reads, so that no line waits while a person thinks. Needs the extra `board`. Tried on a stand-in that runs a real
MicroPython interpreter; no real board has been met yet.
"""

import contextlib
import queue
import threading

from ..errors import InputError
from .board import Stored
from .lines import LinkError

KEPT_LINES = 20000
READ_WITHIN_S = 0.2
LEFT_WITHIN_S = 3.0
CTRL_D = b"\x04"
# Runs on the board: one line a value, files as hex.
IDENTIFY = """
import sys, binascii
try:
    import machine
    print(binascii.hexlify(machine.unique_id()).decode())
except (ImportError, AttributeError):
    print('-')
print(sys.implementation.name, '.'.join([str(n) for n in sys.implementation[1][:3]]))
def stored(name, longest):
    try:
        with open(name, 'rb') as file:
            print('x' + binascii.hexlify(file.read(longest)).decode())
    except OSError:
        print('x')
stored('/set.txt', 96)
for name in ('settings_a.dlk', 'settings_b.dlk', 'wiring_a.dlw', 'wiring_b.dlw'):
    stored('/' + name, 1024)
"""


def way_to(port):
    """The install.link.Link of a port by name, or of the only one that looks like a board. Raises InputError."""
    from ..install.kinds import KINDS
    from ..install.link import Link
    from ..install.ports import choose_any, present

    return Link(choose_any(list(KINDS.values()), port, present()))


class SerialLink:
    """The link of board.py over an install.link.Link. Raises InputError where no board with downlock answers."""

    def __init__(self, way):
        self._way = way
        self._name = way.port.device
        self._lines = queue.Queue(KEPT_LINES)
        self._stop = threading.Event()
        self._reader = self._fault = None
        self._stored = None
        self._connect()

    def _connect(self):
        """Into service, read what is stored, start the bench, and read its lines from then on."""
        self._way.enter()
        self._stored = self._read_stored()
        # The transport is the library's own from here on: nothing is followed, the bench talks as long as it likes.
        self._transport = self._way._transport
        self._transport.exec_raw_no_follow(f"from boards.{self._stored.kind}.main import bench\nbench()\n")
        self._transport.serial.timeout = READ_WITHIN_S
        self._stop.clear()
        self._fault = None
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read_stored(self):
        said = self._way.run(IDENTIFY).split("\n")
        said = [line.strip() for line in said]
        if len(said) != 7 or not all(line.startswith("x") for line in said[2:]):
            raise InputError(self._name, "", "the board does not say what is stored on it")
        files = [bytes.fromhex(line[1:]) for line in said[2:]]
        head = files[0].split(b"\n")[0].decode("ascii", "replace").split()
        if len(head) != 4 or head[0] != "downlock":
            raise InputError(self._name, "", "no downlock is on this board; put it there with 'downlock install'")
        return Stored(head[2], said[0], said[1], head[1], *files[1:])

    def _read(self):
        data = b""
        while not self._stop.is_set():
            try:
                data += self._transport.serial.read(max(1, self._transport.serial.in_waiting))
            except (OSError, TypeError) as error:
                self._fault = str(error).splitlines()[0][:80] if str(error) else type(error).__name__
                return
            *lines, data = data.split(b"\n")
            for line in lines:
                if self._lines.full():
                    # Someone has gone for a coffee: the oldest line tells least.
                    with contextlib.suppress(queue.Empty):
                        self._lines.get_nowait()
                self._lines.put(line.decode("ascii", "replace").strip("\r\x04>"))

    def identify(self):
        """Stored of the board."""
        return self._stored

    def send(self, line):
        """One line to the board."""
        try:
            self._transport.serial.write(line.encode("ascii") + b"\n")
        except OSError as error:
            raise LinkError(f"{self._name}: the connection was lost ({str(error)[:80]})") from None

    def receive(self, within_s):
        """The next line within that time, or None. LinkError once the connection is gone and all lines are read."""
        try:
            return self._lines.get(block=within_s > 0.0, timeout=within_s or None)
        except queue.Empty:
            if self._fault is not None and within_s > 0.0:
                raise LinkError(f"{self._name}: the connection was lost ({self._fault})") from None
            return None

    def reconnect(self):
        """After the board was without power: interrupt its controller, and start the bench again."""
        self._leave()
        with contextlib.suppress(queue.Empty):
            while True:
                self._lines.get_nowait()
        # As after a reset that was asked for: the port may come back later, and under another name.
        self._way._reopen()
        self._connect()

    def close(self):
        """Leave bench(), and restart the board into its controller."""
        with contextlib.suppress(LinkError):
            self.send("end")
            for _ in range(100):
                if self.receive(LEFT_WITHIN_S) in (None, "ok end"):
                    break
        self._leave()
        with contextlib.suppress(OSError):
            self._transport.serial.write(b"import machine\nmachine.reset()\n" + CTRL_D)
            self._transport.serial.flush()
        self._transport.in_raw_repl = False
        self._way.close()

    def _leave(self):
        self._stop.set()
        if self._reader is not None:
            self._reader.join(2.0)
