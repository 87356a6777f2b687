"""What lies in the flash of a stand-in board, read and written from outside."""

from pathlib import Path

from littlefs import LittleFS, LittleFSError, UserContext

BLOCK_BYTES = 4096
N_BLOCKS = 352
INNER_AT, INNER_BLOCKS = 2, 98


def _system(image, at, n_blocks):
    data = Path(image).read_bytes()
    context = UserContext(n_blocks * BLOCK_BYTES)
    context.buffer[:] = data[at * BLOCK_BYTES : (at + n_blocks) * BLOCK_BYTES]
    return LittleFS(context=context, mount=False, block_size=BLOCK_BYTES, block_count=n_blocks, prog_size=256)


def _files(system):
    try:
        system.mount()
    except LittleFSError:
        return {}
    files = {}
    for folder, _, names in system.walk("/"):
        for name in names:
            path = f"{folder.rstrip('/')}/{name}"
            with system.open(path, "rb") as file:
                files[path.lstrip("/")] = file.read()
    system.unmount()
    return files


def flash_files(image):
    """{path: bytes} of the inner file system in a flash image, {} where there is none."""
    return _files(_system(image, INNER_AT, INNER_BLOCKS))


def outer_files(image):
    """The same of the outer one."""
    return _files(_system(image, 0, N_BLOCKS))


def write_outer(image, files):
    """Write files into the outer file system of an image."""
    system = _system(image, 0, N_BLOCKS)
    system.mount()
    for path, data in files.items():
        folder = path.rpartition("/")[0]
        if folder:
            system.makedirs(folder, exist_ok=True)
        with system.open(path, "wb") as file:
            file.write(data)
    system.unmount()
    Path(image).write_bytes(bytes(system.context.buffer))
