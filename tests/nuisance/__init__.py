"""Nuisance flights: over a thousand flights with everything a healthy model meets, and the gear is never forced.

`python -m tests.nuisance` flies them on a PC. distribution.py draws a flight from its seed, flight.py flies it, judge.py
says from the truth alone what should have happened, corners.py counts the rare corners, bound.py states what no event
in so many flights means.
"""
