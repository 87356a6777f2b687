"""Every invariant holds when the board has just started, for any settings: the first step of each induction.

The constructors run as they are. Observers begin with what the requirement says of a board of which nothing is known.
"""

from types import SimpleNamespace

import z3

from controller.channels import Frames, Link, Switch
from controller.codes import DOWN
from controller.gear import Gear
from controller.health import Health
from controller.interlock import Interlock
from controller.pressure import Pressure
from controller.second_inputs import RawSensor, RawSwitch
from controller.sensor import Rail, Sensor
from controller.settings import Settings
from controller.slopes import Slope
from controller.strokes import Strokes
from controller.tank import EMPTY, Tank
from controller.valve import Valve

from . import channel_model, contracts, gear_model, health_proof, pressure_proof, tank_proof, valve_proof
from . import test_interlock_proof as second_path
from .contracts import within
from .path_proof import Part
from .proving import Proof
from .sensor_model import SensorModel
from .slopes_proof import WindowModel
from .strokes_model import RATIOS, SETTINGS, TIMES, StrokesModel
from .symbolic import term


def state_of(parts, base=None):
    """Terms of the fields of `parts`, a dictionary, over those of `base`."""
    n = SimpleNamespace(**vars(base)) if base else SimpleNamespace()
    for name, value in parts.items():
        setattr(n, name, term(value))
    return n


def prove(name, assumptions, make, goals, assumes=()):
    proof = Proof(f"{name}: at boot", assumptions, assumes=assumes)
    return proof.run(lambda: make(proof.explorer.fresh), goals)


def prove_gear():
    s = gear_model.unknowns()
    locked = z3.Int("locked_out")

    def make(fresh):
        limits = SimpleNamespace(
            link_settle_ticks=fresh("_settle_need"),
            recover_ticks=fresh("_away_need"),
            release_ticks=fresh("_hold_need"),
        )
        return Gear(limits, fresh("_frames_need"), fresh("locked_out"))

    def goals(gear):
        parts = {name: getattr(gear, name) for name in ("mode", "held", "armed", "refusal", *gear_model.COUNTERS)}
        parts |= {f"latched{cause}": value for cause, value in enumerate(gear.latched)}
        n = state_of(parts, s)
        n.o_down = n.o_awake = z3.BoolVal(False)
        n.o_settle = n.o_away = n.o_hold = n.o_frames = z3.IntVal(0)
        for cause in range(len(gear.latched)):
            setattr(n, f"o_latch{cause}", z3.BoolVal(False))
        out = z3.IntVal(DOWN)
        return {
            "SR-01 the invariant holds": gear_model.invariant(n),
            "SR-10 mode and output say the same": Part().tie(n.mode, out, z3.BoolVal(False), n.o_down),
            "SR-32 locked out stays so": z3.Implies(locked == 1, n.mode == 4),
        }

    needs = [getattr(s, need) for need in gear_model.NEEDS]
    return prove("gear", [contracts.ticks(*needs), contracts.flags(locked)], make, goals, ["ticks"])


def prove_channel():
    s = channel_model.unknowns()

    def make(fresh):
        limits = SimpleNamespace(
            link_degraded_ticks=fresh("degraded"),
            link_recover_ticks=fresh("recover_need"),
            link_force_ticks=fresh("force"),
            signature_age_ticks=fresh("sig_age"),
        )
        settings = Settings()
        settings.switch_frames = fresh("frames")
        raw = RawSwitch(settings, fresh("gaps_most"))
        raw._gap_need, raw._quiet = fresh("degraded"), fresh("degraded")
        raw._mark_need, raw._mark_age = fresh("sig_age"), fresh("sig_age")
        return Frames(settings, limits), Link(limits), Switch(settings), raw

    def goals(parts):
        n = channel_model.after(s, *parts)
        n.o_quiet = n.o_down = n.o_up = z3.IntVal(0)
        return {"SR-06 the invariant holds": channel_model.invariant(n)}

    return prove("channel", channel_model.assumptions(s)[:-1], make, goals, channel_model.ASSUMES)


def prove_second_path():
    """Its state at boot depends on no setting; its times are any."""
    names = (*second_path.STATE, *second_path.NEEDS)
    s = SimpleNamespace(**{name: z3.Int(name) for name in names})

    def goals(path):
        n = state_of({name: getattr(path, name) for name in second_path.STATE}, s)
        n.o_out, n.o_down = z3.IntVal(DOWN), z3.BoolVal(False)
        return {"SR-11 the invariant holds, without leave": z3.And(second_path.invariant(n), n.leave == 0)}

    needs = [getattr(s, need) for need in second_path.NEEDS]
    assumptions = [contracts.second_times(*needs)]
    return prove("second path", assumptions, lambda _: Interlock(Settings(), 0), goals, ["second times"])


