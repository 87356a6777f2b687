"""The steps in their order: what moves nothing first, then what moves the gear, then the controller flying."""

from ..errors import InputError
from ..yamlfile import nearest
from .steps_air import GaugeStep, LeakStep, ZeroStep
from .steps_flight import AlertStep, LowAirStep, RestartStep, TransmitterOffStep
from .steps_gear import ExtensionStep, FallsStep, LockMinimumStep, ValveStep
from .steps_radio import BoardStep, ChannelsStep, EndsStep, ReceiverStep
from .steps_signals import LocksStep, SignalsStep, SupplyStep, SwitchesStep

ALL = (
    BoardStep(),
    ChannelsStep(),
    EndsStep(),
    ReceiverStep(),
    SwitchesStep(),
    SignalsStep(),
    SupplyStep(),
    ZeroStep(),
    GaugeStep(),
    ValveStep(),
    FallsStep(),
    LocksStep(),
    ExtensionStep(),
    LockMinimumStep(),
    LeakStep(),
    TransmitterOffStep(),
    AlertStep(),
    LowAirStep(),
    RestartStep(),
)
NAMES = tuple(step.name for step in ALL)


def steps_for(aircraft):
    """The steps that this aircraft has to pass, in order."""
    return [step.fitted(aircraft) for step in ALL if step.fits(aircraft)]


def chosen(aircraft, only="", first=""):
    """Steps of an aircraft: one by name, or from one on. Raises InputError for a name that is none of its steps."""
    steps = steps_for(aircraft)
    names = [step.name for step in steps]
    for option, name in (("--only", only), ("--from", first)):
        if name and name not in names:
            what = "is not needed by this aircraft" if name in NAMES else f"is no step{nearest(name, names)}"
            raise InputError(f"{option} {name}", "", f"{what}; allowed: {', '.join(names)}")
    if only:
        # Nothing counts on a board with other settings, so that is looked at every time.
        return [step for step in steps if step.name in ("board", only)]
    if first and first != "board":
        return [steps[0], *steps[names.index(first) :]]
    return steps
