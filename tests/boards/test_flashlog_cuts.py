"""SR-35: the power may go at any moment; what it costs is the record being written."""

from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.boards import power_cuts
from tests.boards.flash import PowerCut, SimFlash
from tests.boards.lives import History, Life, read_all

PROGRAM_CUTS = ("mixture", "barely", "nearly")
ERASE_CUTS = ("begun", "half", "nearly", "mixture")
LIVES = st.lists(
    st.tuples(
        st.integers(0, 40),  # records
        st.integers(1, 12),  # at a time
        st.booleans(),  # erase ahead first
        st.one_of(st.integers(0, 6), st.integers(0, 60)),  # operation in which the power goes
        st.one_of(st.sampled_from(PROGRAM_CUTS), st.integers(0, 256)),
        st.sampled_from(ERASE_CUTS),
        st.sampled_from([b"\x07\xee\xff\xc0", b"\xf8\x11\x00\x3f"]),  # fingerprint: settings change between boots
    ),
    min_size=1,
    max_size=12,
)


@cache
def written_once(n_sectors, n_records):
    """(flash, history) of a ring in which one life has written; to be copied."""
    flash, history = SimFlash(n_sectors, fill=0x3C), History(n_sectors)
    if n_records:
        life = Life(flash, history, 0)
        life.open()
        life.prepare()
        life.run(n_records, burst=10)
    return flash, history


def faults_of_lives(lives, loose, seed, n_sectors=4, first_records=0):
    """What is wrong after any of these lives, as a list of sentences; the last life ends without a cut."""
    flash, history = (one.copy() for one in written_once(n_sectors, first_records))
    flash.loose = loose
    flash.dice.seed(seed)
    for number, (n_records, burst, prepare, operation, program, erase, fingerprint) in enumerate(lives, 1):
        life = Life(flash, history, number, fingerprint)
        flash.cut_at(operation, program, erase)
        try:
            live(life, n_records, burst, prepare)
        except PowerCut:
            history.cut()
        faults = history.faults(read_all(flash))
        if faults or life.log.failures:
            return [f"life {number}: {fault}" for fault in faults] or [f"life {number}: {life.log.failures} failures"]
    life = Life(flash, history, 90)
    live(life, 10, 1, True)
    faults = history.faults(read_all(flash))
    if life.log.saved != 10:
        faults.append(f"the last life saved {life.log.saved} of 10 records")
    if flash.programmed_over:
        faults.append(f"programmed over what was there: pages {flash.programmed_over}")
    return faults


def live(life, n_records, burst, prepare):
    """One life."""
    life.open()
    if prepare:
        life.prepare()
    life.run(n_records, burst)


@pytest.mark.sr("SR-35", "acts")
@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(LIVES, st.booleans(), st.integers(0, 2**30), st.sampled_from([0, 150, 300, 480, 1000]))
def test_any_lives_and_cuts(lives, loose, seed, first_records):
    assert faults_of_lives(lives, loose, seed, first_records=first_records) == []


@pytest.mark.deep
@settings(max_examples=1000, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(LIVES, st.booleans(), st.integers(0, 2**30), st.sampled_from([0, 150, 240, 300, 480, 505, 760, 1000]))
def test_many_lives_and_cuts(lives, loose, seed, first_records):
    assert faults_of_lives(lives, loose, seed, first_records=first_records) == []


@pytest.mark.deep
@pytest.mark.sr("SR-35", "acts")
def test_every_byte_of_the_programs_that_differ_in_kind():
    tallies = power_cuts.cut_everywhere(stride=250)
    assert [fault for tally in tallies.values() for fault in tally.faults] == []
    assert [kind for kind in power_cuts.KINDS if tallies[kind].operations == 0] == []
    kept = tallies["record"].kept
    assert kept[False] > 0 and kept[True] > 0, "both outcomes occur for the record being written"


@pytest.mark.deep
def test_every_byte_of_every_program(capsys):
    assert power_cuts.main(["--full"]) == 0
    assert "record " in capsys.readouterr().out
