"""The journal on a block device of MicroPython, as rp2.Flash and esp32.Partition are."""

import pytest

from boards.common.flashlog_device import BlockFlash
from tests.boards.flash import PAGE_BYTES, SECTOR_BYTES, SimFlash
from tests.boards.lives import History, Life, read_all


class Blocks:
    """A block device over a SimFlash: the extended interface, as MicroPython documents it for os.AbstractBlockDev."""

    def __init__(self, flash, block_bytes=SECTOR_BYTES):
        self.flash = flash
        self.block_bytes = block_bytes
        self.wrong = 0

    def readblocks(self, block, buffer, offset):
        self.flash.read(block * SECTOR_BYTES + offset, buffer)

    def writeblocks(self, block, buffer, offset):
        assert offset % PAGE_BYTES == 0 and len(buffer) == PAGE_BYTES and offset < SECTOR_BYTES
        self.flash.program((block * SECTOR_BYTES + offset) // PAGE_BYTES, buffer)

    def ioctl(self, operation, argument):
        if operation == 4:
            return self.flash.n_sectors
        if operation == 5:
            return self.block_bytes
        assert operation == 6
        self.flash.erase(argument)
        return self.wrong


class Seen(BlockFlash):
    """What Life wants of a flash beside the device."""

    def __init__(self, blocks, flash):
        super().__init__(blocks)
        self.flash = flash

    @property
    def log(self):
        return self.flash.log

    def power_on(self):
        self.flash.power_on()


def test_records_come_back_through_a_block_device():
    flash, history = SimFlash(6, fill=0), History(6)
    for number in range(1, 5):
        life = Life(Seen(Blocks(flash), flash), history, number)
        life.prepare()
        life.run(400, burst=10)
        assert (life.log.saved, life.log.failures, life.log.bad_slots) == (400, 0, 0)
        assert history.faults(read_all(flash)) == []
    assert min(flash.erased) > 0


def test_an_erase_that_failed_is_an_oserror_which_the_log_survives():
    flash = SimFlash(6)
    blocks = Blocks(flash)
    blocks.wrong = 5
    with pytest.raises(OSError):
        BlockFlash(blocks).erase(1)
    life = Life(Seen(blocks, flash), History(6), 1)
    life.open()
    life.step(may_erase=1)
    assert life.log.failures == 1


@pytest.mark.parametrize(
    "block_bytes, n_sectors, words", [(512, 100, "4096 bytes"), (4096, 3, "fewer than 4"), (4096, 0, "fewer than 4")]
)
def test_what_is_no_ring_is_refused(block_bytes, n_sectors, words):
    with pytest.raises(ValueError, match=words):
        BlockFlash(Blocks(SimFlash(n_sectors), block_bytes))
