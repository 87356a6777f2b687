"""Interrupted installations: samples here, every point in `python -m tests.install.cuts`. And orders that it must reject."""

from dataclasses import replace

import pytest

from host_sim.install import copying
from host_sim.install.link import LinkLost

from . import cuts
from .cuts import AFTER, HELD, INSIDE, LEFT_ON, NEW, OLD, POWER, SILENT, WITHIN, Cut, Room
from .standins import compiled_text, install, standin_kind


@pytest.fixture(scope="module")
def update(tmp_path_factory, old_set, new_set):
    """A board with an older set."""
    return Room(tmp_path_factory.mktemp("cuts"), cuts.Case("update", old_set, new_set, standin_kind()))


# What the power meets: the first modules being renewed, most of them.
@pytest.mark.parametrize("share", [0.1, 0.5])
@pytest.mark.deep
@pytest.mark.sr("SR-30", "acts")
def test_power_cut(update, share):
    n_ops, _ = update.size()
    assert update.outcome(Cut(POWER, int(share * n_ops), 2)) == HELD


@pytest.mark.sr("SR-30", "acts")
def test_between_modules_that_need_one_another(update):
    """Dropped where main.py's module is the new one and the module that it takes a name from the old one."""
    update.size()
    at = next(n for n, code in enumerate(update.messages) if code.startswith("put('/boards/standin/main.mpy'"))
    assert update.outcome(Cut(AFTER, at + 1)) == HELD


@pytest.mark.parametrize("cut", [Cut(AFTER, 20), Cut(WITHIN, 22), Cut(LEFT_ON, 25)], ids=str)
@pytest.mark.deep
def test_connection_dropped(update, cut):
    assert update.outcome(cut) == (NEW if cut.how == LEFT_ON else HELD)


@pytest.mark.deep
def test_before_the_first_change_the_old_set_flies_and_after_the_last_one_the_new(update):
    n_ops, n_messages = update.size()
    assert update.outcome(Cut(POWER, 0, 0)) == OLD
    assert update.outcome(Cut(AFTER, n_messages - 1)) == NEW
    assert update.outcome(Cut(POWER, n_ops, 0)) == NEW


@pytest.mark.deep
def test_every_tenth_point(capsys):
    assert cuts.main(["--every", "10"]) == 0
    assert "all inside the bound" in capsys.readouterr().out


def _never_ends(link, new, kind):
    raise LinkLost("", "", "cut here")


@pytest.mark.deep
def test_changing_modules_under_the_real_main_is_found(update):
    """main.py of the old set with modules of the new one stops on its own, and says nothing about DOWN."""

    def installing(link, new, kind):
        link.enter()
        link.call("remove", "/set.txt")
        copying.put(link, "boards/standin/part.mpy", new.files["boards/standin/part.mpy"])
        link.close()

    found = update.outcome(Cut(AFTER, -1), installing)
    assert found == SILENT and found not in INSIDE


@pytest.mark.deep
def test_a_check_that_only_looks_for_the_manifest_is_found(tmp_path, old_set, new_set):
    """A mix flies where the board does not compare and the manifest is still there."""
    blind = {"boards/common/store.mpy": compiled_text("store", BLIND)}
    case = cuts.Case(
        "update",
        replace(old_set, files=old_set.files | blind),
        replace(new_set, files=new_set.files | blind),
        standin_kind(),
    )

    def installing(link, new, kind):
        link.enter()
        copying.put(link, "controller/valve.mpy", new.files["controller/valve.mpy"])
        link.close()

    assert Room(tmp_path, case).outcome(Cut(AFTER, -1), installing) == cuts.MIX


BLIND = """
def check_set(root, board=""):
    try:
        open("/set.txt").close()
        return ""
    except OSError:
        return "no set.txt"


def load_settings(root, inputs):
    inputs.settings_a = inputs.settings_b = b""
"""


@pytest.mark.deep
def test_a_second_installation_that_fails_is_found(update, monkeypatch):
    monkeypatch.setattr(cuts, "install", _never_ends)
    assert update.outcome(Cut(AFTER, 20), install).startswith(cuts.NOT_MENDED)
