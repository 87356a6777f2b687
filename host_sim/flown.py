"""One flight after it was flown: story, verdicts and picture in the user's unit, for the command, page and plot."""

from dataclasses import dataclass
from functools import cached_property

from .claims import judge
from .events import Row, words
from .picture import make_picture
from .quantities import show_pressure
from .timeline import timeline
from .wording import admitted_limits, cause_why, show_difference


@dataclass(frozen=True)
class Flown:
    """A scenario, its trace, and how to tell them: `unit` is bar, psi or kPa, `engine` what ran the controller."""

    scenario: object
    trace: object
    unit: str
    engine: str = "cpython"

    @cached_property
    def verdicts(self):
        """One Verdict for each claim."""
        return judge(self.scenario, self.trace, self.unit)

    @property
    def failed(self):
        """Verdicts that do not hold."""
        return [verdict for verdict in self.verdicts if not verdict.holds]

    @cached_property
    def limits(self):
        """Sentences of limits that the aircraft's owner has accepted."""
        return admitted_limits(self.scenario.aircraft)

    @cached_property
    def lines(self):
        """The timeline, a list of timeline.Line."""
        begins = [(fault.from_s, f"Fault: {fault_sentence(fault, self.unit)}") for fault in self.scenario.faults]
        ends = [
            (fault.until_s, f"Fault over: {fault.kind.name}.")
            for fault in self.scenario.faults
            if fault.until_s < self.scenario.duration_s
        ]
        deeds = find_deeds(self.scenario)
        return timeline(self.trace, self.scenario.aircraft.settings, self.unit, begins + ends, deeds)

    @cached_property
    def picture(self):
        """The picture.Picture."""
        faults = [(fault.from_s, fault.until_s, fault_label(fault, self.unit)) for fault in self.scenario.faults]
        return make_picture(
            self.scenario.title, self.trace, self.scenario.aircraft.settings, self.unit, faults, self.limits
        )

    def in_short(self):
        """The flight in a few sentences, as (severity, sentence): what was refused, what was forced, how it ended."""
        rows = [Row(*row) for row in self.trace.rows]
        found = []
        settings = self.scenario.aircraft.settings
        for before, row in zip(rows, rows[1:], strict=False):
            if row.refusal != before.refusal and row.refusal != "none":
                found.append(("caution", f"A retraction was refused at {row.t_s:.2f} s ({row.refusal})."))
            new = [cause for cause in words(row.causes) if cause not in words(before.causes)]
            if new and before.gear_command == "up" and row.gear_command == "down":
                why = cause_why(new[0], row.cause_value if row.cause == new[0] else None, self.unit, settings)
                found.append(("warning", f"The controller put the gear down at {row.t_s:.2f} s. {why}"))
        if len(found) > 5:
            found = [*found[:4], ("caution", f"And {len(found) - 4} more refusals or forced extensions; see below.")]
        return [*found, ("", _ending(rows, self.unit))]


def _ending(rows, unit):
    last = rows[-1]
    if last.true_locked == "yes":
        gear = "down and locked"
    elif last.gear_travel <= 0.001:
        gear = "up"
    else:
        gear = f"{100 * last.gear_travel:.0f} % down and NOT locked"
    least = min(rows, key=lambda row: row.tank_bar)
    return (
        f"At the end, {last.t_s:.0f} s after power-on, the gear is {gear}, with {show_pressure(last.tank_bar, unit)} "
        f"in the tank; the least was {show_pressure(least.tank_bar, unit)} at {least.t_s:.0f} s."
    )


# What the pilot and the world do besides the sticks: attribute of PilotState -> sentence when it ends, when it begins.
_DEEDS = {
    "transmitter": ("The pilot's transmitter is switched off.", "The pilot's transmitter is switched on."),
    "ground": ("The wheels leave the ground.", "The wheels touch the ground."),
    "filling": ("The filling hose is taken off.", "A hose begins to fill the tank."),
    "button": ("", "The acknowledge button is pressed."),
}
_LOOK_S = 0.1


def find_deeds(scenario):
    """(t_s, sentence) of what the beats do that no column of the trace shows, looked at every tenth of a second."""
    found = []
    state = scenario.pilot.at(0.0)
    before = {name: getattr(state, name) for name in _DEEDS}
    for step in range(1, int(scenario.duration_s / _LOOK_S) + 1):
        t_s = round(step * _LOOK_S, 6)
        state = scenario.pilot.at(t_s)
        for name, sentences in _DEEDS.items():
            value = getattr(state, name)
            if value != before[name]:
                before[name] = value
                if sentences[value]:
                    found.append((t_s, sentences[value]))
    return found


def fault_label(fault, unit):
    """A fault in a few words with what the scenario gave it: "slow leak (hole 0.2 mm)"."""
    given = ", ".join(_parameter(parameter, fault[parameter.name], unit) for parameter in fault.kind.parameters)
    return f"{fault.kind.name} ({given})" if given else fault.kind.name


def fault_sentence(fault, unit):
    """A fault in a sentence for a pilot, its numbers in the user's unit."""
    return f"{fault_label(fault, unit)}. {fault.kind.sentence}"


def _parameter(parameter, value, unit):
    if parameter.unit == "bar":
        return f"{parameter.name} {show_pressure(value, unit)}"
    if parameter.unit in ("mbar", "mbar/s"):
        return (
            f"{parameter.name} {show_difference(value / 1000, unit)}{' a second' if parameter.unit == 'mbar/s' else ''}"
        )
    if isinstance(value, str):
        return f"{parameter.name} {value}"
    shown = {"percent": "%"}.get(parameter.unit, parameter.unit)
    return f"{parameter.name} {value:g} {shown}".rstrip()
