"""Ctrl-C while the program is still loading: one line, as at any other time."""

import subprocess
import sys

INTERRUPTED = """
import sys

class Interrupts:
    def find_spec(self, name, *_):
        if name in ("pint", "controller"):
            raise KeyboardInterrupt

sys.meta_path.insert(0, Interrupts())
from host_sim.cli import main
sys.exit(main(["check", "curlew24"]))
"""


def test_ctrl_c_while_it_loads():
    done = subprocess.run([sys.executable, "-c", INTERRUPTED], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "downlock: stopped\n")
