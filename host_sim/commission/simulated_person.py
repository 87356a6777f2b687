"""The operator, simulated: hands and eyes on the invented model. Acts by the key of a question, never by its text."""

import random

from controller import codes

from .step import Stop

GAUGE_WITHIN_BAR = 0.02
# How long a hand takes after the eye: transmitter switch, Enter at the last lock.
HAND_S = 0.2
DO_S = 0.5
WIGGLE_S = 0.4
LOOK_S = 2.0
BLEED_MBAR_S = 40.0
NAME = "A. Simulated Person"


class SimulatedPerson:
    """`board` a SimulatedBoard; `tell` shows lines. What it does and answers goes to `tell`, a line each."""

    simulated = True

    def __init__(self, board, tell, sentence):
        self.name = NAME
        self._board = board
        self._model = board.model
        self._tell = tell
        self._sentence = sentence
        self._random = random.Random(3)
        self.accepts = True
        self.stop_at = None

    def tell(self, line):
        """Show a line."""
        self._tell(line)

    def do(self, key, text):
        """Act by the key; the board goes on meanwhile."""
        self._tell(f"  > {text}")
        self._act(key)

    def at_once(self, key, text):
        """The same; Enter comes at once, and the hand on the transmitter a moment later."""
        self._tell(f"  > {text}")
        if key[0] == "transmitter off":
            self._board.after(HAND_S, self._transmitter_off)
        else:
            self._act(key, 0.0)

    def yes(self, key, text):
        """What the eyes and ears say."""
        answer = self._sees(key)
        self._tell(f"  ? {text} {'yes' if answer else 'no'}")
        return answer

    def amount(self, key, text, unit, low, high, example, reference=""):
        """A voltmeter, a thermometer, the load."""
        value = {
            "voltmeter": lambda: round(self._model.supply.volts, 2),
            "air": lambda: self._model.hands.state.ambient_k,
            "load": lambda: 100.0,
        }[key[0]]()
        shown = {"K": f"{value - 273.15:g} degC", "percent": f"{value:g} %"}.get(unit, f"{value:g} {unit}")
        self._tell(f"  ? {text} {shown}")
        return value

    def pressure(self, key, text, unit):
        """The gauge at the tank, bar."""
        from ..quantities import show_pressure

        self._board.pass_time(DO_S)
        bar = max(0.0, self._model.tank_bar + self._random.uniform(-GAUGE_WITHIN_BAR, GAUGE_WITHIN_BAR))
        self._tell(f"  ? {text} {show_pressure(bar, unit)}")
        return bar

    def line(self, key, text):
        """Typed words."""
        said = {"accept": self._sentence if self.accepts else "", "name": self.name}.get(key[0], "")
        self._tell(f"  ? {text} {said}".rstrip())
        return said

    def _act(self, key, then_s=DO_S):
        name, rest = key[0], key[1:]
        if name == self.stop_at:
            raise Stop
        getattr(self, "_do_" + name.replace(" ", "_"), self._do_nothing)(*rest)
        self._board.pass_time(then_s)

    def _do_nothing(self, *_):
        pass

    def _do_fill(self, bar):
        self._set_tank(bar)

    def _do_vent_to(self, bar):
        self._set_tank(bar)

    def _do_empty(self):
        self._set_tank(0.0)

    def _set_tank(self, bar):
        if self._board.mode == "raw":
            self._model.set_tank(bar)
            self._board.pass_unseen(0.0)

    def _do_wait(self, seconds):
        self._board.pass_unseen(seconds)

    def _do_wiggle(self, channel):
        for end in (1, 0, 1, 0):
            self._model.lever(channel, end)
            self._board.pass_time(WIGGLE_S)

    def _do_lever(self, channel, end):
        self._model.lever(channel, end)

    def _do_controls_back(self):
        for channel in (codes.GEAR, codes.THROTTLE, codes.BRAKE, codes.LIGHT):
            self._model.lever(channel, 0)

    def _do_button(self, pressed):
        self._model.hands.state.button = pressed
        self._model.advance(self._model.t_us)
        self._board.pass_time(DO_S)

    def _do_ground(self, ground):
        self._model.hands.state.ground = ground

    def _do_transmitter(self, on):
        self._model.hands.state.transmitter = on
        self._board.pass_time(1.0)

    def _transmitter_off(self):
        self._model.hands.state.transmitter = 0

    def _do_valve_power(self, on):
        self._model.demand.valve_wire_off = not on or self._model.valve_broken

    def _do_lock_plug(self, index, on):
        self._model.lock_switches[index].wire_off = not on

    def _do_load(self, share):
        self._model.load(share)

    def _do_load_off(self):
        self._model.load(0.0)

    def _do_bleed(self):
        self._model.bleed(BLEED_MBAR_S)

    def _do_vent_shut(self):
        self._model.bleed(0.0)

    def _do_last_lock(self):
        for _ in range(400):
            if self._model.gear() == "down":
                break
            self._board.pass_time(0.02)
        self._board.pass_time(HAND_S)

    def _do_power(self, on):
        if on:
            self._board.look_anew()
            self._board.power_on()
            self._board.pass_time(10.0)
        else:
            self._board.power_off()
            self._board.pass_time(5.0)

    def _sees(self, key):
        board = self._board
        if key[0] == "gear":
            return self._model.gear() == key[1]
        if key[0] == "stayed down":
            return self._model.gear() == "down" and not board.gear_went_up
        board.look_anew()
        board.pass_time(LOOK_S)
        if key[0] == "shows":
            return bool({"lamp": board.seen_lamp, "tone": board.seen_tone_hz, "light": board.seen_light}[key[1]])
        if key[0] == "silent":
            return not board.seen_tone_hz and board.seen_lamp
        if key[0] == "dark":
            return not (board.seen_tone_hz or board.seen_lamp or board.seen_light)
        raise ValueError(f"a question that nobody taught the simulated person: {key}")
