"""The live view: what each input reads, and that nothing is ever sent."""

from dataclasses import replace

import pytest

from host_sim.commission.readings import RAIL_OFF, SHORT
from host_sim.commission.step import Setting
from host_sim.commission.watch import input_rows, watch

from .rig import Bench


def _rows(name="curlew24", **changes):
    """{name: text} of a second on an invented bench, with fields of every line changed; glitches 2 on the gear before."""
    bench = Bench(name)
    on = bench.session._on
    seen = [replace(one, **changes) for one in on.board.watch(1.0)]
    return {row.name: row.text for row in input_rows(on, seen, (2, 0, 0, 0, 0))}


def test_nothing_is_sent():
    bench = Bench("curlew24")
    watch(bench.session._on, bench.said.append, range(3))
    assert bench.events == []
    assert [line[:9].strip() for line in bench.said if line[:9].strip()] == ["1 s", "2 s", "3 s"]
    assert bench.said[-1].endswith("no change")


@pytest.mark.parametrize(
    ("changes", "row", "text"),
    [
        ({"counts": (4000, 0)}, "sensor a", f"{SHORT} (code 4000)"),
        ({"rail_counts": 300}, "sensor a", f"{RAIL_OFF} (code"),
        ({"rail_counts": 300}, "rail", "0.48 V"),
        ({"pulse_us": (1500, 1500, 0, 0, 0)}, "gear", "1500 us, between, "),
        ({"pulse_us": (1500, 1500, 0, 0, 0)}, "throttle", "1500 us, between (50 %), "),
        ({"fresh": (0, 5, 5, 5, 0), "glitch": (9, 0, 0, 0, 0)}, "gear", "no pulses, 7 dropped as glitches"),
        ({"glitch": (1, 0, 0, 0, 0)}, "gear", "65535 dropped as glitches"),
        ({"button": 1}, "button", "pressed"),
    ],
)
def test_what_an_input_reads(changes, row, text):
    assert text in _rows(**changes)[row]


def test_contacts_by_the_levels_of_the_file():
    rows = _rows("tern30", lock_level=(0, 1, 1, 0), ground_level=1)
    assert rows["lock nose"] == "not locked (pin low)" and rows["lock left"] == "locked (pin high)"
    assert rows["ground switch"] == "clear of the ground (pin high)"


def test_the_unit_is_the_readers():
    bench = Bench("curlew24")
    on = Setting(bench.aircraft, bench.session._on.board, bench.person, "kPa")
    watch(on, bench.said.append, range(1))
    (line,) = [line for line in bench.said if "sensor a" in line]
    assert " kPa gauge (code " in line
