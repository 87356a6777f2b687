"""What each fault of the catalogue does to the devices while it is active. fault_plan.py says when that is."""

from math import pi

from .faults import CHANNELS, SENSORS

# ISO 6358, ideal hole: C = 0.1992 dm3/(s bar) per mm2 of effective area.
C_PER_MM2 = 0.1992e-3 / 1e5
US_PER_S = 1_000_000
US_PER_MS = 1000


def conductance(hole_mm):
    """Sonic conductance, m3/(s Pa), of an ideal hole of that diameter, mm."""
    return C_PER_MM2 * pi / 4.0 * hole_mm**2


def _sensor(bench, fault):
    """The sensor that a fault names; None where the aircraft has only one."""
    index = SENSORS.index(fault["sensor"])
    return bench.sensors[index] if index < len(bench.sensors) else None


def _on_sensor(change):
    """An effect on the named sensor, where there is one."""

    def effect(bench, fault):
        sensor = _sensor(bench, fault)
        if sensor is not None:
            change(sensor, fault)

    return effect


def _set(name, value):
    return lambda device, fault: setattr(device, name, value)


def _drift(sensor, fault):
    sensor.drift_bar_s = fault["rate"] / 1000.0
    sensor.drift_from_us = round(fault.from_s * US_PER_S)


def _offset(sensor, fault):
    sensor.offset_bar += fault["offset"] / 1000.0


def _noise(sensor, fault):
    sensor.extra_noise_bar += fault["noise"] / 1000.0


def _intermittent(sensor, fault):
    sensor.breaks_us = round(fault["off"] * US_PER_MS)
    sensor.makes_us = round(fault["on"] * US_PER_MS)
    sensor.breaks_from_us = round(fault.from_s * US_PER_S)


def _rail(bench, fault):
    bench.rail.shift_v += fault["shift"]


def _lose_link(on_loss):
    def effect(bench, fault):
        bench.receiver.link_off = True
        if on_loss:
            bench.receiver.on_loss = on_loss

    return effect


def _stutter(bench, fault):
    bench.receiver.stutter_off_us = round(fault["off"] * US_PER_MS)
    bench.receiver.stutter_on_us = round(fault["on"] * US_PER_MS)
    bench.receiver.stutter_from_us = round(fault.from_s * US_PER_S)


def _channel(fault, name="channel"):
    return CHANNELS.index(fault[name])


def _wire_off(bench, fault):
    bench.receiver.wire_off[_channel(fault)] = True


def _stuck(bench, fault):
    bench.receiver.stuck_us[_channel(fault)] = fault["pulse"]


def _glitches(bench, fault):
    shape = (fault["share"] / 100.0, int(fault["run"]), fault["shortest"], fault["longest"])
    bench.receiver.glitch[_channel(fault)] = shape


def _frame_period(bench, fault):
    bench.receiver.set_frame_us(fault["period"] * US_PER_MS)


def _swapped(bench, fault):
    order = bench.receiver.order
    first, second = _channel(fault, "first"), _channel(fault, "second")
    order[first], order[second] = order[second], order[first]


def _reversed(bench, fault):
    bench.receiver.reversed[_channel(fault)] = True


def _set_demand(name, value):
    return lambda bench, fault: setattr(bench.demand, name, value)


def _hole_in_feed(bench, fault):
    bench.demand.burst_m3_s_pa += conductance(fault["hole"])


def _torn_hose(bench, fault):
    leg = int(fault["leg"]) - 1
    if leg < len(bench.plant.legs):
        bench.demand.line_burst_leg = leg
        bench.demand.line_burst_side = fault["side"]
        bench.demand.line_burst_m3_s_pa = conductance(fault["hole"])


def _brake_drag(bench, fault):
    bench.demand.brake_drag = True
    bench.demand.brake_drag_m3_s_pa = conductance(fault["hole"])


def _jam(bench, fault, leg):
    bench.demand.jam_leg = leg
    bench.demand.jam_travel = fault["travel"] / 100.0


def _jammed_leg(bench, fault):
    leg = int(fault["leg"]) - 1
    if leg < len(bench.plant.legs):
        _jam(bench, fault, leg)


def _jammed_legs(bench, fault):
    _jam(bench, fault, bench.all_legs)


def _lock_switch(made):
    def effect(bench, fault):
        leg = int(fault["leg"]) - 1
        if leg < len(bench.lock_switches):
            bench.lock_switches[leg].stuck = made

    return effect


def _ground_wire_off(bench, fault):
    bench.ground_switch.wire_off = True


def _ground_stuck(bench, fault):
    bench.ground_switch.stuck = fault["reads"] == "clear"


def _button(bench, fault):
    bench.button_stuck = True


def _brown_out(bench, fault):
    bench.supply.dropped_to_v = fault["supply"]


def _sag(bench, fault):
    bench.supply.sag_to_v = fault["supply"]


def _clock_rate(bench, fault):
    bench.clock_rate = fault["rate"] / 100.0


def _nothing(bench, fault):
    """Acts at moments of its own: see `reset_times_us` and `late_ticks` of fault_plan.FaultPlan."""


EFFECTS = {
    "sensor open": _on_sensor(_set("is_open", True)),
    "sensor short": _on_sensor(_set("is_short", True)),
    "sensor frozen": _on_sensor(_set("is_frozen", True)),
    "sensor drift": _on_sensor(_drift),
    "sensor offset": _on_sensor(_offset),
    "sensor noise": _on_sensor(_noise),
    "sensor intermittent": _on_sensor(_intermittent),
    "rail shift": _rail,
    "transmitter off": _lose_link(""),
    "no pulses": _lose_link("silent"),
    "preset on loss": _lose_link("preset"),
    "held pulses": _lose_link("hold"),
    "stutter": _stutter,
    "channel wire off": _wire_off,
    "channel stuck high": _stuck,
    "channel stuck low": _stuck,
    "glitches": _glitches,
    "frame period": _frame_period,
    "channels swapped": _swapped,
    "channel reversed": _reversed,
    "valve wire off": _set_demand("valve_wire_off", True),
    "valve stuck": _set_demand("valve_stuck", True),
    "slow leak": _hole_in_feed,
    "burst line": _hole_in_feed,
    "torn hose": _torn_hose,
    "brake drag": _brake_drag,
    "jammed leg": _jammed_leg,
    "jammed legs": _jammed_legs,
    "lock switch stuck closed": _lock_switch(True),
    "lock switch stuck open": _lock_switch(False),
    "ground wire off": _ground_wire_off,
    "ground switch stuck": _ground_stuck,
    "button stuck": _button,
    "brown-out": _brown_out,
    "supply sag": _sag,
    "clock rate": _clock_rate,
    "reset": _nothing,
    "late ticks": _nothing,
}
