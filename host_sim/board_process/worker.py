"""Runs under MicroPython: keeps the controller, talks to engines.py over stdin and stdout.

    micropython worker.py FOLDER_OF_CONTROLLER FOLDER_OF_THIS_FILE

First a line of text: the layouts of both records. Then messages of words in the machine's byte order: an
operation and the inputs; after a start, the bytes of the bytes fields. Every answer is one 0 and all the outputs. On
an exception the traceback goes to stderr and the process ends, which the other end sees as a closed pipe. (Left alone,
this interpreter writes tracebacks to stdout, among the answers.)
"""

import sys

sys.path[0] = sys.argv[2]
sys.path.append(sys.argv[1])


def read_into(stream, view):
    """Fill a memoryview of bytes; returns False where the stream has ended."""
    got = 0
    while got < len(view):
        n = stream.readinto(view[got:])
        if not n:
            return False
        got += n
    return True


def main():
    """Answer messages until told to stop. Imports here, so that a controller that does not load is told as well."""
    from array import array

    import wire

    from controller.frames import Inputs, Outputs
    from controller.tick import Controller

    source = sys.stdin.buffer
    sink = sys.stdout.buffer
    rows_in = wire.layout(Inputs())
    rows_out = wire.layout(Outputs())
    sink.write((wire.describe(rows_in) + " " + wire.describe(rows_out) + "\n").encode())
    answer = array(wire.OUT_CODE, [0] * (1 + wire.n_words(rows_out)))
    asked_bytes = bytearray(4 * (1 + wire.n_words(rows_in)))
    take = wire.compile_take(rows_in, 1)
    put = wire.compile_put(rows_out, 1)
    inputs = Inputs()
    outputs = Outputs()
    controller = None
    while read_into(source, memoryview(asked_bytes)):
        asked = array(wire.IN_CODE, asked_bytes)
        if asked[0] == wire.OP_CLOSE:
            return
        if asked[0] == wire.OP_START:
            inputs = Inputs()
            outputs = Outputs()
            take(inputs, asked)
            if not read_bytes(source, inputs, rows_in, asked):
                return
            controller = Controller(inputs)
        else:
            take(inputs, asked)
            controller.tick(inputs, outputs)
        put(outputs, answer)
        sink.write(answer)


def read_bytes(source, inputs, rows, asked):
    """Read the bytes that follow a start message; returns False where the stream has ended."""
    at = 1
    for name, n in rows:
        if n == -1:
            data = bytearray(asked[at])
            if not read_into(source, memoryview(data)):
                return False
            setattr(inputs, name, bytes(data))
        at += n if n > 0 else 1
    return True


try:
    main()
except Exception as error:
    sys.print_exception(error, sys.stderr)
    sys.exit(1)
