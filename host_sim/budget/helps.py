"""What would help where a tank cannot give the flight that is wanted: each change by itself, tried with the advice."""

from dataclasses import replace

from ..quantities import show_pressure

TANK_STEP_M3 = 50e-6
MOST_TANK_TIMES = 4.0
FILL_STEP_BAR = 0.1
MOST_FILL_BAR = 15.0


def what_helps(installed, settings, extend_s):
    """Sentences; the least of each change that makes the wanted flight possible, or that none does."""
    from .advice import advise

    def possible(changed):
        return not advise(changed, settings, with_helps=False, extend_s=extend_s).problems

    found = [_larger_tank(installed, possible), _higher_fill(installed, possible), _fewer_cycles(installed, possible)]
    found = [sentence for sentence in found if sentence]
    return found or [
        "No larger tank, higher fill or fewer cycles alone would do: look at hoses, legs and the air load."
    ]


def _larger_tank(installed, possible):
    tank_m3 = installed.air.tank_m3
    steps = int((MOST_TANK_TIMES - 1.0) * tank_m3 / TANK_STEP_M3) + 1
    found = _least(steps, lambda n: possible(_with_tank(installed, tank_m3 + n * TANK_STEP_M3)))
    if found is None:
        return ""
    return f"A tank of {1e6 * (tank_m3 + found * TANK_STEP_M3):.0f} mL would do, at the same fill."


def _with_tank(installed, tank_m3):
    # The leak is a hole, not a share: a larger tank does not leak more.
    return replace(installed, air=replace(installed.air, tank_m3=tank_m3))


def _higher_fill(installed, possible):
    ceilings = [bar for bar, _ in installed.ratings.values()] + [installed.sensor.span_bar, MOST_FILL_BAR]
    steps = int((min(ceilings) - installed.fill_bar) / FILL_STEP_BAR + 1e-6)
    found = _least(steps, lambda n: possible(replace(installed, fill_bar=installed.fill_bar + n * FILL_STEP_BAR)))
    if found is None:
        return ""
    bar = show_pressure(installed.fill_bar + found * FILL_STEP_BAR, installed.unit)
    rated = "every part named is rated for it" if installed.ratings else "the file names no rating: look at every part"
    return f"A fill of {bar} would do; {rated}."


def _fewer_cycles(installed, possible):
    for cycles in range(installed.use.cycles - 1, 0, -1):
        if possible(replace(installed, use=replace(installed.use, cycles=cycles))):
            return f"Flying {cycles} {'cycle' if cycles == 1 else 'cycles'} on one fill would do."
    return ""


def _least(most, is_enough):
    """Smallest n of 1..most that is enough (more is never worse), or None."""
    if most < 1 or not is_enough(most):
        return None
    low, high = 0, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if is_enough(middle) else (middle, high)
    return high
