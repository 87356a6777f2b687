"""The words of boards/WIRING.md against the program: lamp and tone, the lines for an ESP32, the steps of the bring-up."""

import re

import pytest

from controller import alerts, codes
from controller.frames import Inputs, Outputs
from controller.tick import Controller
from host_sim import cli
from host_sim.aircraft import AIRCRAFT_DIR, load_aircraft
from host_sim.commission import plan, steps_gear, steps_radio, steps_signals
from tests.boards import wiring, wiring_lamp
from tests.boards.wiring_tables import esp32_block, filled

PAGE = wiring.PAGE.read_text("utf-8")
BRING_UP = " ".join(PAGE.split("## Bring-up")[1].split("\n## ")[0].split())


def test_flashes_are_counted_and_measured():
    assert wiring_lamp.flashes(alerts.DARK) == ((), 16)
    assert wiring_lamp.flashes(alerts.QUICK) == ((2, 1), 8)
    assert wiring_lamp.flashes(alerts.LONG_PAIR) == ((2,), 4)
    assert wiring_lamp.flashes(alerts.SLOW) == ((8,), 16)
    assert wiring_lamp.flashes(0b1100000000000011) == ((4,), 16), "a flash over the end is one"
    assert wiring_lamp.lamp_words(alerts.TRIPLE) == "three flashes of 1/8 s, every 2 s"
    assert wiring_lamp.lamp_words(alerts.QUICK) == "a flash of 1/4 s and one of 1/8 s, every 1 s"


def test_every_alert_has_its_row_and_a_changed_one_is_out_of_date(monkeypatch):
    rows = wiring_lamp.alert_rows()
    assert [row[0] for row in rows] == list(codes.ALERT_WORDS[1:])
    assert [row[1:] for row in rows if row[0] == "air low"] == [
        ("caution", "three flashes of 1/8 s, every 2 s", "`··█·█·█·········`", "1200 Hz")
    ]
    assert filled(PAGE) == PAGE
    changed = list(alerts.TABLE)
    changed[-1] = (*changed[-1][:3], 500)
    monkeypatch.setattr(wiring_lamp, "TABLE", tuple(changed))
    assert filled(PAGE) != PAGE


def test_a_held_board_shows_what_no_alert_does():
    longest_s = max(max(wiring_lamp.flashes(row[alerts.PATTERN])[0], default=0) for row in alerts.TABLE) * 0.125
    assert wiring_lamp.hold_s("LONG_STEPS") >= 2 * longest_s
    held = [row for row in wiring_lamp.self_test_rows() if "held DOWN" in row[2]]
    assert [row[0].startswith("**2 s of light**, ") for row in held] == [True] * 3


def _alert_on_usb(name):
    """What shows ten seconds after power-on with nothing but USB: no pulse, every input of the converter at 0."""
    craft, inputs, outputs = load_aircraft(AIRCRAFT_DIR / f"{name}.yaml"), Inputs(), Outputs()
    inputs.settings_a = inputs.settings_b = craft.packed
    inputs.valve_kind = craft.valve_kind
    controller = Controller(inputs)
    for tick in range(500):
        inputs.now_ms = 20 * tick
        controller.tick(inputs, outputs)
    return codes.ALERT_WORDS[outputs.alert]


def test_what_shows_with_usb_alone():
    assert _alert_on_usb("curlew24") == "pressure unknown"
    assert _alert_on_usb("tern30") == "not locked"
    assert "*pressure unknown*, since the sensors have no 5 V: three flashes **with the tone** of 800 Hz" in BRING_UP
    assert "Lock switches that are not plugged in yet make it *not locked*" in BRING_UP
    row = next(row for row in wiring_lamp.alert_rows() if row[0] == "pressure unknown")
    assert (row[2], row[4]) == ("three flashes of 1/8 s, every 2 s", "800 Hz")


def _checked(tmp_path, block):
    """Exit status of `downlock check` of a copy of curlew24 in which each value of a block of YAML is taken over."""
    text = (AIRCRAFT_DIR / "curlew24.yaml").read_text("utf-8")
    lines = [line for line in block.splitlines() if re.match(r" +\w+: .", line)]
    assert len(lines) == 4
    for line in lines:
        key = line.split(":")[0].strip()
        text, n = re.subn(rf"(?m)^ +{key}: .*$", line, text)
        assert n == 1, key
    path = tmp_path / "mine.yaml"
    path.write_text(text, "utf-8")
    return cli.main(["check", str(path)])


def test_lines_for_an_esp32_are_accepted_as_printed(tmp_path, capsys):
    block = PAGE.split("<!-- made: esp32 -->\n")[1].split("<!-- end -->")[0]
    assert block.strip() == esp32_block()
    assert _checked(tmp_path, block) == 0
    capsys.readouterr()
    assert _checked(tmp_path, block.replace("divider: 0.1 %", "divider: 0.5 %")) == 1
    assert "worst_error: 0.150 bar is less than its parts add up to" in capsys.readouterr().out


def test_bring_up_names_every_step_of_the_bench_and_no_other():
    named = [name for name in re.findall(r"--only (\w+)", BRING_UP) if name != "NAME"]
    assert set(named) == set(plan.NAMES)
    # The order of the page is that of the bench; the trials do not count.
    counted = re.findall(r"--only (\w+)(?! --record)\b", BRING_UP)
    first = [counted.index(name) for name in ("board", "channels", "zero", "gauge", "extension", "low_air", "restart")]
    assert first == sorted(first)


def test_bring_up_asks_what_the_bench_asks():
    assert f"within {steps_radio.END_WITHIN_US} us of the file" in BRING_UP
    assert f"within {100 * steps_signals.SUPPLY_WITHIN:g} % of the meter" in BRING_UP
    assert f"to {steps_gear.LOCK_ABOVE_BAR:g} bar above `lock_min`" in BRING_UP
    assert f"goes {steps_gear.LOCK_STEP_BAR:g} bar lower each time" in BRING_UP


def test_pressures_of_the_bring_up_are_those_of_the_file():
    craft = load_aircraft(AIRCRAFT_DIR / "curlew24.yaml")
    third_bar, lock_min_bar = craft.fill_bar / 3, craft.settings.lock_min_mbar / 1000
    assert third_bar < lock_min_bar
    assert f"Curlew 24: {third_bar:g} bar against `lock_min` of {lock_min_bar:g} bar" in BRING_UP
    assert f"`retract_above` (Curlew 24: {craft.settings.retract_above_mbar / 1000:g} bar)" in BRING_UP


@pytest.mark.parametrize("what", ["shortest pulse it lets through", "longest pulse it lets through"])
def test_the_one_shot_goes_out_when_the_page_says(what):
    value_s = float(re.search(rf"\| one-shot \| {what} \| ([0-9.]+) s", PAGE)[1])
    low_s, high_s = re.search(r"within ([0-9.]+) to ([0-9.]+) s, with the wire", BRING_UP).groups()
    assert round(value_s, 1) in (float(low_s), float(high_s))
