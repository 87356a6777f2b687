"""Settings turned into what a tick compares with: ticks, volume ratios, expected drops. Computed once, at boot.

Times that force are rounded down to ticks, times that permit or release are rounded up, and none is below two ticks.
"""

# Standard atmosphere at sea level, ICAO Doc 7488/3. At 1,000 m it is 113 mbar too high, which makes an expected drop
# too large by less than 2 %.
AMBIENT_MBAR_ABS = 1013
RATIO_ONE = 10000

# Fixed by the requirements, not by a builder.
BRAKE_SETTLE_MS = 600
BURST_SAMPLES = 3
STROKE_LOSS_PERCENT = 130
STROKE_LOSS_MBAR = 50
SUPPLY_MARGIN_MV = 300
# A valve that does not fall by itself has to be driven while it still can (SR-13).
SUPPLY_CONFIRM_DRIVEN_MS = 200
# A supply that hovers around a point must not make anything blink: 2 % of 5 V.
SUPPLY_DEADBAND_MV = 100
CHARGE_RISE_MBAR = 300
CHARGE_HOLD_S = 60
CHARGE_SPAN_S = 30
LEAK_MBAR = 100
LEAK_SPAN_S = 60
LEAK_QUIET_S = 30
LEAK_FILL_S = 180
MAX_RATE_MBAR_S = 20000


def ticks_down(time_ms, tick_ms):
    """Ticks of a time that forces."""
    ticks = time_ms // tick_ms
    if ticks < 2:
        return 2
    return ticks


def ticks_up(time_ms, tick_ms):
    """Ticks of a time that permits or releases."""
    ticks = (time_ms + tick_ms - 1) // tick_ms
    if ticks < 2:
        return 2
    return ticks


def ratio_of_tank(volume_ul, tank_ml):
    """A volume as a fraction of the tank, in 1/10000, rounded up."""
    return (volume_ul * 10 + tank_ml - 1) // tank_ml


def adiabatic_drop_mbar(pressure_mbar, filled_ratio, dead_ratio):
    """Tank pressure that a stroke costs while no heat flows: gamma/Vt (p (Vd + Vs) - pa Vd), gamma = 1.4.

    Gauge pressure in, mbar out. Ratios are filled volume Vd + Vs and dead volume Vd over the tank's, in 1/10000.
    """
    moved = (pressure_mbar + AMBIENT_MBAR_ABS) * filled_ratio - AMBIENT_MBAR_ABS * dead_ratio
    return (moved // RATIO_ONE) * 14 // 10


def isothermal_drop_mbar(pressure_mbar, filled_ratio, dead_ratio):
    """Tank pressure that a stroke costs once the heat has come back: p - (p Vt + pa Vd)/(Vt + Vd + Vs)."""
    moved = (pressure_mbar + AMBIENT_MBAR_ABS) * filled_ratio - AMBIENT_MBAR_ABS * dead_ratio
    return (moved // 100) * 100 // (RATIO_ONE + filled_ratio)


class Limits:
    """All that is derived from a checked Settings."""

    def __init__(self, settings):
        s = settings
        tick_ms = s.tick_ms
        self.tick_ms = tick_ms
        self.second_ticks = ticks_up(1000, tick_ms)
        # times that force
        self.low_ticks = ticks_down(s.low_confirm_ms, tick_ms)
        self.warn_ticks = ticks_down(s.warn_confirm_ms, tick_ms)
        self.sensor_ticks = ticks_down(s.sensor_confirm_ms, tick_ms)
        self.sensor_force_ticks = ticks_down(s.sensor_force_ms, tick_ms)
        self.supply_ticks = ticks_down(s.supply_confirm_ms, tick_ms)
        self.link_degraded_ticks = ticks_down(s.link_degraded_ms, tick_ms)
        self.link_force_ticks = ticks_down(s.link_force_ms, tick_ms)
        self.signature_age_ticks = ticks_down(s.signature_age_ms, tick_ms)
        self.brake_ticks = ticks_down(s.brake_confirm_ms, tick_ms)
        self.approach_ticks = ticks_down(s.approach_confirm_ms, tick_ms)
        self.lock_open_ticks = ticks_down(s.lock_confirm_ms, tick_ms)
        self.lock_due_ticks = ticks_down(s.extend_ms + s.lock_margin_ms, tick_ms)
        self.lever_lost_ticks = ticks_down(500, tick_ms)
        # times that permit or release
        self.permit_ticks = ticks_up(s.permit_confirm_ms, tick_ms)
        self.heal_ticks = ticks_up(s.heal_ms, tick_ms)
        self.recover_ticks = ticks_up(s.recover_ms, tick_ms)
        self.release_ticks = ticks_up(s.release_hold_ms, tick_ms)
        self.link_recover_ticks = ticks_up(s.link_recover_ms, tick_ms)
        self.link_settle_ticks = ticks_up(s.link_settle_ms, tick_ms)
        self.ground_ticks = ticks_up(s.ground_clear_ms, tick_ms)
        self.alert_clear_ticks = ticks_up(s.alert_clear_ms, tick_ms)
        self.stroke_ticks = ticks_up(s.stroke_ms + s.stroke_settle_ms, tick_ms)
        self.brake_settle_ticks = ticks_up(BRAKE_SETTLE_MS, tick_ms)
        # air
        self.window_ticks = ticks_up(s.burst_window_ms, tick_ms)
        self.retract_ratio = ratio_of_tank(s.retract_swept_ul + s.retract_dead_ul, s.tank_ml)
        self.retract_dead = ratio_of_tank(s.retract_dead_ul, s.tank_ml)
        self.extend_ratio = ratio_of_tank(s.extend_swept_ul + s.extend_dead_ul, s.tank_ml)
        self.extend_dead = ratio_of_tank(s.extend_dead_ul, s.tank_ml)
        rebound_mbar = adiabatic_drop_mbar(s.fill_mbar, self.extend_ratio, self.extend_dead) * 4 // 14
        self.charge_mbar = CHARGE_RISE_MBAR + 2 * rebound_mbar
        self.supply_permit_mv = s.supply_force_mv + SUPPLY_MARGIN_MV
        # alert deadband: the larger of 2 % of the sensor's range and twice its stated noise (SR-24)
        self.deadband_mbar = s.sensor_a_span_mbar // 50
        if self.deadband_mbar < 2 * s.sensor_noise_mbar:
            self.deadband_mbar = 2 * s.sensor_noise_mbar
