"""YAML whose every value knows its file and line, so that every complaint can name them.

Built on PyYAML's composed nodes: scalars stay the text that was written ("off" is no boolean here, "010" no eight),
duplicate keys, aliases and tags are refused. A mapping is read by taking its keys one by one and closing it, which
refuses the keys that nobody took.
"""

import difflib
import re
from pathlib import Path

import yaml

from .errors import InputError
from .quantities import QuantityError, quantity

_NUMBER = re.compile(r"[-+]?(\d+(\.\d*)?|\.\d+)([eE][-+]?\d+)?\Z", re.ASCII)
MAX_BYTES = 1_000_000
MANY_KEYS = 20
REQUIRED = object()


class Node:
    """A value with its place. `where` is the line; `path` the keys that lead to it, for messages."""

    kind = "value"

    def __init__(self, file, line, path):
        self.file = file
        self.line = line
        self.path = path

    def fail(self, what):
        """Raise InputError at this place."""
        name = f"{self.path}: " if self.path else ""
        raise InputError(self.file, self.line, name + what)


class Scalar(Node):
    """One value as written."""

    kind = "a single value"

    def __init__(self, file, line, path, text):
        super().__init__(file, line, path)
        self.text = text

    def string(self, longest=4000):
        """The text, not empty."""
        text = self.text.strip()
        if not text:
            self.fail("is empty")
        if len(text) > longest:
            self.fail(f"has {len(text)} characters; allowed are {longest}")
        return text

    def word(self, choices):
        """One of `choices`, a sequence of words."""
        text = self.text.strip()
        if text not in choices:
            self.fail(f"'{text[:40]}' is not known{nearest(text, choices)}; allowed: {', '.join(choices)}")
        return text

    def flag(self):
        """True or False of yes and no."""
        return self.word(("yes", "no")) == "yes"

    def quantity(self, unit, low, high, reference="", show=""):
        """A float in `unit` from low to high. `show` is the unit of the range in messages, where another is better."""
        try:
            value = quantity(self.text, unit, reference)
        except QuantityError as error:
            self.fail(str(error))
        if not low <= value <= high:
            self.fail(f"'{self.text.strip()}' is out of range; allowed: {_range(low, high, unit, reference, show)}")
        return value

    def number(self, low, high):
        """A float from low to high, without a unit."""
        text = self.text.strip()
        if not _NUMBER.match(text):
            self.fail(f"'{text[:40]}' is not a plain number; allowed: {low:g} to {high:g}")
        if not low <= float(text) <= high:
            self.fail(f"'{text}' is out of range; allowed: {low:g} to {high:g}")
        return float(text)

    def whole(self, low, high):
        """A whole number from low to high, without a unit."""
        text = self.text.strip()
        digits = text[1:] if text[:1] in ("-", "+") else text
        if not (digits.isascii() and digits.isdigit()) or len(digits) > 12:
            self.fail(f"'{text[:40]}' is not a whole number; allowed: {low} to {high}")
        if not low <= int(text) <= high:
            self.fail(f"'{text}' is out of range; allowed: {low} to {high}")
        return int(text)


class Sequence(Node):
    """A list of nodes."""

    kind = "a list"

    def __init__(self, file, line, path, items):
        super().__init__(file, line, path)
        self.items = items

    def of(self, kind):
        """The items, each checked to be of `kind` (Scalar, Mapping, Sequence)."""
        for item in self.items:
            _check_kind(item, kind)
        return self.items


class Mapping(Node):
    """Keys and nodes, in the order written. Take what is known, then close()."""

    kind = "a mapping of keys to values"

    def __init__(self, file, line, path, items):
        super().__init__(file, line, path)
        self.items = items
        self._known = []

    def take(self, key, kind=Scalar, default=REQUIRED):
        """The node of `key`; `default` where it is absent, an error where there is no default."""
        self._known.append(key)
        node = self.items.get(key)
        if node is None:
            if default is REQUIRED:
                self.fail(f"the key '{key}' is missing")
            return default
        _check_kind(node, kind)
        return node

    def has(self, key):
        """Whether the key is there; it counts as known from now on."""
        self._known.append(key)
        return key in self.items

    def close(self):
        """Refuse keys that were never asked for."""
        for key, node in self.items.items():
            if key not in self._known:
                known = list(dict.fromkeys(self._known))
                hint = nearest(key, known)
                # A hint says enough where the list would fill the screen.
                listed = "" if hint and len(known) > MANY_KEYS else f"; allowed: {', '.join(known)}"
                raise InputError(
                    self.file,
                    node.key_line,
                    f"{self.path + ': ' if self.path else ''}unknown key '{key[:40]}'{hint}{listed}",
                )


