"""What is on a board before an installation, and the division of an RP2040's flash.

Stock firmware mounts one file system over all of its flash and makes a new one where that fails. So it is given one: of
full size, with boot.py alone, which is so short that littlefs keeps it inside the first two blocks (at most an eighth of
a block). boot.py then mounts the inner file system in its place, and the blocks behind that are the journal's.
Shown on the emulated RP2040 with MicroPython 1.26.1: tests/install.
"""

import base64
from dataclasses import dataclass

from .fileset import digest
from .kinds import MICROPYTHON_LEAST, MPY_FORMAT, PROJECT
from .link import BoardError

BOOT_SOURCE = PROJECT / "boards" / "rp2040" / "boot.py"
INNER_BLOCKS = 98
STOCK_BLOCKS = 352
EMPTY = digest(b"")
BOOT_MARK = b"# Alone in blocks 0 and 1 of the flash."


@dataclass(frozen=True)
class Found:
    """What lies in a file system: {path: SHA-256} of files, folders; `mounted` False where there is none."""

    files: dict
    folders: tuple
    mounted: bool = True


def about(link):
    """(name, version, mpy format, platform, machine) of the board's firmware, all text. Raises BoardError."""
    parts = link.call("about").split("|")
    if len(parts) != 5:
        raise BoardError(link.port.device, "", f"the board does not say what it is: '{' '.join(parts)[:60]}'")
    return parts


def check_firmware(link, kind):
    """Version of the board's MicroPython, as text. Raises BoardError for the wrong chip or firmware."""
    name, version, mpy, platform, machine = about(link)
    chip = machine.rpartition(" with ")[2]
    if platform != kind.platform or chip != kind.chip:
        raise BoardError(link.port.device, "", f"is a board of another kind ({machine}); wanted: {kind.title}")
    try:
        numbers = tuple(int(part) for part in version.split("."))
    except ValueError:
        numbers = ()
    least = ".".join(str(part) for part in MICROPYTHON_LEAST[:2])
    if name != "micropython" or numbers < MICROPYTHON_LEAST:
        raise BoardError(link.port.device, "", f"runs {name} {version}; wanted: MicroPython {least} or later")
    if mpy != str(MPY_FORMAT):
        raise BoardError(link.port.device, "", f"loads compiled files of format {mpy}; wanted: format {MPY_FORMAT}")
    return version


def found(text):
    """Found of the lines that service.listing prints."""
    files, folders = {}, []
    for line in text.splitlines():
        kind, _, sha256, path = line.split(" ", 3)
        if kind == "none":
            return Found({}, (), mounted=False)
        if kind == "folder":
            folders.append(path.lstrip("/"))
        else:
            files[path.lstrip("/")] = sha256
    return Found(files, tuple(folders))


def listing(link):
    """Found of what is mounted at "/" on the board."""
    return found(link.call("listing"))


def is_divided(link):
    """Whether the flash is divided already: an outer file system with our boot.py and nothing else."""
    outer = found(link.call("outer_listing"))
    if list(outer.files) != ["boot.py"] or outer.folders:
        return False
    # Read where it is: "/" is the inner one.
    with_mark = link.run("with _outer().open('/boot.py', 'rb') as f: print(repr(f.read(%d)))" % len(BOOT_MARK))
    return with_mark == repr(BOOT_MARK)


def lies_there(link, kind):
    """Names of files and folders that dividing the flash would erase: none on a new board, or a divided one."""
    if not kind.split_flash or is_divided(link):
        return []
    there = found(link.call("outer_listing"))
    # An empty file is what a cut leaves of boot.py.
    full = [path for path, sha256 in there.files.items() if sha256 != EMPTY]
    return sorted({path.split("/")[0] for path in (*full, *there.folders)})


def check_flash(link, kind):
    """Raises BoardError where the flash is too small to be divided."""
    if not kind.split_flash:
        return
    n_blocks = int(link.call("flash_blocks"))
    if n_blocks < STOCK_BLOCKS:
        raise BoardError(
            link.port.device,
            "",
            f"its firmware keeps {n_blocks * 4} kB of flash for files; wanted: {STOCK_BLOCKS * 4} kB or more",
        )


def mount(link):
    """Mount the inner file system where boot.py has not; whether it is there now."""
    if int(link.call("mounted_blocks")) == INNER_BLOCKS:
        return True
    return link.call("mount_inner") == "mounted"


def divide(link):
    """Divide the flash where it is not, and mount the inner file system; returns sentences on what was done.

    In this order, so that a cut leaves an empty board or the old division: outer file system, inner one, boot.py.
    """
    boot = BOOT_SOURCE.read_bytes()
    text = base64.b64encode(boot).decode()
    done = []
    if not is_divided(link):
        link.call("make_outer")
        link.call("make_inner")
        link.call("put_boot", text)
        done.append("flash divided: boot.py, 392 kB for files, 1008 kB for the journal")
    elif found(link.call("outer_listing")).files["boot.py"] != digest(boot):
        link.call("put_boot", text)
        done.append("boot.py renewed")
    if not mount(link):
        link.call("make_inner")
        link.call("mount_inner")
        done.append("the file system could not be read and was made anew")
    if int(link.call("mounted_blocks")) != INNER_BLOCKS:
        raise BoardError(link.port.device, "", "its flash could not be divided; take the power off and install again")
    return done
