"""The air budget of one aircraft: what strokes and brakes cost, which thresholds follow, and how sure that is.

use.py       how the aircraft is flown; ratings.py what its parts bear; accuracy.py what a reading may be wrong by
strokes.py   pressure after every stroke, by closed form and by the plant; extension.py one extension by the plant
terms.py     each threshold, built up term by term; advice.py all of them, or why the tank cannot give them
"""
