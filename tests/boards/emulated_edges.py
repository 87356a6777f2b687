"""Edges that come to the input pins of an emulated board while it runs."""

import heapq


class EdgeFeed:
    """Edges from any number of sources, in order of time.

    `drive(pin, level)` puts one on its pin; `plan(us)` asks for a call of `due(now_us)` at that time. A source is read
    one edge ahead and no further.
    """

    def __init__(self, drive, plan):
        self._drive = drive
        self._plan = plan
        self._next = []
        self._n_sources = 0

    def add(self, pin, edges):
        """One more source: an iterable of (us, level) for this pin, in order of time."""
        self._n_sources += 1
        self._pull(iter(edges), pin, self._n_sources)
        self.plan()

    def plan(self):
        """Ask for the next call, if there is an edge to come."""
        if self._next:
            self._plan(self._next[0][0])

    def due(self, now_us):
        """Everything up to now_us, and the next call."""
        # A nanosecond of tolerance: times of the emulator's clock are sums of floats.
        while self._next and self._next[0][0] <= now_us + 0.001:
            _, number, pin, level, edges = heapq.heappop(self._next)
            self._drive(pin, level)
            self._pull(edges, pin, number)
        self.plan()

    def _pull(self, edges, pin, number):
        edge = next(edges, None)
        if edge is not None:
            # The number of the source decides between edges of the same time, so that every run is the same.
            heapq.heappush(self._next, (edge[0], number, pin, edge[1], edges))


def pulse_train(start_us, period_us, widths_us):
    """Edges of servo pulses: one pulse a period from start_us on, with the widths of the iterable."""
    t_us = start_us
    for width_us in widths_us:
        yield t_us, 1
        yield t_us + width_us, 0
        t_us += period_us


def whole_pulses(edges):
    """[(start us, width us)] of the whole pulses in the edges that EmulatedBoard.watch gave."""
    found = []
    for (start_us, level), (end_us, _) in zip(edges, edges[1:], strict=False):
        if level == 1:
            found.append((start_us, end_us - start_us))
    return found
