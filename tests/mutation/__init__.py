"""Small deliberate changes of the controller's source, one at a time: does a unit test notice each of them?

    python -m tests.mutation [--files gear.py,tank.py] [--jobs 2]

Two kinds of change. Inside functions: the mutants of `mutmut` (comparisons, arithmetic, numbers, assignments, arguments,
strings). Outside functions, where mutmut changes nothing: every integer, one more and one less.

equivalent.yaml lists the changes that nobody can see, each with its reason. The command fails on a change that no test
notices and that is not listed, and on an entry that matches no such change any more.

mutmut's own loop collects the tests anew for every mutant, which took eight times as long. Here the tests are collected
once, and every mutant gets a fork of that process. Unit tests only, expected failures left out.
"""
