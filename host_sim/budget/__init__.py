"""The air budget of one aircraft: what strokes and brakes cost, which thresholds follow, and how sure that is.

use.py, ratings.py, accuracy.py   how it is flown, what its parts bear, what a reading may be wrong by
strokes.py, extension.py          pressure after every stroke, by closed form and by the plant; one extension
terms.py, advice.py, helps.py     each threshold term by term; all of them, or why the tank cannot give them
size.py                           everything that `downlock size` shows
measured.py, bench_rows.py        the bench's measurements, as the aircraft file has them
factors.py, fit*.py, calibration.py, fitted.py, disagreements.py   the model fitted to them, and where they differ
specimens.py, days.py, gear_up.py, day_flight.py, one_day.py, points.py, chances.py, pool.py   random days
words.py, *_words.py, findings.py what is printed; pages.py, *_page.py, *_picture.py what is drawn
"""
