"""The way to a board: into service, then one message after the other over the raw REPL of MicroPython.

Everything on the board is done by `Link.run`: one piece of Python, and what it printed.
"""

import contextlib
import io
import struct
import time
from pathlib import Path

from ..errors import InputError
from . import ports
from .fileset import NEEDS
from .kinds import PROJECT

SERVICE_SOURCE = PROJECT / "boards" / "common" / "service.py"
BAUD = 115200
READ_WITHIN_S = 3.0
# Resets that are put up with, and how often nobody has to answer.
TRIES = 5
SILENT_TRIES = 2
CTRL_B, CTRL_C = b"\x02", b"\x03"
PROMPT = b">>> "
_EXPLAINED = {"OSError: 28": "its file system is full", "OSError: 5": "its flash cannot be written"}


class BoardError(InputError):
    """The board, or the way to it, does not do what is needed."""


class LinkLost(BoardError):
    """The connection broke, or the board fell silent."""


def open_serial(device):
    """mpremote's SerialTransport on a port. Raises InputError with the reason in one line."""
    try:
        import serial
        from mpremote.transport import TransportError
        from mpremote.transport_serial import SerialTransport
    except ImportError:
        raise InputError("downlock", "", NEEDS) from None
    fault = ports.open_fault(device)
    if fault:
        raise BoardError(device, "", fault)
    try:
        return SerialTransport(device, BAUD, timeout=READ_WITHIN_S)
    except (TransportError, OSError, ValueError):
        pass
    try:
        # Once more, for the reason, which mpremote does not hand on.
        serial.Serial(device, exclusive=True).close()
        return SerialTransport(device, BAUD, timeout=READ_WITHIN_S)
    except (TransportError, OSError, ValueError) as error:
        text = str(error)
        if "lock" in text or "busy" in text.lower() or "denied" in text.lower():
            raise BoardError(device, "", "is in use by another program; close that one first") from None
        raise BoardError(device, "", f"cannot be opened as a serial port: {text.splitlines()[0]}") from None


class Link:
    """A board on a Port (ports.Port). `opener` makes the transport of a device's name, `back` finds a Port again."""

    # A board that runs answers Ctrl-C with a reset; its boot and the USB port's return take a second or two.
    prompt_within_s = 4.0
    back_within_s = 20.0

    def __init__(self, port, opener=open_serial, back=None):
        self.port = port
        self._opener = opener
        self._back = back or (lambda port: ports.same_board(port, ports.present()))
        self._transport = None
        self._was_reset = False

    def open(self):
        """Open the port; nothing is sent yet. Raises BoardError."""
        if self._transport is None:
            self._transport = self._opener(self.port.device)

    def enter(self):
        """Bring the board into service and load the helpers of boards/common/service.py. Raises BoardError.

        A running controller puts the gear DOWN, resets and comes back without its watchdog.
        """
        self.open()
        n_silent = 0
        for _ in range(TRIES):
            if n_silent == SILENT_TRIES:
                break
            try:
                n_silent += 1
                if self._reach_prompt():
                    with contextlib.redirect_stdout(io.StringIO()):
                        self._transport.enter_raw_repl(soft_reset=False)
                    self.run(Path(SERVICE_SOURCE).read_text(encoding="utf-8"))
                    return
            except (LinkLost, *self._faults()):
                self._reopen()
                n_silent = 0
        raise BoardError(
            self.port.device,
            "",
            "no MicroPython answers there. Is it the right port, does another program hold it, has the board been given "
            "its MicroPython firmware?",
        )

    def run(self, code):
        """What `code` prints on the board, as text. Raises LinkLost, or BoardError with what the board says."""
        from mpremote.transport import TransportExecError

        try:
            with contextlib.redirect_stdout(io.StringIO()):
                return self._transport.exec(code).decode("utf-8", "replace").strip()
        except TransportExecError as error:
            lines = error.error_output.strip().splitlines()
            said = lines[-1] if lines else "no reason given"
            raise BoardError(self.port.device, "", f"the board says {_EXPLAINED.get(said, said)}") from None
        except self._faults() as error:
            raise LinkLost(self.port.device, "", f"the connection was lost ({_words(error)})") from None

    def call(self, name, *arguments):
        """What a function of boards/common/service.py prints."""
        return self.run(f"{name}({', '.join(repr(one) for one in arguments)})")

    def close(self):
        """Back to the friendly prompt, and the port free again."""
        transport, self._transport = self._transport, None
        if transport is None:
            return
        with contextlib.suppress(*self._faults()):
            if transport.in_raw_repl:
                transport.exit_raw_repl()
        with contextlib.suppress(*self._faults()):
            transport.close()

    @staticmethod
    def _faults():
        from mpremote.transport import TransportError

        # struct.error: mpremote unpacks what a silent port did not send.
        return TransportError, OSError, struct.error

    def _reach_prompt(self):
        """Interrupt whatever runs; whether a prompt came."""
        serial = self._transport.serial
        # One interrupt only: a second one would disturb a controller that is putting things away.
        # After a reset none at all until it has had time to boot: an interrupt then would hit what puts the valve to DOWN.
        first = (b"",) if self._was_reset else ()
        self._was_reset = False
        for keys in (*first, b"\r" + CTRL_C, b"\r" + CTRL_C + CTRL_B):
            serial.write(keys)
            # In all as well: a program that goes on printing is no prompt.
            within = {"timeout": self.prompt_within_s, "timeout_overall": 3 * self.prompt_within_s}
            if self._transport.read_until(1, PROMPT, **within).endswith(PROMPT):
                return True
        return False

    def _reopen(self):
        self.close()
        end = time.monotonic() + self.back_within_s
        while time.monotonic() < end:
            time.sleep(0.3)
            port = self._back(self.port)
            if port is None:
                continue
            with contextlib.suppress(InputError):
                self._transport = self._opener(port.device)
                self.port, self._was_reset = port, True
                return
        raise LinkLost(
            self.port.device, "", f"the board was reset and did not come back within {self.back_within_s:g} s"
        )


def _words(error):
    return str(error).splitlines()[0][:80] if str(error) else type(error).__name__
