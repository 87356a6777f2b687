"""A real board on a serial port: files by the raw REPL, then the bench protocol; a thread reads, so that no line waits.

Needs the extra `board` (pyserial, mpremote). Nothing here has met a real board yet.
"""

import contextlib
import io
import queue
import threading
import time

from .board import Stored
from .lines import LinkError

BAUD = 115200
KEPT_LINES = 20000
READ_WITHIN_S = 0.2
PORT_BACK_WITHIN_S = 30.0
# Runs on the board: one line a value, bytes as hex.
IDENTIFY = """
import os, sys, binascii
try:
    import machine
    print(binascii.hexlify(machine.unique_id()).decode())
except Exception:
    print('-')
print(sys.implementation.name, '.'.join(str(n) for n in sys.implementation[1][:3]))
def show(name, longest):
    try:
        with open(name, 'rb') as f:
            print(binascii.hexlify(f.read(longest)).decode())
    except OSError:
        print('')
show('/set.txt', 96)
for name in ('settings_a.dlk', 'settings_b.dlk', 'wiring_a.dlw', 'wiring_b.dlw'):
    show('/' + name, 1024)
"""


def only_port():
    """The serial port that could be a board, if there is just one. Raises LinkError."""
    try:
        from serial.tools import list_ports
    except ImportError as error:
        raise LinkError(f"a real board needs pyserial: pip install 'downlock[board]' ({error})") from None
    found = sorted(port.device for port in list_ports.comports() if port.vid is not None)
    if len(found) != 1:
        what = f"several boards could be meant: {', '.join(found)}" if found else "no board is connected"
        raise LinkError(f"{what}; name its port with --port, or try it without a board with --simulated")
    return found[0]


class SerialLink:
    """`port` as the system names it. Raises LinkError where no board answers."""

    def __init__(self, port):
        try:
            import mpremote.transport_serial as transport_serial
            import serial
        except ImportError as error:
            raise LinkError(
                f"a real board needs pyserial and mpremote: pip install 'downlock[board]' ({error})"
            ) from None
        self._errors = (OSError, serial.SerialException, transport_serial.TransportError)
        self._open_transport = transport_serial.SerialTransport
        self._port = port
        self._lines = queue.Queue(KEPT_LINES)
        self._stop = threading.Event()
        self._reader = None
        self._stored = None
        self._connect()

    def _connect(self):
        """Interrupt whatever runs, read what is stored, start the bench, and read its lines from then on."""
        try:
            # A board that runs its controller answers Ctrl-C with a restart into service: its port goes and comes back.
            self._enter()
        except self._errors:
            self._reopen()
        try:
            self._stored = self._read_stored()
            self._transport.exec_raw_no_follow(f"from boards.{self._stored.kind}.main import bench\nbench()\n")
        except self._errors as error:
            raise LinkError(f"{self._port}: {_line(error)}") from None
        self._stop.clear()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _enter(self):
        self._transport = self._open_transport(self._port, BAUD)
        self._transport.serial.timeout = READ_WITHIN_S
        # The library prints what it read when it fails; the error says enough.
        with contextlib.redirect_stdout(io.StringIO()):
            self._transport.enter_raw_repl(soft_reset=False)

    def _reopen(self):
        end, why = time.monotonic() + PORT_BACK_WITHIN_S, ""
        while time.monotonic() < end:
            try:
                self._enter()
                return
            except self._errors as error:
                why = _line(error)
                time.sleep(0.5)
        raise LinkError(f"{self._port}: no board answers within {PORT_BACK_WITHIN_S:g} s: {why}")

    def _read_stored(self):
        said = self._transport.exec(IDENTIFY).decode("ascii", "replace").splitlines()
        if len(said) < 7:
            raise LinkError(f"{self._port}: the board does not say what is stored on it")
        files = [bytes.fromhex(text) for text in said[2:7]]
        head = files[0].split(b"\n")[0].decode("ascii", "replace").split()
        if len(head) < 3 or head[0] != "downlock":
            raise LinkError(f"{self._port}: no downlock on this board; put it there with 'downlock install'")
        return Stored(head[2], said[0], said[1], head[1], *files[1:])

    def _read(self):
        data = b""
        while not self._stop.is_set():
            try:
                data += self._transport.serial.read(max(1, self._transport.serial.in_waiting))
            except self._errors:
                return
            *lines, data = data.split(b"\n")
            for line in lines:
                if self._lines.full():
                    # Someone has gone for a coffee: the oldest line tells least.
                    self._lines.get_nowait()
                self._lines.put(line.decode("ascii", "replace").strip("\r\x04>"))

    def identify(self):
        """Stored of the board."""
        return self._stored

    def send(self, line):
        """One line to the board."""
        try:
            self._transport.serial.write(line.encode("ascii") + b"\n")
        except self._errors as error:
            raise LinkError(f"{self._port}: {_line(error)}") from None

    def receive(self, within_s):
        """The next line within that time, or None."""
        try:
            return self._lines.get(block=within_s > 0.0, timeout=within_s or None)
        except queue.Empty:
            return None

    def reconnect(self):
        """After the board was without power: interrupt its controller, and start the bench again."""
        self._leave()
        while not self._lines.empty():
            self._lines.get_nowait()
        self._connect()

    def close(self):
        """Leave bench(), restart the board into its controller."""
        try:
            self.send("end")
            time.sleep(0.3)
            self._transport.serial.write(b"\x03\x02\x04")
        except (LinkError, *self._errors):
            pass
        self._leave()

    def _leave(self):
        self._stop.set()
        try:
            self._transport.serial.close()
        except self._errors:
            pass
        if self._reader is not None:
            self._reader.join(2.0)


def _line(error):
    return " ".join(str(error).split())[:160]
