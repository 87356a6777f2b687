"""What can be wrong with an installation, so that each step can be seen failing. All invented."""

from dataclasses import dataclass, replace

from controller import codes, packing

from ..air.valve import DOWN, UP, GearValve
from ..budget.factors import Factors
from ..devices import Sensor
from ..errors import InputError
from ..yamlfile import nearest
from .model import SEED


@dataclass(frozen=True)
class Defect:
    """`step` is the step that finds it; `apply(model, board, person)` brings it about; `needs(aircraft)` says where."""

    name: str
    words: str
    step: str
    apply: object
    needs: object = lambda aircraft: True


class _Reversed(GearValve):
    """Hoses swapped."""

    def wanted(self, demand):
        return UP + DOWN - super().wanted(demand)


class _Sticky(GearValve):
    """Goes up when driven, and comes back only when pushed, which a spring valve never is."""

    def wanted(self, demand):
        wanted = super().wanted(demand)
        return self.at if wanted == DOWN and not demand.coil_down else wanted


def _valve(kind):
    def apply(model, board, person):
        model.plant.gear_valve = kind(model.plant.air.valve, model.plant.gear_valve.at)

    return apply


def _other_settings(model, board, person):
    settings = board.model.aircraft.settings
    other = type(settings)()
    packing.unpack(model.aircraft.packed, other)
    other.approach_confirm_ms += 100
    data = packing.pack(other)
    board.stored = replace(board.stored, settings_a=data, settings_b=data)


def _one_copy(model, board, person):
    board.stored = replace(board.stored, settings_b=b"")


def _wrong_record(model, board, person):
    from ..install.fileset import wiring_record

    kind = codes.VALVE_TWO_COIL if model.aircraft.valve_kind == codes.VALVE_SPRING else codes.VALVE_SPRING
    record = wiring_record(kind, 0, 0)
    board.stored = replace(board.stored, wiring_a=record, wiring_b=record)


def _wires_swapped(model, board, person):
    model.receiver.order[codes.GEAR], model.receiver.order[codes.THROTTLE] = codes.THROTTLE, codes.GEAR


def _gear_wire(model, board, person):
    model.receiver.wire_off[codes.GEAR] = True


def _gear_reversed(model, board, person):
    model.receiver.reversed[codes.GEAR] = True


def _short_throttle(model, board, person):
    low_us, high_us = list(model.receiver.spec.low_us), list(model.receiver.spec.high_us)
    low_us[codes.THROTTLE] += 90
    model.receive_with(low_us=tuple(low_us), high_us=tuple(high_us))


def _receiver(**changes):
    return lambda model, board, person: model.receive_with(**changes)


def _button(model, board, person):
    model.button_stuck = True


def _ground_wire(model, board, person):
    model.ground_switch.wire_off = True


def _silent(model, board, person):
    board.silent_tone = True


def _dark(model, board, person):
    board.dark_lamp = True


def _supply(model, board, person):
    spec = model.supply.spec
    model.supply.spec = replace(spec, full_mv=round(spec.full_mv * 1.1))


def _sensor(**changes):
    def apply(model, board, person):
        old = model.sensors[0].spec
        made = {key: value(old) if callable(value) else value for key, value in changes.items()}
        model.sensors[0] = Sensor(replace(old, **made), SEED, "a")

    return apply


def _no_sensor(model, board, person):
    for sensor in model.sensors:
        sensor.is_open = True


def _air(**factors):
    """A gear that differs: the plant is built anew from where it stands."""

    def apply(model, board, person):
        model.rebuild(Factors(**factors).applied(model.plant.air))

    return apply


def _leak(model, board, person):
    model.demand.leak_scale = 8.0


def _lock_stuck(model, board, person):
    model.lock_switches[-1].stuck = True


def _lock_wire(model, board, person):
    model.lock_switches[0].wire_off = True


def _coil(model, board, person):
    board.coil_while_booting = True


def _stubborn(model, board, person):
    model.plant.gear_valve = _Sticky(model.plant.air.valve, model.plant.gear_valve.at)
    person.accepts = False


def _measured(name):
    return lambda aircraft: bool(getattr(aircraft.settings, name))


CATALOGUE = {
    one.name: one
    for one in (
        Defect("other settings", "the board holds the settings of another file", "board", _other_settings),
        Defect("one copy", "the second settings copy is missing", "board", _one_copy),
        Defect("other wiring record", "the wiring record names another valve", "board", _wrong_record),
        Defect("wires swapped", "the wires of gear and throttle are swapped", "channels", _wires_swapped),
        Defect("gear wire off", "the wire of the gear channel is off", "channels", _gear_wire),
        Defect("gear reversed", "the gear channel is reversed in the transmitter", "ends", _gear_reversed),
        Defect("short throttle", "the throttle's idle end is 90 us off", "ends", _short_throttle),
        Defect("receiver holds", "the receiver goes on sending its last pulses", "receiver", _receiver(on_loss="hold")),
        Defect("button stuck", "the acknowledge button is stuck", "switches", _button),
        Defect(
            "ground wire off", "the ground switch's wire is off", "switches", _ground_wire, _measured("ground_fitted")
        ),
        Defect("tone silent", "the sounder is silent", "signals", _silent),
        Defect("lamp dark", "the alert lamp is dark", "alert", _dark),
        Defect("sensor plug off", "no pressure sensor is plugged in: its alert hides another", "alert", _no_sensor),
        Defect("supply divider", "the supply's divider is 10 % off", "supply", _supply, _measured("supply_fitted")),
        Defect("sensor zero", "sensor a reads 0.3 bar too much", "zero", _sensor(zero_error_mbar=300.0)),
        Defect(
            "sensor of another span",
            "sensor a is of the same make for a smaller span: it reads a quarter too much",
            "gauge",
            _sensor(span_bar=lambda spec: 0.8 * spec.span_bar),
        ),
        Defect("sensor gain", "sensor a reads 6 % too much", "low_air", _sensor(gain_error=0.06)),
        Defect("valve reversed", "the hoses at the valve are swapped", "valve", _valve(_Reversed)),
        Defect("valve stays up", "the valve stays up without its coil, and nobody accepts that", "falls", _stubborn),
        Defect(
            "lock switch stuck", "the last lock switch is stuck closed", "locks", _lock_stuck, _measured("lock_count")
        ),
        Defect(
            "lock wire off", "the wire of the first lock switch is off", "locks", _lock_wire, _measured("lock_count")
        ),
        Defect("slow gear", "the flow controls let a fifth through", "extension", _air(flow=0.2)),
        Defect("stiff gear", "the friction of the legs is three times the file's", "lock_minimum", _air(friction=3.0)),
        Defect("leak", "the tank leaks eight times what the file says", "leak", _leak),
        Defect(
            "receiver late",
            "the receiver repeats its last pulses for 3 s before it does what it should",
            "transmitter_off",
            _receiver(failsafe_delay_ms=3000.0),
        ),
        Defect("coil on while booting", "the valve is driven up while the board starts", "restart", _coil),
    )
}


def find_defect(name):
    """Defect of a name. Raises InputError."""
    if name not in CATALOGUE:
        raise InputError(f"--defect {name}", "", f"is not known{nearest(name, CATALOGUE)}; see --list")
    return CATALOGUE[name]


def defect_lines(aircraft):
    """Lines for people: those that this aircraft can have."""
    fitting = [one for one in CATALOGUE.values() if one.needs(aircraft)]
    width = max(len(one.name) for one in fitting)
    return [f"  {one.name:<{width}}  {one.step:<15}  {one.words}" for one in fitting]
