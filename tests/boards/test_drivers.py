"""The shared drivers on stand-ins for pins: what goes in comes out, and what a broken wire or a wild call does."""

import struct
import zlib

import pytest

from boards.common import early, hold, pulses, statusline
from boards.common.adc import NotConnected, Oversampled
from boards.common.contacts import Contacts
from boards.common.edges import EdgeCapture
from boards.common.signals import HALF, Signals
from boards.common.valve import ValveOutputs
from boards.common.version import VERSION
from controller import codes
from controller import valve as controller_valve
from controller.frames import Inputs, Outputs
from controller.settings import Settings
from host_sim.version import version
from tests.boards.fake_pins import FakeConverter, FakePin, FakePwm


def taken(table):
    """(pulse_us, fresh) of one tick; what stood there before must not matter."""
    pulse_us, fresh = [7] * codes.N_CHANNELS, [1] * codes.N_CHANNELS
    table.take(pulse_us, fresh)
    return pulse_us, fresh


def test_a_pulse_is_fresh_once_and_its_width_stays():
    table = pulses.Pulses()
    assert taken(table) == ([0] * 5, [0] * 5)
    table.end(codes.BRAKE, 1500)
    assert taken(table) == ([0, 0, 1500, 0, 0], [0, 0, 1, 0, 0])
    assert taken(table) == ([0, 0, 1500, 0, 0], [0] * 5)


@pytest.mark.parametrize("width_us", (0, 1, 299, 3001, 1 << 28))
def test_what_is_no_servo_pulse_by_far_does_not_displace_one(width_us):
    table = pulses.Pulses()
    table.end(codes.GEAR, 1100)
    table.end(codes.GEAR, width_us)
    assert taken(table) == ([1100, 0, 0, 0, 0], [1, 0, 0, 0, 0])
    assert list(table.glitches) == [1, 0, 0, 0, 0]


@pytest.mark.parametrize("width_us", (300, 799, 2201, 3000))
def test_what_is_nearly_a_servo_pulse_is_for_the_controller_to_judge(width_us):
    table = pulses.Pulses()
    table.end(codes.GEAR, width_us)
    assert taken(table)[0][0] == width_us
    assert list(table.glitches) == [0] * 5


def test_counts_that_wrap_lose_no_pulse():
    table = pulses.Pulses()
    for number in range(0x10000 + 2):
        table.end(codes.GEAR, 1000 + number % 1000)
        assert taken(table)[1][0] == 1
    for _ in range(0x10000):
        table.end(codes.LIGHT, 100)
    assert table.glitches[codes.LIGHT] == 0


def test_edges_make_pulses_across_the_wrap_of_the_clock():
    table = pulses.Pulses()
    table.edge(codes.GEAR, 0, 5)
    assert taken(table)[1] == [0] * 5
    table.edge(codes.GEAR, 1, 0x3FFFFFFF - 400)
    table.edge(codes.GEAR, 0, 699)
    assert taken(table) == ([1100, 0, 0, 0, 0], [1, 0, 0, 0, 0])
    table.edge(codes.GEAR, 0, 900)
    assert taken(table)[1] == [0] * 5


def test_interrupts_only_store(monkeypatch):
    clock_us = [0]
    monkeypatch.setattr("time.ticks_us", lambda: clock_us[0], raising=False)
    lines = [FakePin(), None, FakePin(), None, None]
    capture = EdgeCapture(lines, pulses.Pulses())
    for at_us, line, level in ((10, 0, 1), (20, 2, 1), (1510, 0, 0), (2020, 2, 0)):
        clock_us[0] = at_us
        lines[line].edge(level)
    assert taken(capture) == ([1500, 0, 2000, 0, 0], [1, 0, 1, 0, 0])


@pytest.mark.parametrize(
    "readings, counts",
    (((2048,), 2048), ((0, 1), 1), ((0, 0, 0, 1), 0), ((4095,), 4095), ((4100,), 4095), ((1000, 1100), 1050)),
)
def test_the_mean_of_eight_conversions(readings, counts):
    converter = FakeConverter(readings)
    assert Oversampled(converter).counts() == counts
    assert converter.at == 8


def test_an_input_that_is_not_there_reads_as_short():
    assert NotConnected().counts() == 0


def test_never_both_coils_and_off_before_on():
    history = []
    up, down = FakePin(history=history), FakePin(history=history)
    valve = ValveOutputs(up, down, None, 0)
    valve.coils(1, 1)
    assert (up.level, down.level) == (0, 0)
    valve.coils(1, 0)
    up_history, down_history = up.history, down.history
    assert (up.level, down.level) == (1, 0)
    up_history.clear()
    down_history.clear()
    valve.coils(0, 1)
    assert (up.level, down.level) == (0, 1)
    # One list for both pins: the 0 of what goes off stands before the 1.
    assert history == [0, 1]


