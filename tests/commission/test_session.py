"""The order of things: cautions before anything moves, outputs safe after every step, nothing lost when it ends early."""

import pytest

from host_sim.commission.person import Operator
from host_sim.commission.plan import ALL
from host_sim.commission.step import GEAR_MOVES, NOT_PASSED, PASSED, SKIPPED, Skip, Stop

from .rig import Bench

MOVING = ("drive up", "drive down", "fly")


def _one(name, step):
    bench = Bench(name, (step,))
    bench.run()
    return bench.events


@pytest.mark.parametrize(
    "step", ["board", "switches", "signals", "supply", "receiver", "zero", "valve", "locks", "alert"]
)
def test_the_caution_comes_before_anything_is_driven(step):
    (found,) = [one for one in ALL if one.name == step]
    events = _one("tern30", step)
    driven = [n for n, event in enumerate(events) if event[0] == "sent" and event[1] in MOVING]
    cleared = [n for n, event in enumerate(events) if event == ("done", "clear")]
    if driven:
        assert found.moves and cleared and cleared[0] < driven[0]
    assert bool(cleared) == bool(found.moves)


def test_steps_that_drive_the_valve_say_that_the_gear_moves():
    driving = {"valve", "falls", "extension", "lock_minimum", "transmitter_off", "low_air", "restart"}
    assert {one.name for one in ALL if one.moves.startswith(GEAR_MOVES)} == driving


def test_outputs_are_safe_after_every_step():
    bench = Bench("curlew24", ("valve", "alert"))
    bench.run()
    sent = [line for kind, line in bench.events if kind == "sent"]
    assert sent[-3:] == ["raw", "drive off", "show none"]
    assert "drive off" in sent[sent.index("drive up") : sent.index("fly")]


def test_a_gear_left_up_is_driven_down_with_a_warning_first():
    bench = Bench("tern30", ("valve",))
    answers = iter([True, False])
    bench.person.yes = lambda key, text: next(answers)
    (result,) = bench.run()
    assert result.verdict == NOT_PASSED
    bench.link.pass_time(2.0)
    assert bench.link.model.gear() == "down"
    last_up = max(n for n, event in enumerate(bench.events) if event == ("sent", "drive up"))
    after = bench.events[last_up + 1 :]
    assert after.index(("done", "clear")) < after.index(("sent", "raw"))


def test_a_board_with_other_settings_ends_the_session():
    bench = Bench("curlew24", ("board", "channels"), "other settings")
    (result,) = bench.run()
    assert (result.step, result.verdict) == ("board", NOT_PASSED)
    assert any("nothing counts" in line.lower() for line in bench.said)


def test_stop_keeps_what_has_passed_and_leaves_the_board_safe():
    bench = Bench("curlew24", ("supply", "valve", "alert"))
    bench.person.stop_at = "fill"
    results = bench.run()
    assert [(one.step, one.verdict) for one in results] == [("supply", PASSED), ("valve", SKIPPED)]
    assert [one.step for one in bench.kept] == ["supply", "valve"]
    assert bench.session.stopped
    assert bench.events[-1] == ("sent", "show none")


def test_nothing_is_called_kept_that_is_not():
    for steps, is_kept, said in ((("supply", "valve"), True, True), (("supply", "valve"), False, False)):
        bench = Bench("curlew24", steps)
        bench.session._is_kept = lambda is_kept=is_kept: is_kept
        bench.person.stop_at = "fill"
        bench.run()
        assert any("Stopped." in line for line in bench.said)
        assert any("is kept" in line for line in bench.said) == said


def test_ctrl_c_while_it_watches_is_a_stop():
    bench = Bench("curlew24", ("supply", "valve"))

    def interrupted(*_):
        raise KeyboardInterrupt

    bench.person.yes = interrupted
    assert [(one.step, one.verdict) for one in bench.run()] == [("supply", PASSED), ("valve", SKIPPED)]
    assert bench.session.stopped and bench.events[-1] == ("sent", "show none")


def test_a_board_that_falls_silent_is_said_and_what_has_passed_is_kept():
    bench = Bench("curlew24", ("switches", "signals", "supply"), dies_at="show lamp")
    results = bench.run()
    assert (
        [(one.step, one.verdict) for one in bench.kept]
        == [("switches", PASSED)]
        == [(one.step, one.verdict) for one in results]
    )
    assert bench.session.lost
    assert any("The session ends here" in line for line in bench.said)


