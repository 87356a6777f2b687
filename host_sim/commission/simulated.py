"""An invented model on an invented bench: the link and the person that stand in for real ones."""

from ..errors import InputError
from .defects import find_defect
from .model import Model, specimen
from .simulated_board import SimulatedBoard
from .simulated_person import SimulatedPerson
from .steps_gear import SENTENCE


def simulated_bench(aircraft, tell, defect=""):
    """(SimulatedBoard, SimulatedPerson) of an aircraft, with a defect by name. Raises InputError."""
    found = find_defect(defect) if defect else None
    if found is not None and not found.needs(aircraft):
        raise InputError(f"--defect {defect}", "", f"{aircraft.name} has nothing of the kind")
    model = Model(specimen(aircraft), aircraft.fill_bar)
    board = SimulatedBoard(model)
    person = SimulatedPerson(board, tell, SENTENCE)
    if found is not None:
        found.apply(model, board, person)
    return board, person
