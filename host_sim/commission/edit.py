"""Changes to an aircraft file as text: its comments, its order and its line ends stay.

Keys of one section are replaced or added, the rest is not touched. The new text goes through a file beside the old one,
is loaded there, and only then takes its place; the old one is kept. A file that has changed meanwhile is not written.
"""

import os
from pathlib import Path

import yaml

from ..aircraft import load_aircraft
from ..errors import InputError
from .record import write_whole

INDENT = "  "


def with_keys(text, section, keys, comment=""):
    """The text with `keys` {key: flow text, or a list of flow texts} in a section; added at the end where it is missing."""
    end = "\r\n" if "\r\n" in text else "\n"
    found = _entry(yaml.compose(text, Loader=yaml.SafeLoader), section)
    if found is None:
        head = f"{section}:{' ' * max(1, 31 - len(section))}# {comment}" if comment else f"{section}:"
        lines = [head, *(INDENT + line for key, value in keys.items() for line in _block(key, value, INDENT, end))]
        return text.rstrip("\r\n") + end + end + end.join(lines) + end
    node = found[1]
    if not isinstance(node, yaml.MappingNode):
        raise ValueError(f"{section} is no mapping")
    return _flow(text, node, keys) if node.flow_style else _blocks(text, node, keys, end)


def _entry(node, key):
    """(key node, value node) of a key in a mapping node, or None."""
    for name, value in node.value:
        if name.value == key:
            return name, value
    return None


def _blocks(text, node, keys, end):
    indent = " " * node.value[0][0].start_mark.column
    changes, added = [], []
    for key, value in keys.items():
        old, lines = _entry(node, key), _block(key, value, indent, end)
        if old is None:
            added += [indent + line for line in lines]
        else:
            changes.append((old[0].start_mark.index, _leaf_end(old[1]), (end).join(_hang(lines, indent))))
    if added:
        at = _line_end(text, _leaf_end(node))
        changes.append((at, at, end + end.join(added)))
    return _changed(text, changes)


def _block(key, value, indent, end):
    """Lines of a key, without the indent of the first one."""
    if isinstance(value, str):
        return [f"{key}: {value}"]
    return [f"{key}:", *(f"{INDENT}- {row}" for row in value)]


def _hang(lines, indent):
    return [lines[0], *(indent + line for line in lines[1:])]


def _flow(text, node, keys):
    changes, added = [], []
    for key, value in keys.items():
        row = value if isinstance(value, str) else f"[{', '.join(value)}]"
        old = _entry(node, key)
        if old is None:
            added.append(f"{key}: {row}")
        else:
            changes.append((old[0].start_mark.index, _leaf_end(old[1]), f"{key}: {row}"))
    if added:
        last = _leaf_end(node.value[-1][1]) if node.value else node.start_mark.index + 1
        changes.append((last, last, (", " if node.value else "") + ", ".join(added)))
    return _changed(text, changes)


def _leaf_end(node):
    """Where what is written of a node ends; the mark of a block collection stands after the comments that follow it."""
    while not isinstance(node, yaml.ScalarNode) and not node.flow_style and node.value:
        last = node.value[-1]
        node = last[1] if isinstance(last, tuple) else last
    return node.end_mark.index


def _line_end(text, at):
    stop = text.find("\n", at)
    if stop < 0:
        return len(text)
    return stop - 1 if text[stop - 1] == "\r" else stop


def _changed(text, changes):
    for start, stop, new in sorted(changes, reverse=True):
        text = text[:start] + new + text[stop:]
    return text


class AircraftFile:
    """The text of an aircraft file as it was read, to be changed once or more."""

    def __init__(self, path):
        self.path = Path(path)
        self._bytes = self._read()
        self.kept = ""

    def _read(self):
        try:
            return self.path.read_bytes()
        except OSError as error:
            raise InputError(self.path, "", f"cannot be read: {error.strerror or error}") from None

    def write(self, section, keys, comment, stamp, to=None):
        """Write `keys` of a section; the Aircraft that the file now is. `to`: into that file, this one stays.

        The file as it was is kept once, as NAME.STAMP.bak. Raises InputError, and then nothing has been changed.
        """
        mark = "\ufeff" if self._bytes.startswith(b"\xef\xbb\xbf") else ""
        text = self._bytes.decode("utf-8-sig")
        try:
            new = mark + with_keys(text, section, keys, comment)
        except ValueError as error:
            raise InputError(self.path, "", str(error)) from None
        target = Path(to) if to else self.path
        trial = target.with_name(f"{target.name}.trial")
        try:
            write_whole(trial, new)
            load_aircraft(trial)
        except InputError as error:
            raise InputError(self.path, error.where, f"with the new values it would be refused: {error.what}") from None
        finally:
            if trial.exists():
                trial.unlink()
        if to is None:
            if self._read() != self._bytes:
                raise InputError(
                    self.path, "", "has changed since it was read: not written; put the lines there by hand"
                )
            self._keep(stamp)
        write_whole(target, new)
        if to is None:
            self._bytes = new.encode("utf-8")
        return load_aircraft(target)

    def _keep(self, stamp):
        if self.kept:
            return
        kept = self.path.with_name(f"{self.path.name}.{stamp}.bak")
        try:
            with open(kept, "xb") as file:
                file.write(self._bytes)
                os.fsync(file.fileno())
        except OSError as error:
            raise InputError(kept, "", f"cannot be written: {error.strerror or error}; nothing was changed") from None
        self.kept = str(kept)
