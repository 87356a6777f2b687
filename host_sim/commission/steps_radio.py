"""Steps about the board itself and the receiver: what is stored, which wire is which, ends, what a lost link looks like."""

from controller import codes

from .board import fingerprint, wiring_of
from .readings import LEAST_PULSES_S, pulses, spans
from .step import BOTH, Result, Step

# A lever's idle or off end may be this far from the file's before it counts as moved: half of the 5 % of an 800 us travel
# from which a throttle is above idle (common practice, no source).
END_WITHIN_US = 20
MOVED_US = 150
STILL_US = 60
LOOK_S = 1.0
END_WORDS = (("DOWN", "UP"), ("idle", "full"), ("off", "full"), ("off", "on"), ("rest", "rest"))
END_KEYS = (("down", "up"), ("idle", "full"), ("off", "full"), ("off", "on"), ("rest", "rest"))
LEVERS = ("the gear switch", "the throttle", "the brake control", "the light switch", "the spare channel's control")


def fitted_channels(aircraft):
    """Channels that are connected, as indices of codes.CHANNEL_WORDS; the spare one where it carries a signature."""
    s = aircraft.settings
    fitted = (1, s.throttle_fitted, s.brake_fitted, s.light_fitted, int(s.signature_channel == codes.SPARE))
    return [channel for channel in range(codes.N_CHANNELS) if fitted[channel]]


def file_end_us(aircraft, channel, end):
    """Pulse of an end in the aircraft file, us; end 0 or 1."""
    return (aircraft.receiver.low_us, aircraft.receiver.high_us)[end][channel]


class BoardStep(Step):
    """What is stored on the board is what this file says."""

    name = "board"
    title = "The board answers, with this file's settings"
    what = "Connect the board. Receiver on, transmitter on."
    expect = "Both copies of the settings and the wiring record are this file's."

    def run(self, on):
        result = Result(self.name)
        stored, aircraft = on.board.link.identify(), on.aircraft
        result.note(f"{stored.kind}, {stored.firmware}, downlock {stored.version}, id {stored.board_id}")
        own = fingerprint(aircraft.packed)
        for copy, data in (("a", stored.settings_a), ("b", stored.settings_b)):
            found = fingerprint(data)
            result.note(f"settings copy {copy}: {found}; the file: {own}")
            result.need(
                data == aircraft.packed,
                f"settings copy {copy} on the board is not this file's: put it there with 'downlock install'",
            )
        wanted = (aircraft.valve_kind, aircraft.servo_down_us, aircraft.servo_up_us)
        if aircraft.valve_kind != codes.VALVE_SERVO:
            wanted = (aircraft.valve_kind, 0, 0)
        kind, down_us, up_us = wiring_of(stored)
        known = codes.VALVE_WORDS[kind] if kind < len(codes.VALVE_WORDS) else f"kind {kind}"
        servo = f", {down_us} us down, {up_us} us up" if kind == codes.VALVE_SERVO else ""
        result.note(f"wiring record: {known}{servo}")
        same = kind == wanted[0] and (kind != codes.VALVE_SERVO or (down_us, up_us) == wanted[1:])
        result.need(same, f"the wiring record is not this file's, {codes.VALVE_WORDS[wanted[0]]}")
        seen = on.board.watch(LOOK_S)
        result.note(f"{len(seen)} lines in a second; the tank: {on.tank_words()}")
        return result


class ChannelsStep(Step):
    """Each control moves its own channel and no other."""

    name = "channels"
    title = "Each control moves its own channel"
    what = "Move one control at a time when asked. Turbine not running, fuel off."
    expect = "The named channel moves, the others stand still."
    moves = "Brakes and the light may act when their controls are moved. The gear valve is not driven."

    def run(self, on):
        result = Result(self.name)
        for channel in [one for one in fitted_channels(on.aircraft) if one != codes.SPARE]:
            word = codes.CHANNEL_WORDS[channel]
            on.board.collected()
            on.person.do(("wiggle", channel), f"Move {LEVERS[channel]} to both ends, twice. Leave the others alone.")
            moved_us = spans(on.board.collected())
            result.note(
                f"{word}: " + ", ".join(f"{codes.CHANNEL_WORDS[n]} {moved_us[n]} us" for n in range(len(moved_us)))
            )
            others = [codes.CHANNEL_WORDS[n] for n in range(len(moved_us)) if n != channel and moved_us[n] > STILL_US]
            if result.need(moved_us[channel] >= MOVED_US, f"{word}: its channel did not move: look at its wire"):
                result.need(not others, f"{word}: {', '.join(others)} moved too: a mix in the transmitter, or a wire")
            elif others:
                result.why[-1] += f"; {', '.join(others)} moved instead"
        return result


