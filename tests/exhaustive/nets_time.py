"""Lateness, clock and restarts, with the constants of health.py as they are."""

from controller.health import Health, Restarts, check_word

from .nets_outputs import together
from .network import Letter, product
from .see_time import Late, Power, Rate

WRAP = 1 << 30
STAGES = 8


def _marks(health, stages):
    for stage in range(STAGES):
        if stages == "one is missing" and stage == 4:
            continue
        place = {"two change places": {4: 5, 5: 4}}.get(stages, {}).get(stage, stage)
        health.mark(place, int(stages == "one is unwell" and stage == 4), 0)
    health.finish()


def _at(health, elapsed_ms, last_ms):
    """A tick `elapsed_ms` after one at `last_ms`. Clocks are compared by difference, so one stands for all."""
    health._last_ms = last_ms
    health.begin((last_ms + elapsed_ms) % WRAP)


def _started(tick_ms):
    health = Health(tick_ms)
    health.begin(0)
    return health


def late_network(name, last_ms):
    """Ticks on time, at and over every edge, on both sides of the wrap of the clock; the mean is left out."""
    health, late = _started(20), Late(20)

    def run(elapsed_ms, stages):
        # The mean period has a search of its own.
        health._n = health._sum_ms = 0
        _at(health, elapsed_ms, last_ms)
        _marks(health, stages)
        return late.see(elapsed_ms, stages, health.late_latch, health.feed_leave)

    elapsed = [Letter(f"{ms} ms", elapsed_ms=ms) for ms in (20, 30, 40, 120, 130, 500, 990, 1010)]
    stages = [Letter(words, stages=words) for words in ("all", "one is missing", "one is unwell", "two change places")]
    letters = product(elapsed[:1], stages) + product(elapsed[1:], stages[:1])
    return together(name, letters, {"health": health, "late": late}, ("elapsed_ms", "stages"), run)


def rate_network(name):
    """Periods around 20 ms whose mean goes over every edge; none of them late."""
    health, rate = _started(20), Rate(20)

    def run(elapsed_ms):
        _at(health, elapsed_ms, WRAP - 10)
        return rate.see(elapsed_ms, health.clock_bad)

    letters = [Letter(f"{ms} ms", elapsed_ms=ms) for ms in (0, 15, 16, 20, 24, 25, 30)]
    return together(name, letters, {"health": health, "rate": rate}, ("elapsed_ms",), run)


def restarts_network(name, tick_ms=50):
    """Healthy and unhealthy ticks, resets that keep the retained words, resets that lose them, a flipped bit."""
    restarts, power = Restarts(0, 0), Power(tick_ms)

    def run(event):
        count = restarts.count
        if event == "reset":
            restarts.__init__(count, check_word(count))
        elif event == "power":
            restarts.__init__(0, 0)
        elif event == "flipped":
            restarts.__init__(count ^ 1, check_word(count))
        else:
            restarts.step(int(event == "well"), tick_ms)
        return power.see("power" if event == "flipped" else event, restarts.locked_out, restarts.count)

    words = {
        "well": "a healthy tick", "unwell": "a tick that is not fed", "reset": "a reset",
        "power": "power off and on", "flipped": "a reset with a bit of the count flipped",
    }  # fmt: skip
    letters = [Letter(text, event=event) for event, text in words.items()]
    return together(name, letters, {"restarts": restarts, "power": power}, ("event",), run, remade=True)
