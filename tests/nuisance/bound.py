"""What no event in so many flights means.

The bound is that of Clopper and Pearson, exact for the binomial, one-sided at 95 %: with no event 1 - 0.05^(1/N). The
rule of three, 3/N, is its well-known approximation (Hanley and Lippman-Hand 1983, JAMA 249(13), 1743-1745, from
memory). Per hour the same for a Poisson count: half the 95 % quantile of chi-square with 2 (k + 1) degrees of freedom.
"""

from scipy.stats import binomtest, chi2

CONFIDENCE = 0.95


def per_flight(events, flights):
    """Upper 95 % bound of the chance per flight, from flights with an event among all."""
    return binomtest(events, flights, alternative="less").proportion_ci(CONFIDENCE, method="exact").high


def rule_of_three(flights):
    """3/N, for no event."""
    return 3.0 / flights


def per_hour(events, hours):
    """Upper 95 % bound of the rate, 1/h."""
    return chi2.ppf(CONFIDENCE, 2 * (events + 1)) / 2.0 / hours
