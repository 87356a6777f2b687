"""Failure modes and effects (FMEA), and fault trees, computed from the flights of tests/in_flight.

    python -m tests.fmea            read out/evidence/in_flight.json, check, write FMEA.md, cells.json and the pictures
    python -m tests.fmea --short    no flights: check the committed cells and that the committed page follows from them

What is judged here is data: failures.yaml (what a builder does about a failure, which requirements meet it),
limits.yaml (single failures that are admitted, each with its sentence of SAFETY.md) and trees.yaml (two top events).
Failure rates are not known for these parts, so every failure mode weighs the same and no probability is computed.
"""
