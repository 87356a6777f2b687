"""Fetches the ring of the journal from a board in service, block by block, each with its checksum."""

import base64
import binascii
import zlib

from .layout import about
from .link import BoardError

BLOCK_BYTES = 4096
REPEATS = 4


def pull(link, kinds, progress=lambda done, total: None):
    """(bytes of the whole ring, blocks that are not blank, blocks fetched more than once), of a board in service.

    `kinds` are the Kinds that it may be; what the board says of itself decides. Raises BoardError: another board, no ring,
    or a block that comes wrong again and again.
    """
    kind = _kind(link, kinds)
    code = f"device = {kind.ring}\nif device is None:\n    print('none')\nelse:\n    ring_blocks(device)"
    said = link.run(code)
    if said == "none":
        raise BoardError(
            link.port.device, "", "keeps no journal: its firmware has no second application slot (variant with updates)"
        )
    n_blocks = int(said)
    blank = b"\xff" * BLOCK_BYTES
    data, n_used, n_repeated = [], 0, 0
    for number in range(n_blocks):
        block, n_tries = _block(link, number)
        data.append(block)
        n_used += block != blank
        n_repeated += n_tries > 1
        progress((number + 1) * BLOCK_BYTES, n_blocks * BLOCK_BYTES)
    return b"".join(data), n_used, n_repeated


def _kind(link, kinds):
    _, _, _, platform, machine = about(link)
    chip = machine.rpartition(" with ")[2]
    for kind in kinds:
        if kind.platform == platform and kind.chip == chip:
            return kind
    wanted = " or ".join(kind.title for kind in kinds)
    raise BoardError(link.port.device, "", f"is a board of another kind ({machine}); wanted: {wanted}")


def _block(link, number):
    """(bytes of a block, how often it was asked for)."""
    for n_tries in range(1, REPEATS + 1):
        checksum, _, text = link.run(f"ring_block(device, {number})").partition(" ")
        if text == "blank":
            block = b"\xff" * BLOCK_BYTES
        else:
            try:
                block = base64.b64decode(text, validate=True)
            except binascii.Error:
                continue
        if len(block) == BLOCK_BYTES and str(zlib.crc32(block)) == checksum:
            return block, n_tries
    raise BoardError(
        link.port.device, "", f"block {number} of the journal came wrong {REPEATS} times; try another cable or port"
    )
