"""How fast random days are flown, and what more processes bring: `python -m host_sim.budget.speed`.

The same days on one process and on several, and on a Dask cluster where an address is given; then single flights, turn
and turn about. The ratios, not the seconds, are what can be compared between machines.
"""

import argparse
import time

from ..aircraft import AIRCRAFT_DIR, load_aircraft
from ..errors import InputError
from .advice import advise
from .chances import fly_days
from .day_flight import failing_day, ordinary_day
from .days import draw
from .one_day import fly_day
from .points import points
from .pool import bar

SEED = 1
ROUNDS = 3
DAYS = 5


def timed(function):
    """(seconds, result)."""
    before_s = time.perf_counter()
    result = function()
    return time.perf_counter() - before_s, result


def compare(aircraft, advice, n, jobs, cluster):
    """Lines: the same days by each way of doing the work. InputError where two ways differ."""
    ways = [("one process", 1, ""), (f"{jobs} processes", jobs, "")]
    if cluster:
        ways.append((f"cluster {cluster}", 1, cluster))
    lines, first_s, first = [f"{n} days of {aircraft.name}", "    days/s   of the first   "], None, None
    for name, own_jobs, address in ways:
        with bar(n) as tell:
            seconds, made = timed(lambda j=own_jobs, a=address, t=tell: fly_days(aircraft, advice, n, SEED, j, a, t))
        first_s, first = first_s or seconds, first or made
        if made != first:
            raise InputError(name, "", "gives other chances than one process")
        lines.append(f"  {n / seconds:8.2f}   {seconds / first_s:12.2f}   {name}: {made.flights / n:.2f} flights a day")
    return lines


def parts(aircraft, advice):
    """Lines: what a single flight and a whole day cost, the best of a few rounds each, over the same days."""
    advised = next(point for point in points(aircraft, advice) if point.is_advised)
    days = [draw(aircraft, advice, SEED, number) for number in range(DAYS)]
    found = (
        ("ordinary day at the advised point", lambda day: ordinary_day(aircraft, day, advised)),
        ("failing day at the advised point", lambda day: failing_day(aircraft, day, advised)),
        ("a day at all points, as it is flown", lambda day: fly_day(aircraft, advice, SEED, day.number)),
        ("a day at all points, each flown", lambda day: fly_day(aircraft, advice, SEED, day.number, thorough=True)),
    )
    best_s = [float("inf")] * len(found)
    for _ in range(ROUNDS):
        for index, (_, function) in enumerate(found):
            seconds, _ = timed(lambda f=function: [f(day) for day in days])
            best_s[index] = min(best_s[index], seconds / DAYS)
    lines = ["  ms a day   of the first   "]
    for (name, _), seconds in zip(found, best_s, strict=True):
        lines.append(f"  {1000 * seconds:8.0f}   {seconds / best_s[0]:12.2f}   {name}")
    return lines


def main(arguments=None):
    """The command; returns the exit status."""
    parser = argparse.ArgumentParser(prog="python -m host_sim.budget.speed", description=__doc__.split("\n")[0])
    parser.add_argument("--flights", type=int, default=200, help="days to fly (default: 200)")
    parser.add_argument("--jobs", type=int, default=2, help="processes to compare with one (default: 2)")
    parser.add_argument("--cluster", default="", metavar="ADDRESS", help="a Dask scheduler to compare with, too")
    options = parser.parse_args(arguments)
    aircraft = load_aircraft(AIRCRAFT_DIR / "curlew24.yaml")
    try:
        advice = advise(aircraft.installed, aircraft.settings)
        print("\n".join(compare(aircraft, advice, options.flights, options.jobs, options.cluster)))
    except InputError as error:
        print(error)
        return 2
    print("\n".join(parts(aircraft, advice)))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
