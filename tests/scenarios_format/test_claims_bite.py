"""Claims must be able to fail: each scenario is flown with controllers that are plainly wrong."""

from dataclasses import replace

import pytest
from shipped import PATHS, quick_and_deep, shipped

from controller import codes
from controller.channels import Frames, Switch
from controller.limits import Limits
from controller.packing import choose
from controller.settings import Settings
from host_sim.claims import judge
from host_sim.engines import CPythonEngine
from host_sim.flight import fly
from host_sim.scenario import SCENARIO_DIR

JUMPY_AFTER_TICKS = 250
EARLY_S = 12.0


class Idle:
    """Does nothing but feed its watchdog: the other outputs stay as they were made, the gear command at DOWN."""

    def start(self, inputs):
        pass

    def tick(self, inputs, outputs):
        outputs.feed = 1

    def restart(self):
        pass


class Follower(Idle):
    """Has no judgement: the valve follows the switch, whatever else the inputs say."""

    def start(self, inputs):
        settings = Settings()
        choose(inputs.settings_a, inputs.settings_b, settings, Settings())
        self.frames = Frames(settings, Limits(settings))
        self.switch = Switch(settings)
        self.valve_kind = inputs.valve_kind

    def tick(self, inputs, outputs):
        self.frames.step(inputs)
        self.switch.step(self.frames.valid, 0, inputs.pulse_us[codes.GEAR])
        self.command(self.switch.position == codes.UP, outputs)

    def command(self, up, outputs):
        outputs.feed = 1
        outputs.switch = self.switch.position
        outputs.link = codes.LINK_GOOD
        outputs.gear_command = codes.UP if up else codes.DOWN
        outputs.mode = codes.MODE_UP if up else codes.MODE_DOWN
        outputs.coil_up = int(up)
        outputs.coil_down = int(not up and self.valve_kind == codes.VALVE_TWO_COIL)


class Jumpy(Follower):
    """Follows the switch at first; five seconds after a retraction it puts the gear down for good, with every alert."""

    def start(self, inputs):
        super().start(inputs)
        self.up_ticks = 0

    def command(self, up, outputs):
        self.up_ticks += int(up)
        jumped = self.up_ticks > JUMPY_AFTER_TICKS
        super().command(up and not jumped, outputs)
        outputs.brakes_on = 1
        outputs.active[1:] = [1] * (codes.N_ALERTS - 1)
        outputs.alert, outputs.severity = codes.ALERT_FORCED, codes.WARNING


def broken(scenario, engine):
    """Texts of the claims that do not hold."""
    return [verdict.claim_text for verdict in judge(scenario, fly(scenario, engine)) if not verdict.holds]


def broken_early(scenario, engine):
    """The same, of the first EARLY_S of the flight: what is broken there is broken whatever comes later.

    Counted are moments and spans that end by then, and the beginnings of longer spans in which something must never or
    always be.
    """
    claims = []
    for claim in scenario.claims:
        if claim.kind in ("never", "always") and claim.from_s < EARLY_S < claim.until_s:
            claim = replace(claim, until_s=EARLY_S)
        if claim.kind in ("never", "always", "by", "at") and claim.until_s <= EARLY_S:
            claims.append(claim)
    return broken(replace(scenario, duration_s=EARLY_S, claims=tuple(claims)), engine) if claims else []


@pytest.mark.parametrize("path", quick_and_deep(24), ids=lambda path: path.stem)
def test_doing_nothing_breaks_a_claim(path):
    scenario = shipped(path)
    assert broken_early(scenario, Idle()) or broken(scenario, Idle())


def test_a_claim_is_not_called_broken_before_its_time():
    """A control: the real controller breaks none in the first seconds of a flight whose claims all hold."""
    assert broken_early(shipped(SCENARIO_DIR / "slow_leak_gear_up.yaml"), CPythonEngine()) == []


@pytest.mark.deep
@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_having_no_judgement_breaks_a_claim_where_the_controller_must_act(path):
    scenario = shipped(path)
    if any(side == "acts" for _, side in scenario.covers):
        assert broken(scenario, Follower())
    else:
        assert {side for _, side in scenario.covers} <= {"spares", "limit"}


@pytest.mark.deep
@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_crying_wolf_breaks_a_claim_where_the_pilot_must_be_spared(path):
    scenario = shipped(path)
    if any(side == "spares" for _, side in scenario.covers):
        assert broken(scenario, Jumpy())
    else:
        assert {side for _, side in scenario.covers} <= {"acts", "limit"}
