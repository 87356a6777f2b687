"""From power-on to the loop as far as files and console go. Runs on the stand-in only."""

import time

import machine

from boards.common.early import Wiring
from boards.common.store import check_set, load_settings

from .part import PART

SERVICE_WORD = 0x5E7A


class Inputs:
    """The two fields that load_settings fills."""


def main():
    """Returns into service only."""
    if machine.retained == SERVICE_WORD:
        machine.retained = 0
        print("downlock: service, gear held DOWN")
        return
    reason = check_set("/", "standin")
    inputs = Inputs()
    load_settings("/", inputs)
    wiring = Wiring()
    wiring.read("/")
    try:
        while reason:
            print("downlock: held DOWN:", reason)
            time.sleep(1)
        print("stand-in flies, settings", inputs.settings_a[-4:], inputs.settings_b[-4:], "valve", wiring.kind, PART)
        while True:
            time.sleep(1)
    except KeyboardInterrupt:
        machine.retained = SERVICE_WORD
        machine.reset()
