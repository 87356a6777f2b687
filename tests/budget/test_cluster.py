"""The same days on one process, on two, and on a Dask cluster come out the same; what goes wrong is said in one line."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from host_sim.budget import pool
from host_sim.budget.chances import fly_days
from host_sim.errors import InputError

from .flown_days import CURLEW, SEED, advised

N = 2
ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def here():
    return fly_days(*advised(CURLEW), N, SEED)


@pytest.fixture(scope="module")
def cluster():
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=":0", silence_logs=50
    ) as made:
        yield made


def square(number):
    return number * number


def fails(number):
    if number == 2:
        raise ZeroDivisionError("day 2")
    return number


def refuses(number):
    raise InputError("curlew24.yaml", 3, "no such day")


def dies(number):
    os._exit(1)


@pytest.mark.deep
def test_two_processes_give_what_one_gives(here):
    told = []
    assert fly_days(*advised(CURLEW), N, SEED, jobs=2, progress=told.append) == here
    assert sum(told) == N


@pytest.mark.deep
def test_a_cluster_gives_what_one_process_gives_to_the_last_bit(here, cluster):
    told = []
    there = fly_days(*advised(CURLEW), N, SEED, cluster=cluster.scheduler_address, progress=told.append)
    assert there == here and repr(there) == repr(here)
    assert sum(told) == N


@pytest.mark.deep
def test_results_come_in_order_whatever_the_chunks(cluster):
    wanted = [square(number) for number in range(23)]
    assert pool.run(square, 23) == pool.run(square, 23, cluster=cluster.scheduler_address) == wanted
    assert pool.run(square, 23, jobs=2) == wanted


@pytest.mark.parametrize("n, workers", [(1, 2), (7, 2), (8, 2), (200, 2), (3, 16)])
def test_chunks_hold_every_number_once_and_give_each_worker_one(n, workers):
    chunks = pool._chunks(n, workers)
    assert [number for chunk in chunks for number in chunk] == list(range(n))
    assert len(chunks) >= min(n, workers) and max(len(chunk) for chunk in chunks) <= pool.MOST_CHUNK


def one_line(error):
    text = str(error.value)
    assert "\n" not in text
    return text


@pytest.mark.deep
def test_a_worker_of_the_cluster_that_fails_is_named(cluster):
    with pytest.raises(InputError) as error:
        pool.run(fails, 6, cluster=cluster.scheduler_address)
    assert one_line(error) == f"--cluster {cluster.scheduler_address}: a worker failed: ZeroDivisionError: day 2"


@pytest.mark.deep
def test_an_input_error_of_the_task_comes_through(cluster):
    for where in ({}, {"jobs": 2}, {"cluster": cluster.scheduler_address}):
        with pytest.raises(InputError) as error:
            pool.run(refuses, 2, **where)
        assert one_line(error) == "curlew24.yaml:3: no such day"


def test_workers_with_another_version_are_refused(cluster, monkeypatch):
    monkeypatch.setattr(pool, "version", OtherVersion())
    with pytest.raises(InputError) as error:
        pool.run(square, 2, cluster=cluster.scheduler_address)
    assert "here is 9.9.9" in one_line(error)


class OtherVersion:
    """Answers with another version here, and with the true one where it has been sent."""

    def __call__(self):
        return "9.9.9"

    def __reduce__(self):
        return _true_version, ()


def _true_version():
    from host_sim.version import version

    return version


def test_a_process_that_dies_is_said():
    with pytest.raises(InputError) as error:
        pool.run(dies, 4, jobs=2)
    assert one_line(error).startswith("--jobs 2: a process has died")


def alone(code):
    """What a process of its own prints: a client that reached nobody leaves a loop that the next one may wait for."""
    head = "from host_sim.budget import pool; from host_sim.errors import InputError; pool.ANSWER_WITHIN_S = 1\n"
    done = subprocess.run([sys.executable, "-c", head + code], cwd=ROOT, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


ASK = """
try:
    pool.run(abs, 2, cluster={address})
except InputError as error:
    print(str(error).replace(chr(10), "|"))
"""


@pytest.mark.deep
def test_nobody_at_the_address():
    pytest.importorskip("distributed")
    told = alone(ASK.format(address="'tcp://127.0.0.1:9'"))
    assert told == "--cluster tcp://127.0.0.1:9: no Dask scheduler has answered within 1 s"


@pytest.mark.parametrize("address", ["nonsense", pytest.param("carrier-pigeon://home:1", marks=pytest.mark.deep)])
def test_an_address_that_is_none(address):
    pytest.importorskip("distributed")
    told = alone(ASK.format(address=repr(address)))
    assert told.startswith(f"--cluster {address}: ") and "|" not in told


WITHOUT_WORKERS = """
import distributed
with distributed.LocalCluster(n_workers=0, processes=False, dashboard_address=":0", silence_logs=50) as made:
"""


@pytest.mark.deep
def test_a_scheduler_without_workers():
    pytest.importorskip("distributed")
    ask = ASK.format(address="made.scheduler_address").replace("\n", "\n    ")
    assert alone(WITHOUT_WORKERS + ask).endswith("the scheduler has had no worker for 1 s")


def test_without_the_extra_one_line_says_so(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InputError) as error:
        pool.run(square, 2, cluster="tcp://127.0.0.1:8786")
    assert one_line(error).endswith("pip install 'downlock[cluster]'")


STOPPED = """
import signal, sys
from tests.budget.test_cluster import tell_and_go_on
from host_sim.budget import pool
if __name__ == "__main__":
    # A shell has what it starts in the background ignore Ctrl-C, and that is inherited.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        pool.run(tell_and_go_on, 100000, jobs=2, progress=lambda k: print(k, flush=True))
    except KeyboardInterrupt:
        print("stopped", flush=True)
        sys.exit(130)
"""


def tell_and_go_on(number):
    return sum(n * n for n in range(20_000))


@pytest.mark.deep
def test_ctrl_c_stops_everything(tmp_path):
    script = tmp_path / "long.py"
    script.write_text(STOPPED, encoding="utf-8")
    process = subprocess.Popen(
        [sys.executable, str(script)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)}, start_new_session=True,
    )  # fmt: skip
    assert process.stdout.readline().strip() == "4"
    # As a terminal does: to all processes of the group.
    os.killpg(process.pid, signal.SIGINT)
    # Ends when nobody holds the two pipes any more, and every worker would.
    out, err = process.communicate(timeout=60)
    assert (process.returncode, err) == (130, "") and out.splitlines()[-1] == "stopped"


def test_the_bar_goes_to_stderr_and_tells_what_is_done(capsys, monkeypatch):
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    with pool.bar(4) as tell:
        pool.run(square, 4, progress=tell)
        shown = capsys.readouterr()
    assert shown.out == "" and "4" in shown.err
