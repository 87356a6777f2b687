"""A board at the bench: commands and answers over a link, and what is stored on it.

A link is four methods and knows nothing of the protocol:

    send(line)         one line of ASCII, without its end
    receive(within_s)  the next line, or None when that time is over; in the link's own time, 0 for what has come already
    identify()         Stored: what is on the board
    reconnect()        bench again from power-on, after the power was off
    close()            the board goes back to what it was made for

Time is the board's own, from its lines.
"""

import zlib
from dataclasses import dataclass

from controller import codes, packing

from ..install.fileset import read_wiring
from .lines import LinkError, parse_seen, seconds_between

# To make a controller takes an emulated RP2040 1.1 s, and nothing is said meanwhile.
ANSWER_WITHIN_S = 5.0
# A line comes every 0.1 s.
SILENT_AFTER_S = 2.0
# As long as the coil of a two-coil valve is energised, and more.
DRIVEN_DOWN_S = 1.0


class BoardRefused(LinkError):
    """The board answered "no" to a command."""


@dataclass(frozen=True)
class Stored:
    """Board, identity and files of one board: `kind` (its family), `board_id` hex, `firmware`, `version` of the set of
    files, and the bytes of both settings copies and both wiring records, b"" where missing."""

    kind: str
    board_id: str
    firmware: str
    version: str
    settings_a: bytes
    settings_b: bytes
    wiring_a: bytes
    wiring_b: bytes


def fingerprint(packed):
    """Eight hex digits that stand for packed settings: the checksum that they carry. "none" for what is no settings."""
    if len(packed) != packing.PACKED_BYTES:
        return "none"
    return f"{zlib.crc32(packed[:-4]):08x}"


def wiring_of(stored):
    """(valve kind, servo down us, servo up us) as the board takes it: no valid copy, or two that differ, is invalid."""
    copies = {copy for copy in (read_wiring(stored.wiring_a), read_wiring(stored.wiring_b)) if copy is not None}
    return copies.pop() if len(copies) == 1 else (codes.VALVE_INVALID, 0, 0)


class BenchBoard:
    """The board through a link: `command`, `watch` for a time, `collected` for what came meanwhile.

    `may_be_up` says that the gear may have been put up since `safe`."""

    def __init__(self, link):
        self.link = link
        self._heard = []
        self.may_be_up = False

    def command(self, line):
        """Send one command and wait for its answer. BoardRefused with the board's reason; LinkError for none."""
        self._take_waiting()
        self.link.send(line)
        if line == "drive up":
            self.may_be_up = True
        # Every line that is not the answer is one of ten a second, and is kept for `collected`.
        for _ in range(int(ANSWER_WITHIN_S * 20)):
            said = self.link.receive(ANSWER_WITHIN_S)
            if said is None:
                break
            if said == f"ok {line}" or said == f"ok {line.split()[0]}":
                return
            if said.startswith(f"no {line}: ") or said.startswith(f"no {line.split()[0]}: "):
                raise BoardRefused(f"the board refuses '{line}': {said.partition(': ')[2]}")
            self._keep(said)
        raise LinkError(f"the board does not answer to '{line}'")

    def _keep(self, said):
        if said.startswith("see "):
            self._heard.append(self._parsed(said))

        elif said.startswith("no "):
            # Nobody asked: the controller has stopped by itself, and what it would have shown does not come.
            raise BoardRefused(f"the board gives up: {said[3:]}")

    def _parsed(self, said):
        seen = parse_seen(said)
        if seen.flying is not None and seen.flying.command == codes.UP:
            self.may_be_up = True
        return seen

    def _take_waiting(self):
        while (said := self.link.receive(0.0)) is not None:
            self._keep(said)

    def collected(self):
        """Every Seen since the last look, without waiting."""
        self._take_waiting()
        heard, self._heard = self._heard, []
        return heard

    def watch(self, seconds, until=None):
        """What is seen from now on for `seconds` of the board's time, or until `until(seen)`; at least one Seen."""
        self.collected()
        found = []
        while True:
            said = self.link.receive(SILENT_AFTER_S)
            if said is None:
                raise LinkError("the board has fallen silent")
            if not said.startswith("see "):
                self._keep(said)
                continue
            found.append(self._parsed(said))
            if until is not None and until(found[-1]):
                return found
            if seconds_between(found[0], found[-1]) >= seconds:
                return found

    def safe(self):
        """Controller stopped, a gear that may be up driven down, then valve not driven and nothing shown. LinkError."""
        self.command("raw")
        if self.may_be_up:
            self.command("drive down")
            self.watch(DRIVEN_DOWN_S)
        for line in ("drive off", "show none"):
            self.command(line)
        self.may_be_up = False
