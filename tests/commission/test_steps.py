"""Every step passes on an invented bench, and every step is failed by a defect: none is a formality."""

import pytest

from controller import codes
from host_sim.commission.defects import CATALOGUE
from host_sim.commission.plan import ALL
from host_sim.commission.step import ACCEPTED, NOT_PASSED, PASSED

from .rig import Bench, aircraft, verdict

# Half a second to a second each.
SLOW = ("slow gear", "stiff gear", "leak", "sensor gain", "coil on while booting")
DEFECTS = [pytest.param(name, marks=pytest.mark.deep if name in SLOW else ()) for name in CATALOGUE]
QUICK = (
    "board",
    "channels",
    "ends",
    "receiver",
    "switches",
    "signals",
    "supply",
    "zero",
    "gauge",
    "valve",
    "locks",
    "alert",
)


def test_every_step_has_a_defect_that_fails_it():
    assert {one.step for one in CATALOGUE.values()} == {step.name for step in ALL}


@pytest.mark.parametrize("name", DEFECTS)
def test_a_defect_is_found_by_its_step(name):
    defect = CATALOGUE[name]
    model = "curlew24" if defect.needs(aircraft("curlew24")) else "tern30"
    result = verdict(model, defect.step, name)
    assert result.verdict == NOT_PASSED and result.why


def test_steps_that_are_quick_pass_without_a_defect():
    results = Bench("tern30", QUICK).run()
    assert {one.step: one.verdict for one in results} == dict.fromkeys(QUICK, PASSED)


@pytest.mark.deep
def test_the_whole_of_a_spring_return_valve():
    results = Bench("curlew24").run()
    assert len(results) == len(ALL) - 1
    assert {one.verdict for one in results} == {PASSED}
    rows = {key for one in results for key in one.rows}
    assert rows == {"zero", "gauge", "extensions", "drops", "lock_minimum", "leak_down"}


@pytest.mark.deep
def test_the_whole_of_a_two_coil_valve_needs_a_name():
    results = {one.step: one for one in Bench("tern30").run()}
    assert len(results) == len(ALL)
    assert results.pop("falls").verdict == ACCEPTED
    assert {one.verdict for one in results.values()} == {PASSED}


def test_a_receiver_that_holds_is_not_ready_with_the_gear_up():
    result = verdict("curlew24", "transmitter_off", "receiver holds")
    assert result.verdict == NOT_PASSED
    assert "command still UP 10 s after; link good" in result.seen
    assert "NOT READY" in result.why[0]


@pytest.mark.deep
def test_a_leg_that_never_reads_locked_gives_no_time():
    result = verdict("tern30", "extension", "lock wire off")
    assert result.why == ["not every leg locked"] and not result.rows


def test_a_valve_that_stays_up_is_accepted_by_name_only():
    bench = Bench("tern30", ("falls",))
    (result,) = bench.run()
    assert (result.verdict, result.accepted_by) == (ACCEPTED, bench.person.name)
    bench = Bench("tern30", ("falls",))
    bench.person.accepts = False
    (result,) = bench.run()
    assert (result.verdict, result.accepted_by) == (NOT_PASSED, "")


def test_a_spring_valve_that_stays_up_cannot_be_accepted():
    bench = Bench("curlew24", ("falls",), "valve stays up")
    bench.person.accepts = True
    (result,) = bench.run()
    assert result.verdict == NOT_PASSED
    assert "has to" in result.why[0]
    assert not any("type this sentence" in line for line in bench.said)


def test_a_receiver_that_holds_is_told_from_a_wrong_preset():
    assert "goes on sending UP" in verdict("curlew24", "receiver", "receiver holds").why[0]


def test_another_alert_in_place_of_the_expected_one():
    for name in ("curlew24", "tern30"):
        result = verdict(name, "alert", "sensor plug off")
        assert result.why == [
            "the alert that shows is 'pressure unknown', not 'link lost': mend what it tells of, and repeat"
        ]


@pytest.mark.parametrize("step", ["ends", "alert"])
def test_controls_are_put_back_when_asked(step):
    bench = Bench("tern30", (step,))
    for channel in (codes.THROTTLE, codes.BRAKE, codes.LIGHT):
        bench.link.model.lever(channel, 1)
    bench.run()
    state = bench.link.model.hands.state
    assert (state.switch, state.throttle, state.brake, state.light) == (codes.DOWN, 0.0, 0.0, 0)


def test_no_word_of_a_ground_switch_that_is_not_there():
    for name, there in (("curlew24", False), ("tern30", True)):
        bench = Bench(name, ("switches",))
        bench.run()
        assert any("ground" in line.lower() or "wheels" in line for line in bench.said[3:]) == there


def test_each_thing_that_the_alert_shows_is_asked_for():
    assert verdict("curlew24", "alert", "lamp dark").why[0] == "the lamp is not seen"
    assert verdict("curlew24", "alert", "tone silent").why == ["the tone is not heard"]


def test_what_an_end_that_is_off_proposes_for_the_file():
    (line,) = verdict("curlew24", "ends", "short throttle").propose
    assert line == "channels: throttle: {idle: 1196 us, full: 1894 us}"
    assert verdict("curlew24", "ends").propose == []
    reversed_ends = verdict("curlew24", "ends", "gear reversed")
    assert "gear is reversed" in reversed_ends.why[0]
    assert reversed_ends.propose == ["channels: gear: {down: 1894 us, up: 1107 us}"]


def test_numbers_are_measured_not_made_up():
    result = verdict("tern30", "zero")
    # The specimen's zero is 18 mbar off, and a code of the sensor is 3 mbar.
    assert result.rows["zero"] == pytest.approx(0.018, abs=0.005)
    result = verdict("tern30", "zero", "sensor zero")
    assert "4.4 psi gauge" in result.seen[0]
