"""Integer stand-ins that run the controller's unmodified source and build z3 terms instead of numbers.

Products and quotients of two unknowns are nonlinear, which z3 does not decide reliably. They are stated by lemma: the
uninterpreted functions PRODUCT and QUOTIENT, with linear facts that hold for the real operations (explorer.py). A
proof over them holds for every function with these facts, the real ones included.
"""

import z3

LIMIT = 1 << 30
PRODUCT = z3.Function("product", z3.IntSort(), z3.IntSort(), z3.IntSort())
QUOTIENT = z3.Function("quotient", z3.IntSort(), z3.IntSort(), z3.IntSort())


def term(value):
    """z3 term of a stand-in, a number or a term."""
    if isinstance(value, Int):
        return value.term
    if isinstance(value, z3.ExprRef):
        return value
    return z3.IntVal(value)


class Bool:
    """A condition; asking for its truth forks the path."""

    __slots__ = ("explorer", "term")

    def __init__(self, explorer, a_term):
        self.explorer = explorer
        self.term = a_term

    def __bool__(self):
        return self.explorer.decide(self.term)


class Int:
    """An integer that is not known. Supports what the controller's dialect uses, and nothing else."""

    __slots__ = ("explorer", "term")

    def __init__(self, explorer, a_term):
        self.explorer = explorer
        self.term = a_term

    def _result(self, a_term):
        self.explorer.results.append(a_term)
        return Int(self.explorer, a_term)

    def _flag(self, other, a_term):
        # `|` and `&` are used on flags only; that both sides are flags becomes something to prove.
        for side in (self.term, term(other)):
            self.explorer.must.append(z3.And(side >= 0, side <= 1))
        return Int(self.explorer, a_term)

    def __add__(self, other):
        return self._result(self.term + term(other))

    __radd__ = __add__

    def __sub__(self, other):
        return self._result(self.term - term(other))

    def __rsub__(self, other):
        return self._result(term(other) - self.term)

    def __mul__(self, other):
        if isinstance(other, Int):
            return self._result(self.explorer.product(self.term, other.term))
        return self._result(self.term * other)

    def __rmul__(self, other):
        if isinstance(other, list):
            # [0] * n at boot: a ring of n zeros.
            return Ring(self.explorer, z3.K(z3.IntSort(), z3.IntVal(other[0])), self)
        return self * other

    def __neg__(self):
        return self._result(-self.term)

    def __floordiv__(self, other):
        if isinstance(other, Int):
            return self._result(self.explorer.quotient(self.term, other.term))
        # z3 divides like Python for a positive divisor.
        if other <= 0:
            raise TypeError("division by a constant that is not positive")
        return Int(self.explorer, self.term / other)

    def __rfloordiv__(self, other):
        return self._result(self.explorer.quotient(z3.IntVal(other), self.term))

    def __or__(self, other):
        return self._flag(other, z3.If(z3.Or(self.term == 1, term(other) == 1), z3.IntVal(1), z3.IntVal(0)))

    __ror__ = __or__

    def __and__(self, other):
        if isinstance(other, int) and other > 1 and (other & (other + 1)) == 0:
            # A mask of all ones: the remainder, which Python and two's complement agree on for negative numbers too.
            return self._result(self.term % (other + 1))
        return self._flag(other, z3.If(z3.And(self.term == 1, term(other) == 1), z3.IntVal(1), z3.IntVal(0)))

    __rand__ = __and__

    def __xor__(self, other):
        # Used at boot on a small count only; that it is small becomes something to prove.
        self.explorer.must.append(z3.And(self.term >= 0, self.term <= 7))
        value = z3.IntVal(other ^ 7)
        for small in range(7):
            value = z3.If(self.term == small, z3.IntVal(other ^ small), value)
        return self._result(value)

    __rxor__ = __xor__

    def __eq__(self, other):
        return Bool(self.explorer, self.term == term(other))

    def __ne__(self, other):
        return Bool(self.explorer, self.term != term(other))

    def __lt__(self, other):
        return Bool(self.explorer, self.term < term(other))

    def __le__(self, other):
        return Bool(self.explorer, self.term <= term(other))

    def __gt__(self, other):
        return Bool(self.explorer, self.term > term(other))

    def __ge__(self, other):
        return Bool(self.explorer, self.term >= term(other))

    __hash__ = None

    def __bool__(self):
        raise TypeError("a bare integer was used as a condition")


class Ring:
    """A list of unknown length, read and written at unknown places; that each place exists becomes something to prove.

    A known place below 0 counts from the end, as in a list.
    """

    __slots__ = ("explorer", "term", "length")

    def __init__(self, explorer, array, length):
        self.explorer = explorer
        self.term = array
        self.length = length

    def with_term(self, array):
        """The same ring with other contents."""
        return Ring(self.explorer, array, self.length)

    def _place(self, at):
        if isinstance(at, int) and at < 0:
            at = at + self.length
        self.explorer.must.append(z3.And(term(at) >= 0, term(at) < term(self.length)))
        return term(at)

    def __getitem__(self, at):
        return Int(self.explorer, z3.Select(self.term, self._place(at)))

    def __setitem__(self, at, value):
        self.term = z3.Store(self.term, self._place(at), term(value))
