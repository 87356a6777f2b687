"""Steps that drive the valve by hand: direction, falling to DOWN, strokes and their time, the lock minimum."""

from controller import codes

from ..budget.bench_rows import lock_minimum_bar
from ..budget.measured import of_load
from .lines import seconds_between
from .readings import governing_bar
from .step import ACCEPTED, BOTH, GEAR_MOVES, OPERATOR, Result, Step, gear_is

SENTENCE = "I accept that the valve does not fall to DOWN by itself"
SETTLE_S = 2.0
LOCK_STEP_BAR = 0.15
LOCK_ABOVE_BAR = 0.35
MOST_TRIALS = 12
LEAST_TRIAL_BAR = 0.8


def stroke(on, to):
    """Drive the valve "up" or "down", and let the slowest stroke and its settling pass; the Seen of that time."""
    on.board.command(f"drive {to}")
    return on.board.watch(on.settings.stroke_ms / 1000.0 + SETTLE_S)


class ValveStep(Step):
    """Drive up puts the gear up, drive down puts it down."""

    name = "valve"
    title = "Direction of the valve"
    what = "Model on stands, wheels free, tank full. Watch the gear."
    expect = "Up is up, down is down and locked."
    moves = GEAR_MOVES

    def run(self, on):
        result = Result(self.name, by=OPERATOR)
        on.ready_air(on.aircraft.fill_bar)
        for to in ("down", "up", "down"):
            stroke(on, to)
            right = gear_is(on, to)
            result.note(f"drive {to}: gear {to}: {'yes' if right else 'no'}")
            if not result.need(right, f"driven {to}, the gear was not {to}: look at valve, wires, hoses"):
                break
        return result


class FallsStep(Step):
    """The valve falls to DOWN by itself without its pulse or coil, and without power; else it is accepted by name."""

    name = "falls"
    title = "The valve falls to DOWN by itself"
    what = "Model on stands, wheels free, tank full. Take the valve's power off when asked, with the gear up."
    expect = "The gear goes down without pulse or coil, and without power."
    moves = GEAR_MOVES

    def run(self, on):
        result = Result(self.name, by=OPERATOR)
        on.ready_air(on.aircraft.fill_bar)
        stroke(on, "up")
        result.need(gear_is(on, "up"), "the gear did not go up, so that nothing could be seen")
        if result.why:
            return result
        on.board.command("drive off")
        on.board.watch(on.settings.stroke_ms / 1000.0 + SETTLE_S)
        falls = {
            "its pulse or coil off": gear_is(on, "down", "The valve is not driven now. Are all legs down and locked?")
        }
        stroke(on, "down")
        stroke(on, "up")
        on.person.do(("valve power", 0), "Take the valve's power off, hands clear of the gear.")
        on.board.watch(on.settings.stroke_ms / 1000.0 + SETTLE_S)
        falls["its power off"] = gear_is(on, "down", "The valve has no power now. Are all legs down and locked?")
        on.board.command("drive down")
        on.person.do(("valve power", 1), "Put the valve's power on again. The gear goes down if it was not.")
        on.board.watch(on.settings.stroke_ms / 1000.0 + SETTLE_S)
        for what, fell in falls.items():
            result.note(f"with {what}: gear down: {'yes' if fell else 'no'}")
        if not all(falls.values()):
            self._stays(on, result, [what for what, fell in falls.items() if not fell])
        return result

    def _stays(self, on, result, when):
        stays = f"the valve does not fall to DOWN with {' and with '.join(when)}"
        if on.aircraft.valve_kind == codes.VALVE_SPRING:
            result.fail(f"{stays}: a spring-return valve has to; it is stuck, or not the one that the file says")
            return
        on.person.tell(f"  ! {stays[0].upper()}{stays[1:]}.")
        on.person.tell(
            "    With a dead board, a dead battery or a loose wire the gear then stays up. If you take that upon"
        )
        on.person.tell(
            "    yourself, type this sentence; your name follows, and every print-out shows it. Else leave it empty."
        )
        said = on.person.line(("accept",), f'"{SENTENCE}":')
        if " ".join(said.strip(' ".').split()).lower() != SENTENCE.lower():
            result.fail(f"{stays}, and nobody accepted that")
            return
        name = on.person.line(("name",), "Your name, as it shall be shown:").strip()
        if not result.need(
            2 <= len(name) <= 60 and name.isprintable(), f"{stays}; it takes a name of 2 to 60 characters"
        ):
            return
        result.verdict, result.accepted_by = ACCEPTED, name
        result.note(f"accepted by {name}: {stays}")


