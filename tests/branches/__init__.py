"""Is every branch of the controller taken by the unit tests, and does every loop run and end?

    python -m tests.branches [--all]

The controller's dialect allows one condition a decision (tests/house/test_dialect.py). Every branch taken then means
that every condition has decided alone, both ways: modified condition/decision coverage, the aim of DO-178C for the
highest level (from memory; followed in idea). Without --all only tests/unit/test_*_edges.py run, which reach every
branch by themselves in a few seconds. Nothing may be left out: a comment that tells coverage to look away fails too.
"""
