"""The store comes to no harm from kills, nor from several processes at work in it at once."""

from __future__ import annotations

import errno
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import NoReturn

import numpy as np
import pytest

from preview.trace.store import Store
from tests.trace.store_worker import content, same
from tests.trace.storing import KEY, ONE, OTHER, parts, put

ROOT = Path(__file__).parents[2]


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "layers", most_bytes=10**9)


@contextmanager
def worker(folder: Path, seed: int, rounds: int) -> Iterator[subprocess.Popen[str]]:
    """A worker that waits to begin; killed when the block ends, should it still run."""
    with subprocess.Popen(
        [sys.executable, "-m", "tests.trace.store_worker", str(folder), str(seed), str(rounds)],
        cwd=ROOT,
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},  # it starts sooner
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        try:
            yield process
        finally:
            process.kill()


def begun(process: subprocess.Popen[str]) -> list[int]:
    """Entries, how many of them were wrong, and parts, as a worker found them."""
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdin.write("begin\n")
    process.stdin.flush()
    return [int(word) for word in process.stdout.readline().split()]


@pytest.mark.skipif(sys.platform == "win32", reason="no kill -9 there")
def test_killed_at_random_moments_fifty_times(tmp_path: Path) -> None:
    draw = random.Random(20)
    seen, left = 0, 0
    with ExitStack() as at_work:
        after = at_work.enter_context(worker(tmp_path, 0, 10**6))
        for number in range(1, 51):
            # The next gets ready meanwhile; it is the fresh process that looks at what this one leaves.
            process = after
            after = at_work.enter_context(worker(tmp_path, number, 1 if number == 50 else 10**6))
            entries, bad, leftovers = begun(process)
            assert bad == 0
            assert leftovers <= 1, "what the kill before this one left, and no older"
            seen, left = seen + entries, left + leftovers
            time.sleep(draw.uniform(0.0, 0.08))
            process.send_signal(signal.SIGKILL)
            assert process.wait() == -signal.SIGKILL
        assert begun(after)[1] == 0
        assert after.communicate()[0] == "done\n"
        assert after.returncode == 0
    # The kills have hit: there were entries to be spoilt, and makings that were cut off.
    assert seen > 50
    assert left > 10
    assert list(tmp_path.glob(".*")) == []


def test_several_processes_make_and_load_the_same(tmp_path: Path) -> None:
    with ExitStack() as at_work:
        crowd = [at_work.enter_context(worker(tmp_path, seed, 40)) for seed in range(3)]
        for process in crowd:
            begun(process)
        for process in crowd:
            assert process.communicate()[0] == "done\n"
            assert process.returncode == 0
    store = Store(tmp_path, most_bytes=10**9)
    entries = store.entries()
    assert 1 <= len(entries) <= 6
    for entry in entries:
        found = store.load(entry.key)
        assert found is not None
        assert same(found, content(entry.key))
    assert parts(store) == []


def test_a_part_that_is_being_made_is_no_leftover(store: Store) -> None:
    with store.making(KEY, {"layer": ((5,), np.float32)}, kind="layer", label="") as places:
        other = Store(store.folder, most_bytes=10**9)
        put(other, OTHER)  # sweeps
        assert other.clear() > 0  # sweeps too
        places["layer"][...] = 2.0
        assert len(parts(store)) == 1
    found = store.load(KEY)
    assert found is not None
    assert found["layer"].tolist() == [2.0] * 5


def test_clearing_takes_leftovers_too_and_nothing_else(store: Store) -> None:
    put(store, KEY)
    size = store.entries()[0].bytes
    (store.folder / f".{KEY}.01234567.part").write_bytes(bytes(1000))
    for name in ("notes.txt", "notes.part", "mine.layers", ".hidden"):
        (store.folder / name).write_bytes(b"mine")
    assert store.clear() == size + 1000
    assert sorted(path.name for path in store.folder.iterdir()) == [
        ".hidden",
        "mine.layers",
        "notes.part",
        "notes.txt",
    ]


@pytest.mark.skipif(sys.platform == "win32", reason="no locks of this kind there")
def test_where_nothing_can_be_locked_only_old_parts_are_swept(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> NoReturn:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr("fcntl.flock", refuse)
    put(store, KEY)
    assert store.load(KEY) is not None
    new, old = (store.folder / f".{KEY}.{name}.part" for name in ("new", "old"))
    for path in (new, old):
        path.write_bytes(bytes(10))
    os.utime(old, times=(time.time() - 90_000.0,) * 2)
    Store(store.folder, most_bytes=10**9).put(OTHER, ONE, kind="layer", label="")
    assert parts(store) == [new.name]
