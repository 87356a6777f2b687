"""SR-30: the packed form, its checks, and the choice between two copies."""

import zlib

import pytest

from controller import codes
from controller.packing import PACKED_BYTES, UNPACK_OK, UNPACK_WORDS, pack, unpack
from controller.settings import FIELDS, HIGH, LOW, N_FIELDS, NAME, Settings

from .driver import Rig, settings_with

GOOD = pack(Settings())


def resealed(data):
    """The same bytes with a CRC that fits them, by the library of the platform."""
    body = bytes(data[:-4])
    return body + zlib.crc32(body).to_bytes(4, "little")


def word(data):
    return UNPACK_WORDS[unpack(data, Settings())]


def test_layout():
    assert GOOD[:4] == b"DLK1"
    assert GOOD[4:8] == (1).to_bytes(2, "little") + N_FIELDS.to_bytes(2, "little")
    assert len(GOOD) == PACKED_BYTES == 8 + 4 * N_FIELDS + 4
    assert GOOD == resealed(GOOD)
    assert [int.from_bytes(GOOD[8 + 4 * i : 12 + 4 * i], "little") for i in range(N_FIELDS)] == [
        getattr(Settings(), row[NAME]) for row in FIELDS
    ]


@pytest.mark.sr("SR-30", "spares")
def test_round_trip_keeps_every_value():
    sent = settings_with(tank_ml=900, switch_frames=5, alert_clear_ms=30000, gear_up_high=0)
    got = Settings()
    assert unpack(pack(sent), got) == UNPACK_OK
    assert vars(got) == vars(sent)


@pytest.mark.sr("SR-30", "acts")
def test_any_wrong_byte_is_found():
    for at in range(PACKED_BYTES):
        for flip in (0x01, 0x80):
            data = bytearray(GOOD)
            data[at] ^= flip
            assert unpack(bytes(data), Settings()) != UNPACK_OK, (at, flip)


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize("length", [0, 1, 8, PACKED_BYTES - 1, PACKED_BYTES + 1])
def test_wrong_length(length):
    assert word((GOOD * 2)[:length]) == "length"


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize(("at", "reason"), [(0, "magic"), (3, "magic"), (4, "schema"), (5, "schema"), (6, "row count")])
def test_wrong_head_is_found_even_with_a_fitting_checksum(at, reason):
    data = bytearray(GOOD)
    data[at] += 1
    assert word(resealed(data)) == reason


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize("index", range(N_FIELDS))
def test_value_out_of_range_is_found_even_with_a_fitting_checksum(index):
    row = FIELDS[index]
    for value in (row[HIGH] + 1, row[LOW] - 1, 2**31, 2**24):
        if value >= 0:
            data = bytearray(GOOD)
            data[8 + 4 * index : 12 + 4 * index] = value.to_bytes(4, "little")
            assert word(resealed(data)) == "range"


@pytest.mark.sr("SR-30", "acts")
def test_broken_rule_is_found_on_the_board():
    assert word(pack(settings_with(force_below_mbar=4000))) == "cross-check"


OTHER = pack(settings_with(low_confirm_ms=400))
BROKEN = GOOD[:-1] + bytes([GOOD[-1] ^ 1])


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize(
    ("a", "b", "state", "alert", "up"),
    [
        (GOOD, GOOD, codes.SETTINGS_GOOD, None, True),
        (OTHER, BROKEN, codes.SETTINGS_ONE_COPY, codes.ALERT_SETTINGS_ONE, True),
        (b"", OTHER, codes.SETTINGS_ONE_COPY, codes.ALERT_SETTINGS_ONE, True),
        (GOOD, OTHER, codes.SETTINGS_DIFFER, codes.ALERT_SETTINGS_DIFFER, False),
        (BROKEN, b"", codes.SETTINGS_NONE, codes.ALERT_SETTINGS_NONE, False),
    ],
    ids=["both", "first", "second", "differ", "none"],
)
def test_two_copies(a, b, state, alert, up):
    rig = Rig(a=a, b=b).awake()
    assert rig.outputs.settings_state == state
    assert rig.outputs.alert == (alert or codes.ALERT_NONE)
    rig.move_up()
    assert rig.command == (codes.UP if up else codes.DOWN)
    if state == codes.SETTINGS_ONE_COPY:
        assert rig.controller.settings.low_confirm_ms == 400
        assert rig.outputs.severity == codes.CAUTION
    if state == codes.SETTINGS_NONE:
        assert vars(rig.controller.settings) == vars(Settings())


@pytest.mark.sr("SR-30", "acts")
def test_settings_are_fixed_from_boot():
    rig = Rig().awake()
    rig.inputs.settings_a = OTHER
    rig.inputs.settings_b = OTHER
    rig.step(500)
    assert rig.controller.settings.low_confirm_ms == 500
    assert rig.outputs.settings_state == codes.SETTINGS_GOOD


@pytest.mark.sr("SR-30", "spares")
def test_equal_valid_copies_raise_nothing():
    rig = Rig(a=OTHER, b=OTHER).awake()
    assert rig.outputs.alert == codes.ALERT_NONE
