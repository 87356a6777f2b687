"""Calls of real code on parts, and the signals that pass between them within a tick."""

from .parts import Poison, get, public, put


class Signal:
    """A value that one move hands to later ones in the same tick. Values are numbered; 0 is a poisoned one."""

    def __init__(self, name):
        self.name = name
        self.values = [None]
        self.codes = {}
        self.source = None

    def code_of(self, value):
        if type(value) is Poison:
            self.source = value
            return 0
        code = self.codes.get(value)
        if code is None:
            code = self.codes[value] = len(self.values)
            self.values.append(value)
        return code

    def value_of(self, code):
        return self.source if code == 0 else self.values[code]


class Port:
    """A stand-in for an object of another part: an instance of its class, whose public integers are signals.

    Which of them are read is found out as the search goes: those that are not known to be read are poisoned.
    """

    def __init__(self, name, instance):
        self.instance = instance
        self.places = public(name, instance)


class Move:
    """One call of real code. `run(*args)` is given the values of the signals `args`; `ports` are filled before.

    returns   names of the signals that `run` returns, as a tuple
    exports   {signal: (container, key)}, as `public` makes them: read from the part's objects afterwards
    verdict   True: the last value returned is "" or what is broken, in words
    """

    def __init__(self, part, run, args=(), ports=(), returns=(), exports=None, verdict=False):
        self.part = part
        self.run = run
        self.args = list(args)
        self.ports = list(ports)
        self.returns = list(returns)
        self.exports = exports or {}
        self.verdict = verdict
        self.port_reads = []

    def restart(self):
        places = {name: place for port in self.ports for name, place in port.places.items()}
        for name, place in places.items():
            put(*place, Poison(name, lambda name=name: self.read_too(name)))
        space = {f"o{number}": places[name][0] for number, name in enumerate(self.port_reads)}
        targets = "".join(
            f"o{number}[{places[name][1]}], " if isinstance(places[name][0], list) else f"o{number}.{places[name][1]}, "
            for number, name in enumerate(self.port_reads)
        )
        body = f"({targets}) = values" if targets else "return"
        exec(f"def fill(values):\n    {body}", space)
        self._fill = space["fill"]

    def read_too(self, name):
        self.port_reads.append(name)
        return self

    @property
    def reads(self):
        return self.args + self.port_reads

    @property
    def writes(self):
        return self.returns + list(self.exports)

    def execute(self, state, values):
        """Next state's number, the values written, and the verdict."""
        part = self.part
        part.load(part.states[state])
        n = len(self.args)
        self._fill(values[n:])
        result = self.run(*values[:n])
        verdict = ""
        if self.verdict:
            *result, verdict = result
        written = list(result) if result is not None else []
        written += [get(*place) for place in self.exports.values()]
        return part.id_of(part.save()), written, verdict
