"""The image for the emulated board: found, read, refused; and why there is none is one sentence."""

import os
import struct
import subprocess
import sys
from pathlib import Path

import pytest

from tests.boards import firmware
from tests.boards.emulated_edges import EdgeFeed, pulse_train, whole_pulses
from tests.boards.emulated_files import FILES_AT, pack_files, unpack_files
from tests.boards.firmware import NoFirmware, boot_checksum, build_firmware, find_firmware, load_image

ROOT = Path(__file__).parents[2]


def image_of(n_bytes):
    """Something that an RP2040 would start, of that length."""
    block = bytes(range(252))
    return block + struct.pack("<I", boot_checksum(block)) + bytes(n % 251 for n in range(n_bytes - 256))


def uf2_of(image, at=firmware.FLASH_AT):
    """The same as a .uf2 file: blocks of 256 bytes in 512, as Microsoft's format says."""
    out = b""
    for start in range(0, len(image), 256):
        part = image[start : start + 256]
        head = struct.pack("<8I", 0x0A324655, 0x9E5D5157, 0x2000, at + start, len(part), 0, 0, 0xE48BFF56)
        out += (head + part).ljust(508, b"\0") + struct.pack("<I", 0x0AB16F30)
    return out


def test_boot_checksum_is_the_published_one():
    # CRC-32/MPEG-2, the check value of its entry in the catalogue of parametrised CRC algorithms.
    assert boot_checksum(b"123456789") == 0x0376E6E7


def test_both_kinds_of_file_give_the_same_image(tmp_path):
    image = image_of(1000)
    (tmp_path / "a.bin").write_bytes(image)
    (tmp_path / "a.uf2").write_bytes(uf2_of(image))
    assert load_image(tmp_path / "a.bin") == load_image(tmp_path / "a.uf2") == image


@pytest.mark.parametrize(
    "data, why",
    (
        (bytes(4096), "its boot block does not carry its checksum"),
        (b"short", "its boot block does not carry its checksum"),
        (image_of(FILES_AT + 1), "655361 bytes; the file system begins at 655360"),
        (uf2_of(image_of(600), at=0x20000000), "block 0 does not belong into the flash"),
    ),
    ids=("no checksum", "short", "too long", "for RAM"),
)
def test_what_is_no_image_is_refused(tmp_path, data, why):
    path = tmp_path / "image"
    path.write_bytes(data)
    with pytest.raises(NoFirmware, match=why):
        load_image(path)


def test_a_named_image_comes_first_and_has_to_be_there(tmp_path, monkeypatch):
    named = tmp_path / "own.bin"
    monkeypatch.setenv("DOWNLOCK_FIRMWARE", str(named))
    with pytest.raises(NoFirmware, match="DOWNLOCK_FIRMWARE=.*own.bin is not a file"):
        find_firmware()
    named.write_bytes(image_of(300))
    assert find_firmware() == named


def test_a_build_that_cannot_be_says_why_and_leaves_nothing_half(tmp_path, monkeypatch):
    monkeypatch.setenv("DOWNLOCK_CACHE", str(tmp_path / "cache"))
    only_bash = tmp_path / "bin"
    only_bash.mkdir()
    for tool in ("bash", "realpath"):
        (only_bash / tool).symlink_to(f"/usr/bin/{tool}")
    monkeypatch.setenv("PATH", str(only_bash))
    with pytest.raises(
        NoFirmware, match="^No MicroPython image for the emulated board: the build needs apt-get"
    ) as caught:
        build_firmware(say=lambda line: None)
    assert "\n" not in str(caught.value)
    assert list((tmp_path / "cache" / "firmware").glob("*/*")) == []


@pytest.mark.deep
@pytest.mark.parametrize("must, outcome", (("", " skipped"), ("1", " error")))
def test_without_an_image_tests_skip_or_fail_with_the_sentence(tmp_path, must, outcome):
    keep = {name: value for name, value in os.environ.items() if not name.startswith(("DOWNLOCK_", "PYTEST_", "COV"))}
    arguments = "-n 0 -rs -m deep tests/boards/test_emulated.py -k boots_to".split()
    command = [sys.executable, "-m", "pytest", *arguments]
    done = subprocess.run(
        command,
        cwd=ROOT,
        env={**keep, "DOWNLOCK_CACHE": str(tmp_path), "DOWNLOCK_MUST_EMULATE": must},
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert outcome in done.stdout and " passed" not in done.stdout
    assert "No MicroPython image for the emulated board: run `python -m tests.boards.firmware`." in done.stdout
    assert done.returncode == (1 if must else 0)


def test_files_are_packed_and_unpacked():
    files = {"main.py": b"print(1)\n", "a/b/c.bin": bytes(range(256)) * 40, "empty": b""}
    flash = bytearray(b"\xff" * (2 << 20))
    packed = pack_files(files)
    flash[FILES_AT:] = packed
    assert len(packed) == len(flash) - FILES_AT
    assert unpack_files(flash) == files


def test_edges_come_in_order_and_are_read_no_earlier_than_needed():
    came, planned, read = [], [], []

    def source():
        for t_us in (10, 30, 50):
            read.append(t_us)
            yield t_us, 1

    feed = EdgeFeed(lambda pin, level: came.append((pin, level)), planned.append)
    feed.add(2, source())
    feed.add(3, pulse_train(20, 100, (15,)))
    assert (came, planned[-1], read) == ([], 10, [10])
    feed.due(30)
    # At 10 pin 2, at 20 pin 3, at 30 pin 2.
    assert (came, planned[-1], read) == ([(2, 1), (3, 1), (2, 1)], 35, [10, 30, 50])
    feed.due(1000)
    assert came[3:] == [(3, 0), (2, 1)]


def test_whole_pulses_are_those_that_began_and_ended():
    assert whole_pulses([(0, None), (5, 1), (9, 0), (20, 1), (26, None), (30, 0), (40, 1)]) == [(5, 4), (20, 6)]