def prove_sensor():
    model = SensorModel("s")

    def make(fresh):
        s = {name: fresh(f"s_{name}") for name in ("zero", "full", "span", "open", "short", "nominal", "fitted")}
        settings = SimpleNamespace(
            sensor_open_counts=s["open"],
            sensor_short_counts=s["short"],
            rail_nominal_counts=s["nominal"],
            rail_fitted=s["fitted"],
        )
        limits = SimpleNamespace(sensor_ticks=fresh("s_confirm_need"), heal_ticks=fresh("s_confirm_heal"))
        calibration = (s["zero"], s["full"], s["span"], settings)
        return Sensor(*calibration, limits), RawSensor(*calibration), Rail(settings)

    def goals(parts):
        mine, raw, rail = parts
        n = model.after(mine, raw, rail)
        nothing = z3.IntVal(0)
        return {
            "SR-05 the invariant holds": z3.And(
                model.invariant(n), model.confirm.tied(mine._confirm, nothing, nothing)
            ),
            "contract: code": within(1, term(mine.code_mbar_x16), 512),
        }

    assumptions = [*model.rules, contracts.ticks(model.confirm.need, model.confirm.heal)]
    return prove("sensor", assumptions, make, goals, ["sensor rules", "ticks"])


def prove_pressure():
    def make(fresh):
        limits = SimpleNamespace(sensor_ticks=fresh("need"), heal_ticks=fresh("heal"))
        return Pressure(Settings(), limits)

    def goals(pressure):
        n = state_of({name: getattr(pressure, name) for name in pressure_proof.OWN if hasattr(pressure, name)})
        n.readers, n.pause = term(pressure._readers), term(pressure._pause)
        return {"SR-05 the invariant holds": z3.And(pressure_proof.bounds(n), term(pressure._disagree.count) == 0)}

    return prove("pressure", [contracts.ticks(z3.Int("need"), z3.Int("heal"))], make, goals, ["ticks"])


def prove_strokes():
    model = StrokesModel(1)

    def make(fresh):
        limits = SimpleNamespace(**{name: fresh(f"k_{name}") for name in (*TIMES, *RATIOS)})
        limits.window_ticks = fresh("window")
        settings = SimpleNamespace(sensor_count=1, **{name: fresh(f"k_{name}") for name in SETTINGS})
        return Strokes(settings, limits)

    def goals(path):
        n = model.after(path)
        n.o_since = model.s.stroke_ticks + model.s.second_ticks + 1
        n.o_brake, n.o_burst, n.o_loss = model.s.brake_settle_ticks, z3.IntVal(0), z3.IntVal(0)
        return {"SR-04 the invariant holds": model.invariant(n)}

    return prove("strokes", [*model.assumptions()[:-1], contracts.ticks(z3.Int("window"))], make, goals, ["ticks"])


def prove_slope():
    model = WindowModel("w")

    def goals(slope):
        n = model.after(slope.window, pushed=False)
        # Nothing was pushed yet, so nothing is followed.
        n.o_age, n.o_value, n.o_place = model.s.need + 1, z3.IntVal(0), z3.IntVal(0)
        values = [term(getattr(slope, name)) for name in ("votes", "mbar", "smooth", "start_mbar", "start_known")]
        return {
            "SR-04 the invariants hold": z3.And(model.invariant(n), contracts.slope(*values), term(slope._pause) == 5)
        }

    return prove("slope", model.rules, lambda fresh: Slope(fresh("w_need")), goals, ["ticks"])


def prove_tank():
    def goals(slow):
        zeros = [slow._at, slow._ticks, slow._hold_s, slow._quiet_s, slow._filled_s, slow.charging, slow.leaking]
        cells = [z3.And(term(cell) == EMPTY, tank_proof.is_sample(term(cell))) for cell in slow._ring]
        return {
            "SR-19 the invariant holds": z3.And(
                *[term(value) == 0 for value in zeros], term(slow._last) == EMPTY, *cells
            )
        }

    return prove("tank", [], lambda _: Tank(SimpleNamespace()), goals)


def prove_valve():
    needs = [z3.Int(name) for name in ("pulse_need", "dead_need", "repeat_need")]

    def goals(driver):
        n = state_of({name: getattr(driver, f"_{name}") for name in valve_proof.STATE})
        n.o_up = n.o_down = needs[1]
        n.o_on = z3.IntVal(0)
        return {"SR-18 the invariant holds": valve_proof.invariant(n, *needs)}

    return prove("valve", [contracts.coil_times(*needs)], lambda _: Valve(Settings(), 0, 0, 0), goals, ["coil times"])


def prove_clock():
    def goals(health):
        state = [term(v) for v in (health._since_one, health._since_two, health._sum_ms, health._n, health.clock_bad)]
        long_ago = [z3.IntVal(health_proof.SPAN_MS)] * 2
        return {
            "SR-31 the invariant holds": z3.And(
                health_proof.clock_invariant(*state, *long_ago), term(health._sick) == 0
            )
        }

    return prove("clock", [within(10, z3.Int("tick"), 50)], lambda fresh: Health(fresh("tick")), goals)


ALL = {
    "gear": prove_gear,
    "channel": prove_channel,
    "second path": prove_second_path,
    "sensor": prove_sensor,
    "pressure": prove_pressure,
    "strokes": prove_strokes,
    "slope": prove_slope,
    "tank": prove_tank,
    "valve": prove_valve,
    "clock": prove_clock,
}
