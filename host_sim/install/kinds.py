"""The boards that there is a set of files for, and how one is recognised."""

from dataclasses import dataclass
from pathlib import Path

from ..errors import InputError

PROJECT = Path(__file__).parents[2]
MICROPYTHON_LEAST = (1, 26, 0)
# Format of compiled files; mpy-cross 1.29 makes it, and firmware since 1.19 reads it.
MPY_FORMAT = 6


@dataclass(frozen=True)
class Kind:
    """One kind of board.

    name, title     as the user types it, as people read it
    platform, chip  what sys.platform and the end of sys.implementation._machine say on it
    usb_ids         (vendor, product or None) of its USB port, or of the adapters that such boards carry
    split_flash     whether boot.py, files and journal share a flash that this project divides (layout.py)
    ring            Python text that gives the block device of the journal's ring on the board, None without one
    packages        (folder on the board, folder of sources)
    straight_to_v   V at a converter pin up to which it reads straight, None where that is all of its 3.3 V
    """

    name: str
    title: str
    platform: str
    chip: str
    usb_ids: tuple
    split_flash: bool
    ring: str
    packages: tuple
    straight_to_v: float | None = None


def _packages(name):
    folders = ("controller", "boards", "boards/common", f"boards/{name}")
    return tuple((folder, PROJECT / folder) for folder in folders)


KINDS = {
    "rp2040": Kind(
        name="rp2040",
        title="RP2040 board",
        platform="rp2",
        chip="RP2040",
        # USB vendor number of the chip's maker; the product number is MicroPython's. From memory.
        usb_ids=((0x2E8A, 0x0005),),
        split_flash=True,
        ring="rp2.Flash(start=100 * 4096, len=252 * 4096)",
        packages=_packages("rp2040"),
    ),
    "esp32": Kind(
        name="esp32",
        title="ESP32 board",
        platform="esp32",
        chip="ESP32",
        # USB-to-serial adapters that such boards carry. From memory.
        usb_ids=((0x10C4, 0xEA60), (0x1A86, 0x7523), (0x1A86, 0x55D4), (0x0403, 0x6001), (0x0403, 0x6015)),
        split_flash=False,
        ring='(__import__("esp32").Partition.find(type=0, label="ota_1") + [None])[0]',
        packages=_packages("esp32"),
        # With its strongest attenuation. From memory of the chip's datasheet.
        straight_to_v=2.45,
    ),
}


def kind_of(name):
    """The Kind of that name. Raises InputError."""
    if name not in KINDS:
        raise InputError(name, "", f"is no board that there is a set for; known: {', '.join(KINDS)}")
    return KINDS[name]
