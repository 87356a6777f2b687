"""SR-12: the warning of low air, beside the forcing that it must not come after."""

from types import SimpleNamespace

from controller.alerts import Alerts
from controller.codes import VALVE_SPRING
from controller.conditions import Conditions
from controller.facts import Judge
from controller.limits import Limits
from controller.pressure import Pressure

from .made import Times
from .moves import Move, Port
from .nets_air import Air
from .network import Letter, Network, product
from .parts import Part
from .see_air import Persisting
from .see_flight import doubted_below

AIR_LOW = 7


class Warned:
    """`may_end` is left to SR-24: only that it comes in time, and not without cause, is asked here."""

    def __init__(self, settings, times):
        self.s = settings
        self.surely = Persisting(times.warn_confirm, times.heal)
        self.perhaps = Persisting(times.warn_confirm, times.heal)

    def see(self, gauge, doubted, forced, warned):
        read, mbar, _, _ = gauge
        over = self.s.warn_below_mbar + max(self.s.sensor_a_span_mbar // 50, 2 * self.s.sensor_noise_mbar)
        low = None if not read or self.s.warn_below_mbar <= mbar < over else mbar < self.s.warn_below_mbar
        must = self.surely.step(low)
        may = self.perhaps.step(doubted_below(low, doubted, self.s.warn_below_mbar))
        if forced and not warned:
            return ("SR-12: low air forces before the warning",)
        if must and not warned:
            return ("SR-12: the warning of low air is late",)
        if warned and not may:
            return ("SR-12: the warning of low air has no cause",)
        return ("",)


def warning_network(name, settings, letters):
    limits, times = Limits(settings), Times(settings)
    alerts = Alerts(limits)
    conditions = Conditions(settings, limits, alerts, 0, VALVE_SPRING)
    judge = Judge(settings, limits, 0, VALVE_SPRING)
    warned = Warned(settings, times)
    told, weighed = Pressure(settings, limits), Pressure(settings, limits)
    still = SimpleNamespace(
        held=0, mode=1, refusal=0, position=0, state=0, was_good=1, too_cheap=0, leaking=0, charging=0, overdue=0,
        distrusted=0, not_down=0, brakes_on=0, late=0, count=0, frame=2, down_run=0, up_done=0, burst_now=0, loss_now=0,
        clear=1, late_latch=0, clock_bad=0,
    )  # fmt: skip

    def raise_alerts():
        conditions.step(still, still, still, told, -2, still, still, still, still, still, still)
        return (conditions.wanted[AIR_LOW],)

    def weigh(command):
        judge.step(command, still, still, weighed, still, still, -2, still, still, 1)
        return (judge.facts.present[0],)

    fixed = (settings, limits, times, still, told, weighed)
    ports = [Port("pressure", told)]
    moves = [
        Air(settings).move(),
        Move(Part("judge", {"judge": judge}, fixed), weigh, ("command",), [Port("pressure", weighed)], ("forced",)),
        Move(Part("conditions", {"conditions": conditions}, fixed), raise_alerts, (), ports, ("warned",)),
        Move(
            Part("watch", {"watch": warned}, fixed), warned.see, ("gauge", "doubted", "forced", "warned"), verdict=True
        ),
    ]
    commands = [Letter("command DOWN", command=0), Letter("command UP", command=1)]
    return Network(name, product(commands, letters), moves)
