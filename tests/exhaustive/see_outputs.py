"""Observers of the valve, the lock switches, the ground switch and the light: SR-13, SR-14, SR-16, SR-18, SR-22.

Codes are numbers, as the documentation gives them: valve kinds 0 invalid, 1 spring-return, 2 two-coil, 3 servo;
locks 1 open, 2 closed, 3 not trusted.
"""

DEAD_MS = 20


class Coils:
    """SR-18, for every kind of valve and any sequence of commands."""

    def __init__(self, kind, settings, down_us, up_us):
        tick_ms = settings.tick_ms
        self.kind = kind
        self.widths = (down_us, up_us)
        self.pulse = max(2, -(-settings.coil_ms // tick_ms))
        self.repeat = max(2, settings.coil_repeat_ms // tick_ms)
        self.dead = -(-DEAD_MS // tick_ms)
        self.first = 1
        self.on_for = 0
        self.on_coil = None
        self.off_for = self.dead
        self.last_coil = None
        self.command_for = 4
        self.before = 0
        self.since_start = 0

    def see(self, command, coil_up, coil_down, valve_us):
        broken = self._judge(command, coil_up, coil_down, valve_us)
        self.first = 0
        return (broken,)

    def _judge(self, command, coil_up, coil_down, valve_us):
        driven = (coil_up, coil_down, valve_us)
        if self.kind == 0 and driven != (0, 0, 0):
            return "SR-18: an output is driven with an invalid wiring record"
        if self.kind == 1 and driven != (command, 0, 0):
            return "SR-18: a spring-return valve is not unpowered for DOWN, or not powered for UP"
        if self.kind == 3 and driven != (0, 0, self.widths[command]):
            return "SR-18: the servo is not told the command"
        if self.kind == 2:
            return self._judge_coils(command, coil_up, coil_down)
        return ""

    def _judge_coils(self, command, coil_up, coil_down):
        if coil_up and coil_down:
            return "SR-18: both coils at once"
        coil = 1 if coil_up else 0 if coil_down else None
        changed = command != self.before and not self.first
        # A first output is no change: nothing has been energised before it.
        self.command_for = 1 if changed else min(self.command_for + 1, 4)
        if changed:
            self.since_start = 0
        broken = self._judge_pulse(command, coil)
        self.before = command
        return broken

    def _judge_pulse(self, command, coil):
        if coil is None:
            self.off_for = min(self.off_for + 1, self.dead)
            starts = False
        else:
            if coil != command:
                return "SR-18: a coil is energised against the command"
            if self.last_coil not in (None, coil) and self.off_for < self.dead:
                return "SR-18: less than 20 ms between the coils"
            starts = self.off_for > 0 or self.on_coil != coil
            self.on_for = 1 if starts else self.on_for + 1
            self.off_for = 0
            self.last_coil = coil
        self.on_coil = coil
        if coil is not None and self.on_for > self.pulse:
            return "SR-18: a coil is energised for longer than coil_time"
        if self.first and command == 0 and coil != 0:
            return "SR-18: DOWN is not driven at the first output"
        # At most two ticks of dead time after a change; then the whole pulse.
        if self.command_for == 3 and coil is None:
            return "SR-18: a change is not driven"
        self.since_start = 0 if starts else min(self.since_start + 1, self.repeat + 1)
        if self.since_start > self.repeat:
            return "SR-18: the command is not driven again within coil_repeat"
        return ""


class Legs:
    """SR-14, for any levels of the switches and any sequence of commands."""

    def __init__(self, settings, due, stroke, confirm):
        self.s = settings
        self.due = due
        self.stroke = stroke
        self.confirm = confirm
        self.closed_for = [0] * settings.lock_count
        self.open_for = [confirm] * settings.lock_count
        self.doubted = [0] * settings.lock_count
        self.down_for = 0
        self.locked_once = 0

    def see(self, command, since_change, levels, legs, together, overdue):
        broken = ""
        for index, level in enumerate(levels):
            broken = self._leg(index, level == self.s.lock_closed_level, command, since_change, legs[index]) or broken
        return (broken or self._all(command, legs, together, overdue),)

    def _leg(self, index, closed, command, since_change, state):
        self.closed_for[index] = min(self.closed_for[index] + 1, 2) if closed else 0
        # A single closed sample between open ones does not make a leg locked: two in a row clear the count.
        if self.closed_for[index] == 2:
            self.open_for[index] = 0
        elif not closed:
            self.open_for[index] = min(self.open_for[index] + 1, self.confirm)
        if self.open_for[index] == self.confirm:
            self.doubted[index] = 0
            if state == 2:
                return "SR-14: a leg whose switch reads open is called locked"
        if command == 1 and since_change >= self.stroke and self.closed_for[index] == 2:
            self.doubted[index] = 1
        if self.doubted[index] and state == 2:
            return "SR-14: a switch that was closed with the gear up is believed before it was seen open"
        return ""

    def _all(self, command, legs, together, overdue):
        locked = all(state == 2 for state in legs)
        if together == 2 and not locked:
            return "SR-14: the gear is called locked while a leg is not"
        if command == 1:
            self.down_for = self.locked_once = 0
            if together == 2:
                return "SR-14: the gear is called locked with the command UP"
            return "SR-14: overdue with the command UP" if overdue else ""
        self.down_for = min(self.down_for + 1, self.due)
        if locked:
            self.locked_once = 1
            return "SR-14: overdue though every leg is locked" if overdue else ""
        if self.down_for >= self.due and not overdue:
            return "SR-14: a leg is late and no warning shows"
        if overdue and self.down_for < self.due and not self.locked_once:
            return "SR-14: a leg is called late before its time is over"
        return ""


class Clear:
    """SR-16: clear means clear for `ground_clear` without a break."""

    def __init__(self, settings, need):
        self.s = settings
        self.need = need
        self.clear_for = 0

    def see(self, level, clear):
        s = self.s
        self.clear_for = min(self.clear_for + 1, self.need) if level == s.ground_clear_level else 0
        if s.ground_fitted == 0:
            return ("" if clear else "SR-16: not clear though no switch is fitted",)
        if clear != int(self.clear_for == self.need):
            return ("SR-16: clear is called before its time, or not called after it",)
        return ("",)


class Lamp:
    """SR-13 and SR-22: the landing light, without lock switches."""

    def __init__(self, settings, stroke):
        self.permit_mv = settings.supply_force_mv + 300
        self.stroke = stroke
        self.down_for = 0
        self.shed = 0

    def see(self, command, supply_mv, switched, light):
        self.down_for = min(self.down_for + 1, self.stroke) if command == 0 else 0
        low = supply_mv != -2 and supply_mv < self.permit_mv
        if light and low:
            return ("SR-13: the light is on with low supply",)
        if light and command == 1:
            return ("SR-22: the light is on with the command UP",)
        if light and not switched:
            return ("SR-22: the light is on against its switch",)
        if light and self.down_for < self.stroke:
            return ("SR-22: the light is on before the stroke is over",)
        well = switched and self.down_for == self.stroke and (supply_mv == -2 or supply_mv >= self.permit_mv + 100)
        if well and not light:
            return ("SR-22: the light stays off though nothing speaks against it",)
        return ("",)
