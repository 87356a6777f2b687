"""Records of controller/frames.py as rows of integers. Runs on CPython and on MicroPython.

The layout is read from a record's own `__slots__` and values, so no field can be forgotten, and the two ends compare
their layouts before the first tick. The copying functions are generated from it as straight lines: a loop over names
would cost more than the tick itself.
"""

# Array codes. Inputs are what a board can sample, 32 bits, and an array of these is read without allocating; outputs may
# be wrong in any way and are only stored on the far side, so they get 64 bits and are never cut.
IN_CODE = "i"
OUT_CODE = "q"
OP_CLOSE = 0
OP_START = 1
OP_TICK = 2


def layout(record):
    """List of (name, n): n is 0 for an integer, the length of a list, or -1 for bytes (one word: their length)."""
    rows = []
    for name in type(record).__slots__:
        value = getattr(record, name)
        if isinstance(value, list):
            rows.append((name, len(value)))
        elif isinstance(value, bytes):
            rows.append((name, -1))
        else:
            rows.append((name, 0))
    return rows


def describe(rows):
    """The layout as one word of text."""
    return ",".join([name + ":" + str(n) for name, n in rows])


def n_words(rows):
    """Words that a record takes."""
    total = 0
    for _, n in rows:
        total += n if n > 0 else 1
    return total


def byte_fields(rows):
    """Names of the bytes fields, in order."""
    return [name for name, n in rows if n == -1]


def compile_put(rows, first):
    """`put(record, words)`: copies a record into words[first], words[first + 1] and so on."""
    return _compile("put", rows, first, True)


def compile_take(rows, first):
    """`take(record, words)`: the way back. Bytes fields are left alone: their bytes follow a start message."""
    return _compile("take", rows, first, False)


def _compile(verb, rows, first, out):
    lines = ["def " + verb + "(r, w):"]
    at = first
    for name, n in rows:
        if n == -1:
            if out:
                lines.append(f"  w[{at}] = len(r.{name})")
            at += 1
        elif n == 0:
            lines.append(f"  w[{at}] = r.{name}" if out else f"  r.{name} = w[{at}]")
            at += 1
        else:
            lines.append(f"  a = r.{name}")
            for index in range(n):
                lines.append(f"  w[{at}] = a[{index}]" if out else f"  a[{index}] = w[{at}]")
                at += 1
    space = {}
    exec("\n".join(lines) + "\n", space)
    return space[verb]
