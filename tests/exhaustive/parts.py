"""Live objects as automata: what their state is, and how one of their steps is run from any state.

Nothing is told about the objects' fields. A field is a candidate for state when any method but `__init__` stores it.
Each candidate starts as *not followed*: it is poisoned before every step, and using a poisoned value raises. What
raises is followed from then on, and the search starts again. So a field that a step reads before it writes it can never
be left out of the state, whatever the classes look like inside.
"""

import dis

LEAVES = (int, str, bytes, tuple, frozenset, type(None))


class PoisonRead(Exception):
    """Something used a value that is not followed; `cure()` makes it followed, and returns the Part or Move that is
    another one now."""

    def __init__(self, poison):
        super().__init__(poison.what)
        self.cure = poison.cure


class Poison:
    """A value that nobody may look at; it may be copied."""

    __slots__ = ("what", "cure")

    def __init__(self, what, cure):
        self.what = what
        self.cure = cure

    def _used(self, *_):
        raise PoisonRead(self)

    __eq__ = __ne__ = __lt__ = __le__ = __gt__ = __ge__ = __bool__ = __index__ = __int__ = __neg__ = _used
    __add__ = __radd__ = __sub__ = __rsub__ = __mul__ = __rmul__ = __floordiv__ = __rfloordiv__ = _used
    __and__ = __rand__ = __or__ = __ror__ = __xor__ = __rxor__ = __mod__ = __lshift__ = __rshift__ = _used
    __iter__ = __len__ = __contains__ = __getitem__ = __hash__ = __invert__ = __rshift__ = __rrshift__ = __rlshift__ = (
        _used
    )


def fields_of(thing):
    """[(name, value)] of an object's fields, those of `__slots__` and of `__dict__`."""
    names = [name for cls in type(thing).__mro__ for name in getattr(cls, "__slots__", ())]
    names += [name for name in getattr(thing, "__dict__", {}) if name not in names]
    return [(name, getattr(thing, name)) for name in names if hasattr(thing, name)]


def stored_names(code):
    """Names of all attributes that a code object, or one nested in it, stores."""
    found = {step.argval for step in dis.get_instructions(code) if step.opname == "STORE_ATTR"}
    for constant in code.co_consts:
        if hasattr(constant, "co_code"):
            found |= stored_names(constant)
    return found


class Walk:
    """All integers that hang on `roots`, as (path, container, key, in_a_list), and the names that methods store."""

    def __init__(self, roots, fixed=(), remade=False):
        self.leaves = []
        self._ignored = () if remade else ("__init__",)
        self.stored = set()
        self._seen = {id(thing) for thing in fixed}
        for name, root in roots.items():
            self._object(name, root)

    def _object(self, path, thing):
        if id(thing) in self._seen:
            return
        self._seen.add(id(thing))
        for cls in type(thing).__mro__:
            for name, method in vars(cls).items():
                if name not in self._ignored and hasattr(method, "__code__"):
                    self.stored |= stored_names(method.__code__)
        for name, value in fields_of(thing):
            self._value(f"{path}.{name}", thing, name, value, False)

    def _value(self, path, container, key, value, in_list):
        if isinstance(value, list):
            # Lists are changed by item, which no name shows: all their items are candidates.
            for index, item in enumerate(value):
                self._value(f"{path}[{index}]", value, index, item, True)
        elif isinstance(value, LEAVES):
            self.leaves.append((path, container, key, in_list))
        elif hasattr(value, "__dict__") or hasattr(type(value), "__slots__"):
            self._object(path, value)

    def candidates(self):
        return [leaf for leaf in self.leaves if leaf[3] or leaf[2] in self.stored]


def public(name, thing):
    """{`name.field` or `name.field[index]`: (container, key)} of the integers that others may read."""
    found = {}
    for field, value in fields_of(thing):
        if field.startswith("_"):
            continue
        if isinstance(value, int):
            found[f"{name}.{field}"] = (thing, field)
        elif isinstance(value, list) and all(isinstance(item, int) for item in value):
            found |= {f"{name}.{field}[{index}]": (value, index) for index in range(len(value))}
    return found


def get(container, key):
    return container[key] if isinstance(container, list) else getattr(container, key)


def put(container, key, value):
    if isinstance(container, list):
        container[key] = value
    else:
        setattr(container, key, value)


class Part:
    """Objects that are stepped together. `roots` {name: object}; `fixed`: objects that hold constants only.

    `pinned` {end of a path: value}: fields that are set to one value before every step, because what is searched does
    not depend on them; each pin says why where it is made. `never`: ends of paths that must not turn out to be read.
    `remade`: a move calls `__init__` again, so that what it stores is state as well.
    """

    def __init__(self, name, roots, fixed=(), pinned=None, never=(), remade=False):
        self.name = name
        self.roots = roots
        walk = Walk(roots, fixed, remade)
        self.slots = walk.candidates()
        pinned = pinned or {}
        self._pins = [(slot, v) for slot in self.slots for end, v in pinned.items() if slot[0].endswith(end)]
        pinned_paths = {slot[0] for slot, _ in self._pins}
        self.slots = [slot for slot in self.slots if slot[0] not in pinned_paths]
        self._boot = [(container, key, get(container, key)) for _, container, key, _ in self.slots]
        self.never = never
        self.followed = set()
        self.restart()

    def follow(self, path):
        assert not path.endswith(tuple(self.never)), f"{self.name}: {path} is read, though the search leaves it out"
        self.followed.add(path)
        return self

    def values(self, path):
        """Value of one followed field in each state, in the order of the states' numbers."""
        followed = [slot[0] for slot in self.slots if slot[0] in self.followed]
        at = followed.index(path)
        return [state[at] for state in self.states]

    def restart(self):
        """Back to boot, with no state known but that of boot."""
        for place in self._boot:
            put(*place)
        self._compile()
        self.states = []
        self._ids = {}
        self.id_of(self.save())

    def _compile(self):
        """`save`, `load`: the followed fields as a tuple, written out as code because they run millions of times."""
        space, targets, poisons = {}, [], []
        for number, (path, container, key, in_list) in enumerate(self.slots):
            space[f"o{number}"] = container
            place = f"o{number}[{key}]" if in_list else f"o{number}.{key}"
            if path in self.followed:
                targets.append(place)
            else:
                space[f"p{number}"] = Poison(f"{self.name}: {path}", lambda path=path: self.follow(path))
                poisons.append(f"    {place} = p{number}")
        for number, ((_, container, key, in_list), value) in enumerate(self._pins):
            space[f"q{number}"], space[f"v{number}"] = container, value
            poisons.append(f"    q{number}[{key}] = v{number}" if in_list else f"    q{number}.{key} = v{number}")
        joined = "".join(f"{target}, " for target in targets)
        load = f"    ({joined}) = state\n" if targets else ""
        source = f"def save():\n    return ({joined})\ndef load(state):\n{load}" + "\n".join(poisons) + "\n    return\n"
        exec(source, space)
        self.save, self.load = space["save"], space["load"]

    def id_of(self, state):
        """Dense number of a state tuple."""
        for value in state:
            if type(value) is Poison:
                raise PoisonRead(value)
        number = self._ids.get(state)
        if number is None:
            number = self._ids[state] = len(self.states)
            self.states.append(state)
        return number

    def words(self, number):
        """A state in words, for people who look for a fault."""
        followed = [slot[0] for slot in self.slots if slot[0] in self.followed]
        return ", ".join(f"{path}={value}" for path, value in zip(followed, self.states[number], strict=True))
