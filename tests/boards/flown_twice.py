"""The same scenario on the emulated board and on the PC: what differs (SR-36, within one tick in closed loop).

    python: differences(board_flight, pc) -> list of sentences, empty where they agree

In closed loop the two see the world a few milliseconds apart, so that a frame or a reading may fall into the tick before or
after; nothing may differ by more. On recorded inputs they are identical: tests/boards/test_emulated_controller.py.
"""

from dataclasses import replace

from controller.codes import UP
from controller.journal import KEPT, KIND_SAMPLE, KIND_WORDS, RECORD_BYTES
from host_sim import flight as flight_module
from host_sim.engines import CPythonEngine
from host_sim.flight import Flight
from host_sim.journal_read import RECORD, boots
from tests.boards.closed_loop import TAIL_US

TICKS_APART = 1
# A tick, a slice of the world, and what the tick itself takes.
SECONDS_APART = 0.035
MBAR_APART = 40
UNKNOWN_WORD = 0xFFFF


class _Engine(CPythonEngine):
    """Keeps the journals of all its controllers."""

    def __init__(self):
        super().__init__()
        self.journals = []

    def start(self, inputs):
        """A controller that has just booted."""
        super().start(inputs)
        self.journals.append(self._controller.scribe.journal)


class OnPc:
    """The scenario on this PC: `commands` and `lights` as [(s, 0 or 1)], `journals` as a list of [(kind, code, tick, mbar)]."""

    def __init__(self, scenario, boot_us=None):
        """`boot_us` is how long a boot after a reset takes, None for what host_sim assumes."""
        engine = _Engine()
        assumed = flight_module.BOOT_US
        try:
            flight_module.BOOT_US = boot_us or assumed
            longer = replace(scenario, duration_s=scenario.duration_s + TAIL_US / 1e6)
            self.trace = Flight(longer, engine).run()
        finally:
            flight_module.BOOT_US = assumed
        self.commands = _changes(self.trace, "coil_up", 1)
        self.lights = _changes(self.trace, "light", "on")
        self.journals = [_events(journal) for journal in engine.journals]


def _changes(trace, column, on):
    changes, last = [], 0
    resets = [t_s for t_s, _ in trace.resets]
    for t_s, cell in zip(trace.column("t_s"), trace.column(column), strict=True):
        while resets and resets[0] <= t_s:
            if last:
                changes.append((resets[0], 0))
                last = 0
            resets.pop(0)
        level = int(cell == on)
        if level != last:
            changes.append((t_s, level))
            last = level
    return changes


def _events(journal):
    """[(kind, code, tick, mbar or None)] of a journal that has not gone round yet."""
    assert journal.written < KEPT
    events = []
    for at in range(0, journal.written * RECORD_BYTES, RECORD_BYTES):
        kind, code, _, tick, _, mbar, _, _, _ = RECORD.unpack(journal.data[at : at + RECORD_BYTES])
        events.append((KIND_WORDS[kind], code, tick, None if mbar == UNKNOWN_WORD else mbar))
    return events


def _kept(records):
    """The same of what the board has left in its flash; samples between the seconds are the board's own."""
    found = []
    for boot in boots(records):
        found.append([(r.kind, r.code, r.tick, r.pressure_mbar if r.pressure_mbar >= 0 else None) for r in boot])
    return found


def differences(flown, pc):
    """What the board (closed_loop.BoardFlight) did otherwise than the PC (OnPc), a sentence each."""
    found = _moved("up coil", flown.commands, pc.commands)
    found += _moved("landing light", flown.lights, pc.lights)
    on_board = _kept(flown.records())
    if len(on_board) != len(pc.journals):
        return [*found, f"journal: {len(on_board)} boots on the board, {len(pc.journals)} on the PC"]
    for number, (board, ours) in enumerate(zip(on_board, pc.journals, strict=True), 1):
        found += [f"boot {number}, {what}" for what in _unlike(board, ours)]
    return found


def _moved(what, board, ours):
    if [level for _, level in board] != [level for _, level in ours]:
        return [f"{what}: {board} on the board, {ours} on the PC"]
    pairs = zip(board, ours, strict=True)
    return [
        f"{what}: {b:.3f} s on the board, {p:.3f} s on the PC" for (b, _), (p, _) in pairs if abs(b - p) > SECONDS_APART
    ]


def _unlike(board, ours):
    """Events in order, and the readings of samples at the full second."""
    sample = KIND_WORDS[KIND_SAMPLE]
    left, right = ([event for event in events if event[0] != sample] for events in (board, ours))
    # What falls into the same two ticks may come in another order.
    names = [sorted((kind, code) for kind, code, _, _ in events) for events in (left, right)]
    if names[0] != names[1]:
        return [f"events: {left} on the board, {right} on the PC"]
    found = []
    for kind, code in set(names[0]):
        ticks = [[tick for k, c, tick, _ in events if (k, c) == (kind, code)] for events in (left, right)]
        found += [
            f"{kind} {code}: tick {b} on the board, {p} on the PC"
            for b, p in zip(*ticks, strict=True)
            if abs(b - p) > TICKS_APART
        ]
    readings = {tick: mbar for kind, _, tick, mbar in board if kind == sample}
    for kind, _, tick, mbar in ours:
        if kind != sample or tick not in readings:
            continue
        seen = readings[tick]
        if (seen is None) != (mbar is None) or (seen is not None and abs(seen - mbar) > MBAR_APART):
            found.append(f"reading at tick {tick}: {seen} mbar on the board, {mbar} on the PC")
    return found


def is_up_and_forced_down(pc):
    """Whether the flight shows anything: the coil went up, and down again."""
    return [level for _, level in pc.commands][:2] == [UP, 0]
