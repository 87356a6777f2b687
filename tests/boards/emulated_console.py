"""The serial console of an emulated board over its emulated USB: text out, text in."""

from rp2040py.peripherals.usb import INTE, INTF, INTR_DEV_SOF, SOF_RD
from rp2040py.usb.cdc import USBCDC

FRAME_NS = 1_000_000
# The firmware sends what it printed before the terminal was there once it has seen this many frames, and some.
N_FRAMES = 40


class Console:
    """A terminal at the USB port of `chip`. `heard` is called with each piece of text (bytes) that the board sends.

    Two things that a host does and the library's host side does not:
    - A request for input without any waits until there is some (the host's NAK). Answered at once, the board asks again
      at once, and its core does nothing else.
    - The frames that begin every millisecond, for a while after the connection: the firmware counts them before it
      sends what was printed until then.
    """

    def __init__(self, chip, clock, heard):
        self._usb = usb = chip.usb_ctrl
        self._cdc = USBCDC(usb)
        self._answer = usb.on_endpoint_read
        self._forget = usb.on_reset
        self._read = usb.read_uint32
        self._frame = clock.create_alarm(self._begin_frame)
        self._frames_left = 0
        self._asked = None
        self._to_send = bytearray()
        self._cdc.on_serial_data = heard
        self._cdc.on_device_connected = self._connected
        usb.on_endpoint_read = self._endpoint_read
        usb.on_reset = self._chip_reset
        usb.read_uint32 = self._read_register

    def send(self, data):
        """Bytes to the board, as it asks for them."""
        self._to_send += data
        if self._asked is not None:
            asked, self._asked = self._asked, None
            self._endpoint_read(*asked)

    def _endpoint_read(self, endpoint, n_bytes):
        # Endpoint 0 belongs to the library: control requests.
        if endpoint == 0:
            self._answer(endpoint, n_bytes)
            return
        fifo = self._cdc.tx_fifo
        while self._to_send and not fifo.full:
            fifo.push(self._to_send.pop(0))
        if fifo.item_count == 0:
            self._asked = (endpoint, n_bytes)
            return
        self._answer(endpoint, n_bytes)

    def _connected(self):
        self._frames_left = N_FRAMES
        self._frame.schedule(FRAME_NS)

    def _begin_frame(self):
        if self._usb.read_uint32(INTE) & INTR_DEV_SOF:
            self._usb.write_uint32(INTF, INTR_DEV_SOF)
        self._frames_left -= 1
        if self._frames_left > 0:
            self._frame.schedule(FRAME_NS)

    def _read_register(self, offset):
        # Reading the frame number takes its interrupt back (RP2040 datasheet, 4.1.4, from memory).
        if offset == SOF_RD:
            self._usb.write_uint32(INTF, 0)
        return self._read(offset)

    def _chip_reset(self):
        self._frame.cancel()
        self._asked = None
        self._to_send.clear()
        self._forget()
