"""The firmware that the emulated board boots: real MicroPython for the RP2040, found or built.

    python -m tests.boards.firmware            find it, or build it (minutes; about 450 MB to fetch), and say where
    python -m tests.boards.firmware --rebuild  build it even if there is one

It is built from Debian's packages by build_firmware.sh and kept in $DOWNLOCK_CACHE (~/.cache/downlock), in a folder
named after what decides the result; it is never committed. $DOWNLOCK_FIRMWARE names an image to use instead, as .bin or
.uf2. Where there is none, tests skip with one sentence, or fail with it under DOWNLOCK_MUST_EMULATE=1.
"""

import hashlib
import os
import shutil
import struct
import subprocess
import sys
import tempfile
from pathlib import Path

SCRIPT = Path(__file__).with_name("build_firmware.sh")
FLASH_AT = 0x10000000
# In the 2 MB of flash of a Pico the file system begins here (MicroPython, ports/rp2/boards/RPI_PICO).
IMAGE_BYTES_MAX = 0xA0000
UF2_MAGIC = b"UF2\n\x57\x51\x5d\x9e"
UF2_BLOCK_BYTES = 512


class NoFirmware(Exception):
    """There is no image, or the one that is named is none. `str()` is one sentence."""


def cache_folder():
    """Where built images are kept: $DOWNLOCK_CACHE, else ~/.cache/downlock."""
    named = os.environ.get("DOWNLOCK_CACHE")
    return Path(named) if named else Path.home() / ".cache" / "downlock"


def built_image():
    """Where the image that the present script builds is kept, whether it is there or not."""
    key = hashlib.sha256(SCRIPT.read_bytes()).hexdigest()[:12]
    return cache_folder() / "firmware" / key / "firmware.bin"


def find_firmware():
    """Path of the image to boot. Raises NoFirmware."""
    named = os.environ.get("DOWNLOCK_FIRMWARE")
    if named:
        if not Path(named).is_file():
            raise NoFirmware(f"DOWNLOCK_FIRMWARE={named} is not a file.")
        return Path(named)
    path = built_image()
    if not path.is_file():
        raise NoFirmware("No MicroPython image for the emulated board: run `python -m tests.boards.firmware`.")
    return path


def load_image(path):
    """What lies in flash from its first byte on, as bytes, from a .bin or .uf2 file. Raises NoFirmware.

    The boot ROM of an RP2040 starts only an image whose first 256 bytes end with their own CRC-32 (RP2040 datasheet,
    2.8.1.3.1, from memory); what does not carry it is refused here.
    """
    data = Path(path).read_bytes()
    if data.startswith(UF2_MAGIC):
        data = _from_uf2(data, path)
    if len(data) < 256 or boot_checksum(data[:252]) != struct.unpack_from("<I", data, 252)[0]:
        raise NoFirmware(f"{path} is not an image for an RP2040: its boot block does not carry its checksum.")
    if len(data) > IMAGE_BYTES_MAX:
        raise NoFirmware(f"{path} has {len(data)} bytes; the file system begins at {IMAGE_BYTES_MAX}.")
    return data


def boot_checksum(data):
    """CRC-32 as the RP2040's boot ROM computes it: polynomial 0x04C11DB7, high bit first, nothing inverted at the end."""
    crc = 0xFFFFFFFF
    for byte in data:
        crc ^= byte << 24
        for _ in range(8):
            crc = (crc << 1) ^ (0x04C11DB7 if crc & 0x80000000 else 0)
            crc &= 0xFFFFFFFF
    return crc


def _from_uf2(data, path):
    out = bytearray()
    for at in range(0, len(data) - UF2_BLOCK_BYTES + 1, UF2_BLOCK_BYTES):
        address, n_bytes = struct.unpack_from("<II", data, at + 12)
        start = address - FLASH_AT
        if data[at : at + 8] != UF2_MAGIC or not 0 <= start <= IMAGE_BYTES_MAX or n_bytes > 476:
            raise NoFirmware(f"{path}: block {at // UF2_BLOCK_BYTES} does not belong into the flash of an RP2040.")
        out.extend(b"\xff" * (start + n_bytes - len(out)))
        out[start : start + n_bytes] = data[at + 32 : at + 32 + n_bytes]
    return bytes(out)


def build_firmware(say=print):
    """Build the image into the cache; returns its path. `say` gets a line for each step. Raises NoFirmware."""
    target = built_image()
    target.parent.mkdir(parents=True, exist_ok=True)
    work = Path(tempfile.mkdtemp(prefix="building-", dir=target.parent))
    process = subprocess.Popen(
        ["bash", str(SCRIPT), str(work), str(work / "firmware.bin")],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    with process:
        for line in process.stdout:
            say(line.rstrip())
        said = process.stderr.read().strip().splitlines()
    if process.returncode == 0:
        load_image(work / "firmware.bin")
        # The image last: where it is, everything is.
        for name in ("firmware.bin.packages", "firmware.bin"):
            (work / name).replace(target.with_name(name))
    log = target.with_name("build.log")
    if (work / "log").exists():
        (work / "log").replace(log)
    shutil.rmtree(work)
    if process.returncode != 0:
        reason = said[-1] if said else f"ended with status {process.returncode}"
        raise NoFirmware(f"No MicroPython image for the emulated board: the build {reason}; see {log}.")
    return target


def main(arguments=None):
    """The command; returns its exit status: 0, 1 where there is no image, 2 for arguments that it does not know."""
    arguments = sys.argv[1:] if arguments is None else arguments
    if arguments not in ([], ["--rebuild"]):
        print(f"{' '.join(arguments)}: only --rebuild is known here", file=sys.stderr)
        return 2
    try:
        try:
            path = find_firmware() if not arguments else build_firmware()
        except NoFirmware:
            if os.environ.get("DOWNLOCK_FIRMWARE") or arguments:
                raise
            path = build_firmware()
        load_image(path)
    except NoFirmware as error:
        print(error, file=sys.stderr)
        return 1
    print(path)
    packages = path.with_name(path.name + ".packages")
    if packages.exists():
        print(packages.read_text().strip())
    return 0


if __name__ == "__main__":
    sys.exit(main())
