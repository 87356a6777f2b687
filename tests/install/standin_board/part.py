"""A part of the program that main.py takes something from, as modules of a set take from one another."""

PART = "part one"