def test_a_servo_pulse_is_set_when_it_changes_and_without_a_controller_it_is_down():
    servo = FakePwm()
    valve = ValveOutputs(None, None, servo, 1050)
    outputs = Outputs()
    outputs.valve_us = 1900
    for _ in range(3):
        valve.apply(outputs)
    assert (servo.ns, servo.n_set) == (1_900_000, 1)
    valve.hold_down()
    assert (servo.ns, servo.n_set) == (1_050_000, 2)


def test_lamp_light_and_tone_follow_the_outputs():
    light, lamp, tone = FakePin(), FakePin(), FakePwm()
    signals = Signals(light, lamp, tone)
    outputs = Outputs()
    outputs.light, outputs.lamp, outputs.tone_hz = 1, 1, 2000
    signals.apply(outputs)
    signals.apply(outputs)
    assert (light.level, lamp.level, tone.hz, tone.u16, tone.n_set) == (1, 1, 2000, HALF, 2)
    signals.off()
    assert (light.level, lamp.level, tone.u16) == (0, 0, 0)
    Signals(None, None, None).apply(outputs)


@pytest.mark.parametrize("made", (0, 1))
def test_a_broken_switch_wire_reads_not_locked_and_ground(made):
    ground, lock = FakePin(), FakePin()
    contacts = Contacts(None, ground, [lock, None, None, None])
    settings = Settings()
    settings.ground_clear_level = settings.lock_closed_level = made
    contacts.pull_against(settings)
    for pin in (ground, lock):
        pulled_to = {FakePin.PULL_UP: 1, FakePin.PULL_DOWN: 0}[pin.pull]
        assert pulled_to != made


def test_contacts_are_read_and_the_button_is_made_by_ground():
    inputs = Inputs()
    button, ground, locks = FakePin(1), FakePin(1), [FakePin(1), FakePin(0), None, FakePin(1)]
    contacts = Contacts(button, ground, locks)
    contacts.read(inputs)
    assert (inputs.button, inputs.ground_level, inputs.lock_level) == (0, 1, [1, 0, 0, 1])
    button.level = 0
    contacts.read(inputs)
    assert inputs.button == 1
    Contacts(None, None, [None] * 4).read(inputs)
    assert (inputs.button, inputs.ground_level, inputs.lock_level) == (0, 0, [0] * 4)


def record(kind, down_us=1000, up_us=2000):
    """A wiring record."""
    body = struct.pack("<4sB3xHH", b"DLW1", kind, down_us, up_us)
    return body + struct.pack("<I", zlib.crc32(body))


def read_wiring(folder, first, second):
    """The Wiring of two files, None for one that is not there."""
    for name, data in zip(early.FILES, (first, second), strict=True):
        if data is not None:
            (folder / name).write_bytes(data)
    wiring = early.Wiring()
    wiring.read(f"{folder}/")
    return wiring


def test_one_good_copy_of_the_wiring_record_is_enough(tmp_path):
    good = record(codes.VALVE_SERVO)
    for number, pair in enumerate(((good, good), (good, None), (None, good), (good, good[:-1]), (b"", good))):
        folder = tmp_path / str(number)
        folder.mkdir()
        wiring = read_wiring(folder, *pair)
        assert (wiring.kind, wiring.down_us, wiring.up_us, wiring.safe_us) == (codes.VALVE_SERVO, 1000, 2000, 1000)


@pytest.mark.sr("SR-18", "acts")
def test_any_byte_wrong_in_both_copies_is_no_wiring_record(tmp_path):
    good = record(codes.VALVE_SERVO)
    for at in range(len(good)):
        bad = bytes([*good[:at], good[at] ^ 0x10, *good[at + 1 :]])
        wiring = read_wiring(tmp_path, bad, bad)
        assert (wiring.kind, wiring.safe_us) == (codes.VALVE_INVALID, 0), at


@pytest.mark.parametrize("body", (b"DLW2\x03\0\0\0\xe8\x03\xd0\x07", b"DLW1\x03\0\1\0\xe8\x03\xd0\x07"))
def test_a_record_of_another_format_is_none_though_its_checksum_fits(tmp_path, body):
    data = body + struct.pack("<I", zlib.crc32(body))
    assert read_wiring(tmp_path, data, data).kind == codes.VALVE_INVALID


