"""Forks, a few at once, each of which tries one change."""

import os
import resource
import sys

CPU_SECONDS = 120
SURVIVED, KILLED = 0, 1


class Pool:
    """Up to `jobs` forks at once. A fork that ends by a signal has run out of its processor time, or crashed: killed."""

    def __init__(self, jobs):
        self.jobs = jobs
        self.running = {}
        self.results = []

    def run(self, mutant, attempt, on_end=None):
        """Forks; in the child `attempt(report)` returns SURVIVED or KILLED, `report` takes the name of the killer."""
        while len(self.running) >= self.jobs:
            self.reap()
        sys.stdout.flush()
        reader, writer = os.pipe()
        pid = os.fork()
        if pid == 0:
            self._child(attempt, writer)
        os.close(writer)
        self.running[pid] = (mutant, reader, on_end)

    def _child(self, attempt, writer):
        code = KILLED
        try:
            resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS + 1))
            quiet = os.open(os.devnull, os.O_WRONLY)
            os.dup2(quiet, 1)
            os.dup2(quiet, 2)
            code = attempt(lambda name: os.write(writer, name.encode()[:4000]))
        finally:
            os._exit(code)

    def reap(self):
        pid, status = os.wait()
        mutant, reader, on_end = self.running.pop(pid)
        with os.fdopen(reader, "rb") as pipe:
            killer = pipe.read().decode()
        how = "killed"
        if os.WIFSIGNALED(status):
            how, killer = "stopped", f"signal {os.WTERMSIG(status)}"
        elif os.WEXITSTATUS(status) == SURVIVED:
            how = "survived"
        self.results.append((mutant, how, killer))
        if on_end:
            on_end(how, killer)

    def finish(self):
        while self.running:
            self.reap()
        return self.results
