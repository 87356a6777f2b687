"""The journal's device on top of a block device of MicroPython: rp2.Flash and esp32.Partition are such (SR-35).

Used of it (the extended interface of os.AbstractBlockDev): `readblocks(block, buffer, offset)`; `writeblocks(block,
buffer, offset)`, which with an offset programs and does not erase; `ioctl(6, block)`, which erases one block;
`ioctl(4, 0)` and `ioctl(5, 0)`, the number of blocks and their bytes. An error comes as OSError.

rp2.Flash programs whole pages of 256 bytes at page boundaries; esp32.Partition programs any bytes, on a partition that
is not encrypted. Both from memory of their sources. The file system must lie in other blocks.

Costs: what the chip takes. Memory: 60 bytes; calls allocate nothing as long as the block device does not.
"""

from .flashlog_format import PAGES, SECTOR_BYTES

BLOCK_COUNT = 4
BLOCK_BYTES = 5
BLOCK_ERASE = 6


class BlockFlash:
    """Raises ValueError for a block device whose blocks are not sectors of 4096 bytes, or of fewer than 4 of them."""

    __slots__ = ("n_sectors", "_blocks")

    def __init__(self, blocks):
        self._blocks = blocks
        self.n_sectors = blocks.ioctl(BLOCK_COUNT, 0)
        if blocks.ioctl(BLOCK_BYTES, 0) != SECTOR_BYTES:
            raise ValueError("journal: the flash has no blocks of 4096 bytes")
        if self.n_sectors < 4:
            raise ValueError("journal: the flash has fewer than 4 blocks")

    def erase(self, sector):
        """All bytes of a sector to 0xFF. OSError when the chip says that it failed."""
        if self._blocks.ioctl(BLOCK_ERASE, sector):
            raise OSError("journal: erase failed")

    def program(self, page, buffer):
        """A page of 256 bytes; a byte 0xFF leaves what is there."""
        self._blocks.writeblocks(page // PAGES, buffer, page % PAGES * len(buffer))

    def read(self, at, buffer):
        """Fill `buffer` with the bytes from `at` on."""
        self._blocks.readblocks(at // SECTOR_BYTES, buffer, at % SECTOR_BYTES)
