"""Small deliberate changes of the controller's source, one at a time: does a unit test notice each of them?

    python -m tests.mutation [--files gear.py,tank.py] [--jobs 2]

Two kinds of change. Inside functions: the mutants of `mutmut` (comparisons, arithmetic, numbers, assignments,
arguments, strings). Outside functions, where mutmut changes nothing: every integer, one more and one less.

equivalent.yaml lists the changes that nobody can see, each with its reason. The command fails on a change that no test
notices and that is not listed, and on an entry that matches no such change any more.

mutmut's own loop collects the tests anew for every mutant: 1.5 mutants a second on one core, with the tests of one
file. Here the tests are collected once, and every mutant gets a fork of that process in which the changed function's
code takes the place of the real one. tests/unit/test_*_edges.py have to notice every change by themselves, the
integers outside functions tests/unit/test_constants.py; `--tests all` lets every unit test try. Expected failures are
left out. A mutant that runs out of processor time counts as noticed, and is counted apart.
"""
