"""The same work on one process, on several here, or on a Dask cluster; the results come in order, whoever did them.

A worker gets a few numbers at a time, so that a bar moves and Ctrl-C is answered within seconds. Nothing about a day
depends on which worker flies it. A cluster's workers need this project installed, in the same version as here; a scheduler
that asks for no certificate takes work from anybody who reaches it, so it belongs in a network that one trusts.
"""

import multiprocessing
import signal
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager

from ..errors import InputError
from ..version import version

MOST_JOBS = 256
MOST_CHUNK = 4
ANSWER_WITHIN_S = 10


def run(task, n, jobs=1, cluster="", progress=None):
    """[task(0), ..., task(n - 1)]. `task` can be pickled; progress(k) is told how many have just been done.

    Raises InputError where the workers cannot be had or one fails; an InputError of the task itself comes through.
    """
    tell = progress or (lambda k: None)
    if cluster:
        return _on_cluster(task, n, cluster, tell)
    if jobs == 1:
        return _here(task, n, tell)
    return _on_processes(task, n, min(jobs, n), tell)


@contextmanager
def bar(n, words="days"):
    """A progress callback with a bar on stderr, which is gone at the end; none where stderr is no terminal."""
    from tqdm import tqdm

    with tqdm(total=n, unit=f" {words}", leave=False, disable=None) as shown:
        yield shown.update


def _here(task, n, tell):
    found = []
    for number in range(n):
        found.append(task(number))
        tell(1)
    return found


def _chunks(n, workers):
    """Lists of numbers: short ones, and for few days at least one for each worker."""
    size = max(1, min(MOST_CHUNK, n // workers))
    return [list(range(first, min(first + size, n))) for first in range(0, n, size)]


def _work(task, numbers):
    """What a worker does."""
    return [task(number) for number in numbers]


def _deaf():
    """Ctrl-C is for the parent, which then ends the pool."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


@contextmanager
def _born_deaf():
    """Processes that start in here have Ctrl-C blocked from their first moment; for the parent it only waits."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _on_processes(task, n, jobs, tell):
    # A fresh process each: a fork of one that has threads, a progress bar's for instance, may hang.
    pool = ProcessPoolExecutor(jobs, mp_context=multiprocessing.get_context("spawn"), initializer=_deaf)
    try:
        with _born_deaf():
            futures = {pool.submit(_work, task, numbers): numbers for numbers in _chunks(n, jobs)}
        return _gathered(futures, as_completed(futures), n, tell)
    except BrokenProcessPool:
        raise InputError(
            f"--jobs {jobs}", "", "a process has died (killed, or out of memory); try fewer of them"
        ) from None
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _gathered(futures, done, n, tell):
    found = [None] * n
    for future in done:
        numbers = futures[future]
        for number, result in zip(numbers, future.result(), strict=True):
            found[number] = result
        tell(len(numbers))
    return found


def _on_cluster(task, n, address, tell):
    distributed = _distributed(address)
    client = _client(distributed, address)
    try:
        workers = _workers(client, address)
        futures = {client.submit(_work, task, numbers, pure=False): numbers for numbers in _chunks(n, workers)}
        return _gathered(futures, distributed.as_completed(futures, loop=client.loop), n, tell)
    except InputError:
        raise
    except Exception as error:
        # Whatever a worker raises arrives here, and so does its death.
        raise _fault(address, f"a worker failed: {type(error).__name__}: {error}") from None
    finally:
        client.close(timeout=ANSWER_WITHIN_S)


def _distributed(address):
    try:
        import distributed
    except ImportError:
        raise _fault(address, "clusters need Dask's scheduler: pip install 'downlock[cluster]'") from None
    return distributed


def _client(distributed, address):
    try:
        return distributed.Client(address, timeout=ANSWER_WITHIN_S, set_as_default=False)
    except (OSError, TimeoutError):
        raise _fault(address, f"no Dask scheduler has answered within {ANSWER_WITHIN_S} s") from None
    except Exception as error:
        raise _fault(
            address, f"is no address of a Dask scheduler: {error}; wanted is one like tcp://host:8786"
        ) from None


def _workers(client, address):
    """Number of workers; each has to have this project in this version."""
    try:
        client.wait_for_workers(1, timeout=ANSWER_WITHIN_S)
    except TimeoutError:
        raise _fault(address, f"the scheduler has had no worker for {ANSWER_WITHIN_S} s") from None
    versions = client.run(version)
    others = sorted({found for found in versions.values() if found != version()})
    if others:
        raise _fault(address, f"a worker has downlock {others[0]}, here is {version()}")
    return len(versions)


def _fault(address, what):
    return InputError(f"--cluster {address}", "", what)
