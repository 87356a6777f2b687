"""mpremote's transport on the console of an emulated RP2040 (tests/boards/emulated.py): time passes while somebody reads."""

from mpremote.transport_serial import SerialTransport

from host_sim.install.link import Link
from host_sim.install.ports import Port

SLICE_US = 2_000
# An emulated board whose console stays silent for so long will say nothing any more.
SILENT_US = 3_000_000


class EmulatedSerial:
    """What SerialTransport uses of a serial port. A reset of the board breaks the connection, as it does on USB."""

    timeout = 0.1

    def __init__(self, board):
        self._board = board
        self._n_resets = len(board.resets)
        board.forget_text()

    def write(self, data):
        """Type it."""
        self._board.send(data.decode("ascii"))

    def inWaiting(self):  # noqa: N802
        """Bytes to read; runs the board for a moment where there are none."""
        # Its own buffer, since `text` decodes, and the window of raw-paste mode is not text.
        heard = self._board._heard
        if not heard:
            self._board.run_for(SLICE_US)
        if len(self._board.resets) != self._n_resets:
            raise OSError("the port is gone")
        return len(heard)

    def read(self, n_bytes=1):
        """n_bytes, or fewer when the board stays silent."""
        heard = self._board._heard
        end_us = self._board.now_us + SILENT_US
        while len(heard) < n_bytes and self._board.now_us < end_us:
            self.inWaiting()
        data = bytes(heard[:n_bytes])
        del heard[:n_bytes]
        return data

    def close(self):
        """The port stays where it is."""


class EmulatedTransport(SerialTransport):
    """As the real one, on an emulated board."""

    def __init__(self, board):
        self.in_raw_repl = False
        self.use_raw_paste = True
        self.device_name = "emulated"
        self.mounted = False
        # Reads wait in emulated time, so that nothing is decided by how fast this computer is.
        self.is_pty = True
        self.serial = EmulatedSerial(board)

    def close(self):
        """Nothing to close."""


class EmulatedBack(Link):
    """A Link to an emulated board; a real one's patience, since its seconds are long here."""

    prompt_within_s = 60.0
    back_within_s = 300.0

    def __init__(self, board):
        super().__init__(Port("emulated", "", (None, None), ""), lambda _: EmulatedTransport(board), lambda port: port)
