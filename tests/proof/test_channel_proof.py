"""Proof of the gear channel, both decoders side by side, for every pulse, state and setting that passes the checks."""

import pytest

from controller.codes import GEAR

from .channel_model import ASSUMES, Frames, Link, RawSwitch, Switch, after, assumptions, build, goals, unknowns
from .proving import Proof


def prove_channel(channel):
    s = unknowns()
    merge = [
        (Frames, "step"),
        (Link, "step"),
        (Switch, "_classify"),
        (RawSwitch, "_frame_width"),
        (RawSwitch, "_watch_link"),
        (RawSwitch, "_side"),
    ]
    proof = Proof(f"channel: signature on {channel}", assumptions(s), merge, ASSUMES)

    def step():
        frames, link, switch, raw, inputs = build(proof, s, channel)
        frames.step(inputs)
        link.step(frames.valid)
        switch.step(frames.valid, link.broke, inputs.pulse_us[GEAR])
        raw.step(inputs)
        return after(s, frames, link, switch, raw)

    return proof.run(step, lambda n: goals(s, n, channel))


@pytest.mark.parametrize("channel", [0, pytest.param(4, marks=pytest.mark.deep)])
@pytest.mark.sr("SR-11", "acts")
@pytest.mark.sr("SR-06", "acts")
@pytest.mark.sr("SR-09", "acts")
def test_channel_for_all_inputs(channel):
    prove_channel(channel).assert_proved()
