"""Serial ports: which of them is the board, and in one sentence why one cannot be opened."""

import os
import sys
from dataclasses import dataclass
from pathlib import Path

from ..errors import InputError
from .fileset import NEEDS

NO_PORT = (
    "no board is connected: no serial port of a kind that such boards have. Use a USB cable that carries data (one made "
    "for charging only shows no port); a new board shows none before it has been given its MicroPython firmware; name "
    "the port with --port if yours is of another kind"
)


@dataclass(frozen=True)
class Port:
    """A serial port: `device` as it is opened, what it calls itself, USB (vendor, product), serial number or ""."""

    device: str
    words: str
    usb: tuple
    serial: str


def present():
    """All serial ports of this computer. Raises InputError without pyserial."""
    try:
        from serial.tools import list_ports
    except ImportError:
        raise InputError("downlock", "", NEEDS) from None
    found = [
        Port(port.device, port.description or "", (port.vid, port.pid), port.serial_number or "")
        for port in list_ports.comports()
    ]
    return sorted(found, key=lambda port: port.device)


def choose(kind, named, ports):
    """The Port to use: the one named, else the only one that looks like a board of this Kind. Raises InputError."""
    return choose_any([kind], named, ports)


def choose_any(kinds, named, ports):
    """As `choose`, for a board that may be of several Kinds."""
    title = " or ".join(kind.title for kind in kinds)
    usb_ids = [usb for kind in kinds for usb in kind.usb_ids]
    if named:
        return next((port for port in ports if port.device == named), Port(named, "", (None, None), ""))
    candidates = [port for port in ports if port.usb in usb_ids]
    if len(candidates) == 1:
        return candidates[0]
    if candidates:
        listed = "; ".join(f"{port.device} ({port.words})" for port in candidates)
        raise InputError("--port", "", f"{len(candidates)} ports could be the {title}; name one: {listed}")
    others = [port for port in ports if port.usb[0] is not None]
    if others:
        listed = "; ".join(f"{port.device} ({port.words})" for port in others)
        raise InputError("--port", "", f"no port looks like an {title}; name one of: {listed}")
    raise InputError("--port", "", NO_PORT)


def same_board(port, ports):
    """The Port under which a board is back after its reset: by its serial number where it has one; None not yet."""
    for one in ports:
        if port.serial and one.serial == port.serial and one.usb == port.usb:
            return one
    if port.serial:
        return None
    return port if Path(port.device).exists() or os.name == "nt" else None


def open_fault(device):
    """Why `device` cannot be opened, one sentence, as far as the system tells without opening it; "" for nothing seen."""
    if os.name == "nt":
        return ""
    path = Path(device)
    if not path.exists():
        return f"is not there. {NO_PORT[0].upper()}{NO_PORT[1:]}" if not present() else _not_there()
    if path.is_dir() or path.is_file():
        return f"is a {'folder' if path.is_dir() else 'file'}, no serial port; {_ports_words()}"
    if not os.access(path, os.R_OK | os.W_OK):
        return f"may not be opened by this user: {_permission(path)}"
    return ""


def _not_there():
    return f"is not there; {_ports_words()}"


def _ports_words():
    listed = ", ".join(port.device for port in present())
    return f"ports of this computer: {listed or 'none'}"


def _permission(path):
    group = ""
    if sys.platform.startswith("linux"):
        try:
            group = path.group()
        except (KeyError, OSError):
            group = ""
    if group and group != "root":
        return f"join the group '{group}' (sudo usermod -a -G {group} $USER), then log out and in again"
    return "ask whoever looks after this computer for the right to use its serial ports"
