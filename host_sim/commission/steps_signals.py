"""Steps about what the board reads and shows besides pulses: button, ground and lock switches, lamp, tones, light, supply."""

from .readings import supply_v
from .step import BOTH, MEASURED, OPERATOR, Result, Step

LOOK_S = 0.6
SUPPLY_WITHIN = 0.03


def levels(on, name):
    """The levels of one field of Seen over a short look, without the first line: a set."""
    return {getattr(one, name) for one in on.board.watch(LOOK_S)[1:]}


class SwitchesStep(Step):
    """Button and ground switch, where there is one, read what they should, both ways."""

    name = "switches"
    title = "Button and ground switch, both ways"
    what = "Press and release when asked; lift the model off its wheels when asked, with a helper."
    expect = "Each reads both states, the right way round."

    def fitted(self, aircraft):
        return self if aircraft.settings.ground_fitted else ButtonStep()

    def run(self, on):
        result = Result(self.name)
        for pressed, text in ((0, "Leave the acknowledge button alone."), (1, "Hold the acknowledge button pressed.")):
            on.person.do(("button", pressed), text)
            result.need(
                levels(on, "button") == {pressed}, f"button: reads {1 - pressed} or changes while {_word(pressed)}"
            )
        on.person.do(("button", 0), "Let the button go.")
        result.note("button: looked at released and pressed")
        if on.settings.ground_fitted:
            self._ground(on, result)
        return result

    def _ground(self, on, result):
        clear = on.settings.ground_clear_level
        for ground, text in (
            (1, "Let the wheels carry the model."),
            (0, "Lift the model clear of the ground, or press the switch to clear."),
        ):
            on.person.do(("ground", ground), text)
            found = levels(on, "ground_level")
            wanted = 1 - clear if ground else clear
            where = "on the wheels" if ground else "clear of the ground"
            result.note(f"ground switch {where}: level {sorted(found)}")
            result.need(found == {wanted}, f"ground switch {where}: wanted is level {wanted}")


class ButtonStep(SwitchesStep):
    """The same without a ground switch."""

    title = "Acknowledge button, both ways"
    what = "Press and release the button when asked."
    expect = "It reads both states, the right way round."


def _word(pressed):
    return "pressed" if pressed else "released"


class SignalsStep(Step):
    """Lamp, both tones and the landing light are seen and heard."""

    name = "signals"
    title = "Alert lamp, tones and landing light"
    what = "Look and listen. Do not look into the landing light from close by."
    expect = "Each shows when it is named, and nothing shows when all is off."

    def run(self, on):
        result = Result(self.name, by=OPERATOR)
        asked = [
            ("lamp", ("lamp",), "Is the alert lamp lit?"),
            ("low", ("tone",), "Do you hear the low tone?"),
            ("high", ("tone",), "Do you hear the high tone?"),
        ]
        if on.settings.light_fitted:
            asked.append(("light", ("light",), "Is the landing light lit?"))
        for shown, key, question in asked:
            on.board.command(f"show {shown}")
            seen = on.person.yes(("shows", *key), question)
            result.note(f"{shown}: {'yes' if seen else 'no'}")
            result.need(seen, f"{shown}: not seen or heard")
        on.board.command("show none")
        dark = on.person.yes(("dark",), "Are lamp, tone and landing light all off now?")
        result.need(dark, "something still shows with all of it off")
        return result


class SupplyStep(Step):
    """The measured supply agrees with a voltmeter."""

    name = "supply"
    title = "Supply reading against a voltmeter"
    what = "Measure the supply of the receiver and the valve with a voltmeter."
    expect = "Within 3 % of the voltmeter."

    def fits(self, aircraft):
        return bool(aircraft.settings.supply_fitted)

    def run(self, on):
        result = Result(self.name, by=BOTH)
        meter_v = on.person.amount(("voltmeter",), "What does the voltmeter show?", "V", 2.5, 40.0, "6.6 V")
        read_v = supply_v(on.board.watch(1.0), on.settings)
        result.note(f"reads {read_v:.2f} V; voltmeter {meter_v:.2f} V")
        if not result.need(abs(read_v - meter_v) <= SUPPLY_WITHIN * meter_v, "the two differ by more than 3 %"):
            full_v = on.settings.supply_full_mv / 1000 * meter_v / max(read_v, 0.1)
            result.propose.append(f"supply: full_reading: {full_v:.1f} V")
        return result


class LocksStep(Step):
    """Each lock switch reads its own leg, and a wire that is off reads as not locked."""

    name = "locks"
    title = "Lock switches: right leg, right sense"
    what = "Gear down and locked. Take off the plug of one lock switch at a time when asked."
    expect = "All read locked; the one without its plug, and only that one, reads not locked."
    moves = "Nothing should move; the tank may hold air, so keep hands out of legs and doors."

    def fits(self, aircraft):
        return bool(aircraft.settings.lock_count)

    def run(self, on):
        result = Result(self.name, by=MEASURED)
        count, closed = on.settings.lock_count, on.settings.lock_closed_level
        on.board.command("drive down")
        on.board.watch(on.settings.stroke_ms / 1000.0 + 1.0)
        names = on.aircraft.leg_names[:count]
        self._look(on, result, "gear down", [closed] * count)
        for index, name in enumerate(names):
            on.person.do(("lock plug", index, 0), f"Take the plug of the {name} leg's lock switch off.")
            wanted = [1 - closed if n == index else closed for n in range(count)]
            self._look(on, result, f"{name} plug off", wanted)
            on.person.do(("lock plug", index, 1), f"Put the plug of the {name} leg's lock switch on again.")
        on.person.do(("clear",), "Hands clear of legs and doors: the gear goes up now.")
        on.board.command("drive up")
        on.board.watch(on.settings.stroke_ms / 1000.0 + 1.0)
        self._look(on, result, "gear up", [1 - closed] * count)
        on.board.command("drive down")
        on.board.watch(on.settings.stroke_ms / 1000.0 + 1.0)
        self._look(on, result, "gear down again", [closed] * count)
        return result

    def _look(self, on, result, when, wanted):
        closed = on.settings.lock_closed_level
        seen = on.board.watch(LOOK_S)[1:]
        names = on.aircraft.leg_names
        for index, level in enumerate(wanted):
            found = {one.lock_level[index] for one in seen}
            word = "locked" if level == closed else "not locked"
            result.need(found == {level}, f"{when}: {names[index]} should read {word}, level {level}")
        result.note(f"{when}: levels {', '.join(str(n) for n in seen[-1].lock_level[: len(wanted)])}")
