"""Tests of boards/, with simulated and emulated chips."""
