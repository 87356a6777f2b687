"""Exhaustive search: every reachable state of the controller's real classes over finite alphabets of inputs.

    python -m tests.exhaustive [--short] [--jobs 2] [--only NAME] [--no-liveness] [--first-failure]

The classes of the `controller` folder that the working directory holds are run unmodified. parts.py finds out which of
their fields are state: all that any step reads before it writes it. network.py runs real code once for each pair of a
part's state and what it reads, and steps millions of states through tables of the answers; that is exact. search.py
goes breadth first, so the first trace to a broken sentence is a shortest one. liveness.py then asks, from every state,
that DOWN comes within its bound and that a healthy aircraft follows the pilot again. conformance.py replays traces on
the whole `Controller`, each on a new one, as after a reset.

Observers (see_*.py) are written from the text of the requirements; they share no code and no table with the controller.

What is complete: each search for the letters and settings it names. Letters are edges, not all values; confirm times
are the shortest that the checks accept, except where a plan says default or shipped. What is bounded or scaled says so
in its own line: slopes (SR-04) up to a number of ticks, filling and leak (SR-15, SR-19) with spans of a few seconds. In
the flights, slopes, filling, lateness and clock are free, so any behaviour of strokes.py, tank.py and health.py is
covered there. Everything runs on a PC.
"""
