"""What installing and reading the journal ask of a board in service: files, the flash of an RP2040, the journal's ring.

Its source text is sent over the raw REPL and run there, so that it works on a board without a single file. It imports
nothing of the set. Each function answers by printing one line, or one line for each file. Bytes travel as base64.
Service only: allocates.
"""

import gc
import sys

try:
    # By these names no file on the board can take their place.
    import ubinascii as binascii
    import uhashlib as hashlib
    import uos as os
    import vfs
except ImportError:
    # Where tests read the numbers below.
    import binascii  # type: ignore[no-redef]
    import hashlib  # type: ignore[no-redef]
    import os  # type: ignore[no-redef]
try:
    import rp2
except ImportError:
    rp2 = None  # type: ignore[assignment]

BLOCK = 4096
# Places in the flash of an RP2040; boards/rp2040/boot.py mounts the files, chip.py has the ring.
FILES_AT = 2 * BLOCK
FILES_BYTES = 98 * BLOCK
STOCK_BLOCKS = 352
_FOLDER = 0x4000


def about():
    """Name, version, mpy format and machine of the firmware: "micropython|1.26.1|6|rp2|Raspberry Pi Pico with RP2040"."""
    gc.collect()
    what: tuple = sys.implementation  # type: ignore[assignment]
    version = ".".join([str(part) for part in what[1][:3]])
    print(what[0], version, getattr(what, "_mpy", 0) & 0xFF, sys.platform, getattr(what, "_machine", "?"), sep="|")


def _digest(read):
    state = hashlib.sha256()
    while True:
        data = read(512)
        if not data:
            return binascii.hexlify(state.digest()).decode()
        state.update(data)


def _walk(system, folder):
    for entry in system.ilistdir(folder or "/"):
        path = folder + "/" + entry[0]
        if entry[1] & _FOLDER:
            print("folder", 0, "-", path)
            _walk(system, path)
        else:
            # Not the size of the entry: file systems that do not keep it leave it out.
            with system.open(path, "rb") as file:
                n_bytes = file.seek(0, 2)
                file.seek(0)
                print("file", n_bytes, _digest(file.read), path)


class _Here:
    """The mounted file system with the two methods of one that is not."""

    # Only MicroPython has it; tests read the numbers above elsewhere.
    ilistdir = staticmethod(getattr(os, "ilistdir", None))  # type: ignore[arg-type]
    open = staticmethod(open)


def listing():
    """A line for each file and folder under "/": file or folder, bytes, SHA-256, path. Nothing where none is mounted."""
    try:
        os.listdir("/")
    except OSError:
        print("none 0 - /")
        return
    _walk(_Here, "")


def put(path, text, more):
    """Write the bytes of base64 `text` to a file; with `more` behind what is there already."""
    with open(path, "ab" if more else "wb") as file:
        file.write(binascii.a2b_base64(text))
    print("put")


def remove(path):
    """Remove a file or an empty folder where there is one."""
    try:
        if os.stat(path)[0] & _FOLDER:
            os.rmdir(path)
        else:
            os.remove(path)
        print("removed")
    except OSError as error:
        # ENOENT and ENODEV: what is not there needs no removing.
        if error.args[0] not in (2, 19):
            raise
        print("absent")


def folder(path):
    """Make a folder where there is none."""
    try:
        os.stat(path)
        print("there")
    except OSError:
        os.mkdir(path)
        print("made")


def rename(old, new):
    """Put `old` in place of `new`, in one step of the file system."""
    os.rename(old, new)
    print("renamed")


# The flash of an RP2040: an outer file system in blocks 0 and 1, as large as stock firmware wants it, with boot.py alone;
# it mounts the inner one. See boards/rp2040/boot.py. (The stubs have VfsLfs2 as an abstract class, which it is not.)


def _outer():
    return vfs.VfsLfs2(rp2.Flash(), progsize=256)  # type: ignore[abstract]


def _inner():
    return vfs.VfsLfs2(rp2.Flash(start=FILES_AT, len=FILES_BYTES), progsize=256)  # type: ignore[abstract]


def flash_blocks():
    """Blocks of 4096 bytes that the firmware keeps for files."""
    print(rp2.Flash().ioctl(4, 0))


def outer_listing():
    """As `listing`, for the outer file system; "none" where none mounts."""
    try:
        system = _outer()
    except OSError:
        print("none 0 - /")
        return
    _walk(system, "")


def mount_inner():
    """Mount the inner file system at "/" in place of whatever is there: "mounted" or "none"."""
    try:
        vfs.umount("/")
    except OSError:
        pass
    try:
        vfs.mount(_inner(), "/")
        print("mounted")
    except OSError:
        print("none")


def mounted_blocks():
    """Blocks of what is mounted at "/", 0 for nothing."""
    try:
        print(os.statvfs("/")[2])
    except OSError:
        print(0)


def make_outer():
    """A new outer file system, without a file: to the firmware an empty board."""
    try:
        vfs.umount("/")
    except OSError:
        pass
    vfs.VfsLfs2.mkfs(rp2.Flash(), progsize=256)
    print("made")


def make_inner():
    """A new inner file system, not mounted yet."""
    vfs.VfsLfs2.mkfs(rp2.Flash(start=FILES_AT, len=FILES_BYTES), progsize=256)
    print("made")


def put_boot(text):
    """boot.py into the outer file system. At most 512 bytes stay inside its two blocks."""
    data = binascii.a2b_base64(text)
    if len(data) > 512:
        raise ValueError("boot.py is too long")
    with _outer().open("/boot.py", "wb") as file:
        file.write(data)
    print("put")


# The journal's ring.


def ring_blocks(device):
    """Blocks of the ring."""
    print(device.ioctl(4, 0))


def ring_block(device, number):
    """CRC-32 and bytes of a block; "blank" in place of the bytes where all are 0xFF."""
    data = bytearray(BLOCK)
    device.readblocks(number, data)
    crc = binascii.crc32(data)
    if data == b"\xff" * BLOCK:
        print(crc, "blank")
        return
    print(crc, binascii.b2a_base64(bytes(data)).decode().strip())
