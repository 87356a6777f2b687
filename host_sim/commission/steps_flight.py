"""Steps with the controller flying on the bench: transmitter off, alert, low air, restart."""

from controller import codes

from .lines import seconds_between
from .readings import governing_bar
from .step import BOTH, GEAR_MOVES, Result, Step, gear_is

# SR-06, with what the receiver waits itself.
LOST_WITHIN_S = 2.0
LOOK_FOR_S = 10.0
HELD_FOR_S = 5.0
ABOVE_PERMIT_BAR = 0.3
VENT_FOR_S = 300.0
AFTER_FORCE_S = 3.0


def start_flying(on):
    """Start the controller with the switch at DOWN and wait until it follows the switch; "" or why it does not."""
    on.person.do(("controls back",), "Gear switch to DOWN, throttle at idle, brake and light off. Transmitter on.")
    if on.settings.ground_fitted:
        on.person.do(("ground", 0), "The ground switch has to read clear: wheels off the ground.")
    on.board.command("fly")
    seen = on.board.watch(on.settings.link_settle_ms / 1000.0 + 5.0, lambda one: _is(one, "mode", codes.MODE_DOWN))
    if _is(seen[-1], "mode", codes.MODE_DOWN):
        # A move to UP counts only from a DOWN that was seen in this mode.
        on.board.watch(1.0)
        return ""
    if seen[-1].flying is None:
        return "the controller did not start"
    return (
        f"the controller stays {codes.MODE_WORDS[seen[-1].flying.mode]}, link {codes.LINK_WORDS[seen[-1].flying.link]}"
    )


def fly_up(on, bar):
    """The controller flying with the gear up, from at least `bar` in the tank; "" or why not."""
    on.ready_air(bar)
    why = start_flying(on)
    if why:
        return why
    on.board.collected()
    on.person.do(("lever", codes.GEAR, 1), "Hands clear. Gear switch to UP: the gear goes up.")
    seen = [*on.board.collected(), *on.board.watch(on.settings.stroke_ms / 1000.0 + 1.0)]
    if not _is(seen[-1], "command", codes.UP):
        refusal = seen[-1].flying.refusal if seen[-1].flying else codes.REFUSAL_NONE
        return f"the controller did not put the gear up: {codes.REFUSAL_SENTENCES[refusal]}"
    return ""


def _is(one, field, value):
    return one.flying is not None and getattr(one.flying, field) == value


class TransmitterOffStep(Step):
    """With the gear up, the transmitter off is seen as a lost link, and the gear goes down in time."""

    name = "transmitter_off"
    title = "Transmitter off with the gear up"
    what = "Controller flying, gear up. Switch the transmitter off when asked. Turbine not running, fuel off."
    expect = f"Link lost and command DOWN within {LOST_WITHIN_S:g} s; it stays down when the transmitter is back."
    moves = GEAR_MOVES + " Surfaces and brakes may go to their presets."

    def run(self, on):
        result = Result(self.name, by=BOTH)
        if not result.need(not (why := fly_up(on, on.aircraft.fill_bar)), why):
            return result
        on.board.collected()
        on.person.at_once(
            ("transmitter off",), "Hands clear. Switch the transmitter OFF and press Enter together: the clock runs."
        )
        before = on.board.collected()
        seen = [*before[-1:], *on.board.watch(LOOK_FOR_S, lambda one: _is(one, "command", codes.DOWN))]
        down = _is(seen[-1], "command", codes.DOWN)
        if down:
            self._in_time(on, result, seen)
        else:
            result.note(f"command still UP {LOOK_FOR_S:g} s after; link {codes.LINK_WORDS[seen[-1].flying.link]}")
            result.fail(
                "the loss was not seen: the receiver goes on sending. NOT READY: set its failsafe to no pulses or a preset"
            )
        on.person.do(("transmitter", 1), "Transmitter on again; leave the gear switch at UP.")
        if down:
            after = on.board.watch(HELD_FOR_S)
            held = all(_is(one, "command", codes.DOWN) for one in after)
            result.note(f"transmitter back, switch at UP: command {'stays DOWN' if held else 'went UP'}")
            result.need(held, "the gear went up by itself when the transmitter was back")
        on.person.do(("lever", codes.GEAR, 0), "Gear switch to DOWN.")
        return result

    def _in_time(self, on, result, seen):
        takes_s = seconds_between(seen[0], seen[-1])
        flying = seen[-1].flying
        result.note(
            f"command DOWN after {takes_s:.1f} s, link {codes.LINK_WORDS[flying.link]}, cause {codes.CAUSE_WORDS[flying.cause]}"
        )
        result.need(
            takes_s <= LOST_WITHIN_S,
            f"later than {LOST_WITHIN_S:g} s: shorten the receiver's delay (or Enter came early: repeat)",
        )
        lost = flying.link == codes.LINK_LOST and flying.cause == codes.CAUSE_LINK
        result.need(lost, "the gear went down, but not for a lost link")
        on.board.watch(on.settings.stroke_ms / 1000.0 + 1.0)
        result.need(gear_is(on, "down"), "the command was DOWN, but the gear is not down")


