"""Lets the tests of this folder import the package as the command does."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))
