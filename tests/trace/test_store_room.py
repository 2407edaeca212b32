"""The store without room or right to write stops nothing; its place and bound are the user's to choose."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NoReturn

import numpy as np
import pytest

from preview.faults import UserError
from preview.trace import part_file
from preview.trace.store import Scratch, Store
from preview.trace.store_place import cache_bound, cache_folder, usual_store
from tests.trace.store_worker import same
from tests.trace.storing import KEY, MEGABYTE, ONE, OTHER, THIRD, aged, parts, put


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "layers", most_bytes=10**9)


def assert_works_without_a_file(store: Store, warning: str) -> None:
    with store.making(KEY, {"layer": ((5,), np.float32)}, kind="layer", label="") as places:
        assert not places["layer"].any()
        places["layer"][...] = 3.0
    assert places["layer"].tolist() == [3.0] * 5
    with pytest.raises(ValueError, match="read-only"):
        places["layer"][0] = 1.0
    put(store, OTHER)
    assert store.load(KEY) is None
    assert store.warning == warning
    assert store.entries() == []


def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    store = Store(tmp_path / "file" / "layers", most_bytes=10**9)
    assert_works_without_a_file(store, f"The layer cache {store.folder} cannot be written: not a directory.")
    assert store.clear() == 0
    assert (tmp_path / "file").read_text() == "mine"


@pytest.mark.skipif(
    not os.path.isdir("/proc/self"), reason="needs a folder that cannot be written, even by root"
)
def test_a_folder_that_cannot_be_written() -> None:
    store = Store(Path("/proc/self"), most_bytes=10**9)
    with store.making(KEY, {"layer": ((5,), np.float32)}, kind="layer", label="") as places:
        places["layer"][...] = 3.0
    assert places["layer"].tolist() == [3.0] * 5
    assert store.warning is not None
    assert store.warning.startswith("The layer cache /proc/self cannot be written: ")


@pytest.mark.skipif(not hasattr(os, "posix_fallocate"), reason="room is taken otherwise there")
def test_a_full_disk(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> NoReturn:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("os.posix_fallocate", refuse)
    assert_works_without_a_file(store, f"The layer cache {store.folder} cannot be written: its disk is full.")
    assert parts(store) == []


SMALL = 32_000_000


@pytest.fixture
def small_files() -> Iterator[None]:
    """The system itself allows no file over 32 MB: whatever the tests print to may be a file too."""
    resource = pytest.importorskip("resource")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (SMALL, hard))
    yield
    resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.mark.parametrize("fallocate", [True, False])
@pytest.mark.usefixtures("small_files")
def test_a_file_that_the_system_cuts_short(
    store: Store, fallocate: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not fallocate:
        monkeypatch.delattr("os.posix_fallocate", raising=False)
    put(store, KEY, {"layer": np.ones(SMALL + 1, np.uint8)})
    assert store.warning == f"The layer cache {store.folder} cannot be written: file too large."
    assert list(store.folder.iterdir()) == []
    put(store, KEY)
    assert store.load(KEY) is not None


@pytest.mark.skipif(sys.platform == "win32", reason="blocks are not told there")
def test_room_is_taken_where_the_file_system_cannot_give_it(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> NoReturn:
        raise OSError(errno.EOPNOTSUPP, os.strerror(errno.EOPNOTSUPP))

    monkeypatch.setattr("os.posix_fallocate", refuse, raising=False)
    with store.making(KEY, {"layer": ((2_100_000,), np.uint8)}, kind="layer", label=""):
        # No hole in it, which would be filled, or fail, only when it is written to.
        state = next(store.folder.iterdir()).stat()
        assert state.st_blocks * 512 >= state.st_size > 2_100_000
    assert store.load(KEY) is not None


def test_others_are_left_their_room_and_old_entries_make_it(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    disk = 4_500_000

    def usage(folder: Path) -> Any:
        used = sum(path.stat().st_size for path in folder.iterdir())
        return type("Usage", (), {"free": disk - used})

    monkeypatch.setattr(part_file, "SPARE_BYTES", 1_000_000)
    monkeypatch.setattr("shutil.disk_usage", usage)
    for age, key in enumerate((KEY, OTHER, THIRD)):
        put(store, key, MEGABYTE)
        aged(store, key, 1000.0 - age)
    put(store, "0d" * 16, MEGABYTE)
    assert store.warning is None
    assert {entry.key for entry in store.entries()} == {OTHER, THIRD, "0d" * 16}
    disk = 1_500_000
    put(store, KEY, MEGABYTE)
    assert store.warning == f"The layer cache {store.folder} cannot be written: its disk is full."


def test_memory_has_a_bound_too(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    store = Store(tmp_path / "file", most_bytes=10**9, most_in_memory=2_100_000)
    wanted = {"layer": ((250_000,), np.float32)}
    with store.making(KEY, wanted, kind="layer", label="") as first:
        pass
    with store.making(OTHER, wanted, kind="layer", label="") as second:
        pass
    with (
        pytest.raises(UserError) as refused,
        store.making(THIRD, wanted, kind="layer", label=""),
    ):
        pass
    assert str(refused.value) == (
        f"The layer cache {tmp_path / 'file'} cannot be written: file exists. Memory cannot hold the frame instead: "
        "free some room, set PREVIEW_CACHE to a folder on another disk, or ask for a smaller --size."
    )
    assert first["layer"].shape == second["layer"].shape
    del first, refused  # the latter knows where it was raised, and so all that was there
    with store.making(THIRD, wanted, kind="layer", label=""):
        pass  # what was let go makes room


def test_scratch_has_a_bound() -> None:
    store = Scratch(most_bytes=1_500_000)
    put(store, KEY, MEGABYTE)
    with pytest.raises(UserError) as refused:
        put(store, OTHER, MEGABYTE)
    assert str(refused.value) == (
        "Memory cannot hold the frame without the layer cache: leave out --no-cache, or ask for a smaller --size."
    )
    assert [entry.key for entry in store.entries()] == [KEY]
    assert store.clear() == 1_000_000
    put(store, OTHER, MEGABYTE)


def test_a_folder_that_is_cleared_while_an_entry_is_made(store: Store) -> None:
    with store.making(KEY, {"layer": ((5,), np.float32)}, kind="layer", label="") as places:
        for path in store.folder.iterdir():
            path.unlink()
        store.folder.rmdir()
        places["layer"][...] = 4.0
    assert places["layer"].tolist() == [4.0] * 5
    assert store.warning is not None
    assert store.load(KEY) is None


def test_a_mapped_part_that_cannot_be_renamed_is_copied(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    replace, refused = os.replace, []

    def once(source: Path, target: Path) -> None:
        if not refused:
            refused.append(source)
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        replace(source, target)

    monkeypatch.setattr("os.replace", once)
    put(store, KEY)
    assert refused
    found = store.load(KEY)
    assert found is not None
    assert same(found, ONE)
    assert store.warning is None
    assert parts(store) == []


def test_tests_never_touch_the_users_own(own_cache: Path) -> None:
    assert cache_folder() == own_cache
    assert usual_store().folder == own_cache
    assert not own_cache.exists()


def test_the_usual_place_is_the_platforms(monkeypatch: pytest.MonkeyPatch) -> None:
    # XDG Base Directory Specification 0.8: caches of a user go below $XDG_CACHE_HOME, else ~/.cache.
    if not sys.platform.startswith("linux"):
        pytest.skip("the specification is for Linux and its kin")
    monkeypatch.delenv("PREVIEW_CACHE")
    monkeypatch.setenv("XDG_CACHE_HOME", "/elsewhere/caches")
    assert cache_folder() == Path("/elsewhere/caches/preview/layers")
    monkeypatch.delenv("XDG_CACHE_HOME")
    monkeypatch.setenv("HOME", "/home/somebody")
    assert cache_folder() == Path("/home/somebody/.cache/preview/layers")
    monkeypatch.setenv("PREVIEW_CACHE", "~/fast disk")
    assert cache_folder() == Path("/home/somebody/fast disk")


@pytest.mark.parametrize(
    ("written", "size"),
    [
        ("", 4_000_000_000),
        ("8 GB", 8_000_000_000),
        ("0.5gb", 500_000_000),
        (" 300 MB ", 300_000_000),
        ("2TB", 2 * 10**12),
    ],
)
def test_the_bound_that_the_user_sets(monkeypatch: pytest.MonkeyPatch, written: str, size: int) -> None:
    monkeypatch.setenv("PREVIEW_CACHE_SIZE", written)
    assert cache_bound() == size
    assert usual_store().most_bytes == size


@pytest.mark.parametrize("written", ["8", "GB", "-1 GB", "0 GB", "8 GiB", "1e9 GB"])
def test_a_bound_that_is_no_size(monkeypatch: pytest.MonkeyPatch, written: str) -> None:
    monkeypatch.setenv("PREVIEW_CACHE_SIZE", written)
    with pytest.raises(UserError) as wrong:
        usual_store()
    assert str(wrong.value) == (f'PREVIEW_CACHE_SIZE is "{written}", which is no size: write 8 GB or 500 MB.')