def merged(base, over):
    """`over` laid upon `base`: mappings key by key, the rest replaced. Every node keeps its own file and line."""
    if not (isinstance(base, Mapping) and isinstance(over, Mapping)):
        return over
    items = dict(base.items)
    for key, node in over.items.items():
        items[key] = merged(items[key], node) if key in items else node
    result = Mapping(base.file, base.line, base.path, items)
    result.key_line = getattr(over, "key_line", base.line)
    return result


def read(path):
    """The Mapping at the top of a YAML file. Raises InputError for whatever is wrong with the file."""
    name = str(path)
    try:
        data = Path(path).read_bytes()
    except OSError as error:
        raise InputError(name, "", f"cannot be read: {error.strerror or error}") from None
    except ValueError:
        raise InputError(repr(name), "", "is not a usable file name") from None
    if len(data) > MAX_BYTES:
        raise InputError(name, "", f"has {len(data)} bytes; allowed are {MAX_BYTES}")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise InputError(name, line, f"byte 0x{data[error.start]:02x} is not UTF-8 text") from None
    return parse(text, name)


def parse(text, name):
    """The Mapping at the top of YAML text; `name` stands for the file in messages."""
    try:
        root = yaml.compose(text, Loader=_Loader)
        node = _wrap(root, name, "") if root is not None else None
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        raise InputError(name, mark.line + 1 if mark else "", f"not YAML: {error.problem or error.context}") from None
    except yaml.reader.ReaderError as error:
        line = text[: error.position].count("\n") + 1
        raise InputError(name, line, "holds a character that YAML does not allow") from None
    except RecursionError:
        raise InputError(name, "", "is nested too deeply") from None
    if node is None:
        raise InputError(name, "", "is empty")
    _check_kind(node, Mapping)
    return node


class _Loader(yaml.SafeLoader):
    def compose_node(self, parent, index):
        event = self.peek_event()
        if isinstance(event, yaml.AliasEvent):
            raise yaml.MarkedYAMLError(problem="aliases (*name) are not used here", problem_mark=event.start_mark)
        if getattr(event, "tag", None) not in (None, "!"):
            raise yaml.MarkedYAMLError(problem="tags (!name) are not used here", problem_mark=event.start_mark)
        return super().compose_node(parent, index)


def _wrap(node, file, path):
    line = node.start_mark.line + 1
    if isinstance(node, yaml.ScalarNode):
        return Scalar(file, line, path, node.value)
    if isinstance(node, yaml.SequenceNode):
        return Sequence(file, line, path, [_wrap(item, file, path) for item in node.value])
    items = {}
    for key, value in node.value:
        at = key.start_mark.line + 1
        if not isinstance(key, yaml.ScalarNode):
            raise InputError(file, at, "a key must be a single word")
        if key.value in items:
            first = items[key.value].key_line
            raise InputError(file, at, f"the key '{key.value[:40]}' stands twice; first on line {first}")
        items[key.value] = _wrap(value, file, f"{path}.{key.value}" if path else key.value)
        items[key.value].key_line = at
    return Mapping(file, line, path, items)


def _check_kind(node, kind):
    kinds = kind if isinstance(kind, tuple) else (kind,)
    if not isinstance(node, kinds):
        node.fail(f"is {node.kind}; wanted is {' or '.join(one.kind for one in kinds)}")


def nearest(word, known):
    close = difflib.get_close_matches(word, known, n=1, cutoff=0.6)
    return f" (did you mean '{close[0]}'?)" if close else ""


def _range(low, high, unit, reference, show):
    if show and show != unit:
        low, high = (quantity(f"{value!r} {unit}", show) for value in (float(low), float(high)))
        unit = show
    unit = "%" if unit == "percent" else unit
    return f"{low:g} {unit} to {high:g} {unit}{' ' + reference if reference else ''}"
