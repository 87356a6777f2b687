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

import hashlib
import os

from controller.codes import VALVE_INVALID
from controller.packing import PACKED_BYTES, crc32_bytes
from controller.valve import checked_kind

MANIFEST = "set.txt"
# What check_set says of a board without a complete set.
NOT_THERE = "no set.txt"
SETTINGS = ("settings_a.dlk", "settings_b.dlk")
WIRING = ("wiring_a.dlw", "wiring_b.dlw")
WIRING_MAGIC = b"DLW1"
WIRING_BYTES = 16
CRC_BYTES = 4
CHUNK_BYTES = 512
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
    inputs.settings_a = _read(root, SETTINGS[0], PACKED_BYTES + 1)
    inputs.settings_b = _read(root, SETTINGS[1], PACKED_BYTES + 1)


def load_wiring(root, inputs):
    """Fill valve_kind, servo_down_us and servo_up_us of Inputs (SR-18).

    VALVE_INVALID when no copy is valid, and when two are that differ.
    """
    inputs.valve_kind = VALVE_INVALID
    inputs.servo_down_us = 0
    inputs.servo_up_us = 0
    first = _read(root, WIRING[0], WIRING_BYTES + 1)
    second = _read(root, WIRING[1], WIRING_BYTES + 1)
    if not wiring_is_valid(first):
        first = second
    if not wiring_is_valid(second):
        second = first
    if first != second or not wiring_is_valid(first):
        return
    inputs.valve_kind = first[4]
    inputs.servo_down_us = first[8] + (first[9] << 8)
    inputs.servo_up_us = first[10] + (first[11] << 8)


def wiring_is_valid(data):
    """Whether `data` is a wiring record that checks: length, magic, CRC-32, kind, zeros, pulses of a servo valve."""
    if len(data) != WIRING_BYTES or data[:4] != WIRING_MAGIC or not _has_crc(data):
        return False
    if data[5:8] != b"\0\0\0":
        return False
    return checked_kind(data[4], data[8] + (data[9] << 8), data[10] + (data[11] << 8)) != VALVE_INVALID


def _has_crc(data):
    """Whether the last 4 bytes are the CRC-32 of those before them."""
    if len(data) <= CRC_BYTES:
        return False
    crc = bytearray(CRC_BYTES)
    crc32_bytes(data, len(data) - CRC_BYTES, crc)
    return bytes(crc) == data[len(data) - CRC_BYTES :]


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
        found = os.stat(_at(root, path))[6]
        if found != size:
            return path + " has " + str(found) + " bytes, not " + str(size)
        return "" if file_digest(_at(root, path)) == digest else path + " damaged"
    except OSError:
        return path + " missing"


def file_digest(path):
    """SHA-256 of a file as 64 hex digits. Raises OSError."""
    state = hashlib.sha256()
    buffer = bytearray(CHUNK_BYTES)
    view = memoryview(buffer)
    with open(path, "rb") as file:
        while True:
            n_bytes = file.readinto(buffer)
            if not n_bytes:
                break
            state.update(view[:n_bytes])
    text = ""
    for byte in state.digest():
        text += "0123456789abcdef"[byte >> 4] + "0123456789abcdef"[byte & 15]
    return text


def _check_copies(root, listed, names):
    """ "" when one of two copies is as listed and the other one is too, or is damaged in a way that its CRC shows."""
    n_good = 0
    for path in names:
        if path not in listed:
            return path + " not listed"
        if not _file_fault(root, path, listed[path]):
            n_good += 1
        elif _has_crc(_read(root, path, PACKED_BYTES + 1)):
            return path + " of another set"
    return "" if n_good else names[0] + " and its copy damaged"


def _stranger(root, folder, listed):
    """ "" when no file lies there that an import could take for one of the set; else its path."""
    for name in os.listdir(_at(root, folder)):
        path = folder + "/" + name if folder else name
        if os.stat(_at(root, path))[0] & _FOLDER:
            reason = _stranger(root, path, listed)
            if reason:
                return reason
        elif path not in listed and (name.endswith(".py") or name.endswith(".mpy")):
            return path + " not of the set"
    return ""
