"""Scenario files: beats to a state at any time, faults, starts, options, and refusals with file and line."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shipped import PATHS, shipped

from controller import codes
from host_sim.errors import InputError
from host_sim.faults import WHOLE_FLIGHT_S
from host_sim.scenario import check_no_clash, load_scenario

from .conftest import SCENARIO


def complaint(path):
    with pytest.raises(InputError) as caught:
        load_scenario(path)
    message = str(caught.value)
    assert message.startswith(str(path)) and "\n" not in message
    return message.removeprefix(str(path))


def test_a_scenario_is_read(files):
    scenario = load_scenario(files.scenario())
    assert (scenario.name, scenario.title, scenario.seed, scenario.duration_s) == ("flight", "A flight", 1, 20.0)
    assert scenario.n_ticks == 1000
    assert scenario.covers == (("SR-08", "acts"),)
    assert (scenario.start.tank_bar, scenario.start.gear_down, scenario.start.altitude_m) == (7.2, True, 0.0)
    assert scenario.start.ambient_k == pytest.approx(288.15)
    (fault,) = scenario.faults
    assert (fault.kind.name, fault.from_s, fault.until_s, fault["hole"]) == ("slow leak", 6.0, 18.0, pytest.approx(0.2))
    assert scenario.fault_lines == (13,)
    assert scenario.aircraft.name == "Curlew 24"


def test_beats_hold_and_ramp(files):
    at = load_scenario(files.scenario()).pilot.at
    assert at(0.0).switch == codes.DOWN
    assert at(4.999).switch == codes.DOWN
    assert at(5.0).switch == codes.UP
    assert at(19.9).switch == codes.UP
    assert [round(at(t).throttle, 6) for t in (0.0, 8.0, 9.0, 9.5, 10.0, 15.0)] == [0.0, 0.0, 0.4, 0.6, 0.8, 0.8]
    assert (at(3.0).light, at(3.0).transmitter, at(3.0).ground, at(3.0).filling) == (0, 1, 1, 0)


def test_a_ramp_starts_from_where_the_last_one_ended(files):
    text = SCENARIO.replace(
        "throttle: 80 %, over: 2 s}", "throttle: 80 %, over: 2 s}\n  - {at: 10 s, throttle: 20 %, over: 3 s}"
    )
    at = load_scenario(files.write(text)).pilot.at
    assert at(10.0).throttle == pytest.approx(0.8)
    assert at(11.5).throttle == pytest.approx(0.5)
    assert at(13.0).throttle == pytest.approx(0.2)


def test_start_and_surroundings(files):
    path = files.scenario("gear: down}", "gear: up, altitude: 1000 m, airspeed: 40 m/s}")
    scenario = load_scenario(path)
    # 1000 m geometric: 281.651 K, U.S. Standard Atmosphere 1976
    assert scenario.start.ambient_k == pytest.approx(281.651, abs=1e-3)
    assert scenario.start.ambient_pa_abs == pytest.approx(89876, abs=10)
    state = scenario.pilot.at(0.0)
    assert (state.altitude_m, state.airspeed_m_s) == (1000.0, 40.0)
    assert not scenario.start.gear_down


def test_options_change_the_aircraft_and_are_named_with_their_own_line(files):
    path = files.scenario("beats:", "options:\n  channels: {light: none}\n  settings: {low_confirm: 300 ms}\nbeats:")
    scenario = load_scenario(path)
    assert scenario.aircraft.settings.light_fitted == 0
    assert scenario.aircraft.settings.low_confirm_ms == 300
    path = files.scenario("beats:", "options:\n  settings: {low_confirm: 300}\nbeats:")
    assert complaint(path).startswith(":9: options.settings.low_confirm: '300' has no unit")


def test_an_aircraft_beside_the_scenario_comes_first(files):
    files.write(files.aircraft("name: Curlew 24", "name: Another").read_text(), "mine.yaml")
    assert load_scenario(files.scenario("curlew24.yaml", "mine.yaml")).aircraft.name == "Another"


def test_a_fault_without_an_end_lasts(files):
    (fault,) = load_scenario(files.scenario(", until: 18 s", "")).faults
    assert fault.until_s == WHOLE_FLIGHT_S


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("title:", "titel:", ":1: the key 'title' is missing"),
        ("seed: 1", "seed: 1\ncolour: red", ":5: unknown key 'colour'"),
        ("seed: 1", "seed: one", ":4: seed: 'one' is not a whole number"),
        ("lasts: 20 s", "lasts: 20", ":5: lasts: '20' has no unit"),
        ("lasts: 20 s", "lasts: 2 h", ":5: lasts: '2 h' is out of range; allowed: 1 s to 3600 s"),
        ("curlew24.yaml", "curlew25.yaml", ":3: aircraft: no file 'curlew25.yaml' beside the scenario"),
        ("SR-08 acts", "SR-8 acts", ":6: covers: 'SR-8 acts' is not a requirement and a side"),
        ("[SR-08 acts]", "[SR-08 acts, SR-08 acts]", ":6: covers: 'SR-08 acts' stands twice"),
        ("[SR-08 acts]", "[]", ":6: covers: names no requirement"),
        ("tank: 7.2 bar", "tank: 7.2", ":7: start.tank: '7.2' has no unit"),
        ("tank: 7.2 bar", "tank: 7.2 bar absolute", ":7: start.tank: '7.2 bar absolute' is absolute"),
        ("tank: 7.2 bar", "tank: 72 bar", ":7: start.tank: '72 bar' is out of range; allowed: 0 bar to 16 bar gauge"),
        ("gear: down}", "gear: dwon}", ":7: start.gear: 'dwon' is not known (did you mean 'down'?)"),
        ("at: 5 s, switch: up", "at: 25 s, switch: up", ":10: beats.at: '25 s' is out of range; allowed: 0 s to 20 s"),
        ("at: 8 s", "at: 4 s", ":11: beats.at: '4 s' is before the beat above it, at 5 s"),
        ("over: 2 s", "over: 13 s", ":11: beats.over: the ramp ends at 21 s, after the flight's end at 20 s"),
        (
            "over: 2 s}",
            "over: 2 s}\n  - {at: 9 s, throttle: 0 %}",
            ":12: beats.throttle: the ramp of throttle from 8 s to 10 s",
        ),
        ("switch: up}", "switch: up}\n  - {at: 5 s, switch: down}", ":11: beats.switch: switch is set twice at 5 s"),
        ("switch: up}", "switch: up, over: 2 s}", ":10: beats: 'over' needs a value that can ramp"),
        ("switch: up}", "swich: up}", ":10: beats: unknown key 'swich' (did you mean 'switch'?)"),
        ("{at: 5 s, switch: up}", "{at: 5 s}", ":10: beats: sets nothing"),
        ("throttle: 80 %", "throttle: 180 %", ":11: beats.throttle: '180 %' is out of range; allowed: 0 % to 100 %"),
        (
            "what: slow leak",
            "what: slow leek",
            ":13: faults.what: 'slow leek' is not known (did you mean 'slow leak'?)",
        ),
        ("hole: 0.2 mm", "hole: 20 mm", ":13: faults.hole: '20 mm' is out of range; allowed: 0.01 mm to 1 mm"),
        ("hole: 0.2 mm", "hole: 0.2", ":13: faults.hole: '0.2' has no unit"),
        ("hole: 0.2 mm", "hale: 0.2 mm", ":13: faults: unknown key 'hale' (did you mean 'hole'?)"),
        ("until: 18 s", "until: 5 s", ":13: faults.until: '5 s' is not after its beginning, 6 s"),
        ("until: 18 s", "until: 21 s", ":13: faults.until: '21 s' is out of range"),
        ("from: 6 s", "from: -6 s", ":13: faults.from: '-6 s' is out of range"),
        ("from: 6 s, until: 18 s", "from: 20 s", ":13: faults.from: is the end of the flight"),
        (
            "what: slow leak, from: 6 s",
            "what: settings differ, from: 6 s",
            "acts on the start of the flight and takes no times",
        ),
        (
            "what: slow leak, from: 6 s, until: 18 s, hole: 0.2 mm",
            "what: jammed leg, from: 6 s, leg: 4",
            ":13: faults.leg: '4': Curlew 24 has 3 legs",
        ),
        ("beats:\n", "beats: none\nfaulty:\n", ":8: beats: is a single value; wanted is a list"),
    ],
)
def test_a_mistake_is_named_with_its_line(files, old, new, says):
    assert says in complaint(files.scenario(old, new))


def test_titles_must_differ(files):
    first = load_scenario(files.scenario())
    with pytest.raises(InputError, match="is also the title of"):
        check_no_clash([first, first])
    check_no_clash([first])


def test_the_shipped_scenarios_have_titles_of_their_own():
    assert len(PATHS) >= 36
    check_no_clash([shipped(path) for path in PATHS])


LINES = SCENARIO.split("\n")


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_bent_file_is_read_or_refused_in_one_line(tmp_path_factory, data):
    """One piece of one line replaced by a piece of another line, or by rubbish."""
    index = data.draw(st.integers(0, len(LINES) - 2))
    pieces = LINES[index].split(" ")
    rubbish = st.sampled_from(
        ["", "0", "-1", "s", "7 bar", "[]", "{}", "none", "999999999999 s", "*", "'", "1e9", "\u00e9"]
    )
    other = st.sampled_from([piece for line in LINES for piece in line.split(" ") if piece])
    pieces[data.draw(st.integers(0, len(pieces) - 1))] = data.draw(rubbish | other)
    text = "\n".join([*LINES[:index], " ".join(pieces), *LINES[index + 1 :]])
    path = tmp_path_factory.mktemp("bent") / "bent.yaml"
    path.write_text(text, encoding="utf-8")
    try:
        load_scenario(path)
    except InputError as error:
        assert "\n" not in str(error) and ".yaml" in str(error)