class AlertStep(Step):
    """The controller's own alert is seen and heard, and the button silences the tone only."""

    name = "alert"
    title = "Alert light and tone from the controller"
    what = "Controller flying, gear down. Switch the transmitter off when asked. Turbine not running, fuel off."
    expect = "The alert is 'link lost'; the lamp flashes and the tone sounds; the button stops the tone, not the lamp."
    moves = "The gear stays down. Surfaces and brakes may go to their presets."

    def run(self, on):
        result = Result(self.name, by=BOTH)
        if not result.need(not (why := start_flying(on)), why):
            return result
        on.person.do(("transmitter", 0), "Switch the transmitter off.")
        seen = on.board.watch(HELD_FOR_S)
        shown = seen[-1].flying.alert if seen[-1].flying else codes.ALERT_NONE
        word, wanted = codes.ALERT_WORDS[shown], codes.ALERT_WORDS[codes.ALERT_LINK]
        result.note(f"alert: {word}")
        result.need(
            shown == codes.ALERT_LINK,
            f"the alert that shows is '{word}', not '{wanted}': mend what it tells of, and repeat",
        )
        lit = any(one.flying and one.flying.lamp and one.flying.tone_hz for one in seen)
        result.need(lit, "the controller drives neither lamp nor tone")
        result.need(on.person.yes(("shows", "lamp"), "Does the alert lamp flash?"), "the lamp is not seen")
        result.need(on.person.yes(("shows", "tone"), "Do you hear the tone?"), "the tone is not heard")
        on.person.do(("button", 1), "Press the acknowledge button.")
        on.person.do(("button", 0), "Let it go.")
        silent = on.person.yes(("silent",), "Is the tone gone, with the lamp still flashing?")
        result.need(silent, "the button did not silence the tone alone")
        on.person.do(("transmitter", 1), "Transmitter on again.")
        return result


