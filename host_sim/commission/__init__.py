"""Guided commissioning on the bench: steps, the board behind a link, the person at the model, and what is kept.

lines.py, board.py        the line protocol of the bench, and a board that speaks it
serial_link.py            a real board on a serial port
model.py, simulated_*.py  an invented model, a board and a pair of hands in virtual time; defects.py breaks them
person.py                 the operator at a terminal
step.py, steps_*.py       what is proved, one class a step; plan.py has them in order
session.py                runs steps, keeps the record
watch.py                  the live view of `bench --watch`
record.py, status.py      records as files, and whether they add up to ready
results.py, edit.py       measurements into the aircraft file's section `measured`
"""
