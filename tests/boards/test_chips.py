"""Converters of both chips, on stand-ins for the chips' own modules: raw readings to codes."""

import importlib
import sys
from types import SimpleNamespace

import pytest

from boards.common.adc import Oversampled


class Adc:
    """A machine.ADC that gives `readings` in turn, whichever way it is asked."""

    ATTN_11DB = 3
    readings = ()

    def __init__(self, pin, atten=None):
        self.at = 0

    def read_u16(self):
        """The next one."""
        self.at += 1
        return self.readings[self.at % len(self.readings)]

    read_uv = read_u16


@pytest.fixture(params=["rp2040", "esp32"])
def chip(request, monkeypatch):
    machine = SimpleNamespace(
        ADC=Adc,
        Pin=lambda number: number,
        WDT_RESET=3,
        PWRON_RESET=1,
        **dict.fromkeys(("PWM", "RTC", "mem32", "reset", "reset_cause")),
    )
    rp2 = SimpleNamespace(asm_pio=lambda: lambda program: program, StateMachine=None)
    for name, module in {"machine": machine, "rp2": rp2, "esp32": SimpleNamespace(Partition=None)}.items():
        monkeypatch.setitem(sys.modules, name, module)
    before = set(sys.modules)
    yield importlib.import_module(f"boards.{request.param}.chip")
    # Nothing that was loaded beside the stand-ins stays.
    for name in set(sys.modules) - before:
        del sys.modules[name]


def raw(chip, code):
    """What the chip's own function gives for a 12-bit code of 3.3 V."""
    # MicroPython's read_u16 repeats the upper bits; the ESP32's reading is in uV.
    return code << 4 | code >> 8 if chip.NAME == "rp2040" else round(code * 3_300_000 / 4095)


def test_every_code_comes_back(chip):
    converter = chip.Converter(26)
    # 806 uV a code, a whole number, is 0.02 % off: one code at the upper end.
    allowed = 0 if chip.NAME == "rp2040" else 1
    for code in range(4096):
        assert abs(converter.code(raw(chip, code)) - code) <= allowed


@pytest.mark.parametrize("low", [0, 1, 255, 256, 2047, 3000, 4094])
def test_the_mean_of_two_codes_is_the_nearer_one(chip, low):
    for n_high in range(9):
        Adc.readings = [raw(chip, low)] * (8 - n_high) + [raw(chip, low + 1)] * n_high
        found = Oversampled(chip.Converter(26)).counts()
        assert abs(found - (low + n_high / 8)) <= (0.5 if chip.NAME == "rp2040" else 1.5)
