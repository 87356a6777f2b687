"""Every proof, grouped by what it is evidence for; the slow ones are deep."""

import pytest

from .contracts import unmet
from .registry import PROOFS

# Seconds each; the others are quicker.
SLOW = (
    "settings: ranges",
    "settings: times",
    "sensor",
    "strokes: 1 sensor",
    "tank: lowest second",
    "mode logic alone: signature on 0",
    "mode logic alone: signature on 4",
    "never vetoed: 2 sensors",
    "second path: 2 sensors",
    "channel: signature on 4",
    "locks: 4 legs",
)


def proofs(*begins):
    """Parameters: the proofs whose names begin so."""
    names = [name for name in PROOFS if name.startswith(begins)]
    assert names
    return [pytest.param(name, marks=pytest.mark.deep) if name in SLOW else name for name in names]


@pytest.mark.parametrize("name", proofs("persist", "steady", "consecutive"))
@pytest.mark.sr("SR-17", "acts")
@pytest.mark.sr("SR-17", "spares")
def test_timers(name):
    PROOFS[name]().assert_proved()


@pytest.mark.parametrize("name", proofs("settings"))
@pytest.mark.sr("SR-30", "acts")
@pytest.mark.sr("SR-34", "acts")
def test_settings(name):
    PROOFS[name]().assert_proved()


@pytest.mark.parametrize("name", proofs("lever", "ground"))
@pytest.mark.sr("SR-16", "acts")
@pytest.mark.sr("SR-21", "acts")
def test_levers_and_ground(name):
    PROOFS[name]().assert_proved()


@pytest.mark.parametrize("name", proofs("locks"))
@pytest.mark.sr("SR-14", "acts")
@pytest.mark.sr("SR-14", "spares")
def test_locks(name):
    PROOFS[name]().assert_proved()


@pytest.mark.parametrize("name", proofs("clock", "watchdog"))
@pytest.mark.sr("SR-31", "acts")
@pytest.mark.sr("SR-31", "spares")
@pytest.mark.sr("SR-33", "acts")
@pytest.mark.sr("SR-33", "spares")
def test_clock_and_watchdog(name):
    PROOFS[name]().assert_proved()


@pytest.mark.parametrize("name", proofs("restarts"))
@pytest.mark.sr("SR-32", "acts")
@pytest.mark.sr("SR-32", "spares")
def test_restarts(name):
    PROOFS[name]().assert_proved()


@pytest.mark.parametrize("name", proofs("valve"))
@pytest.mark.sr("SR-18", "acts")
def test_valve(name):
    PROOFS[name]().assert_proved()


@pytest.mark.parametrize("name", proofs("sensor", "pressure"))
@pytest.mark.sr("SR-05", "acts")
@pytest.mark.sr("SR-05", "spares")
@pytest.mark.sr("SR-09", "spares")
@pytest.mark.sr("SR-34", "acts")
def test_sensors_and_pressure(name):
    PROOFS[name]().assert_proved()


@pytest.mark.parametrize("name", proofs("window", "slope", "strokes"))
@pytest.mark.sr("SR-04", "acts")
@pytest.mark.sr("SR-04", "spares")
@pytest.mark.sr("SR-34", "acts")
def test_strokes(name):
    PROOFS[name]().assert_proved()


@pytest.mark.parametrize("name", proofs("tank"))
@pytest.mark.sr("SR-15", "spares")
@pytest.mark.sr("SR-19", "acts")
def test_tank(name):
    PROOFS[name]().assert_proved()


@pytest.mark.parametrize("name", proofs("judge", "supply"))
@pytest.mark.sr("SR-02", "acts")
@pytest.mark.sr("SR-03", "acts")
@pytest.mark.sr("SR-03", "spares")
@pytest.mark.sr("SR-07", "acts")
@pytest.mark.sr("SR-13", "acts")
@pytest.mark.sr("SR-13", "spares")
def test_judge(name):
    PROOFS[name]().assert_proved()


@pytest.mark.parametrize("name", proofs("mode logic alone"))
@pytest.mark.sr("SR-10", "acts")
def test_mode_logic_for_any_second_path(name):
    PROOFS[name]().assert_proved()


@pytest.mark.parametrize("name", proofs("never vetoed"))
@pytest.mark.sr("SR-11", "spares")
def test_sound_mode_logic_is_never_vetoed(name):
    PROOFS[name]().assert_proved()


@pytest.mark.parametrize("name", proofs("gear: at boot", "channel: at boot", "second path: at boot"))
@pytest.mark.sr("SR-01", "acts")
def test_boot(name):
    PROOFS[name]().assert_proved()


@pytest.mark.deep
def test_what_one_proof_assumes_another_one_proves():
    assert unmet([prove() for prove in PROOFS.values()]) == {}


def test_an_assumption_that_nobody_proves_is_found():
    proof = PROOFS["persist"]()
    assert unmet([proof]) == {"ticks": ["persist"]}
