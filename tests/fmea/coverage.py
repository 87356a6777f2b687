"""Diagnostic coverage and safe failure fraction, every failure mode with the same weight.

Terms as in IEC 61508-2 and -4 and ISO 13849-1 (from memory): diagnostic coverage is the rate of dangerous failures
that are detected over the rate of all dangerous failures; safe failure fraction is the rate of safe and of dangerous
detected failures over the rate of all failures. Rates of these parts are not known, so a share of failure modes
stands in their place: it says what is looked for, not how likely anything is. No level of either standard is claimed.
"""

from dataclasses import dataclass

# Lower ends, in percent.
CLASSES = ((99, "high"), (90, "medium"), (60, "low"), (0, "none"))
SAFE, BORNE = "safe", "borne"
DETECTED, UNDETECTED = "dangerous, detected", "dangerous, undetected"
VERDICTS = (SAFE, BORNE, DETECTED, UNDETECTED)


@dataclass(frozen=True)
class Coverage:
    """Counts of failure modes: safe, borne, dangerous and detected, dangerous and undetected. What is borne would harm
    without the controller, and with it does not, without a word; it counts as safe in the safe failure fraction and not
    at all in the diagnostic coverage."""

    safe: int
    borne: int
    detected: int
    undetected: int

    @property
    def modes(self):
        """All failure modes."""
        return self.safe + self.borne + self.detected + self.undetected

    @property
    def diagnostic_percent(self):
        """Diagnostic coverage, whole percent rounded down; None where nothing is dangerous."""
        return _percent(self.detected, self.detected + self.undetected)

    @property
    def safe_percent(self):
        """Safe failure fraction, whole percent rounded down; None without failure modes."""
        return _percent(self.safe + self.borne + self.detected, self.modes)

    @property
    def class_word(self):
        """Class of the diagnostic coverage: none, low, medium, high; "" where nothing is dangerous."""
        percent = self.diagnostic_percent
        if percent is None:
            return ""
        return next(word for low, word in CLASSES if percent >= low)


def _percent(part, whole):
    return part * 100 // whole if whole else None


def coverage_of(verdicts):
    """Coverage of a list of words of VERDICTS. ValueError for any other word."""
    verdicts = list(verdicts)
    strange = set(verdicts) - set(VERDICTS)
    if strange:
        raise ValueError(f"not a verdict: {', '.join(sorted(strange))}")
    return Coverage(*(verdicts.count(word) for word in VERDICTS))