class EndsStep(Step):
    """Both ends of every control are where the file has them."""

    name = "ends"
    title = "End-points of every control"
    what = "Put one control to each end when asked. Turbine not running, fuel off."
    expect = f"Each end within {END_WITHIN_US} us of the file."
    moves = "Brakes and the light may act when their controls are moved. The gear valve is not driven."

    def run(self, on):
        result = Result(self.name)
        for channel in fitted_channels(on.aircraft):
            if channel == codes.SPARE:
                self._spare(on, result)
            else:
                self._both_ends(on, result, channel)
        on.person.do(("controls back",), "Put the gear switch back to DOWN, throttle to idle, brake and light off.")
        return result

    def _taught(self, on, channel, end):
        on.person.do(("lever", channel, end), f"Put {LEVERS[channel]} to {END_WORDS[channel][end]}.")
        widths, counts = pulses(on.board.watch(LOOK_S))
        return widths[channel] if counts[channel] >= LEAST_PULSES_S else 0

    def _both_ends(self, on, result, channel):
        word = codes.CHANNEL_WORDS[channel]
        file_us = [file_end_us(on.aircraft, channel, end) for end in (0, 1)]
        got_us = [self._taught(on, channel, end) for end in (0, 1)]
        ends = END_KEYS[channel]
        result.note(
            f"{word}: "
            + ", ".join(f"{end} {got} us (file {own} us)" for end, got, own in zip(ends, got_us, file_us, strict=True))
        )
        line = f"channels: {word}: {{{ends[0]}: {got_us[0]} us, {ends[1]}: {got_us[1]} us}}"
        if not result.need(all(got_us), f"{word}: no pulses"):
            return
        if not result.need(abs(got_us[1] - got_us[0]) >= 300, f"{word}: the two ends are less than 300 us apart"):
            return
        if not result.need(
            (got_us[1] > got_us[0]) == (file_us[1] > file_us[0]),
            f"{word} is reversed: reverse the channel in the transmitter, or take the proposed ends",
        ):
            result.propose.append(line)
        elif not result.need(
            all(abs(got - own) <= END_WITHIN_US for got, own in zip(got_us, file_us, strict=True)),
            f"{word}: an end is more than {END_WITHIN_US} us from the file's",
        ):
            result.propose.append(line)

    def _spare(self, on, result):
        widths, counts = pulses(on.board.watch(LOOK_S))
        got_us, s = widths[codes.SPARE], on.settings
        result.note(
            f"spare: {got_us} us with the transmitter on; signature {s.signature_low_us} to {s.signature_high_us} us"
        )
        if not result.need(counts[codes.SPARE] >= LEAST_PULSES_S, "spare: no pulses"):
            return
        outside = not s.signature_low_us - 50 < got_us < s.signature_high_us + 50
        result.need(outside, "spare: its pulse with the transmitter on is within 50 us of the signature")


class ReceiverStep(Step):
    """What the receiver sends with the transmitter off is a loss that can be seen."""

    name = "receiver"
    title = "What the receiver sends with the transmitter off"
    what = "Switch the transmitter off when asked. The valve is not driven. Turbine not running, fuel off."
    expect = "Silence, or the preset with its signature, as the file says. Never the last pulses."
    moves = "Control surfaces and brakes may go to their presets."
    settle_s = 5.0

    def run(self, on):
        result = Result(self.name, by=BOTH)
        on.person.do(("lever", codes.GEAR, 1), "Put the gear switch to UP (the valve is not driven in this step).")
        before_us, counts = pulses(on.board.watch(LOOK_S))
        result.need(counts[codes.GEAR] >= LEAST_PULSES_S, "no gear pulses with the transmitter on")
        on.person.do(("transmitter", 0), "Switch the transmitter off.")
        on.board.watch(self.settle_s)
        widths, counts = pulses(on.board.watch(LOOK_S))
        self._judge(on, result, before_us, widths, counts)
        on.person.do(("transmitter", 1), "Switch the transmitter on again. Wait until the receiver has found it.")
        on.person.do(("lever", codes.GEAR, 0), "Put the gear switch to DOWN.")
        return result

    def _judge(self, on, result, before_us, widths, counts):
        s, channel = on.settings, on.settings.signature_channel
        if counts[codes.GEAR] < LEAST_PULSES_S:
            result.note("gear channel: silent")
            silent = on.aircraft.receiver.on_loss == "silent"
            result.need(silent, f"the file says {on.aircraft.receiver.on_loss}; the receiver falls silent")
            if not silent:
                result.propose.append("receiver: on_loss: silent, signature: none")
            return
        result.note(
            "still sends: "
            + ", ".join(f"{codes.CHANNEL_WORDS[n]} {widths[n]} us" for n in range(codes.N_CHANNELS) if counts[n])
        )
        if abs(widths[codes.GEAR] - before_us[codes.GEAR]) <= END_WITHIN_US and not self._signed(s, widths, counts):
            result.fail(
                "the receiver goes on sending UP: a lost link cannot be seen. Set its failsafe to no pulses, or to a "
                "preset with a signature. NOT READY until it does"
            )
            return
        pulse_us = widths[codes.GEAR]
        up = pulse_us >= s.gear_high_us if s.gear_up_high else pulse_us <= s.gear_low_us
        result.need(not up, f"its preset for the gear, {pulse_us} us, means up; it must mean down")
        if (
            not result.need(
                self._signed(s, widths, counts),
                "its preset does not carry the signature of the file: a loss cannot be seen",
            )
            and channel == 0
            and counts[codes.SPARE]
        ):
            low_us, high_us = widths[codes.SPARE] - 50, widths[codes.SPARE] + 50
            result.propose.append(f"receiver: signature: {{channel: spare, from: {low_us} us, to: {high_us} us}}")

    def _signed(self, s, widths, counts):
        channel = s.signature_channel
        if channel == 0 or counts[channel] < LEAST_PULSES_S:
            return False
        return s.signature_low_us <= widths[channel] <= s.signature_high_us