def test_skip_goes_on():
    bench = Bench("curlew24", ("supply", "zero"))

    def skip(*_):
        raise Skip

    bench.person.amount = skip
    assert [(one.step, one.verdict) for one in bench.run()] == [("supply", SKIPPED), ("zero", PASSED)]


def test_a_step_is_repeated_when_asked_and_the_last_word_counts():
    bench = Bench("curlew24", ("supply",))
    right, volts = bench.person.amount, iter([9.9])
    bench.person.amount = lambda *arguments: next(volts, None) or right(*arguments)
    bench.person.line = lambda key, text: "r"
    (result,) = bench.run()
    assert result.verdict == PASSED
    assert [one.verdict for one in bench.kept] == [NOT_PASSED, PASSED]


def test_a_step_begun_again_and_left_stands_as_it_was():
    for raised in (Skip, Stop):
        bench = Bench("curlew24", ("supply",))
        answers = iter([9.9])

        def amount(*_, answers=answers, raised=raised):
            for volts in answers:
                return volts
            raise raised

        bench.person.amount = amount
        bench.person.line = lambda key, text: "r"
        assert [one.verdict for one in bench.run()] == [NOT_PASSED]
        assert [one.verdict for one in bench.kept] == [NOT_PASSED]


@pytest.mark.parametrize("raised", [Skip, Stop])
def test_a_word_at_the_last_warning_loses_nothing(raised):
    bench = Bench("curlew24", ("valve", "alert"))
    act, cleared = bench.person._act, []

    def leave(key, *rest):
        cleared.extend([1] if key == ("clear",) else [])
        if len(cleared) == 2:
            cleared.append(1)
            raise raised
        act(key, *rest)

    bench.person._act = leave
    results = bench.run()
    assert [one.verdict for one in results] == ([PASSED] if raised is Stop else [PASSED, PASSED])
    assert bench.session.stopped == (raised is Stop)


def test_skip_where_it_may_be_repeated_goes_on():
    bench = Bench("curlew24", ("supply", "zero"), "supply divider")

    def skip(*_):
        raise Skip

    bench.person.line = skip
    assert [(one.step, one.verdict) for one in bench.run()] == [("supply", NOT_PASSED), ("zero", PASSED)]


def _operator(*answers):
    """(Operator who types these and is then gone, lines shown)."""
    typed, shown = iter(answers), []

    def read(prompt):
        shown.append(prompt)
        try:
            return next(typed)
        except StopIteration:
            raise EOFError from None

    return Operator("Pat", read, shown.append), shown


def test_the_operator_answers_in_any_unit_and_is_asked_again():
    operator, shown = _operator("what", "100", "99 bar", "103.4 psi")
    assert operator.pressure(("gauge",), "What does the gauge show?", "psi") == pytest.approx(6.895, abs=0.01)
    operator, shown = _operator("what", "99 bar", "103.4 psi gauge")
    assert operator.pressure(("gauge",), "What does the gauge show?", "bar") == pytest.approx(7.129, abs=0.01)
    assert any("out of range" in line for line in shown)
    operator, _ = _operator("maybe", "Y")
    assert operator.yes(("gear", "up"), "Up?") is True
    operator, shown = _operator("12", "500 degC", "18 degC")
    assert operator.amount(("air",), "Air?", "K", 233.0, 333.0, "18.5 degC") == pytest.approx(291.15)
    assert len([line for line in shown if line.startswith("  ?")]) == 3


@pytest.mark.parametrize(("said", "raised"), [("skip", Skip), ("STOP", Stop), (None, Stop)])
def test_any_question_can_be_skipped_or_stopped(said, raised):
    for ask in (
        lambda one: one.do(("clear",), "Clear?"),
        lambda one: one.yes(("dark",), "Dark?"),
        lambda one: one.line(("name",), "Name?"),
        lambda one: one.pressure(("gauge",), "Gauge?", "bar"),
        lambda one: one.at_once(("bleed",), "Now"),
    ):
        operator, _ = _operator(*([] if said is None else [said]))
        with pytest.raises(raised):
            ask(operator)
