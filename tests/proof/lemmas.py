"""Linear facts about products and quotients of two unknowns: the interval lemmas of the proofs.

For a in [p, q] and b in [r, s] the product lies between the four planes through the corners (McCormick 1976,
Mathematical Programming 10, 147-175). The quotient of a by b > 0, rounded down, is at most k when a < (k + 1) b, and
at least k when a >= k b. The bounds p, q, r, s, k are searched by asking z3 linear questions under the condition of the
path, so that each is proved where it is used; a bound that is not found gives no fact.
"""

import z3

from .symbolic import PRODUCT, QUOTIENT

FAR = 1 << 34
FEW_DIVISORS = 64


class Nonlinear:
    """Mixed into Explorer."""

    def product(self, a, b):
        if z3.is_int_value(a) or z3.is_int_value(b):
            return a * b
        result = PRODUCT(a, b)
        self._learn(result, self._product_facts)
        return result

    def quotient(self, a, b):
        self.must.append(b != 0)
        result = self._quotient_of_positive(a, b)
        if self._is_possible(b < 0):
            # Rounded down, a / b is (-a) / (-b).
            result = z3.If(b > 0, result, self._quotient_of_positive(z3.simplify(-a), z3.simplify(-b)))
        return result

    def _quotient_of_positive(self, a, b):
        result = QUOTIENT(a, b)
        self._learn(result, self._quotient_facts)
        return result

    def _is_possible(self, condition):
        return self.check(condition) != z3.unsat

    def _learn(self, result, make):
        key = (self._outer, tuple(self._taken), result.hash(), result.get_id())
        if key not in self._learnt:
            # Guarded by the condition under which it was proved, a fact holds everywhere.
            under = z3.And(*self.condition)
            self._learnt[key] = (result, [z3.Implies(under, fact) for fact in make(result)])
            self.lemmas += len(self._learnt[key][1])
        self.know(self._learnt[key][1])

    def _product_facts(self, result):
        a, b = result.arg(0), result.arg(1)
        (p, q), (r, s) = self.bounds(a), self.bounds(b)
        facts = [result == PRODUCT(b, a)]
        if p is not None and r is not None:
            facts.append(result >= p * b + r * a - p * r)
        if q is not None and s is not None:
            facts.append(result >= q * b + s * a - q * s)
        if q is not None and r is not None:
            facts.append(result <= q * b + r * a - q * r)
        if p is not None and s is not None:
            facts.append(result <= p * b + s * a - p * s)
        return facts

    def _quotient_facts(self, result):
        a, b = result.arg(0), result.arg(1)
        facts = [
            z3.Implies(z3.And(b >= 1, a >= 0), z3.And(result >= 0, result <= a)),
            z3.Implies(z3.And(b >= 1, a < 0), z3.And(result < 0, result >= a)),
        ]
        least_b, most_b = self.bounds(b)
        if least_b is not None and most_b is not None and most_b - least_b < FEW_DIVISORS:
            # Few divisors: one exact division by a constant for each.
            facts += [z3.Implies(b == k, result == a / k) for k in range(max(least_b, 1), most_b + 1)]
            return facts
        if z3.is_app(a) and a.decl().eq(PRODUCT):
            # What was multiplied by the divisor comes out again.
            one, other = a.arg(0), a.arg(1)
            facts.append(z3.Implies(z3.And(b >= 1, b == one), result == other))
            facts.append(z3.Implies(z3.And(b >= 1, b == other), result == one))
        most = self._search(lambda k: z3.And(b >= 1, a >= k * b), lambda m: m(a) // max(m(b), 1), 1)
        least = self._search(lambda k: z3.And(b >= 1, a < (k + 1) * b), lambda m: m(a) // max(m(b), 1), -1)
        if most is not None:
            facts.append(z3.Implies(b >= 1, result <= most))
        if least is not None:
            facts.append(z3.Implies(b >= 1, result >= least))
        return facts

    def bounds(self, a):
        """Proved lowest and highest value of `a` on this path; None where there is none within 2**34."""
        least = self._search(lambda k: a <= k, lambda m: m(a), -1)
        most = self._search(lambda k: a >= k, lambda m: m(a), 1)
        return least, most

    def _search(self, reaches, value_in, sign):
        """Farthest integer k in the direction of `sign` for which `reaches(k)` is possible; None when not decided."""
        best = self._reached(z3.BoolVal(True), value_in)
        if best is None:
            return None
        step = 1
        while True:
            found = self._reached(reaches(best + sign * step), value_in)
            if found is None:
                return None
            if found is False:
                break
            best = max(found * sign, (best + sign * step) * sign) * sign
            step *= 2
            if abs(best) > FAR:
                return None
        # reachable at best, not at best + sign * step
        low, high = 0, step
        while high - low > 1:
            middle = (low + high) // 2
            found = self._reached(reaches(best + sign * middle), value_in)
            if found is None:
                return None
            if found is False:
                high = middle
            else:
                low = middle
        return best + sign * low

    def _reached(self, condition, value_in):
        """False when impossible, else the value in a model; None when z3 does not decide."""
        answer = self.check(condition)
        if answer == z3.unsat:
            return False
        if answer != z3.sat:
            return None
        model = self.solver.model()
        return value_in(lambda a: model.eval(a, model_completion=True).as_long())