@pytest.mark.sr("SR-18", "acts")
def test_two_good_copies_that_differ_are_no_wiring_record(tmp_path):
    assert read_wiring(tmp_path, record(codes.VALVE_SERVO), record(codes.VALVE_SPRING)).kind == codes.VALVE_INVALID


@pytest.mark.parametrize("kind", (codes.VALVE_INVALID, codes.VALVE_SPRING, codes.VALVE_TWO_COIL))
def test_only_a_servo_valve_has_a_pulse_before_the_controller(tmp_path, kind):
    assert read_wiring(tmp_path, record(kind), None).safe_us == 0


@pytest.mark.parametrize("down_us", (0, 799, 2201))
def test_a_pulse_that_is_none_is_not_given(tmp_path, down_us):
    assert read_wiring(tmp_path, record(codes.VALVE_SERVO, down_us), None).safe_us == 0


def test_what_is_loaded_before_the_controller_has_its_numbers():
    assert (early.INVALID, early.TWO_COIL, early.SERVO) == (
        codes.VALVE_INVALID,
        codes.VALVE_TWO_COIL,
        codes.VALVE_SERVO,
    )
    assert early.SERVO_LOW_US == controller_valve.SERVO_LOW_US
    assert early.SERVO_HIGH_US == controller_valve.SERVO_HIGH_US


def test_the_version_on_the_board_is_the_package_s():
    assert version().split("+")[0].split(" ")[0] == ".".join(str(part) for part in VERSION)


@pytest.mark.parametrize("code", (hold.NO_SET, hold.DAMAGED, hold.STOPPED))
def test_a_held_board_flashes_its_code(code):
    n_steps = hold.cycle_steps(code)
    lit = [hold.lamp_at(step, code) for step in range(n_steps)]
    runs = [len(run) for run in "".join(map(str, lit)).split("0") if run]
    # In steps of 0.1 s; the longest light of an alert is one second.
    assert runs == [20] + [2] * code
    assert lit[-hold.PAUSE_STEPS :] == [0] * hold.PAUSE_STEPS
    assert [hold.lamp_at(step + n_steps, code) for step in range(n_steps)] == lit


@pytest.mark.parametrize("kind", (codes.VALVE_SPRING, codes.VALVE_TWO_COIL, codes.VALVE_SERVO))
def test_a_held_board_holds_down(kind, capsys):
    up, down, servo = FakePin(history=[]), FakePin(history=[]), FakePwm()
    valve = ValveOutputs(up, down, servo, 1000 if kind == codes.VALVE_SERVO else 0)
    held = hold.Hold(valve, Signals(None, FakePin(), None), kind, hold.DAMAGED, "a reason")
    on = []
    for _ in range(210):
        held.step()
        on.append(down.level)
    assert 1 not in up.history
    assert servo.ns == (1_000_000 if kind == codes.VALVE_SERVO else 0)
    # A coil is on for 0.3 s of every 10 s.
    assert sum(on) == (9 if kind == codes.VALVE_TWO_COIL else 0)
    assert capsys.readouterr().out.splitlines() == ["downlock: held DOWN: a reason"] * 21


class Port:
    """Keeps what is written."""

    def __init__(self):
        self.lines = []

    def write(self, line):
        self.lines.append(bytes(line))


def test_the_status_line_is_what_its_documentation_shows():
    port = Port()
    line = statusline.StatusLine(port)
    outputs = Outputs()
    outputs.mode, outputs.pressure_mbar, outputs.cause, outputs.alert, outputs.refusal = 1, 6900, 9, 3, 0
    outputs.link, outputs.switch = 0, 0
    for _ in range(1234 * 50):
        line.step(outputs, 20)
    assert len(port.lines) == 1234
    assert port.lines[-1] == b"t=0001234 gear=0 mode=1 link=0 switch=0 air=06900 cause=9 refusal=00 alert=03\r\n"
    shown = next(text for text in statusline.__doc__.splitlines() if text.strip().startswith("t=0"))
    assert port.lines[-1].decode().strip() == shown.strip()
    # A second that no whole number of ticks fills is not lost.
    slow = statusline.StatusLine(Port())
    for _ in range(10000):
        slow.step(outputs, 30)
    assert len(slow._port.lines) == 300
    outputs.pressure_mbar, outputs.gear_command, outputs.refusal = -1, 1, 13
    for _ in range(50):
        line.step(outputs, 20)
    assert port.lines[-1] == b"t=0001235 gear=1 mode=1 link=0 switch=0 air=----- cause=9 refusal=13 alert=03\r\n"
