"""What lies in the board's file system: whether the set of files is whole, the settings, the wiring record (SR-18, SR-30).

Boot and service only: allocates and reads files. `root` is the folder of the set, "/" on a board.

set.txt is the manifest, written last, so that its presence says that everything else had been written:

    downlock <version> <board> <settings fingerprint, 8 hex digits>
    <SHA-256, 64 hex digits> <bytes> <path>         one line for every other file
    end <number of those lines>

Settings and wiring record are kept in two copies, each ending with the CRC-32 of its other bytes. One damaged copy is
not the end of the set: the controller runs on the other one and shows it (SR-30). A copy that is whole but not the one
listed belongs to another set.

Costs of `check_set`: one SHA-256 over all files; about 600 bytes of memory and the names. Time: not measured on a board.
"""

import binascii
import hashlib
import os

from . import early

MANIFEST = "set.txt"
# What check_set says of a board without a complete set.
NOT_THERE = "no set.txt"
SETTINGS = ("settings_a.dlk", "settings_b.dlk")
WIRING = early.FILES
# More than a packed copy has.
MOST_BYTES = 2048
CRC_BYTES = 4
_BUFFER = bytearray(4096)
_FOLDER = 0x4000


def check_set(root, board=""):
    """ "" when every file is there as the manifest lists it and no other code lies beside it; else why not, in a few words.

    `board` is what the manifest has to be for ("rp2040", "esp32"), "" for any. Raises nothing that a file can cause.
    """
    try:
        listed, reason = _read_manifest(root, board)
        if reason:
            return reason
        reason = _check_copies(root, listed, SETTINGS) or _check_copies(root, listed, WIRING)
        if reason:
            return reason
        for path in listed:
            if path not in SETTINGS and path not in WIRING:
                reason = _file_fault(root, path, listed[path])
                if reason:
                    return reason
        return _stranger(root, "", listed)
    except (OSError, ValueError):
        return "files cannot be read"


def load_settings(root, inputs):
    """Fill settings_a and settings_b of Inputs; b"" where there is no such file. Judging them is the controller's."""
    inputs.settings_a = _read(root, SETTINGS[0], MOST_BYTES)
    inputs.settings_b = _read(root, SETTINGS[1], MOST_BYTES)


def _has_crc(data):
    """Whether the last 4 bytes are the CRC-32 of those before them."""
    if len(data) <= CRC_BYTES:
        return False
    return binascii.crc32(data[:-CRC_BYTES]) == int.from_bytes(data[-CRC_BYTES:], "little")


def _at(root, path):
    return root.rstrip("/") + "/" + path


def _read(root, path, most):
    """At most `most` bytes of a file; b"" where it is missing or cannot be read."""
    try:
        with open(_at(root, path), "rb") as file:
            return file.read(most)
    except OSError:
        return b""


def _read_manifest(root, board):
    """({path: (size, hex digest)}, "") or ({}, why it cannot be used)."""
    listed = {}
    try:
        with open(_at(root, MANIFEST), "rb") as file:
            lines = file.read().decode().split("\n")
    except OSError:
        return {}, NOT_THERE
    head = lines[0].split(" ")
    # The text ends with a line end, so that the last piece is empty.
    if len(lines) < 3 or lines[-1] != "" or len(head) != 4 or head[0] != "downlock":
        return {}, "set.txt damaged"
    for line in lines[1:-2]:
        parts = line.split(" ")
        if len(parts) != 3 or len(parts[0]) != 64 or not parts[1].isdigit() or parts[2] in listed:
            return {}, "set.txt damaged"
        listed[parts[2]] = (int(parts[1]), parts[0])
    if lines[-2] != "end " + str(len(listed)) or "main.py" not in listed:
        return {}, "set.txt damaged"
    if board and head[2] != board:
        return {}, "set is for " + head[2]
    return listed, ""


def _file_fault(root, path, wanted):
    """ "" when a file has its listed size and digest; else what is wrong."""
    size, digest = wanted
    try:
        found, found_digest = measure(_at(root, path))
    except OSError:
        return path + " missing"
    if found != size:
        return path + " has " + str(found) + " bytes, not " + str(size)
    return "" if found_digest == digest else path + " damaged"


def measure(path):
    """(bytes, SHA-256 as 64 hex digits) of a file. Raises OSError."""
    state = hashlib.sha256()
    buffer = _BUFFER
    view = memoryview(buffer)
    size = 0
    with open(path, "rb") as file:
        while True:
            n_bytes = file.readinto(buffer)
            if not n_bytes:
                break
            size += n_bytes
            state.update(view[:n_bytes])
    return size, binascii.hexlify(state.digest()).decode()


def _check_copies(root, listed, names):
    """ "" when one of two copies is as listed and the other one is too, or is damaged in a way that its CRC shows."""
    n_good = 0
    for path in names:
        if path not in listed:
            return path + " not listed"
        if not _file_fault(root, path, listed[path]):
            n_good += 1
        elif _has_crc(_read(root, path, MOST_BYTES)):
            return path + " of another set"
    return "" if n_good else names[0] + " and its copy damaged"


def _stranger(root, folder, listed):
    """ "" when no file lies there that an import could take for one of the set; else its path."""
    for entry in _entries(_at(root, folder)):
        name = entry[0]
        path = folder + "/" + name if folder else name
        if entry[1] & _FOLDER:
            reason = _stranger(root, path, listed)
            if reason:
                return reason
        elif path not in listed and (name.endswith(".py") or name.endswith(".mpy")):
            return path + " not of the set"
    return ""


def _entries(folder):
    """(name, kind, ...) of what lies in a folder; CPython, where tests run, has no os.ilistdir."""
    if hasattr(os, "ilistdir"):
        return os.ilistdir(folder)
    return [(name, os.stat(_at(folder, name))[0]) for name in os.listdir(folder)]
