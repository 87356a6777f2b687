"""The receiver alone: frames, pulses that end one after the other, and what it does on a loss."""

import pytest

from controller import codes
from host_sim.devices import Receiver, ReceiverSpec

STEADY = {"jitter_ms": 0.0, "noise_us": 0.0}
DOWN = [0.0, 0.0, 0.0, 0.0, 0.0]
UP = [1.0, 0.0, 0.0, 0.0, 0.0]


def run(receiver, until_ms, sticks=DOWN, from_ms=0, step_ms=20):
    """[(pulse_us, fresh)] of each sample."""
    pulse_us = [0] * 5
    rows = []
    for t_ms in range(from_ms, until_ms, step_ms):
        fresh = [0] * 5
        receiver.sample(t_ms * 1000, sticks, pulse_us, fresh)
        rows.append((list(pulse_us), fresh))
    return rows


def test_a_pulse_of_every_channel_every_frame():
    rows = run(Receiver(ReceiverSpec(**STEADY), 1), 2000)
    assert all(fresh == [1] * 5 for _, fresh in rows[3:])
    assert rows[-1][0] == [1100, 1100, 1100, 1100, 1500]


def test_sticks_become_widths():
    rows = run(Receiver(ReceiverSpec(**STEADY), 1), 200, sticks=[1.0, 0.5, 0.25, 1.0, 0.0])
    assert rows[-1][0] == [1900, 1500, 1300, 1900, 1500]


@pytest.mark.parametrize("frame_ms", [11.0, 15.0, 27.0, 40.0])
def test_frames_need_not_match_the_tick(frame_ms):
    rows = run(Receiver(ReceiverSpec(frame_ms=frame_ms, **STEADY), 1), 4000)
    share = sum(fresh[codes.GEAR] for _, fresh in rows) / len(rows)
    assert share == pytest.approx(min(1.0, 20.0 / frame_ms), abs=0.02)


def test_channels_of_one_frame_end_at_different_moments():
    rows = run(Receiver(ReceiverSpec(**STEADY), 1), 400, step_ms=1)
    ends = [[t for t, (_, fresh) in enumerate(rows) if fresh[channel]] for channel in range(5)]
    first = [next(t for t in times if t >= ends[0][1]) for times in ends]
    assert first == sorted(first)
    assert len(set(first)) == 5


def test_jitter_noise_and_resolution():
    receiver = Receiver(ReceiverSpec(jitter_ms=2.0, noise_us=3.0, resolution_us=4.0), 1)
    rows = run(receiver, 4000)
    widths = {pulse[codes.GEAR] for pulse, _ in rows[2:]}
    assert len(widths) > 2
    assert all(width % 4 == 0 for width in widths)
    assert 0 < sum(not fresh[codes.GEAR] for _, fresh in rows) < 60


def lost_rows(on_loss, off_from_ms=200):
    receiver = Receiver(ReceiverSpec(on_loss=on_loss, failsafe_delay_ms=100.0, **STEADY), 1)
    run(receiver, off_from_ms, sticks=UP)
    receiver.transmitter_on = False
    return run(receiver, 1000, sticks=DOWN, from_ms=off_from_ms)


@pytest.mark.parametrize("on_loss", ["silent", "preset", "hold"])
def test_loss_repeats_the_last_pulses_first(on_loss):
    assert all(pulse[codes.GEAR] == 1900 and fresh[codes.GEAR] for pulse, fresh in lost_rows(on_loss)[:4])


def test_loss_silent():
    assert not any(fresh[codes.GEAR] for _, fresh in lost_rows("silent")[8:])


def test_loss_preset_sends_all_channels_and_the_signature():
    assert all(pulse == [1100, 1100, 1100, 1100, 2100] and fresh == [1] * 5 for pulse, fresh in lost_rows("preset")[8:])


def test_loss_hold():
    assert all(pulse[codes.GEAR] == 1900 and fresh[codes.GEAR] for pulse, fresh in lost_rows("hold"))


def test_link_comes_back():
    receiver = Receiver(ReceiverSpec(**STEADY), 1)
    receiver.link_off = True
    run(receiver, 1000)
    receiver.repair()
    rows = run(receiver, 1400, sticks=UP, from_ms=1000)
    assert rows[-1] == ([1900, 1100, 1100, 1100, 1500], [1] * 5)


def test_stutter_drops_frames_by_turns():
    receiver = Receiver(ReceiverSpec(failsafe_delay_ms=0.0, **STEADY), 1)
    receiver.stutter_off_us, receiver.stutter_on_us = 300_000, 200_000
    share = sum(fresh[0] for _, fresh in run(receiver, 5000)) / 250
    assert share == pytest.approx(0.4, abs=0.03)


def test_wire_off_swap_reverse_and_stuck():
    receiver = Receiver(ReceiverSpec(**STEADY), 1)
    receiver.wire_off[codes.LIGHT] = True
    receiver.order[codes.GEAR], receiver.order[codes.BRAKE] = codes.BRAKE, codes.GEAR
    receiver.reversed[codes.THROTTLE] = True
    pulse, fresh = run(receiver, 200, sticks=UP)[-1]
    assert pulse == [1100, 1900, 1900, 0, 1500]
    assert fresh == [1, 1, 1, 0, 1]
    receiver.repair()
    receiver.stuck_us[codes.GEAR] = 1700
    assert run(receiver, 400, from_ms=200)[-1][0][codes.GEAR] == 1700


@pytest.mark.parametrize("burst", [1, 4])
def test_glitches_hit_their_share_in_bursts(burst):
    receiver = Receiver(ReceiverSpec(**STEADY), 1)
    receiver.glitch[codes.GEAR] = (0.2, burst, 2300.0, 2400.0)
    hit = [pulse[0] >= 2300 for pulse, _ in run(receiver, 40_000)]
    assert sum(hit) / len(hit) == pytest.approx(0.2, abs=0.05)
    starts = sum(now and not before for before, now in zip(hit, hit[1:], strict=False))
    assert sum(hit) / starts >= burst


def test_bad_records_are_refused():
    with pytest.raises(ValueError, match="on_loss: 'lost' is not one of silent, preset, hold"):
        ReceiverSpec(on_loss="lost")
    with pytest.raises(ValueError, match="preset_us: needs 5 pulse widths"):
        ReceiverSpec(preset_us=(1100,))
