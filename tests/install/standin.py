"""A stand-in for a board: the real MicroPython interpreter, a littlefs on a simulated flash, a console with a raw REPL.

    micropython standin.py IMAGE CUT TORN

Runs on MicroPython, not on CPython. Standard input and output are the console. IMAGE keeps the flash from one power-on to
the next. At its CUT-th operation on the flash (program or erase; -1 never) the power goes: TORN of 4 parts of that
operation are done, and the process ends. Flash behaves as NOR flash does: programming clears bits, only erasing sets them.

Boots as stock firmware of an RP2040 does: mounts all of the flash, makes a new file system where that fails, runs boot.py,
then main.py, then gives the prompt. `machine.reset()` boots again and keeps the retained words; power-off does not.
"""

import os
import select
import sys

BLOCK = 4096
PAGE = 256
N_BLOCKS = 352
CTRL_A, CTRL_B, CTRL_C, CTRL_D, CTRL_E = 1, 2, 3, 4, 5

image_path, cut_at, torn = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
# Opened before "/" is given to the board: the host's files cannot be reached after that.
with open(image_path, "rb") as file:
    flash = bytearray(file.read())
image = open(image_path, "r+b")
log = open(image_path + ".ops", "w")
n_ops = 0


# As on a board; this interpreter would begin with the folder of this file.
sys.path[:] = ["", ".frozen", "/lib"]


class PowerOff(BaseException):
    """The end of the process."""


class Reset(BaseException):
    """machine.reset()."""


def _operate(at, n_bytes, change):
    """One operation on flash[at : at + n_bytes], or a part of it and the end."""
    global n_ops
    whole = n_ops != cut_at
    if not whole:
        n_bytes = n_bytes * torn // 4
    change(at, n_bytes)
    image.seek(at)
    image.write(flash[at : at + n_bytes])
    image.flush()
    if not whole:
        raise PowerOff
    n_ops += 1
    log.seek(0)
    log.write(str(n_ops))
    log.flush()


class Flash:
    """As rp2.Flash: blocks of 4096 bytes behind the firmware."""

    def __init__(self, start=0, len=N_BLOCKS * BLOCK):
        if start % BLOCK or len % BLOCK or start + len > N_BLOCKS * BLOCK:
            raise ValueError
        self._start, self._len = start, len

    def readblocks(self, block, buffer, offset=0):
        at = self._start + block * BLOCK + offset
        buffer[:] = flash[at : at + len(buffer)]

    def writeblocks(self, block, buffer, offset=None):
        if offset is None:
            self.ioctl(6, block)
            offset = 0
        if offset % PAGE or len(buffer) % PAGE:
            raise OSError(22)
        at = self._start + block * BLOCK + offset

        def program(at, n_bytes):
            for index in range(n_bytes):
                flash[at + index] &= buffer[index]

        for page in range(0, len(buffer), PAGE):
            part = buffer
            buffer = bytes(part[page : page + PAGE])
            _operate(at + page, PAGE, program)
            buffer = part

    def ioctl(self, what, argument):
        if what == 4:
            return self._len // BLOCK
        if what == 5:
            return BLOCK
        if what == 6:

            def erase(at, n_bytes):
                flash[at : at + n_bytes] = b"\xff" * n_bytes

            _operate(self._start + argument * BLOCK, BLOCK, erase)
        return 0


class _Module:
    pass


rp2 = _Module()
rp2.Flash = Flash
sys.modules["rp2"] = rp2
machine = _Module()
machine.retained = 0


def _reset():
    raise Reset


machine.reset = _reset
sys.modules["machine"] = machine
poll = select.poll()
poll.register(sys.stdin, select.POLLIN)
waiting = []


def _byte():
    """The next byte from the console; the end of the console is the end of the power."""
    if waiting:
        return waiting.pop(0)
    data = sys.stdin.buffer.read(1)
    if not data:
        raise PowerOff
    return data[0]


def _say(text):
    sys.stdout.write(text)


class _Time:
    """Sleeping ends at Ctrl-C, as on a board; no time passes that nobody needs."""

    @staticmethod
    def sleep_ms(ms):
        if poll.poll(min(ms, 50)):
            byte = sys.stdin.buffer.read(1)
            if not byte:
                raise PowerOff
            if byte[0] == CTRL_C:
                raise KeyboardInterrupt
            waiting.append(byte[0])

    @staticmethod
    def sleep(seconds):
        _Time.sleep_ms(int(seconds * 1000))


sys.modules["time"] = _Time


def _run(code, scope, name):
    try:
        exec(code, scope)
    except (PowerOff, Reset):
        raise
    except BaseException as error:
        sys.print_exception(error)
        return False
    return True


def _run_file(path, scope):
    try:
        with open(path) as file:
            code = file.read()
    except OSError:
        return True
    return _run(code, scope, path)


def _boot(scope):
    try:
        os.umount("/")
    except OSError:
        pass
    for name in list(sys.modules):
        if name.split(".")[0] in ("boards", "controller"):
            del sys.modules[name]
    whole = Flash()
    try:
        system = os.VfsLfs2(whole, progsize=PAGE)
    except OSError:
        os.VfsLfs2.mkfs(whole, progsize=PAGE)
        system = os.VfsLfs2(whole, progsize=PAGE)
    os.mount(system, "/")
    del system
    if _run_file("/boot.py", scope):
        _run_file("/main.py", scope)


def _paste():
    """Raw-paste mode: windows of 128 bytes; returns the code, None where it was given up."""
    window = 128
    _say("R\x01")
    sys.stdout.buffer.write(bytes((window, 0, CTRL_A)))
    data, left = bytearray(), 2 * window
    while True:
        byte = _byte()
        if byte == CTRL_C:
            _say("\x04")
            return None
        if byte == CTRL_D:
            _say("\x04")
            return data
        data.append(byte)
        left -= 1
        if left == window:
            _say("\x01")
            left += window


def _raw(scope):
    """The raw REPL until Ctrl-B."""
    _say("raw REPL; CTRL-B to exit\r\n")
    while True:
        _say(">")
        data = bytearray()
        while True:
            byte = _byte()
            if byte == CTRL_A and data == b"\x05A":
                data = _paste()
                break
            if byte == CTRL_B:
                _say("\r\n")
                return
            if byte == CTRL_C:
                data = bytearray()
            elif byte == CTRL_A:
                data = bytearray()
                _say("raw REPL; CTRL-B to exit\r\n>")
            elif byte == CTRL_D:
                _say("OK")
                break
            else:
                data.append(byte)
        if data is None:
            continue
        try:
            exec(bytes(data).decode(), scope)
            _say("\x04\x04")
        except (PowerOff, Reset):
            raise
        except BaseException as error:
            _say("\x04")
            sys.print_exception(error)
            _say("\x04")


def _prompt(scope):
    while True:
        _say('MicroPython stand-in\r\nType "help()" for more information.\r\n>>> ')
        while True:
            byte = _byte()
            if byte == CTRL_A:
                _raw(scope)
                break
            if byte == CTRL_B:
                break
            if byte == CTRL_C:
                _say("\r\n>>> ")


def _live():
    while True:
        scope = {"__name__": "__main__"}
        try:
            _boot(scope)
            _prompt(scope)
        except Reset:
            pass


try:
    _live()
except (PowerOff, OSError):
    # OSError: the console is gone.
    pass
