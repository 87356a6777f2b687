"""Lives of a board that journals to one simulated flash, and what must be readable after them.

A life boots, writes records, steps its Flashlog and ends, by choice or by a PowerCut. History keeps what was written and
where, so that what a reader gets can be compared with what it must get: everything that was saved and not erased since,
in order, with nothing altered and nothing made up. Of the record that was being written when the power went, and of
the sector that was about to be erased, both outcomes are right.
"""

import binascii
import struct

from boards.common.flashlog import Flashlog
from controller.codes import DOWN
from controller.frames import Outputs
from controller.journal import KEPT, KIND_SAMPLE, KIND_WORDS, RECORD_BYTES, Journal
from host_sim.journal_read import read_journal

FINGERPRINT = bytes.fromhex("c0ffee07")
VERSION = bytes((0, 1, 0))
TICK_MS = 20


class Life:
    """One power cycle. `mode_tick` makes the records of different lives differ."""

    def __init__(self, flash, history, number, fingerprint=FINGERPRINT):
        flash.power_on()
        self.flash = flash
        self.history = history
        self.journal = Journal()
        self.outputs = Outputs()
        self.log = Flashlog(flash, self.journal, fingerprint, VERSION, TICK_MS)
        self.number = number
        self._before = None

    def record(self, n=1):
        """`n` more records into RAM."""
        for _ in range(n):
            self.outputs.tick += 1
            self.outputs.pressure_mbar = (self.outputs.tick * 7 + self.number * 1009) % 9000
            self.journal.write(KIND_SAMPLE, self.number & 0xFF, self.outputs.tick % 3000, self.outputs)

    def step(self, may_erase=0, command=DOWN, in_stroke=0):
        """One step of the log, noted in the history whether the power stays or not."""
        log, history = self.log, self.history
        saved, lost = log.saved, log.lost
        history.pending = None
        number = max(saved, self.journal.written - KEPT)
        if number < self.journal.written:
            history.pending = (log.boot, number, log._serial, self._raw(number))
        history.next_erase = log._newest + 1 if log.open else None
        before = len(self.flash.log)
        try:
            log.step(command, in_stroke, may_erase)
        finally:
            for kind, place in self.flash.log[before:]:
                if kind == "erase":
                    history.erase_begun = max(history.erase_begun, history.next_erase)
                elif history.next_erase is not None and place == history.next_erase % self.flash.n_sectors * 16:
                    history.retiring = history.next_erase
        pending, history.pending = history.pending, None
        if log.saved > saved + log.lost - lost:
            history.saved.append((pending[0], pending[1], log._serial, pending[3]))

    def _raw(self, number):
        at = number % KEPT * RECORD_BYTES
        return bytes(self.journal.data[at : at + RECORD_BYTES])

    def open(self):
        """Step until the log knows where to go on."""
        for _ in range(20 * self.flash.n_sectors + 100):
            if self.log.open:
                return
            self.step()
        raise AssertionError("the log does not open")

    def prepare(self, n_steps=4000):
        """Step with leave until nothing more is erased."""
        self.open()
        still = 0
        for _ in range(n_steps):
            before = len(self.flash.log)
            self.step(may_erase=1)
            still = 0 if len(self.flash.log) > before else still + 1
            if still > 2:
                return

    def run(self, n_records, burst=1):
        """Records in bursts, each with as many steps as it takes."""
        for start in range(0, n_records, burst):
            self.record(min(burst, n_records - start))
            self.drain()

    def drain(self, n_steps=2000):
        """Step until the log has nothing more to do; stops without room."""
        for _ in range(n_steps):
            before = len(self.flash.log), self.log._serial
            if self.log.open and self.log.saved == self.journal.written and self.log._runs == 0:
                return
            self.step()
            if self.log.open and (len(self.flash.log), self.log._serial) == before:
                return


class History:
    """What was saved, as (boot, number, serial of the sector, 16 bytes), and how far erasing went."""

    def __init__(self, n_sectors):
        self.n_sectors = n_sectors
        self.saved = []
        self.doubtful = []
        self.pending = None
        self.erase_begun = -1
        self.retiring = -1
        self.next_erase = None

    def faults(self, read):
        """What is wrong with what `read_all` got, as a list of sentences; empty when all is right."""
        gone_to = self.erase_begun - self.n_sectors
        doubtful = max(self.erase_begun, self.retiring) - self.n_sectors
        must = [(b, n, raw) for b, n, serial, raw in self.saved if serial > doubtful]
        may = {(b, n, raw) for b, n, serial, raw in self.saved if gone_to < serial <= doubtful}
        # The run slot may go before the mark does; then a reader cannot say which boot it was.
        may |= {(0, n, raw) for _, n, raw in may}
        may |= {(b, n, raw) for b, n, serial, raw in [*self.doubtful, self.pending or (0, 0, -1, b"")]}
        got, wanted = set(read), set(must)
        faults = [f"lost: boot {b} record {n}" for b, n, raw in must if (b, n, raw) not in got]
        extra = [one for one in read if one not in wanted and one not in may]
        faults += [f"made up or erased: boot {b} record {n} {raw.hex()}" for b, n, raw in extra]
        if not faults and [one for one in read if one in wanted] != must:
            faults.append("records in another order")
        if [one[:2] for one in read] != sorted({one[:2] for one in read}):
            faults.append("records twice or out of order")
        return faults

    def is_kept(self, read):
        """Whether the record that was being written can be read; None when none was being written."""
        if self.pending is None:
            return None
        boot, number, _, raw = self.pending
        return (boot, number, raw) in read

    def cut(self):
        """After a cut: the record that was being written stays doubtful for good."""
        if self.pending is not None:
            self.doubtful.append(self.pending)
        self.pending = None

    def copy(self):
        """Another history that goes on from here."""
        other = History(self.n_sectors)
        other.__dict__.update(self.__dict__, saved=list(self.saved), doubtful=list(self.doubtful))
        return other


def read_all(flash):
    """[(boot, number, 16 bytes)] of what a reader gets from all of the flash."""
    return [(r.run.boot, r.number, encode(r)) for r in read_journal(flash.dump())]


def encode(record):
    """The 16 bytes of a Record."""
    body = struct.pack(
        "<BBHIhHBB",
        KIND_WORDS.index(record.kind),
        record.code,
        record.number & 0xFFFF,
        record.tick,
        record.value,
        record.pressure_mbar & 0xFFFF,
        record.mode * 2 + record.command,
        record.link * 4 + record.switch,
    )
    return body + binascii.crc_hqx(body, 0xFFFF).to_bytes(2, "little")