class LowAirStep(Step):
    """With the gear up and the air going, the controller forces it down at the forcing point, and it locks."""

    name = "low_air"
    title = "Forced down by low air"
    what = "Controller flying, gear up. Open the tank's vent a little when asked; leave the switch at UP."
    expect = "Forced at the file's force_below, cause low air, alert; every leg locks. The gauge agrees."
    moves = GEAR_MOVES + " It goes down by itself while the switch is at UP."

    def run(self, on):
        result = Result(self.name, by=BOTH)
        s = on.settings
        if not result.need(not (why := fly_up(on, s.retract_above_mbar / 1000.0 + ABOVE_PERMIT_BAR)), why):
            return result
        rate = on.show_step(s.burst_floor_mbar_s / 2000.0)
        on.person.at_once(
            ("bleed",), f"Hands clear. Open the vent a little: slower than {rate} a second. Leave the switch at UP."
        )
        seen = on.board.watch(VENT_FOR_S, lambda one: not _is(one, "command", codes.UP))
        last_up = [one for one in seen if _is(one, "command", codes.UP)]
        after = on.board.watch(s.stroke_ms / 1000.0 + AFTER_FORCE_S)
        on.person.do(("vent shut",), "Close the vent.")
        if result.need(
            _is(seen[-1], "command", codes.DOWN) and last_up, f"not forced within {VENT_FOR_S / 60:.0f} min"
        ):
            self._judge(on, result, last_up[-1].flying, seen[-1].flying, after)
        on.person.do(("lever", codes.GEAR, 0), "Gear switch to DOWN.")
        return result

    def _judge(self, on, result, last, forced, after):
        s = on.settings
        result.note(f"forced at {on.show(last.mbar / 1000)}; force_below is {on.show(s.force_below_mbar / 1000)}")
        result.note(f"cause {codes.CAUSE_WORDS[forced.cause]}, alert {codes.ALERT_WORDS[after[0].flying.alert]}")
        if forced.cause == codes.CAUSE_BURST:
            result.fail("the vent was open so far that it looked like a burst line: vent slower, and repeat")
            return
        result.need(forced.cause == codes.CAUSE_LOW_AIR, "forced, but not for low air")
        slack_mbar = s.burst_floor_mbar_s * s.low_confirm_ms // 1000 + 2 * s.sensor_noise_mbar + 50
        near = s.force_below_mbar - slack_mbar <= last.mbar <= s.force_below_mbar + s.sensor_noise_mbar
        result.need(near, "not at the forcing point")
        alert = any(one.flying.alert == codes.ALERT_FORCED and one.flying.lamp for one in after if one.flying)
        result.need(alert, "the alert 'gear forced down' did not show")
        result.need(gear_is(on, "down"), "the gear did not lock from there")
        gauge_bar = on.person.pressure(("gauge",), "What does the gauge show?", on.unit)
        reads_bar = governing_bar(on.board.watch(1.0), s)
        if not result.need(reads_bar is not None, "a sensor gives no reading"):
            return
        result.note(f"now reads {on.show(reads_bar)}; gauge {on.show(gauge_bar)}")
        result.need(
            abs(reads_bar - gauge_bar) <= s.sensor_error_mbar / 1000.0,
            "reading and gauge differ by more than worst_error",
        )


class RestartStep(Step):
    """After power-on with the switch at UP the gear is down and stays down."""

    name = "restart"
    title = "Power on with the switch at UP"
    what = "Take all power off, battery and USB, and put it on again when asked. The switch stays at UP."
    expect = "The gear goes down and stays down until the switch has been at DOWN."
    moves = GEAR_MOVES

    def run(self, on):
        result = Result(self.name, by=BOTH)
        if not result.need(not (why := fly_up(on, on.aircraft.fill_bar)), why):
            return result
        on.person.do(("clear",), "Hands clear. The controller starts anew: the gear goes down. Leave the switch at UP.")
        on.board.command("raw")
        on.board.command("fly")
        seen = on.board.watch(on.settings.link_settle_ms / 1000.0 + HELD_FOR_S)
        down = all(one.flying is None or one.flying.command == codes.DOWN for one in seen)
        result.note(f"controller started anew with the switch at UP: command {'stays DOWN' if down else 'went UP'}")
        result.need(down, "the command went UP without a move of the switch")
        on.person.do(("lever", codes.GEAR, 0), "Gear switch to DOWN.")
        on.person.do(("lever", codes.GEAR, 1), "Hands clear. Gear switch to UP: the gear goes up.")
        on.board.watch(on.settings.stroke_ms / 1000.0 + 1.0)
        result.need(gear_is(on, "up"), "the gear did not go up again")
        on.person.do(("power", 0), "Leave the switch at UP. Take all power off: battery and USB. Wait five seconds.")
        on.person.do(("power", 1), "Hands clear. Put all power on again and watch the gear for ten seconds.")
        stayed = on.person.yes(("stayed down",), "Since the power is back: is the gear down, and did it never go up?")
        result.note(f"power off and on: gear down and stays: {'yes' if stayed else 'no'}")
        result.need(stayed, "the gear was not down, or went up, after power-on: look at the driver's pull-downs")
        on.person.do(("lever", codes.GEAR, 0), "Gear switch to DOWN.")
        on.board.link.reconnect()
        return result
