"""One session at the bench: steps one after the other, each told, cautioned, run, judged and kept."""

import textwrap
from datetime import datetime

from ..errors import InputError
from .lines import LinkError
from .record import good
from .step import ACCEPTED, NOT_PASSED, PASSED, SKIPPED, Result, Skip, Stop

# Common practice, no source.
ALWAYS = (
    "Turbine not running, fuel off. Local codes and club rules come first.",
    "Hands, tools and people clear of legs and doors whenever the tank holds air.",
    "Eye protection on. Stay within the rated pressure of tank, lines and fittings.",
)
CLEAR = "All clear? Hands, doors, legs, people; eye protection on; turbine not running, fuel off."
GOES_DOWN = "Hands clear: the controller is stopped now, and a gear that is up goes down."
WORDS = {PASSED: "PASSED", NOT_PASSED: "NOT PASSED", SKIPPED: "skipped", ACCEPTED: "ACCEPTED BY NAME"}


class Session:
    """`setting` a step.Setting; `keep(result)` is called after every step; `tell(line)` shows a line; `now()` a datetime.
    `is_kept()` says whether all results so far lie in a record.

    `results` in the order run. `stopped` when the operator ended it, `lost` with the reason when the board was lost.
    """

    def __init__(self, setting, steps, keep, tell, now=datetime.now, width=80, is_kept=lambda: True):
        self._on = setting
        self._steps = steps
        self._keep = keep
        self._tell = tell
        self._now = now
        self._width = width
        self._is_kept = is_kept
        self.results = []
        self.stopped = False
        self.lost = ""
        self._stop_after = False

    def run(self):
        """Run the steps; the results."""
        for line in ALWAYS:
            self._say(line, "! ")
        try:
            for number, step in enumerate(self._steps, 1):
                self._tell("")
                self._tell(f"[{number}/{len(self._steps)}] {step.name}: {step.title}")
                self._until_settled(step)
                if step.name == "board" and not good(self.results[-1]):
                    self._say("Nothing counts on a board that holds something else: the session ends here.", "! ")
                    break
        except (Stop, KeyboardInterrupt):
            self.stopped = True
            self._say(f"Stopped.{self._kept_words()}", "")
        except (LinkError, InputError) as error:
            self.lost = str(error)
            self._say(f"The session ends here: {error}.{self._kept_words()}", "! ")
        finally:
            self._leave_safe()
        return self.results

    def _kept_words(self):
        return " What has passed so far is kept." if self.results and self._is_kept() else ""

    def _until_settled(self, step):
        """Run a step, and again while the operator asks for it."""
        self._say(step.what, "  to do:  ")
        self._say(step.expect, "  expect: ")
        while True:
            result = self._once(step)
            self._kept(result)
            self._show(result)
            if self._stop_after:
                raise Stop
            if result.verdict != NOT_PASSED or not self._again():
                return

    def _again(self):
        try:
            said = self._on.person.line(("again",), "Not passed. Type r to repeat it, or Enter to go on:")
        except Skip:
            return False
        return said.lower() == "r"

    def _kept(self, result):
        """A step that was begun again and not ended stands as it was before."""
        seen_before = any(one.step == result.step for one in self.results)
        if result.verdict == SKIPPED and seen_before:
            return
        self.results = [one for one in self.results if one.step != result.step] + [result]
        self._keep(result)

    def _once(self, step):
        result, skipped = None, False
        try:
            if step.moves:
                self._say(f"{step.moves} The tank: {self._on.tank_words()}.", "  CAUTION ")
                self._on.person.do(("clear",), CLEAR)
            result = step.run(self._on)
        except Skip:
            skipped = True
        except (Stop, KeyboardInterrupt):
            self._kept_as_skipped(step)
            raise
        except (LinkError, InputError) as error:
            result = Result(step.name)
            result.fail(str(error))
        self._board_safe()
        if skipped:
            result = Result(step.name, SKIPPED, by="operator")
        result.at = self._now().strftime("%H:%M:%S")
        return result

    def _kept_as_skipped(self, step):
        self._kept(Result(step.name, SKIPPED, by="operator", at=self._now().strftime("%H:%M:%S")))

    def _board_safe(self):
        """Outputs safe after every step; a gear that was up comes down then."""
        try:
            if self._on.board.may_be_up:
                self._on.person.do(("clear",), GOES_DOWN)
        except Skip:
            pass
        except (Stop, KeyboardInterrupt):
            # What the step has found is kept first.
            self._stop_after = True
        finally:
            self._on.board.safe()

    def _leave_safe(self):
        try:
            if self._on.board.may_be_up:
                self._say(GOES_DOWN, "! ")
            self._on.board.safe()
        except (LinkError, InputError) as error:
            self.lost = self.lost or str(error)

    def _show(self, result):
        for line in result.seen:
            self._say(line, "  seen:   ")
        self._tell(f"  {WORDS[result.verdict]}")
        for why in result.why:
            self._say(why, "  because ")
        for line in result.propose:
            self._say(line, "  for the file: ")

    def _say(self, text, head):
        indent = " " * len(head)
        self._tell("\n".join(textwrap.wrap(text, self._width, initial_indent=head, subsequent_indent=indent)))


def summary_lines(results):
    """What a session came to, for people."""
    counts = {word: sum(one.verdict == verdict for one in results) for verdict, word in WORDS.items()}
    return [", ".join(f"{n} {word}" for word, n in counts.items() if n) or "No step was run."]
