"""Lines of the protocol: what the board's own program says is understood, what is spoilt is refused by name."""

import subprocess
import sys
from pathlib import Path

import pytest

from host_sim.commission.lines import LinkError, parse_seen, seconds_between

RAW = (
    "see t=12300 pulse=1100,1500,1100,0,0 fresh=5,5,5,0,0 glitch=0,0,0,0,0 counts=410,0 rail=3102 supply=2048 "
    "lock=0,0,0,0 ground=1 button=0 drive=off"
)
FLYING = RAW + (
    " tick=500 mode=1 cmd=0 link=0 switch=0 cause=9 refusal=0 alert=3 mbar=-1 locked=0 coil=0,0 servo=1100 light=0 "
    "lamp=1 tone=0 fed=5 late=0"
)


def test_what_the_board_side_prints_is_understood():
    # The board's own file, on CPython in a process of its own: it wants a module that only boards have.
    said = subprocess.run(
        [
            sys.executable,
            "-c",
            "import runpy; runpy.run_module('tests.commission.said_by_the_board', run_name='__main__')",
        ],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[2],
    ).stdout.splitlines()
    raw, flying = parse_seen(said[0]), parse_seen(said[1])
    assert (raw.t_ms, raw.pulse_us, raw.counts) == (12300, (1100, 1500, 1100, 0, 2200), (410, 4095))
    assert (raw.fresh, raw.glitch) == ((3, 0, 0, 0, 1), (0, 0, 7, 0, 0))
    assert (raw.rail_counts, raw.supply_counts, raw.lock_level) == (3102, 2048, (0, 1, 0, 1))
    assert (raw.ground_level, raw.button, raw.drive, raw.flying) == (1, 0, "off", None)
    assert (flying.t_ms, flying.flying.tick, flying.flying.mbar, flying.flying.command) == (5, 500, 6900, 1)
    assert (flying.flying.cause, flying.flying.fed, flying.flying.late) == (9, 5, 1)
    assert said[2:] == ["no drive up: the controller runs", "ok drive up", "ok show lamp", "no fly high: not known"]


def test_a_flying_line():
    flying = parse_seen(FLYING).flying
    assert (flying.mode, flying.command, flying.alert, flying.mbar, flying.coil, flying.servo_us, flying.lamp) == (
        (1, 0, 3, -1, (0, 0), 1100, 1)
    )


def test_more_than_is_known_is_passed_over():
    assert parse_seen(RAW + " new=7").t_ms == 12300


@pytest.mark.parametrize(
    ("old", "new", "named"),
    [
        ("counts=410,0", "counts=410", "counts='410'"),
        ("counts=410,0", "counts=410,5000", "0 to 4095"),
        ("pulse=1100", "pulse=11x0", "pulse='11x0"),
        ("rail=3102 ", "", "rail=''"),
        ("drive=off", "drive=left", "drive='left'"),
        ("cause=9", "cause=10", "cause='10'"),
        ("mode=1", "mode=", "mode=''"),
    ],
)
def test_a_spoilt_line_is_refused_by_its_field(old, new, named):
    assert old in FLYING
    with pytest.raises(LinkError) as caught:
        parse_seen(FLYING.replace(old, new))
    assert named in str(caught.value) and "\n" not in str(caught.value)


def test_time_over_the_wrap_of_the_clock():
    before, after = (parse_seen(RAW.replace("t=12300", f"t={t}")) for t in ((1 << 30) - 50, 150))
    assert seconds_between(before, after) == pytest.approx(0.2)