class ExtensionStep(Step):
    """Strokes take no longer than the file says; their air and their time are kept."""

    name = "extension"
    title = "Time of an extension, air of both strokes"
    what = "Model on stands, wheels free, tank full. Watch the last leg."
    expect = "Retraction within the file's stroke, extension within its extend. In still air it is well within."
    moves = GEAR_MOVES

    def run(self, on):
        result = Result(self.name, by=BOTH)
        on.ready_air(on.aircraft.fill_bar)
        stroke(on, "down")
        full_bar = governing_bar(on.board.watch(SETTLE_S), on.settings)
        stroke(on, "up")
        result.need(gear_is(on, "up"), f"not up within {on.settings.stroke_ms / 1000:.1f} s and the settling")
        on.person.do(("wait", 60.0), "Wait a minute.")
        up_bar = governing_bar(on.board.watch(SETTLE_S), on.settings)
        takes_s = self._extend(on)
        result.need(takes_s is not None, "not every leg locked")
        on.person.do(("wait", 60.0), "Wait a minute.")
        down_bar = governing_bar(on.board.watch(SETTLE_S), on.settings)
        if not result.need(None not in (full_bar, up_bar, down_bar), "a sensor gives no reading"):
            return result
        result.note(f"retraction {on.show(full_bar)} to {on.show(up_bar)}, extension to {on.show(down_bar)}")
        result.need(up_bar < full_bar and down_bar < up_bar, "a stroke took no air: did the gear move?")
        if takes_s is None or result.why:
            return result
        limit_s = on.settings.extend_ms / 1000.0
        result.note(f"extension in {takes_s:.1f} s; the file's extend: {limit_s:.1f} s")
        result.need(takes_s <= limit_s, "slower than the file's extend, and that without the air's load")
        result.rows["extensions"] = [(up_bar, takes_s, 0.0)]
        result.rows["drops"] = [("retraction", full_bar, up_bar), ("extension", up_bar, down_bar)]
        return result

    def _extend(self, on):
        """Seconds from the command to the last lock, or None: by the lock switches where all legs have one, else by
        the operator's Enter."""
        s = on.settings
        if s.lock_count == len(on.aircraft.air.legs):
            on.board.command("drive down")
            closed = (s.lock_closed_level,) * s.lock_count
            seen = on.board.watch(2.0 * s.stroke_ms / 1000.0, lambda one: one.lock_level[: s.lock_count] == closed)
            return seconds_between(seen[0], seen[-1]) if seen[-1].lock_level[: s.lock_count] == closed else None
        on.person.do(
            ("clear",), "The gear goes down at the next Enter: be ready to press Enter again at the last lock."
        )
        on.board.collected()
        on.board.command("drive down")
        on.person.at_once(("last lock",), "Now: watch for the last leg to lock.")
        seen = on.board.collected()
        if not gear_is(on, "down") or not seen:
            return None
        return seconds_between(seen[0], seen[-1])


class LockMinimumStep(Step):
    """The lowest tank pressure from which every leg locks, against the load of flight."""

    name = "lock_minimum"
    title = "Lock minimum, step by step"
    what = "Model on stands. A load against each leg as the air would push, by weights or a spring balance."
    expect = "Every leg locks from the file's lock_min, with what the load leaves out added."
    moves = GEAR_MOVES + " It may stop half way and go on when touched. Stand clear of the load too."

    def run(self, on):
        result = Result(self.name, by=OPERATOR)
        legs = zip(on.aircraft.leg_names, on.aircraft.air.legs, strict=True)
        loads = ", ".join(f"{name} {leg.air_load_n:.0f} N" for name, leg in legs)
        on.person.tell(f"  The full air load of the file, against extension, leg down: {loads}.")
        share = (
            on.person.amount(("load",), "How much of it is applied to each leg?", "percent", 0.0, 100.0, "100 %")
            / 100.0
        )
        locked_bar, failed_bar, trials = None, None, 0
        aim_bar = on.settings.lock_min_mbar / 1000.0 + LOCK_ABOVE_BAR
        while trials < MOST_TRIALS and aim_bar >= LEAST_TRIAL_BAR:
            trials += 1
            tank_bar, locks = self._trial(on, aim_bar, share)
            result.note(f"from {on.show(tank_bar)}: {'locked' if locks else 'not locked'}")
            if not locks:
                failed_bar = tank_bar
                break
            locked_bar = tank_bar
            aim_bar = tank_bar - LOCK_STEP_BAR
        on.person.do(("load off",), "Take the load off the legs.")
        on.ready_air(on.aircraft.fill_bar)
        stroke(on, "down")
        result.need(gear_is(on, "down"), "the gear is not down after filling again")
        self._judge(on, result, share, locked_bar, failed_bar)
        return result

    def _trial(self, on, aim_bar, share):
        """(tank pressure by the gauge in bar, whether every leg locked) of one extension."""
        on.ready_air(max(on.settings.retract_above_mbar / 1000.0, aim_bar))
        stroke(on, "down")
        stroke(on, "up")
        on.person.do(
            ("vent to", aim_bar), f"Gear up. Vent slowly to {on.show(aim_bar)}, close the vent, wait a minute."
        )
        on.person.do(("load", share), "Apply the load; then hands clear.")
        tank_bar = on.person.pressure(("gauge",), "What does the gauge show?", on.unit)
        stroke(on, "down")
        return tank_bar, gear_is(on, "down")

    def _judge(self, on, result, share, locked_bar, failed_bar):
        if not result.need(locked_bar is not None, "not locked even from the highest pressure tried"):
            return
        within_bar = (locked_bar - failed_bar) if failed_bar is not None else LOCK_STEP_BAR
        # The model of the file adds what the load that was not there would have asked for.
        missing_bar = lock_minimum_bar(on.aircraft.air, 1.0) - lock_minimum_bar(on.aircraft.air, share)
        whole_bar = locked_bar + missing_bar
        lock_min_bar = on.settings.lock_min_mbar / 1000.0
        result.note(
            f"lowest that locked, {of_load(share)}: {on.show(locked_bar)}; with all of the load {on.show(whole_bar)}"
        )
        result.rows["lock_minimum"] = (locked_bar, share, max(within_bar, 0.05))
        if not result.need(
            whole_bar <= lock_min_bar,
            f"the file's lock_min is {on.show(lock_min_bar)}: too low; then the other thresholds are too",
        ):
            result.propose.append(f"settings: lock_min: {on.show(whole_bar + within_bar / 2)}, or 'advised'")
